"""The one place where the web asks for a plan: a job goes in, plain data for the pages comes out, stage by stage.

Runs in a process of its own (`maker.py`); nothing here knows Django. Money stays whole minor units and time whole
minutes: templates print them by locale. A new stage is one more function in `STAGES`: its plain data stands in a
plan's result under its name, and a page finds it as `plan.NAME` as soon as it is there.

money      firm, expected, reserve, left, sum, chance, currency; finish before and after; minutes; status; short; spent
verdicts   zones with their parts' verdicts; what was given up; hidden faults in the money; notes; proof
           (what one page alone shows of it, such as every way to treat one part, is an answer: `answering.py`)
buying     orders by supplier, materials, what is paid once
handover   what was done, and what was left and why, for the hand-over book
musts      what may not be left as it is: the car stays until it is done and paid
sequence   every move on the way in and on the way back (`plan.sequence.moves.of_plain` makes a Sequence of it again)
papers     names of the papers that were printed, how many pages the quote has, whether it sets other offers beside the
           plan; the papers are kept as files
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime, time
from typing import TYPE_CHECKING, Any, Literal

from trimwright.errors import BadInput
from trimwright.web.jobs import answering, calendars
from trimwright.web.jobs.plain import plain

if TYPE_CHECKING:
    from trimwright.book.document import Book
    from trimwright.facts.trade import Trade
    from trimwright.job.document import Job
    from trimwright.job.events import Intake, RestraintLamp, Tested
    from trimwright.plan.plan import Plan
    from trimwright.plan.sequence import Sequence
    from trimwright.plan.sequence.closing import Line
    from trimwright.plan.sequence.going_back import Standing, WayBack
    from trimwright.plan.sequence.holds import Hold
    from trimwright.plan.sequence.ledger import Bag, Torque
    from trimwright.plan.sequence.moves import Finding, Move, SafeWait
    from trimwright.plan.verdicts import Decision
    from trimwright.plan.verdicts.staircase import Staircase

# pages name these in their types, and ask the plan for nothing but here
__all__ = ["Bag", "Decision", "Finding", "Hold", "Line", "Move", "SafeWait", "Standing", "Torque", "WayBack"]

Plain = dict[str, Any]
Told = Callable[[str, float | None], None]
"""Called with what is being worked out and how far it is from proven, as a share."""
Piece = tuple[Literal["stage", "answers", "first", "answer", "paper"], str, Any]
"""A stage's or an answer's plain data, or a paper's PDF, with its name; `answers` are several by name, and a `first`
answer is one that is looked for further."""


QUOTE: Literal["quote"] = "quote"


@dataclass(frozen=True, slots=True)
class Decided:
    """A plan, and the facts as the shop has them."""

    plan: Plan
    trade: Trade
    stands: bool
    """Whether nothing was decided again."""


def decided(job: Job, book: Book, today: date, told: Told, before: Decision | None = None) -> Decided:
    """The plan; what was decided `before` is kept where it stands. BadInput when the job does not fit what is known."""
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

    plan = make_plan(job, trade, before=before, progress=progress)
    return Decided(plan, trade, stands=before is not None and plan.verdicts is before.verdicts)


def weighed(
    job: Job,
    book: Book,
    today: date,
    about: str,
    courses: Mapping[str, str],
    decision: Decision | None = None,
    kept: Mapping[str, Any] | None = None,
) -> Iterator[Piece]:
    """What each answer to a find would come to, and its paper, from what was decided before it; about a second.

    Where that `decision` is not kept any more, from the `courses` it took. The plan with the find in it is not waited
    for. Where a calendar is `kept`, what each does to the hand-over follows in a few seconds.
    """
    from trimwright.book.applied import apply_book, equipped
    from trimwright.facts import load
    from trimwright.papers import change_sheet_pdf
    from trimwright.papers.change_sheet import in_words
    from trimwright.plan.changes import as_decided, as_it_stood, change_sheet

    job, trade = equipped(job, book), apply_book(load(), book, job.money.currency, today)
    find = about.removeprefix(answering.CHANGE)
    before = as_it_stood(job, trade, find, decision) if decision else None
    before = before or (as_decided(job, trade, find, courses) if courses else None)
    sheet = change_sheet(job, trade, find, before=before)
    answers = {
        "lets_go": {way.answer: list(way.lets_go) for way in sheet.ways},
        "answers": [way.answer for way in sheet.ways],
    }
    yield "first", about, {**in_words(sheet), **answers}
    dates = calendars.moved(sheet, trade, kept) if kept else None
    yield "answer", about, {**in_words(sheet, dates), **answers}
    made_at, size = _printed(job, today)
    yield "paper", f"change-{find}.pdf", change_sheet_pdf(sheet, made_at, size, dates)


def intake_sheet(job: Job, intake: Intake, today: date) -> bytes:
    """The intake on a page to sign; quick enough for a page to wait for."""
    from trimwright.papers import intake_sheet_pdf

    return intake_sheet_pdf(job, intake, *_printed(job, today))


def hand_over_words(job: Job, trade: Trade, book: Book) -> Plain:
    """What the hand-over book says of a job as it is now, beside what its plan says; quick."""
    from trimwright.papers.hand_over_book import of_the_job

    return of_the_job(job, trade, book)


def hand_over_book(job: Job, words: Plain, photos: Mapping[str, bytes], today: date) -> bytes:
    """The hand-over book as PDF; seconds where it has many pictures."""
    from trimwright.papers.hand_over_book import hand_over_pdf

    return hand_over_pdf(job, words, *_printed(job, today), photos)


def find_takes(find: str, job: Job, trade: Trade) -> tuple[tuple[int, int, int], tuple[int, int, int]]:
    """What dealing with a suspected fault takes, by the trade: money [minor] and minutes, each low, likely, high."""
    from trimwright.plan.quantities.prices import till_of

    money = till_of(job.money).find_money(trade.finds[find].usd)
    low, likely, high = (round(each) for each in trade.finds[find].minutes)
    return (round(money.low), round(money.likely), round(money.high)), (low, likely, high)


def planned(made: Decided, today: date, told: Told, kept: Mapping[str, Any] | None = None) -> Iterator[Piece]:
    """Each stage, what is answered without asking the solver, and each paper, as soon as it is there.

    Before all of it, where a calendar is `kept` and somebody works to it: that calendar, round what has changed.
    """
    if kept is not None and (made.stands or calendars.at_work(made.plan.job)):
        yield from calendars.at_once(made.plan, kept)
    for name, stage in STAGES.items():
        yield "stage", name, stage(made.plan, made.trade)
    yield "answers", "", answering.at_once(made.plan, made.trade)
    told("setting the papers", None)
    yield from _papers(made.plan, today)


def answered(
    made: Decided, about: str, today: date, told: Told, kept: Mapping[str, Any] | None = None
) -> Iterator[Piece]:
    """What is asked about a plan, and the papers that go with it; seconds of the solver's time.

    A calendar begins from the one that is `kept`.

    With the staircase the quote can set offers for less and for more beside the plan, so it is printed anew.
    """
    if about == calendars.CALENDAR:
        size = _printed(made.plan.job, today)[1]
        yield from calendars.laid_out(made.plan, size, lambda share: told("", share), kept)
    elif about == answering.STAIRS:
        found = answering.climbed(made.plan, lambda share: told("", share))
        yield "answer", about, answering.stairs(made.plan, found)
        yield from _quote(made.plan, today, found)
    else:
        yield "answer", about, answering.asked(made.plan, about, lambda share: told("", share))


def learned(book: Book, job: Job, today: date) -> Book:
    """The shop book with what a job has shown and paid; quick enough for a page to wait for."""
    from trimwright.facts import load
    from trimwright.plan.lessons import learn

    return learn(book, job, load(), today)


def arranged(result: Plain) -> Sequence:
    """The way in and the way back of a plan's result."""
    from trimwright.plan.sequence.moves import of_plain

    return of_plain(result["sequence"])


