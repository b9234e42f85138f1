"""Closed-form posteriors recomputed with scipy: the whole density is integrated, none of our formulas is used."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.optimize import brentq
from scipy.stats import beta, expon, gamma, lognorm, norm

from tests.book.samples import DYE, TRADE, a_book, found, observed, timed
from trimwright.book.document import Held, Timed
from trimwright.book.learning import WEIGHT, learned_chance, learned_life, learned_pace, lessons

ratios = st.lists(st.floats(0.2, 5), min_size=1, max_size=8)
chances = st.floats(0.02, 0.98)


def times(found: list[float]) -> list[Timed]:
    return [Timed.model_validate(timed(number, 100.0, 100.0 * ratio)) for number, ratio in enumerate(found)]


@settings(deadline=None, max_examples=40)
@given(ratios, st.floats(0.1, 1.0), st.sampled_from([1.0, 4.0, 9.0]))
def test_the_pace_is_the_median_of_the_posterior(found: list[float], sd: float, weight: float) -> None:
    """Prior × likelihood on a fine grid of the typical log-ratio, whatever one job's standard deviation is."""
    logs = np.log(found)
    grid = np.linspace(-12, 12, 100_001)
    density = norm.logpdf(grid, 0, sd / weight**0.5) + sum(norm.logpdf(each, grid, sd) for each in logs)
    density = np.exp(density - density.max())
    mean = float((grid * density).sum() / density.sum())
    pace = learned_pace(times(found), weight)
    assert np.log(pace.times) == pytest.approx(mean, abs=1e-6)
    spread = sd / (len(found) + weight) ** 0.5
    assert pace.times == pytest.approx(lognorm(s=spread, scale=np.exp(mean)).median(), rel=1e-6)
    assert pace.seen == len(found)


@settings(deadline=None, max_examples=40)
@given(chances, st.lists(st.booleans(), max_size=9), st.sampled_from([1.0, 4.0, 9.0]))
def test_a_chance_is_the_mean_of_the_posterior(prior: float, seen: list[bool], weight: float) -> None:
    """The beta prior times each look's likelihood, integrated; and scipy's own posterior."""
    hits, misses = sum(seen), len(seen) - sum(seen)
    before = beta(weight * prior, weight * (1 - prior))
    assert before.mean() == pytest.approx(prior)
    learned = learned_chance(prior, seen, weight).chance
    after = beta(weight * prior + hits, weight * (1 - prior) + misses)
    assert learned == pytest.approx(after.mean(), rel=1e-9)
    if weight * prior > 1 and weight * (1 - prior) > 1:  # elsewhere the density has a pole at 0 or 1

        def likely(chance: float) -> float:
            return float(before.pdf(chance) * chance**hits * (1 - chance) ** misses)

        whole, _ = quad(likely, 0, 1)
        mean, _ = quad(lambda chance: chance * likely(chance), 0, 1)
        assert learned == pytest.approx(mean / whole, rel=1e-6)


@settings(deadline=None, max_examples=8)
@given(
    st.floats(1, 15), st.lists(st.tuples(st.floats(0.1, 12), st.booleans()), min_size=1, max_size=6),
    st.sampled_from([1.0, 4.0, 9.0]),
)  # fmt: skip
def test_a_life_is_one_over_the_mean_rate_of_the_posterior(
    prior: float, seen: list[tuple[float, bool]], weight: float
) -> None:
    """Prior × likelihood integrated: density of what failed, survival of what still held."""
    spells = [
        Held.model_validate(observed(number, treatment=DYE, years=years, failed=failed))
        for number, (years, failed) in enumerate(seen)
    ]

    def density(rate: float) -> float:
        told = gamma.pdf(rate, weight, scale=1 / (weight * prior))
        for years, failed in seen:
            told *= expon.pdf(years, scale=1 / rate) if failed else expon.sf(years, scale=1 / rate)
        return float(told)

    middle = (weight + len(seen)) / (weight * prior)  # a rate well inside, to keep the figures near one
    whole = quad(lambda rate: density(rate) / density(middle), 1e-9, np.inf, limit=200)[0]
    mean = quad(lambda rate: rate * density(rate) / density(middle), 1e-9, np.inf, limit=200)[0] / whole
    life = learned_life(prior, spells, weight)
    assert life.years == pytest.approx(1 / mean, rel=1e-4)
    assert (life.seen, life.failed) == (len(seen), sum(failed for _years, failed in seen))


def test_with_nothing_seen_the_table_stands() -> None:
    assert learned_pace([], 4).times == 1
    assert learned_chance(0.175, [], 4).chance == pytest.approx(0.175)
    assert learned_life(6, [], 4).years == pytest.approx(6)
    assert lessons(a_book(), TRADE).paces == {}


def test_the_tables_figure_weighs_about_four_jobs() -> None:
    """Four jobs at twice the hours go half the way, on the scale of logarithms; four redos in four likewise."""
    assert TRADE.practice[WEIGHT].value == 4
    book = a_book(
        timed=[timed(number, 60, 120) for number in range(4)],
        redone=[observed(number, treatment=DYE, again=True) for number in range(4)],
        found=[found(False)],
    )
    learned = lessons(book, TRADE)
    assert learned.paces[DYE].times == pytest.approx(2**0.5)
    assert learned.redos[DYE].chance == pytest.approx((sum(TRADE.treatments[DYE].redo) / 2 + 1) / 2)
    table = sum(TRADE.finds["foam_crushed"].chance) / 3
    assert learned.finds["foam_crushed"].chance == pytest.approx(table * 4 / 5)


def test_many_jobs_drown_the_table() -> None:
    """With a thousand jobs drawn round a pace of 1.4 the shop's own pace is all that is left."""
    drawn = lognorm(s=0.4, scale=1.4).rvs(1000, random_state=7)
    assert learned_pace(times([float(each) for each in drawn]), 4).times == pytest.approx(1.4, rel=0.03)


def test_the_median_and_the_hours_factor_do_not_count_twice() -> None:
    """The plan's mean over planned hours, 1.10, is what a log-normal of ordinary width has over its median.

    So the book moves the median and leaves the mean to that factor.
    """
    factor = TRADE.practice["hours_factor"].value
    width = brentq(lambda sd: lognorm(s=sd).mean() - factor, 0.01, 2)
    assert 0.3 < width < 0.6
    assert lognorm(s=width, scale=1.3).mean() == pytest.approx(1.3 * factor)
