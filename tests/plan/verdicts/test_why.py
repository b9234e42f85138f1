"""Why: every other way forced; what it loses is what a decision without the verdict loses."""

from __future__ import annotations

from dataclasses import replace

import pytest
from random_cabins import random_cabin

from trimwright.errors import BadInput
from trimwright.plan.quantities.cabin import Quantities
from trimwright.plan.verdicts import Verdicts, decide
from trimwright.plan.verdicts.search import Search
from trimwright.plan.verdicts.why import Why, reasons

SEEDS = range(5)


def asked(seed: int) -> tuple[Quantities, Verdicts, Why]:
    cabin = random_cabin(seed, 7, courses=3, labour=seed % 2 == 0)
    verdicts = decide(cabin, draws=1_000)
    part = next(each.part for each in verdicts.verdicts if each.course and each.settled_by is None)
    return cabin, verdicts, reasons(cabin, verdicts, part, seconds=60)


@pytest.mark.parametrize("seed", SEEDS)
def test_what_is_lost_is_what_a_pin_would_lose(seed: int) -> None:
    cabin, verdicts, why = asked(seed)
    assert len(why.others) == len(next(each for each in cabin.parts if each.part == why.part).courses) - 1
    for other in why.others:
        pinned = replace(
            cabin,
            parts=tuple(
                replace(each, courses=(replace(other.course, pinned=True),)) if each.part == why.part else each
                for each in cabin.parts
            ),
        )
        found = Search(pinned, seconds=60, draws=200, seed=0, progress=None).at(verdicts.proof.z)
        if other.points_lost is None:
            assert found is None
            assert other.money_more > 0
        else:
            assert found is not None
            assert found.count.points == verdicts.points - other.points_lost


@pytest.mark.parametrize("seed", SEEDS)
def test_the_difference_alone_adds_up(seed: int) -> None:
    _, verdicts, why = asked(seed)
    for other in why.others:
        assert other.reasons or other.alone.total == 0
        assert len(other.reasons) <= 2
        assert other.alone.total == sum(other.alone.money.values())
    losses = [each.points_lost for each in why.others if each.points_lost is not None]
    assert losses == sorted(losses)
    assert verdicts.points >= 0 or losses


def test_a_part_that_is_not_there_is_named() -> None:
    cabin = random_cabin(0, 3)
    with pytest.raises(BadInput, match="no part of this job"):
        reasons(cabin, decide(cabin, draws=500), "sofa")
