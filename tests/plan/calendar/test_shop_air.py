"""Waits in the shop's air, and what the air has to be brought to before a coat.

The margin of 3 °C above the dew point is that of ISO 8502-4; limits are those of the treatments' own rows.
"""

from __future__ import annotations

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from tests.plan.calendar.shops import TRADE
from trimwright.errors import BadInput
from trimwright.facts.trade import Wait
from trimwright.plan.calendar.shop_air import (
    SHEET_AIR,
    breaks,
    humidity_when_warmed,
    limits_of,
    made_right,
    rounded_down,
    rounded_up,
    waiting,
)
from trimwright.plan.calendar.tasks import Air, Limits

CURE = Wait("cure", (12, 24, 48), "rack", warmth=True)
PROMOTER = Wait("promoter", (0.15, 0.3, 1), "bench", closes=True, warmth=True)


def test_at_20_degrees_waits_are_those_of_the_table() -> None:
    wait = waiting([CURE], SHEET_AIR, "x")
    assert wait.minutes == (12 * 60, 24 * 60, 48 * 60)
    assert (wait.closes, wait.why, wait.cures, wait.place) == (None, "cure", True, "rack")


def test_ten_degrees_colder_is_twice_as_long_and_warmer_half() -> None:
    assert waiting([CURE], Air(10, 50), "x").minutes[1] == 48 * 60
    assert waiting([CURE], Air(30, 50), "x").minutes[1] == 12 * 60


def test_least_is_rounded_up_and_most_down() -> None:
    wait = waiting([PROMOTER], Air(22, 50), "x")
    assert wait.minutes[1] == 16  # 18 min over 1.149 is 15.67
    assert wait.closes == 50  # 60 min over 1.149 is 52.2
    assert (rounded_up(31), rounded_down(34)) == (35, 30)
    assert (rounded_up(29.2), rounded_down(29.8)) == (30, 29)


def test_two_waits_lie_one_behind_the_other_and_such_a_window_is_none() -> None:
    both = waiting([PROMOTER, CURE], SHEET_AIR, "x")
    assert both.minutes[1] == rounded_up(18 + 24 * 60)
    assert both.closes is None


def test_a_window_that_shuts_before_it_opens_is_told() -> None:
    """Nobody may go on before 72 min at 0 °C; the sheet's window is an hour."""
    with pytest.raises(BadInput, match="before 75 min nobody may go on") as refused:
        waiting([PROMOTER], Air(0, 50), "Dash pad: promoter")
    assert "Warm the shop" in refused.value.problems[0].way_out


def test_warmer_air_is_drier() -> None:
    """ASHRAE Fundamentals 2017, through PsychroLib: 10 °C at 80 % holds 982 Pa of water, 42 % at 20 °C."""
    assert humidity_when_warmed(Air(10, 80), 20) == 42
    assert humidity_when_warmed(Air(20, 50), 20) == 50


@given(st.sampled_from(sorted(TRADE.treatments)), st.floats(0, 40), st.floats(5, 100))
@example("leather_colour_change", 14.5, 5.75)  # warmed by half a degree, and rounded up
def test_air_that_was_made_right_keeps_the_limits(treatment: str, temperature: float, humidity: float) -> None:
    limits, air = limits_of(TRADE.treatments[treatment], "dew"), Air(temperature, humidity)
    right = made_right(limits, air)
    assert breaks(limits, right or air) == []
    assert (right is None) == (not breaks(limits, air))
    if right is not None:
        assert right.temperature >= temperature  # a shop is warmed, not cooled
        assert right.humidity <= humidity


def test_the_dew_point_s_margin_is_that_of_the_standard() -> None:
    """ISO 8502-4: at 20 °C and 85 % the dew point is 17.4 °C, less than 3 °C below; at 80 % it is 16.4 °C."""
    margin = Limits(dew_margin=True)
    assert breaks(margin, Air(20, 85))
    assert not breaks(margin, Air(20, 80))
