"""The ten-degree rule against worked examples in print; limits; windows."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trimwright.craft.cure import HOTTEST_C, MOST_HEAT_C, arrhenius, cure_time, damp_air, moved, ten_degrees
from trimwright.errors import BadInput

WARMTH = st.floats(-1, 49)


@pytest.mark.parametrize(("time", "at", "to", "expected"), [(10, 25, 35, 5), (60, 25, 35, 30), (60, 25, 45, 15)])
def test_the_adhesive_makers_worked_examples(time: float, at: float, to: float, expected: float) -> None:
    """An adhesive maker's note on temperature and two-part adhesives: gel of 10 min and cure of 60 min at 25 °C."""
    assert cure_time(time, at, to, "min").value == pytest.approx(expected)


@pytest.mark.parametrize(
    ("time", "growth", "expected", "within"), [(365, 2, 79, 0.5), (12, 2, 2.6, 0.05), (365, 4, 17, 0.5)]
)
def test_storage_at_45_degrees_by_a_stability_laboratory(
    time: float, growth: float, expected: float, within: float
) -> None:
    """A stability laboratory's note on Q10: a year, or 12 months, at 23 °C."""
    assert time * ten_degrees(23, 45, growth) == pytest.approx(expected, abs=within)


def test_accelerated_ageing_has_the_same_arithmetic() -> None:
    """ASTM F1980 (from memory): 55 against 22 °C with Q10 of 2 is a factor of 9.849."""
    assert 1 / ten_degrees(22, 49) == pytest.approx(2**2.7)
    assert 1 / (ten_degrees(22, 38.5) * ten_degrees(22, 38.5)) == pytest.approx(9.849, abs=0.001)


def test_arrhenius_at_ordinary_warmth_is_nearly_the_rule() -> None:
    """Recomputed from Arrhenius 1889: 50 kJ/mol gives 1.967 from 20 to 30 °C, 0.485 from 20 to 10 °C."""
    assert 1 / arrhenius(20, 30, 50) == pytest.approx(1.967, abs=0.001)
    assert 1 / arrhenius(20, 10, 50) == pytest.approx(0.485, abs=0.001)
    assert 1 / arrhenius(20, 30, 51.2) == pytest.approx(2, abs=0.002)


@given(WARMTH, WARMTH)
def test_there_and_back_is_the_time_again(one: float, other: float) -> None:
    assert ten_degrees(one, other) * ten_degrees(other, one) == pytest.approx(1)


@pytest.mark.parametrize("outside", [-5, 55])
def test_outside_its_range_the_rule_says_nothing(outside: float) -> None:
    with pytest.raises(BadInput, match="ten-degree rule"):
        ten_degrees(20, outside)
    with pytest.raises(BadInput, match="ten-degree rule"):
        moved((1, 2, 3), outside, 0.5, warmth=True, damp=False, closes=False)


def test_more_heat_than_cements_bear_wins_nothing() -> None:
    """US Army TM 1-1500-204-23-6: not above 110 °F (43.3 °C)."""
    at_most = moved((1, 2, 3), MOST_HEAT_C, 0.5, warmth=True, damp=False, closes=False)
    assert moved((1, 2, 3), HOTTEST_C, 0.5, warmth=True, damp=False, closes=False) == at_most


@given(WARMTH, st.floats(0.05, 1))
def test_a_window_never_stays_open_longer_than_its_sheet_says(air_c: float, humidity: float) -> None:
    wait = moved((0.2, 0.4, 0.8), air_c, humidity, warmth=True, damp=True, closes=True)
    assert wait.closes is not None
    assert wait.closes <= 0.8
    assert list(wait.wait) == sorted(wait.wait)
    if air_c > 20:
        assert wait.closes < 0.8


def test_damp_draws_out_what_water_has_to_leave() -> None:
    """From memory, no source: two hundredths longer for each point above 50 %."""
    assert damp_air(0.5) == damp_air(0.2) == 1
    assert damp_air(0.75) == pytest.approx(1.5)
    dry = moved((4, 10, 24), 20, 0.5, warmth=True, damp=True, closes=False)
    wet = moved((4, 10, 24), 20, 0.75, warmth=True, damp=True, closes=False)
    assert wet.wait[1] == pytest.approx(1.5 * dry.wait[1])


def test_the_post_does_not_come_sooner_in_the_warm() -> None:
    assert moved((48, 168, 672), 35, 0.9, warmth=False, damp=False, closes=False).wait == (48, 168, 672)
