"""What if strip-down finds: replays against the plan, against chance, and against each other."""

from __future__ import annotations

from dataclasses import replace

import pytest
from random_cabins import random_cabin
from scipy import stats

from trimwright.plan.quantities.cabin import LEAVE, Course, Hidden, PartOptions, Purchase, Quantities, Spread
from trimwright.plan.verdicts import decide
from trimwright.plan.verdicts.replay import ORDER_NOW, replay

N = 40


def without_chance(cabin: Quantities) -> Quantities:
    """The same cabin in which no hidden fault is ever there."""
    hidden = {key: replace(each, chance=0.0, loading=0.0, certain=False) for key, each in cabin.hidden.items()}
    return replace(cabin, hidden=hidden)


@pytest.mark.parametrize("seed", range(4))
def test_with_no_chance_of_a_find_every_replay_is_the_plan(seed: int) -> None:
    cabin = without_chance(random_cabin(seed, 8, labour=seed % 2 == 1))
    found = replay(cabin, decide(cabin, draws=1_000), n=N)
    assert found.n == N
    assert found.holds == 1
    assert all(each.survives == 1 and each.order == "now" for each in found.parts)
    assert all(each.survives == 1 for each in found.packs)
    assert len(set(found.finish)) == 1


@pytest.mark.parametrize("seed", [2, 5])
def test_the_same_seed_gives_the_same_answer_on_one_worker_and_on_two(seed: int) -> None:
    cabin = random_cabin(seed, 12)
    verdicts = decide(cabin, draws=1_000)
    one, two = (replay(cabin, verdicts, n=N, seed=7, workers=workers) for workers in (1, 2))
    assert replace(one, seconds=0) == replace(two, seconds=0)
    other = replay(cabin, verdicts, n=N, seed=8)
    assert replace(one, seconds=0) != replace(other, seconds=0)


def one_find(chance: float) -> Quantities:
    """Two parts, and one hidden fault behind the first that takes all the money the second needs."""
    cabin = random_cabin(0, 2, courses=1)

    def part(name: str, weight: float, price: int, finds: tuple[str, ...]) -> PartOptions:
        base = cabin.parts[0].courses[0]
        nothing = replace(base, id=LEAVE, part=name, kind="leave", finish_at=(3,), points_at=(0,), redo_at=(0.0,))
        bought: Course = replace(
            nothing,
            id="new",
            kind="fit new",
            finish_at=(9,),
            points_at=(round(60 * weight),),
            finds=finds,
            purchases=(Purchase("part", "new", "seller", Spread(price, price, price), (1, 2, 3), "offer"),),
        )
        return PartOptions(name, name, "zone", weight, 3, (nothing, bought))

    find = Hidden("find", "find", chance, 0.0, Spread(5_000, 5_000, 5_000), Spread(0, 0, 0), "damp", must_deal=False)
    return replace(
        cabin,
        terms=replace(cabin.terms, sum=17_000, minutes=None, labour_per_hour=0, sure=0.5),
        parts=(part("front", 3.0, 6_000, ("find",)), part("rear", 1.0, 6_000, ())),
        hidden={"find": find},
        steps={},
        shared={},
        materials={},
        lines=(),
        sets=(),
        neighbours=(),
    )


def test_one_find_of_known_chance_survives_as_often_as_chance_says() -> None:
    """The binomial interval of scipy, 99.9 %: with the find there 12,000 + 5,000 just fit 17,000."""
    chance, n = 0.3, 300
    cabin = one_find(chance)
    tight = replace(cabin, terms=replace(cabin.terms, sum=16_999))
    verdicts = decide(tight, draws=4_000)
    assert {each.part: each.course.id for each in verdicts.verdicts if each.course} == {"front": "new", "rear": "new"}
    found = {each.part: each.survives for each in replay(tight, verdicts, n=n, seed=3).parts}
    assert found["front"] == 1
    low, high = stats.binom.interval(0.999, n, 1 - chance)
    assert low <= found["rear"] * n <= high
    assert found["rear"] < ORDER_NOW
    enough = decide(cabin, draws=4_000)
    assert all(each.survives == 1 for each in replay(cabin, enough, n=60, seed=3).parts)


def test_stopped_it_tells_of_the_replays_there_are() -> None:
    cabin = random_cabin(4, 6)

    def stop(count: int, _of: int) -> None:
        if count == 5:
            raise KeyboardInterrupt

    found = replay(cabin, decide(cabin, draws=500), n=N, seed=7, answered=stop)
    assert 5 <= found.n < found.asked == N
    assert all(0 <= each.survives <= 1 for each in found.parts)
    assert any(each.survives > 0 for each in found.parts)