def coming_off(step: str, job: Job, trade: Trade, now: datetime) -> tuple[Hold, ...]:
    """What keeps a step from coming off now; by the car and the clock, so without a plan."""
    from trimwright.plan.sequence.coming_off import holds

    return holds(step, job, trade, now)


def waiting(job: Job, trade: Trade, now: datetime) -> tuple[Hold, ...]:
    """What keeps restraint connectors from being touched now: the battery, or the wait."""
    from trimwright.plan.sequence.coming_off import until_safe

    return until_safe(job, trade, now)


def make_safe(job: Job, trade: Trade) -> tuple[SafeWait, datetime | None]:
    """How long to wait once the battery is off, and when that is over; None while it is on."""
    from trimwright.plan.sequence.arrange import safe_wait
    from trimwright.plan.sequence.coming_off import safe_from

    return safe_wait(job, trade), safe_from(job, trade)


@dataclass(frozen=True, slots=True)
class Ending:
    """What keeps a job open, its test sheet, and what the restraint lamp did at intake."""

    open_ends: tuple[Hold, ...]
    sheet: tuple[Line, ...]
    signed: Tested | None
    lamp: RestraintLamp | None


def way_back(result: Plain, job: Job, trade: Trade, now: datetime) -> WayBack:
    """The way back of a plan's result, as the job's events have it now; quick enough for a page to wait for."""
    from trimwright.plan.sequence.going_back import WayBack

    return WayBack(arranged(result), job, trade, now)


def holds_people(part: str | None, job: Job, trade: Trade) -> bool:
    """Whether a part of the job is a restraint part."""
    from trimwright.job.check_events import is_restraint

    return part is not None and is_restraint(part, job, trade)


def ending(result: Plain, way: WayBack) -> Ending:
    """What still keeps the job open; as quick."""
    from trimwright.plan.sequence.closing import MustDo, lamp_at_intake, open_ends, sheet_of_tests, signed

    musts = [MustDo(**each) for each in result["musts"]["parts"]]
    return Ending(
        open_ends(way.sequence, musts, way.job, way.trade, way.now),
        sheet_of_tests(way.job, way.trade),
        signed(way.job, way.trade),
        lamp_at_intake(way.job),
    )


