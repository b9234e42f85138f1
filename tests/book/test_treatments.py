from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from tests.plan.small_cabin import BELT, part, small_job
from trimwright.book.applied import apply_book
from trimwright.book.check import checked
from trimwright.book.document import Book
from trimwright.book.entries import with_entry
from trimwright.book.files import book_bytes, read_book
from trimwright.errors import BadInput
from trimwright.facts import load
from trimwright.papers import paper_pdf
from trimwright.plan.lessons import learn
from trimwright.plan.plan import make_plan
from trimwright.plan.quantities.measure import measure

CARPET = "carpet"
TODAY = date(2026, 6, 1)
STEAM: dict[str, Any] = {
    "id": "steam_lift", "name": "lift a stain with steam", "kind": "clean", "families": ["carpet"],
    "suits": [{"fault": "K_stain", "upto": "heavy"}], "hours": [{"amount": 0.2, "per": "job"}],
    "uses": [{"material": "cloths", "amount": 1, "per": "job"}], "finish": [8, 9, 9], "life": [3, 5, 8],
    "redo": [0.0, 0.05], "cautions": ["heat"],
}  # fmt: skip


def with_own(**changes: Any) -> Book:
    return with_entry(Book(), "treatments", STEAM | changes)


def stained_carpet() -> dict[str, Any]:
    return part(CARPET, "carpet_main", "Main carpet", "carpet", 5, "K_stain")


def test_a_treatment_of_ones_own_is_offered_and_taken_where_it_is_the_best() -> None:
    job = small_job(parts=[stained_carpet()])
    trade = apply_book(load(), with_own(), "EUR", TODAY)
    [verdict] = make_plan(job, trade).verdicts.verdicts
    assert verdict.course is not None
    assert (verdict.course.id, verdict.finish_after) == ("steam_lift", 9)
    assert trade.treatments["steam_lift"].evidence.level == "own book"


def test_its_papers_can_be_printed() -> None:
    from datetime import datetime

    plan = make_plan(small_job(parts=[stained_carpet()]), apply_book(load(), with_own(), "EUR", TODAY))
    assert paper_pdf("work-sheets", plan, datetime(2026, 6, 1).astimezone()).startswith(b"%PDF")


def test_it_is_kept_in_the_file_of_the_book() -> None:
    book = with_own()
    assert read_book(book_bytes(book)) == book


def test_the_shop_learns_its_pace() -> None:
    book = with_own()
    done = {"kind": "done", "id": "d", "at": "2026-06-01T10:00:00", "part": CARPET, "course": "steam_lift",
            "minutes": 24}  # fmt: skip
    job = small_job(parts=[stained_carpet()], events=[done])
    learned = learn(book, job, load(), TODAY)
    assert [(each.treatment, each.planned, each.real) for each in learned.timed] == [("steam_lift", 12, 24)]
    assert apply_book(load(), learned, "EUR", TODAY).treatments["steam_lift"].pace > 1


@pytest.mark.parametrize(
    ("changes", "what"),
    [
        ({"families": ["webbing"], "suits": [{"fault": "B_dirty", "upto": "heavy"}]}, "holds people"),
        ({"families": ["carpet", "airbag-cover"]}, "holds people"),
        ({"families": ["webbing"], "suits": [{"fault": "B_frayed", "upto": "light"}]}, "the trade's own ways alone"),
        (
            {"families": ["floor-steel"], "suits": [{"fault": "X_anchor", "upto": "light"}]},
            "the trade's own ways alone",
        ),
        ({"suits": [{"fault": "L_torn", "upto": "light"}]}, "met on none of its materials"),
        ({"id": "leather_clean"}, "of the trade's list"),
        ({"uses": [{"material": "moon_dust", "amount": 1}]}, "nothing that the trade knows"),
    ],
)
def test_what_may_not_be_a_treatment_is_refused(changes: dict[str, Any], what: str) -> None:
    book = with_own(**changes)
    assert any(what in each.what for each in checked(book, load()))
    with pytest.raises(BadInput):
        apply_book(load(), book, "EUR", TODAY)


@pytest.mark.parametrize("kind", ["leave", "fit used", "fit new", "send out"])
def test_it_only_cleans_mends_refinishes_or_re_covers(kind: str) -> None:
    with pytest.raises(BadInput):
        with_own(kind=kind)


def test_nothing_of_ones_own_is_ever_offered_for_a_restraint_part_or_over_an_airbag() -> None:
    """Every family that is allowed, every fault that is allowed: no restraint part and no airbag skin gets it."""
    trade = load()
    families = [each.id for each in trade.families.values() if not each.restraint]
    faults = [
        {"fault": each.id, "upto": "heavy"}
        for each in trade.faults.values()
        if not each.must_deal and not each.stops and any(trade.is_for(family, each.materials) for family in families)
    ]
    own = STEAM | {"id": "all", "kind": "re-cover", "families": families, "suits": faults[:40]}
    mine = apply_book(trade, with_entry(Book(), "treatments", own), "EUR", TODAY)
    job = small_job()
    found = {each.part: each.courses for each in measure(job, mine).parts}
    may_have = job.car.equipment.may_have
    kinds = {each.id: trade.parts[each.kind] for each in job.parts}
    held = {
        each
        for each, kind in kinds.items()
        if kind.is_restraint or kind.head_impact or any(map(may_have, kind.airbag_behind))
    }
    assert {BELT, "dash", "visor"} == held
    assert any("all" in course.treatments for courses in found.values() for course in courses)
    assert not any("all" in course.treatments for each in held for course in found[each])
