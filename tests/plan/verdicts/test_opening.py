"""Strip-down: a cabin small enough to count by hand."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from random_cabins import random_cabin

from trimwright.facts.trade import TreatmentKind
from trimwright.plan.quantities.cabin import (
    LEAVE,
    Course,
    Hidden,
    Line,
    PartOptions,
    Purchase,
    Quantities,
    Spread,
    Step,
    SupplierOffer,
)
from trimwright.plan.verdicts import Verdicts, decide
from trimwright.plan.verdicts.asking import Asking
from trimwright.plan.verdicts.opening import open_first, while_apart


def known(value: int) -> Spread:
    return Spread(value, value, value)


def course(part: str, name: str, kind: TreatmentKind, finish: int, **more: Any) -> Course:
    """A course without doubts; ten points a finish step."""
    return Course(
        id=name, part=part, name=name, kind=kind, treatments=(name,), finish_at=(finish,), points_at=(finish * 10,),
        redo_at=(0.0,), bears=10, life_years=9, kept=1, look="original", minutes=60, **more,
    )  # fmt: skip


def bought(price: int) -> tuple[Purchase, ...]:
    return (Purchase("part", "new", "seller", known(price), (1, 2, 3), "offer"),)


def fault(name: str, chance: float, cost: int, *behind: str) -> Hidden:
    return Hidden(name, name, chance, 0.0, known(cost), known(0), "wear", False, shows_behind=behind)


def parts() -> tuple[PartOptions, ...]:
    """A seat that comes off for its cover; a trim behind it, reached by five more minutes; a far one by sixty."""

    def leave(part: str) -> Course:
        return replace(course(part, LEAVE, "leave", 4), minutes=0, treatments=())

    seat = course("seat", "cover", "re-cover", 9, steps=("seat",), finds=("foam", "wires"), purchases=bought(4_000))
    near = course("near", "paint", "refinish", 8, steps=("near",), purchases=bought(5_000))
    far = course("far", "paint", "refinish", 8, steps=("far",), purchases=bought(5_000))
    return tuple(
        PartOptions(part, part, "zone", 1.0, 4, (leave(part), other))
        for part, other in (("seat", seat), ("near", near), ("far", far))
    )


def cabin() -> Quantities:
    base = random_cabin(1, 2)
    return replace(
        base,
        terms=replace(
            base.terms, sum=7_000, minutes=10_000, talk_share=0.0, hours_factor=1.0, hours_spread=0.0, floor_points=0
        ),
        parts=parts(),
        steps={
            "seat": Step("seat", "seat", (), 20, hold=True),
            "near": Step("near", "near", ("seat",), 5),
            "far": Step("far", "far", ("seat",), 60),
        },
        hidden={
            "foam": fault("foam", 0.5, 300, "seat"),
            "wires": fault("wires", 0.5, 900, "seat", "far"),
        },
        shared={},
        materials={},
        suppliers={"seller": SupplierOffer("seller", "seller", 700, 0, 0, (1, 2, 3))},
        lines=(Line("make_safe", "make safe", 0, 20), Line("photographs", "photographs", 0, 9)),
        sets=(),
        neighbours=(),
    )  # fmt: skip


@pytest.fixture(scope="module")
def verdicts() -> Verdicts:
    found = decide(cabin(), draws=4_000)
    assert [each.course and each.course.id for each in found.verdicts] == ["cover", LEAVE, LEAVE]
    return found


def test_opening_settles_what_is_held_for_what_it_shows(verdicts: Verdicts) -> None:
    """Two faults at even odds, 3.00 and 9.00: at 90 % sure all 12.00 are held; taking the seat off shows the 3.00."""
    assert verdicts.money.reserve == 1_200
    (first,) = open_first(cabin(), Asking(cabin(), verdicts).plan)
    assert (first.steps, first.minutes, first.shows, first.settles) == (("seat",), 20, ("foam",), 300)
    assert first.per_minute == 15


def test_what_settles_most_a_minute_is_opened_first() -> None:
    both = replace(
        cabin(),
        hidden={"foam": fault("foam", 0.5, 300, "seat"), "wires": fault("wires", 0.5, 900, "near")},
        parts=tuple(
            replace(each, courses=tuple(replace(c, steps=("near",)) if c.id == "cover" else c for c in each.courses))
            for each in parts()
        ),
    )
    taken = decide(both, draws=4_000)
    first, *rest = open_first(both, Asking(both, taken).plan)
    assert (first.steps, first.minutes, first.shows, first.settles) == (("seat", "near"), 25, ("foam", "wires"), 1_200)
    assert rest == []


def test_while_the_seat_is_off_the_trim_behind_it_is_offered_and_the_far_one_is_not(verdicts: Verdicts) -> None:
    (offer,) = while_apart(cabin(), verdicts)
    assert (offer.part, offer.course.id, offer.before, offer.after, offer.reach_minutes) == ("near", "paint", 4, 8, 5)
    assert offer.points == 40
    assert (offer.now.money, offer.now.sum, offer.now.minutes) == (5_000, 5_000, 60 + 5)
    later_minutes = 60 + 5 + 20 + 20  # the work, its step, the seat again, made safe again
    assert (offer.later.money, offer.later.sum, offer.later.minutes) == (5_700, 5_700, later_minutes)


def test_a_find_the_plan_opens_anyway_is_not_paid_again_later() -> None:
    shared = replace(
        cabin(),
        parts=tuple(
            replace(each, courses=tuple(replace(c, finds=("foam",)) if c.part == "near" and c.id == "paint" else c
                                        for c in each.courses))
            for each in parts()
        ),
    )  # fmt: skip
    (offer,) = while_apart(shared, decide(shared, draws=4_000))
    assert (offer.now.money, offer.later.money) == (5_000, 5_700)
