"""Where to stop: one minute under it the course is kept, one over it is dropped."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st
from random_cabins import random_cabin

from trimwright.plan.quantities.cabin import Quantities, Shared
from trimwright.plan.verdicts import decide
from trimwright.plan.verdicts.search import Search
from trimwright.plan.verdicts.stop_loss import AT_RISK, Stop, stops

LONG = 120.0


def exact_cabin(seed: int, *, labour: bool) -> Quantities:
    """A cabin in which a lost minute is a minute and, where the sum pays for it, one whole minor unit times ten."""
    cabin = random_cabin(seed, 8, courses=4, labour=labour)
    exact = replace(
        cabin.terms, talk_share=0.0, hours_factor=1.0, hours_spread=0.0, labour_per_hour=600 if labour else 0
    )
    return replace(cabin, terms=exact)


def best(cabin: Quantities, z: float) -> tuple[int, int] | None:
    """Points of the best plan at z, and its least expected money, negated."""
    search = Search(cabin, seconds=LONG, draws=100, seed=0, progress=None)
    found = search.at(z)
    if found is None:
        return None
    count = search.finish(found).count
    return count.points, -count.expected


def with_and_without(cabin: Quantities, stop: Stop, lost: int) -> tuple[Quantities, Quantities]:
    """The cabin held to the course with so many minutes lost on it, and the cabin that does without."""
    slower = replace(stop.course, once=(*stop.course.once, "lost"))
    part = next(each for each in cabin.parts if each.part == stop.part)
    others = tuple(each for each in part.courses if each is not stop.course)
    cabin = replace(cabin, shared={**cabin.shared, "lost": Shared("lost", "minutes lost", "batch", 0, lost)})

    def only(courses: tuple[object, ...]) -> Quantities:
        parts = tuple(replace(each, courses=courses) if each is part else each for each in cabin.parts)  # type: ignore[arg-type]
        return replace(cabin, parts=parts)

    return only((slower,)), only(others)


@settings(max_examples=12, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(seed=st.integers(0, 10_000), labour=st.booleans())
@example(seed=540, labour=False)  # the plan with most time to spare is dearer than the sum
def test_up_to_the_stop_the_course_is_kept_and_beyond_it_another_is_better(seed: int, labour: bool) -> None:
    cabin = exact_cabin(seed, labour=labour)
    verdicts = decide(cabin, draws=2_000)
    if verdicts.status != "optimal":
        return
    found = stops(cabin, verdicts, seconds=LONG)
    for stop in [each for each in found.values() if each is not None and each.proven][:2]:
        for lost in (stop.extra, stop.extra + 1):
            kept, dropped = (best(each, verdicts.proof.z) for each in with_and_without(cabin, stop, lost))
            assert dropped is not None
            beats = kept is not None and kept > dropped
            assert beats == (lost == stop.extra)


def test_where_lost_time_costs_nothing_there_is_no_stop() -> None:
    cabin = random_cabin(600, 10)
    cabin = replace(cabin, terms=replace(cabin.terms, minutes=None, labour_per_hour=0))
    verdicts = decide(cabin, draws=2_000)
    found = stops(cabin, verdicts)
    at_risk = {each.part for each in verdicts.verdicts if each.course and each.course.kind in AT_RISK}
    assert found.keys() <= at_risk
    assert found
    assert set(found.values()) == {None}


def test_the_stop_counts_from_the_minutes_that_are_likely() -> None:
    cabin = random_cabin(601, 10)
    found = [each for each in stops(cabin, decide(cabin, draws=2_000)).values() if each is not None]
    assert found
    for stop in found:
        assert stop.at == round(stop.planned * cabin.terms.hours_factor) + stop.extra
        assert stop.other is not stop.course


@pytest.mark.parametrize("what", ["pinned", "done"])
def test_what_is_held_has_no_stop(what: str) -> None:
    cabin = random_cabin(602, 8)
    free = decide(cabin, draws=2_000)
    taken = {each.part: each.course.id for each in free.verdicts if each.course}
    held = replace(
        cabin,
        parts=tuple(
            replace(part, courses=tuple(replace(c, **{what: c.id == taken[part.part]}) for c in part.courses))  # type: ignore[arg-type]
            for part in cabin.parts
        ),
    )
    assert stops(held, decide(held, draws=2_000)) == {}
