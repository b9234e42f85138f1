"""The wheel of common practice (no source): about 120 of materials to wrap it again, a replacement from 379."""

from __future__ import annotations

import pytest

from tests.plan.quantities.cabins import part, quantities_of
from trimwright.plan.quantities.cabin import Quantities
from trimwright.plan.verdicts import Verdicts, decide
from trimwright.plan.verdicts.search import Search
from trimwright.plan.verdicts.walkaway import walk_away

DRAWS = 4_000


def cabin(sum_minor: int, price_minor: int = 37_900) -> Quantities:
    """A worn leather rim and nothing else, with an offer for a new wheel at `price_minor`."""
    offer = {"source": "new", "low": price_minor, "likely": price_minor, "high": price_minor}
    rim = part("wheel_rim_leather", "rim-leather", 2, "W_worn heavy", offers=[offer])
    return quantities_of(rim, money={"sum": sum_minor})


def wheel(sum_minor: int, price_minor: int = 37_900) -> Verdicts:
    return decide(cabin(sum_minor, price_minor), draws=DRAWS)


def course_of(verdicts: Verdicts) -> str:
    (verdict,) = verdicts.verdicts
    assert verdict.course is not None
    return verdict.course.id


def test_a_tight_sum_wraps_the_wheel() -> None:
    verdicts = wheel(30_000)
    assert course_of(verdicts) == "wheel_rewrap"
    carriage = sum(verdicts.carriage.values())
    assert verdicts.money.firm - carriage - verdicts.sundries == pytest.approx(12_000, rel=0.1)


def test_a_sum_that_has_room_buys_the_wheel() -> None:
    assert course_of(wheel(60_000)) == "new_fit"


def test_a_sum_under_the_wrap_leaves_or_refinishes_it() -> None:
    assert course_of(wheel(5_000)) not in ("wheel_rewrap", "new_fit")


def test_at_the_tight_sum_a_cheap_enough_replacement_flips_it() -> None:
    prices = range(5_000, 40_000, 5_000)
    bought = [course_of(wheel(30_000, price)) == "new_fit" for price in prices]
    assert bought[0]
    assert not bought[-1]
    assert bought == sorted(bought, reverse=True), "once too dear, dearer is never bought"


def chosen_at(z: float, price_minor: int) -> str:
    """The best course for the wheel at the tight sum and this z."""
    search = Search(cabin(30_000, price_minor), seconds=30.0, draws=DRAWS, seed=1, progress=None)
    found = search.at(z)
    assert found is not None
    return search.finish(found).chosen["wheel_rim_leather"].id


def test_the_most_to_pay_is_where_the_tight_sum_flips() -> None:
    """About 379 is too much, so it is wrapped; one minor unit under the most to pay buys, one over it wraps."""
    verdicts = wheel(30_000)
    (new,) = (each for each in walk_away(cabin(30_000), verdicts) if each.sought.course.id == "new_fit")
    assert new.proven
    assert 12_000 < new.most < 37_900
    z = verdicts.proof.z
    assert chosen_at(z, 37_900) == "wheel_rewrap"
    assert chosen_at(z, new.most - 1) == "new_fit"
    assert chosen_at(z, new.most + 1) == "wheel_rewrap"
