"""Most to pay: at one minor unit under it the plan buys, at one over it does not."""

from __future__ import annotations

from dataclasses import replace

import pytest
from random_cabins import random_cabin
from scipy import integrate, stats

from trimwright.plan.quantities.cabin import Course, Quantities, Spread
from trimwright.plan.verdicts import decide
from trimwright.plan.verdicts.search import Search
from trimwright.plan.verdicts.walkaway import WalkAway, price_to_jump_at, walk_away

DRAWS = 400
SECONDS = 60.0
LOST_AGAIN = 0.5


def losing_when_redone(cabin: Quantities) -> Quantities:
    """The cabin with half the price of what is bought lost when a course must be done again."""

    def losing(course: Course) -> Course:
        price = sum(each.price.mean for each in course.purchases)
        more = round(course.redo_money + LOST_AGAIN * price)
        return replace(course, redo_money=more, redo_share=LOST_AGAIN) if course.purchases else course

    parts = tuple(replace(part, courses=tuple(losing(each) for each in part.courses)) for part in cabin.parts)
    return replace(cabin, parts=parts)


def at(cabin: Quantities, look: WalkAway, price: int) -> Quantities:
    """The cabin where what was looked for has exactly this price."""
    sought = look.sought
    course = replace(
        sought.course,
        purchases=tuple(replace(each, price=Spread(price, price, price)) for each in sought.course.purchases),
        redo_money=round(sought.course.redo_money + sought.course.redo_share * (price - sought.price.mean)),
    )
    parts = tuple(
        replace(part, courses=tuple(course if each is sought.course else each for each in part.courses))
        if part.part == sought.part
        else part
        for part in cabin.parts
    )
    return replace(cabin, parts=parts)


def buys(cabin: Quantities, look: WalkAway, price: int, z: float) -> bool:
    """Whether the best plan at `z`, cheapest of its points, takes the part at this price."""
    search = Search(at(cabin, look, price), seconds=SECONDS, draws=DRAWS, seed=1, progress=None)
    best = search.at(z)
    assert best is not None
    chosen = search.finish(best).chosen.get(look.sought.part)
    return chosen is not None and chosen.id == look.sought.course.id


@pytest.mark.parametrize("seed", range(200))
def test_under_the_price_the_plan_buys_and_over_it_does_not(seed: int) -> None:
    cabin = losing_when_redone(
        random_cabin(seed, 4, courses=3, sum_share=0.25 + 0.01 * (seed % 50), labour=seed % 3 == 0)
    )
    verdicts = decide(cabin, seconds=SECONDS, draws=DRAWS)
    if verdicts.short:
        pytest.skip("the sum pays for nothing here")
    looks = walk_away(cabin, verdicts, seconds=SECONDS, workers=1)
    if not looks:
        pytest.skip("nothing to buy here")
    look = looks[seed % len(looks)]
    assert look.proven
    if look.most:
        assert buys(cabin, look, look.most - 1, verdicts.proof.z)
    assert not buys(cabin, look, look.most + 1, verdicts.proof.z)


def test_a_look_costs_nothing_where_the_sum_pays_no_hours() -> None:
    for labour in (False, True):
        cabin = random_cabin(3, 6, sum_share=0.5, labour=labour)
        looks = walk_away(cabin, decide(cabin, seconds=SECONDS, draws=DRAWS), seconds=SECONDS)
        assert looks
        assert all((look.look > 0) == labour for look in looks)


@pytest.mark.parametrize("look", [50.0, 400.0, 2500.0])
def test_the_price_to_jump_at_is_the_reservation_price_of_search_theory(look: float) -> None:
    """McCall 1970, Weitzman 1979: r with E[(r − X)⁺] = cost of a look; the integral by scipy on its own triangle."""
    price = Spread(1_000, 2_500, 6_000)
    triangle = stats.triang(c=(2_500 - 1_000) / 5_000, loc=1_000, scale=5_000)
    limit = price_to_jump_at(price, look)
    saved, _ = integrate.quad(lambda x: (limit - x) * triangle.pdf(x), 1_000, min(limit, 6_000), points=[2_500])
    if limit > 6_000:
        assert limit == round(look + price.mean)
    assert saved == pytest.approx(look, abs=1.0)


def test_the_price_to_jump_at_near_the_lowest_price() -> None:
    """Close to the low end a triangle is a ramp, so r − a = ∛(3·c·(b−a)·(m−a)): worked by hand."""
    assert price_to_jump_at(Spread(0, 1_000, 2_000), 4 / 3) == round((3 * 4 / 3 * 2_000 * 1_000) ** (1 / 3)) == 200
