"""What more buys: each stair solved alone agrees, the stairs rise, and the decided plan is one of them."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from itertools import pairwise

import pytest
from random_cabins import random_cabin

from trimwright.plan.quantities.cabin import Quantities
from trimwright.plan.verdicts import Verdicts, decide
from trimwright.plan.verdicts.model import line_totals
from trimwright.plan.verdicts.search import Search
from trimwright.plan.verdicts.staircase import Stair, Staircase, climb

SEEDS = range(6)
DRAWS = 2_000


@cache
def cabin(seed: int) -> Quantities:
    return random_cabin(seed, 7, courses=4, labour=seed % 2 == 1)


@cache
def decided(seed: int) -> Verdicts:
    return decide(cabin(seed), draws=DRAWS)


@cache
def stairs(seed: int) -> Staircase:
    return climb(cabin(seed), decided(seed), seconds=60)


def most_points(quantities: Quantities, z: float, *, money: float | None = None, minutes: float | None = None) -> int:
    """Most points at other limits, by a model of its own."""
    search = Search(quantities, seconds=60, draws=200, seed=0, progress=None)
    lines_money, lines_minutes = line_totals(quantities)
    if money is not None:
        search.model.money_limit = money - lines_money
    if minutes is not None:
        search.model.minutes_limit = minutes - lines_minutes
    search.release()
    found = search.at(z)
    assert found is not None
    assert found.proven
    return found.count.points


@pytest.mark.parametrize("seed", SEEDS)
def test_stairs_rise(seed: int) -> None:
    found = stairs(seed).stairs
    assert len(found) > 3
    assert all(lower.sum < higher.sum and lower.points < higher.points for lower, higher in pairwise(found))
    assert all(each.changes for each in found[1:])
    assert not found[0].changes


@pytest.mark.parametrize("seed", SEEDS)
def test_the_decided_plan_is_one_of_them(seed: int) -> None:
    here = stairs(seed).stairs[stairs(seed).here]
    assert here.points == decided(seed).points
    assert here.expected == decided(seed).money.expected
    assert here.sum <= decided(seed).money.sum


@pytest.mark.parametrize("seed", SEEDS)
def test_each_stair_solved_alone_agrees_within_its_gap(seed: int) -> None:
    quantities, verdicts = cabin(seed), decided(seed)
    gained = verdicts.points - verdicts.proof.points_if_left
    for each in stairs(seed).stairs[1:]:
        alone = most_points(quantities, verdicts.proof.z, money=each.modelled)
        assert each.points <= alone <= each.points + each.gap * gained + 1


@pytest.mark.parametrize("seed", SEEDS)
def test_the_ends_agree_with_deciding_for_them(seed: int) -> None:
    quantities = cabin(seed)
    highest = stairs(seed).stairs[-1]
    rich = replace(quantities, terms=replace(quantities.terms, sum=highest.sum * 2))
    assert decide(rich, draws=DRAWS).points <= highest.points + highest.gap * max(1, highest.points) + 1
    assert decide(rich, draws=DRAWS).points >= highest.points
    lowest = stairs(seed).stairs[0]
    poor = replace(quantities, terms=replace(quantities.terms, sum=max(0, lowest.sum - 200)))
    if lowest.sum > 200:
        assert decide(poor, draws=DRAWS).points <= lowest.points or decide(poor, draws=DRAWS).short


@pytest.mark.parametrize("seed", SEEDS)
def test_first_out_and_next_in_lie_just_round_the_plan(seed: int) -> None:
    quantities, verdicts, found = cabin(seed), decided(seed), stairs(seed)
    here = found.stairs[found.here]
    if found.first_out:
        alone = most_points(quantities, verdicts.proof.z, money=here.modelled - 1)
        assert found.first_out.points <= alone < here.points
        assert found.first_out.sum < here.sum
    if found.next_in:
        assert (
            here.points
            < found.next_in.points
            <= most_points(quantities, verdicts.proof.z, money=found.next_in.modelled)
        )
        assert here.sum < found.next_in.sum == min(each.sum for each in found.stairs if each.points > here.points)


@pytest.mark.parametrize("seed", [0, 3])
def test_hours_climb_at_the_sum(seed: int) -> None:
    quantities = cabin(seed)
    tight = replace(quantities, terms=replace(quantities.terms, minutes=decided(seed).minutes * 2 // 3))
    verdicts = decide(tight, draws=DRAWS)
    found = climb(tight, verdicts, of="hours", seconds=60)
    hours: list[Stair] = list(found.stairs)
    assert hours[found.here].points == verdicts.points
    assert all(lower.minutes < higher.minutes and lower.points < higher.points for lower, higher in pairwise(hours))
    for each in hours[1:]:
        alone = most_points(quantities, verdicts.proof.z, minutes=each.minutes)
        assert each.points <= alone


def test_the_same_stairs_whoever_shares_the_work() -> None:
    alone = climb(cabin(1), decided(1), seconds=60, workers=1)
    assert [each.points for each in alone.stairs] == [each.points for each in stairs(1).stairs]