def _papers(plan: Plan, today: date) -> Iterator[Piece]:
    from trimwright.papers import PAPERS, paper_pdf
    from trimwright.plan.buying import as_csv, as_workbook

    for name in PAPERS:
        if name != QUOTE:
            yield "paper", f"{name}.pdf", paper_pdf(name, plan, *_printed(plan.job, today))
    yield "paper", "buying-list.csv", as_csv(plan.buying)
    yield "paper", "buying-list.xlsx", as_workbook(plan.buying)
    yield from _quote(plan, today, None)


def _quote(plan: Plan, today: date, staircase: Staircase | None) -> Iterator[Piece]:
    """The quote, and its pages for the screen; then all papers are there."""
    from trimwright.papers import PAPERS, paper_pages, paper_pdf

    made_at, size = _printed(plan.job, today)
    yield "paper", f"{QUOTE}.pdf", paper_pdf(QUOTE, plan, made_at, size, staircase)
    pages = paper_pages(QUOTE, plan, made_at, size, staircase)
    for number, page in enumerate(pages, 1):
        yield "paper", f"{QUOTE}-{number}.png", page
    yield "stage", "papers", {"names": list(PAPERS), "quote_pages": len(pages), "has_offers": staircase is not None}


def _printed(job: Job, today: date) -> tuple[datetime, Literal["a4", "us-letter"]]:
    """The day a paper is of, and the size of its sheet."""
    made_at = datetime.combine(today, time.min).astimezone()
    return made_at, "us-letter" if job.car.units == "US customary" else "a4"


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
        "spent": {"money": plan.quantities.spent.total, "minutes": plan.quantities.spent.minutes},
    }


def verdicts(plan: Plan, trade: Trade) -> Plain:
    """Every part's verdict by zone, in the order of the walk-round, and what goes with them."""
    from trimwright.papers.verdict_sheet import given_up as told_given_up
    from trimwright.papers.verdict_sheet import proof as told_proof
    from trimwright.papers.wording import suspected

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
                "promised": bool(course and course.promised),
                "done": bool(course and course.done),
            }
        )
    proof = plan.verdicts.proof
    names = {part.part: part.name for part in plan.quantities.parts}
    hidden = (plan.quantities.hidden[each] for each in plan.verdicts.hidden)
    return {
        "zones": [{"zone": zone, "parts": parts} for zone, parts in zones.items() if parts],
        "given_up": [
            {"what": each.what, "parts": list(each.parts), "wanted": each.wanted, "got": each.got}
            for each in plan.verdicts.given_up
        ],
        "hidden": [{"id": each.id, "name": each.name, "chance": each.chance} for each in hidden],
        "notes": list(plan.quantities.notes),
        "given_up_told": list(told_given_up(plan.verdicts.given_up, names)),
        "suspected": suspected(plan),
        "proof": {
            "gap": proof.gap,
            "columns": proof.columns,
            "rows": proof.rows,
            "dropped": proof.dropped,
            "z": proof.z,
            "told": told_proof(plan),
        },
        "seconds": plan.verdicts.seconds,
    }


def buying(plan: Plan, trade: Trade) -> Plain:
    """The buying list as it stands in the engine, with what each order and all of it come to, and what is left over.

    `left_over` is what this job has bought or used of materials that nothing still to be done asks for, down to none.
    """
    from trimwright.plan.buying import how_known
    from trimwright.plan.quantities.left_over import left_over

    data: Plain = plain(plan.buying)
    for order, told in zip(plan.buying.orders, data["orders"], strict=True):
        told |= {"total": order.total, "to_free": order.to_free}
        for pack in told["packs"]:
            pack["known"] = how_known(plan.buying.evidence[pack["pack_id"]])
        for whole in told["wholes"]:
            whole["known"] = how_known(whole["evidence"])
    for use, told in zip(plan.buying.materials, data["materials"], strict=True):
        told |= {"from_stock_milli": use.from_stock_milli, "left_milli": use.left_milli}
    still_used = {key for key, milli in plan.verdicts.used_milli.items() if milli}
    over = [each for each in left_over(plan.job, trade) if each.key not in still_used]
    return data | {"total": plan.buying.total, "left_over": plain(over)}


def sequence(plan: Plan, trade: Trade) -> Plain:
    """Every move on the way in and on the way back, in its order."""
    from trimwright.plan.sequence import arrange

    data: Plain = plain(arrange(plan.job, plan.trade, plan.quantities, plan.verdicts))
    return data


def musts(plan: Plan, trade: Trade) -> Plain:
    """What may not be left as it is, whoever decides: parts, and whose work settles each."""
    from trimwright.plan.sequence.closing import must_dos

    return {"parts": plain(must_dos(plan.job, plan.trade, plan.verdicts))}


def handover(plan: Plan, trade: Trade) -> Plain:
    """What was done, and what was left and why, in the words of the hand-over book."""
    from trimwright.papers.hand_over_book import of_the_plan

    return of_the_plan(plan)


STAGES: dict[str, Callable[[Plan, Trade], Plain]] = {
    "money": money,
    "verdicts": verdicts,
    "buying": buying,
    "sequence": sequence,
    "musts": musts,
    "handover": handover,
}
