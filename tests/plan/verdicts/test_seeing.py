"""What seeing hidden faults tells, against scipy's normal distribution of several variables."""

from __future__ import annotations

from dataclasses import replace
from math import sqrt

import pytest
from random_cabins import random_cabin
from scipy.stats import multivariate_normal, norm

from trimwright.facts.trade import Cause
from trimwright.plan.quantities.cabin import Hidden, Quantities, Spread
from trimwright.plan.verdicts.seeing import may_be_seen

CORRELATION = 0.3
ALIKE = Spread(100, 100, 100)


def fault(name: str, chance: float, cause: Cause) -> Hidden:
    """A fault whose cause nobody knows anything of: φ(t)·√ρ is its loading."""
    loading = float(norm.pdf(norm.ppf(chance))) * sqrt(CORRELATION)
    return Hidden(name, name, chance, loading, ALIKE, ALIKE, cause, False)


def cabin_with(*faults: Hidden) -> Quantities:
    cabin = random_cabin(1, 3)
    return replace(
        cabin,
        hidden={each.id: each for each in faults},
        terms=replace(cabin.terms, correlation=CORRELATION),
    )


CABIN = cabin_with(fault("a", 0.2, "damp"), fault("b", 0.5, "damp"), fault("c", 0.35, "damp"), fault("d", 0.4, "sun"))


def all_there(*chances: float) -> float:
    """The chance that all happen, by scipy's integral over the orthant."""
    size = len(chances)
    covariance = [[1.0 if i == k else CORRELATION for k in range(size)] for i in range(size)]
    return float(multivariate_normal(cov=covariance).cdf([float(norm.ppf(each)) for each in chances]))


def test_two_of_one_cause_come_together_as_the_bivariate_normal_says() -> None:
    both = next(each for each in may_be_seen(CABIN, ("a", "b")) if each.there == {"a", "b"})
    assert both.chance == pytest.approx(all_there(0.2, 0.5), abs=1e-6)


def test_what_is_seen_moves_the_others_of_its_cause() -> None:
    both = next(each for each in may_be_seen(CABIN, ("a", "b")) if each.there == {"a", "b"})
    assert both.hidden["c"].chance == pytest.approx(all_there(0.2, 0.5, 0.35) / all_there(0.2, 0.5), abs=1e-4)
    assert both.hidden["d"] == CABIN.hidden["d"]
    assert both.hidden["a"].chance == 1.0


def test_faults_of_different_causes_are_independent() -> None:
    chances = {each.there: each.chance for each in may_be_seen(CABIN, ("a", "d"))}
    assert chances[frozenset({"a", "d"})] == pytest.approx(0.2 * 0.4, abs=1e-9)


def test_on_average_nothing_is_learned() -> None:
    seen = list(may_be_seen(CABIN, ("a", "b", "d")))
    assert sum(each.chance for each in seen) == pytest.approx(1.0)
    for key, hidden in CABIN.hidden.items():
        assert sum(each.chance * each.hidden[key].chance for each in seen) == pytest.approx(hidden.chance)


def test_what_must_be_dealt_with_and_is_not_there_leaves_the_money() -> None:
    cabin = cabin_with(replace(fault("a", 0.2, "damp"), must_deal=True, certain=True))
    there = {bool(each.there): each.hidden["a"].certain for each in may_be_seen(cabin, ("a",))}
    assert there == {True: True, False: False}
