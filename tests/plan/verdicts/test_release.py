"""The reserve while the work goes on: it is let go to the last unit, and drops go down from the plan."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest
from random_cabins import random_cabin

from trimwright.plan.quantities.cabin import PartOptions, Quantities, Spread
from trimwright.plan.verdicts import decide
from trimwright.plan.verdicts.asking import Asking
from trimwright.plan.verdicts.release import Release, drop_list, release_plan
from trimwright.plan.verdicts.search import Search
from trimwright.plan.verdicts.verdict import Verdicts

LONG = 60.0


def without_doubt(cabin: Quantities) -> Quantities:
    """The cabin with every price known, nothing done again and no hidden fault."""

    def sure(part: PartOptions) -> PartOptions:
        courses = tuple(
            replace(
                course,
                redo_at=tuple(0.0 for _ in course.redo_at),
                purchases=tuple(
                    replace(each, price=Spread(each.price.likely, each.price.likely, each.price.likely))
                    for each in course.purchases
                ),
            )
            for course in part.courses
        )
        return replace(part, courses=courses)

    materials = {
        key: replace(offer, packs=tuple(replace(pack, price_variance=0.0) for pack in offer.packs))
        for key, offer in cabin.materials.items()
    }
    hidden = {key: replace(each, chance=0.0, loading=0.0) for key, each in cabin.hidden.items()}
    return replace(cabin, parts=tuple(map(sure, cabin.parts)), materials=materials, hidden=hidden)


def released(cabin: Quantities, verdicts: Verdicts, draws: int = 4_000) -> Release:
    return release_plan(cabin, verdicts, Asking(cabin, verdicts, draws=draws).plan, draws=draws)


@pytest.mark.parametrize("seed", range(6))
def test_the_three_parts_add_up_to_the_reserve(seed: int) -> None:
    cabin = random_cabin(500 + seed, 12, labour=seed % 2 == 1)
    verdicts = decide(cabin, draws=4_000)
    release = released(cabin, verdicts)
    parts = (release.after_strip_down, release.after_colour_and_sewing, release.after_rebuild)
    assert min(parts) >= 0
    assert sum(parts) == verdicts.money.reserve


def test_a_reserve_for_one_hidden_fault_is_let_go_after_strip_down() -> None:
    """There in half of all cases, at a known 10.00: at 90 % sure the whole 10.00 is held, and nothing after."""
    cabin = without_doubt(random_cabin(506, 8))
    ten = replace(
        cabin.hidden["find0"],
        chance=0.5,
        certain=True,
        money=Spread(1000, 1000, 1000),
        minutes=Spread(0, 0, 0),
    )
    cabin = replace(cabin, hidden={**cabin.hidden, "find0": ten})
    verdicts = decide(cabin, draws=4_000)
    assert verdicts.money.reserve == 1000
    assert released(cabin, verdicts) == Release(1000, 0, 0)


def test_a_reserve_for_doing_again_is_let_go_after_colour_and_sewing() -> None:
    cabin = without_doubt(random_cabin(507, 10))
    part = next(
        part for part in cabin.parts if any(each.kind in ("mend", "refinish", "re-cover") for each in part.courses)
    )
    again = next(each for each in part.courses if each.kind in ("mend", "refinish", "re-cover"))
    risky = replace(again, pinned=True, redo_at=tuple(0.5 for _ in again.redo_at), redo_money=700)
    parts = tuple(
        replace(each, courses=tuple(risky if course is again else course for course in each.courses))
        if each is part
        else each
        for each in cabin.parts
    )
    cabin = replace(cabin, parts=parts)
    verdicts = decide(cabin, draws=4_000)
    release = released(cabin, verdicts)
    assert verdicts.money.reserve == release.after_colour_and_sewing > 0
    assert verdicts.money.reserve % 700 == 0


# ---- the drop list ---------------------------------------------------------------------------------------------


def lesser(part: PartOptions, taken: str) -> PartOptions:
    """The part with the course it has and those with fewer points."""
    own = next(course for course in part.courses if course.id == taken)
    return replace(
        part, courses=tuple(each for each in part.courses if each is own or each.points_at[0] < own.points_at[0])
    )


@pytest.mark.parametrize("seed", range(4))
def test_the_first_drop_is_the_best_plan_of_lesser_courses_that_frees_so_much(seed: int) -> None:
    cabin = random_cabin(520 + seed, 9)
    cabin = replace(cabin, parts=tuple(replace(each, rests_on=(), bearings=(10,)) for each in cabin.parts))
    cabin = replace(
        cabin,
        parts=tuple(
            replace(part, courses=tuple(replace(c, finish_at=c.finish_at[:1], points_at=c.points_at[:1],
                                                redo_at=c.redo_at[:1]) for c in part.courses))
            for part in cabin.parts
        ),
    )  # fmt: skip
    verdicts = decide(cabin, draws=4_000)
    drops = drop_list(cabin, verdicts, drops=1, at_least=500, seconds=LONG)
    asker = Asking(cabin, verdicts)
    wanted = asker.need(asker.plan) - 500
    taken = {each.part: each.course.id for each in verdicts.verdicts if each.course}
    smaller = replace(
        cabin,
        parts=tuple(lesser(part, taken[part.part]) for part in cabin.parts),
        terms=replace(cabin.terms, sum=int(wanted)),
    )
    plain = Search(smaller, seconds=LONG, draws=100, seed=0, progress=None).at(verdicts.proof.z)
    assert [verdicts.points - each.points for each in drops] == ([plain.count.points] if plain else [])


def test_drops_go_down_and_what_is_dropped_stays_dropped() -> None:
    cabin = random_cabin(530, 12)
    drops = drop_list(cabin, decide(cabin, draws=4_000), at_least=300, seconds=LONG)
    assert len(drops) > 1
    assert all(each.points > 0 and each.frees > 0 for each in drops)
    now: dict[str, str] = {}
    for each in drops:
        for change in each.changes:
            assert now.get(change.part, change.from_course) == change.from_course
            now[change.part] = change.to_course
    assert all(above.finish >= below.finish for above, below in pairwise(drops))


def test_what_is_done_is_never_dropped_and_what_is_promised_says_so() -> None:
    cabin = random_cabin(531, 10)
    verdicts = decide(cabin, draws=4_000)
    taken = {each.part: each.course.id for each in verdicts.verdicts if each.course}

    def held(part: PartOptions, done: bool) -> PartOptions:
        own = taken[part.part]
        courses = (replace(each, promised=each.id == own, done=done and each.id == own) for each in part.courses)
        return replace(part, courses=tuple(courses))

    promised = replace(cabin, parts=tuple(held(part, number < 5) for number, part in enumerate(cabin.parts)))
    drops = drop_list(promised, decide(promised, draws=4_000), at_least=100, seconds=LONG)
    dropped = {change.part for each in drops for change in each.changes}
    assert drops
    assert dropped.isdisjoint(part.part for part in cabin.parts[:5])
    assert all(set(each.promised) == {change.part for change in each.changes} for each in drops[:1])
