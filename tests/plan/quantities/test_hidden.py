"""The chance of a hidden fault given its cause, against the bivariate normal it is drawn from."""

from __future__ import annotations

from math import sqrt

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy import stats

from trimwright.plan.quantities.hidden import chance_given

CORRELATION = 0.3


@pytest.mark.parametrize("chance", [0.02, 0.15, 0.5, 0.85])
@pytest.mark.parametrize(("known", "cause"), [("seen", 1.0), ("none seen", -1.0)])
def test_known_cause_against_the_conditional_normal(chance: float, known: str, cause: float) -> None:
    """Reference: the conditional of a standard bivariate normal (any textbook on the multivariate normal)."""
    threshold = stats.norm.ppf(chance)
    conditional = stats.norm(loc=-sqrt(CORRELATION) * cause, scale=sqrt(1 - CORRELATION))
    given, loading = chance_given(chance, known, CORRELATION)
    assert given == pytest.approx(conditional.cdf(threshold), abs=1e-9)
    assert loading == 0


@pytest.mark.parametrize("chance", [0.05, 0.3, 0.7])
def test_two_finds_of_one_cause_happen_together_as_the_bivariate_normal_says(chance: float) -> None:
    """Averaging the conditional chances over the cause must give back the chance, and their product P(both)."""
    threshold = stats.norm.ppf(chance)
    nodes, weights = _gauss_hermite()
    given = stats.norm.cdf((threshold + sqrt(CORRELATION) * nodes) / sqrt(1 - CORRELATION))
    assert (weights * given).sum() == pytest.approx(chance, abs=1e-6)
    both = stats.multivariate_normal([0, 0], [[1, CORRELATION], [CORRELATION, 1]]).cdf([threshold, threshold])
    assert (weights * given**2).sum() == pytest.approx(both, abs=1e-5)
    # a look moves the same conditional: one standard deviation to either side
    at_one = stats.norm.cdf((threshold + sqrt(CORRELATION)) / sqrt(1 - CORRELATION))
    assert chance_given(chance, "seen", CORRELATION)[0] == pytest.approx(at_one, abs=1e-9)


@pytest.mark.parametrize("chance", [0.05, 0.3, 0.7])
def test_loading_is_the_covariance_with_the_cause(chance: float) -> None:
    """Stein: cov(1{X<t}, Z) = φ(t)·√ρ for X = −√ρ Z + …; checked by quadrature over Z."""
    threshold = stats.norm.ppf(chance)
    nodes, weights = _gauss_hermite()
    given = stats.norm.cdf((threshold + sqrt(CORRELATION) * nodes) / sqrt(1 - CORRELATION))
    covariance = (weights * nodes * given).sum()
    same, loading = chance_given(chance, "unknown", CORRELATION)
    assert same == chance
    assert loading == pytest.approx(covariance, abs=1e-6)


@pytest.mark.parametrize("known", ["seen", "none seen", "unknown"])
def test_what_is_certain_stays_certain(known: str) -> None:
    assert chance_given(0.0, known, CORRELATION) == (0.0, 0.0)
    assert chance_given(1.0, known, CORRELATION) == (1.0, 0.0)


def _gauss_hermite() -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    nodes, weights = np.polynomial.hermite_e.hermegauss(60)
    return nodes, weights / weights.sum()
