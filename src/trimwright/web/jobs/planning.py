"""The one place where the web asks for a plan: a job goes in, plain data for the pages comes out, stage by stage.

Runs in a process of its own (`maker.py`); nothing here knows Django. Money stays whole minor units and time whole
minutes: templates print them by locale. A new stage is one more function in `STAGES`: its plain data stands in a
plan's result under its name, and a page finds it as `plan.NAME` as soon as it is there.

money      firm, expected, reserve, left, sum, chance, currency; finish before and after; minutes; status; short
verdicts   zones with their parts' verdicts; what was given up; hidden faults in the money; notes; proof
buying     orders by supplier, materials, what is paid once
papers     names of the papers that were printed, how many pages the quote has; the papers are kept as files
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date, datetime, time
from typing import TYPE_CHECKING, Any, Literal

from trimwright.errors import BadInput
from trimwright.web.jobs.plain import plain

if TYPE_CHECKING:
    from trimwright.book.document import Book
    from trimwright.facts.trade import Trade
    from trimwright.job.document import Job
    from trimwright.plan.plan import Plan

Plain = dict[str, Any]
Told = Callable[[str, float | None], None]
"""Called with what is being worked out and how far it is from proven, as a share."""
Piece = tuple[Literal["stage", "paper"], str, Any]
"""A stage's plain data with its name, or a paper's bytes with the name of its file."""


def planned(job: Job, book: Book, today: date, told: Told) -> Iterator[Piece]:
    """Each stage and each paper as soon as it is there; BadInput when the job does not fit what is known."""
    from trimwright.book.applied import apply_book, equipped
    from trimwright.facts import load
    from trimwright.job.check import checked
    from trimwright.plan.plan import make_plan

    job, trade = equipped(job, book), apply_book(load(), book, job.money.currency, today)
    findings = checked(job, trade)
    if findings.problems:
        raise BadInput(findings.problems)

    def progress(stage: str, best: float, bound: float) -> None:
        gap = abs(best - bound) / max(1.0, abs(best))
        told(stage, gap if gap < 1 else None)

    plan = make_plan(job, trade, progress=progress)
    for name, stage in STAGES.items():
        yield "stage", name, stage(plan, trade)
    told("setting the papers", None)
    yield from _papers(plan, today)


def _papers(plan: Plan, today: date) -> Iterator[Piece]:
    from trimwright.papers import PAPERS, paper_pages, paper_pdf
    from trimwright.plan.buying import as_csv, as_workbook

    made_at = datetime.combine(today, time.min).astimezone()
    size: Literal["a4", "us-letter"] = "us-letter" if plan.job.car.units == "US customary" else "a4"
    for name in PAPERS:
        yield "paper", f"{name}.pdf", paper_pdf(name, plan, made_at, size)
    yield "paper", "buying-list.csv", as_csv(plan.buying)
    yield "paper", "buying-list.xlsx", as_workbook(plan.buying)
    pages = paper_pages("quote", plan, made_at, size)
    for number, page in enumerate(pages, 1):
        yield "paper", f"quote-{number}.png", page
    yield "stage", "papers", {"names": list(PAPERS), "quote_pages": len(pages)}


def money(plan: Plan, trade: Trade) -> Plain:
    """The money strip."""
    verdicts = plan.verdicts
    told, short = verdicts.money, verdicts.short
    return {
        "currency": told.currency,
        "sum": told.sum,
        "firm": told.firm,
        "expected": told.expected,
        "reserve": told.reserve,
        "left": told.left,
        "chance": told.chance,
        "finish_before": verdicts.finish_before,
        "finish_after": verdicts.finish_after,
        "minutes": verdicts.minutes,
        "minutes_limit": verdicts.minutes_limit,
        "status": verdicts.status,
        "short": short and {"money": short.money, "minutes": short.minutes, "because": list(short.because)},
    }


def verdicts(plan: Plan, trade: Trade) -> Plain:
    """Every part's verdict by zone, in the order of the walk-round, and what goes with them."""
    zones: dict[str, list[Plain]] = {part.zone: [] for part in plan.quantities.parts}
    for each in plan.verdicts.verdicts:
        course = each.course
        zones[each.zone].append(
            {
                "part": each.part,
                "name": each.name,
                "course": course.id if course else None,
                "treatment": course.name if course else "",
                "kind": course.kind if course else "",
                "settled_by": each.settled_by,
                "money": each.money,
                "minutes": each.minutes,
                "finish_before": each.finish_before,
                "finish_after": each.finish_after,
                "pinned": each.pinned,
            }
        )
    proof = plan.verdicts.proof
    hidden = (plan.quantities.hidden[each] for each in plan.verdicts.hidden)
    return {
        "zones": [{"zone": zone, "parts": parts} for zone, parts in zones.items() if parts],
        "given_up": [
            {"what": each.what, "parts": list(each.parts), "wanted": each.wanted, "got": each.got}
            for each in plan.verdicts.given_up
        ],
        "hidden": [{"id": each.id, "name": each.name, "chance": each.chance} for each in hidden],
        "notes": list(plan.quantities.notes),
        "proof": {"gap": proof.gap, "columns": proof.columns, "rows": proof.rows, "dropped": proof.dropped},
        "seconds": plan.verdicts.seconds,
    }


def buying(plan: Plan, trade: Trade) -> Plain:
    """The buying list as it stands in the engine, field by field, with what each order and all of it come to."""
    data: Plain = plain(plan.buying)
    for order, told in zip(plan.buying.orders, data["orders"], strict=True):
        told |= {"total": order.total, "to_free": order.to_free}
    return data | {"total": plan.buying.total}


STAGES: dict[str, Callable[[Plan, Trade], Plain]] = {"money": money, "verdicts": verdicts, "buying": buying}
