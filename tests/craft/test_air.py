"""What the air before a coat refuses, all at once, and what it holds a surface against."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trimwright.craft.air import before_a_coat, dew_point_c
from trimwright.errors import BadInput


def test_every_wrong_figure_is_named_at_once() -> None:
    with pytest.raises(BadInput) as refused:
        dew_point_c(200, 1.4)
    assert [each.where for each in refused.value.problems] == ["air", "humidity"]


@given(air=st.floats(-10, 45), humidity=st.floats(0.05, 1.0))
def test_a_surface_at_the_least_warmth_just_keeps_the_margin(air: float, humidity: float) -> None:
    found = before_a_coat(air, humidity, 0.0)
    again = before_a_coat(air, humidity, found.least_surface.value + 1e-6)
    assert again.limits[0].holds
    assert found.dew_point.value <= air + 0.01
    assert found.margin_if_damper.value <= found.margin.value


def test_damp_air_is_refused_however_warm_the_surface() -> None:
    found = before_a_coat(20, 0.9, 30)
    assert [each.holds for each in found.limits] == [True, False]
    assert not found.holds
