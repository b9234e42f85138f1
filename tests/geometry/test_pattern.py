"""Flat pieces: the shoelace and Steiner's formula, and what moving must not change."""

from __future__ import annotations

from math import pi

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trimwright.errors import BadInput
from trimwright.geometry.pattern import (
    Hole,
    Line,
    Notch,
    Piece,
    Words,
    length_mm,
    mirrored,
    moved,
    problems_of,
    turned,
    with_allowance,
)

PANEL = ((0.0, 0.0), (520.0, 0.0), (560.0, 300.0), (300.0, 480.0), (-40.0, 310.0))
"""Worked with another library: area 223500 mm², perimeter 1831.58423336 mm (shapely 2.2)."""


def panel(**changes: object) -> Piece:
    return Piece(**{"name": "panel", "outline": PANEL, **changes})  # type: ignore[arg-type]


def test_area_and_perimeter_by_the_shoelace() -> None:
    assert panel().area_mm2 == 223_500
    assert length_mm(PANEL, closed=True) == pytest.approx(1831.58423336199, abs=1e-8)


def test_a_clockwise_outline_is_turned_round() -> None:
    assert panel(outline=PANEL[::-1]).area_mm2 == 223_500


def test_allowance_keeps_the_corners_and_the_line_it_is_sewn_on() -> None:
    """With mitred corners the cut lies between A + P·d (no corners) and Steiner's A + P·d + π·d² and a little more."""
    wide = with_allowance(panel(), 10)
    least = 223_500 + 1831.58423336199 * 10
    assert least + pi * 100 < wide.area_mm2 < least + 5 * 100
    assert wide.lines == (Line("sew", panel().outline, closed=True),)
    assert wide.allowance_mm == 10


@given(right=st.floats(-500, 500), up=st.floats(-500, 500), degrees=st.floats(-360, 360))
def test_moving_turning_and_mirroring_change_no_length(right: float, up: float, degrees: float) -> None:
    start = panel(
        side="left",
        holes=(Hole((100.0, 100.0), 1.0),),
        notches=(Notch((520.0, 0.0), (0.0, 1.0)),),
        words=(Words("front", (200.0, 200.0), slant=10.0),),
        grain=((0.0, 0.0), (100.0, 0.0)),
        cutouts=(((10.0, 10.0), (20.0, 10.0), (20.0, 20.0)),),
    )
    laid = mirrored(turned(moved(start, right, up), degrees))
    assert laid.area_mm2 == pytest.approx(start.area_mm2)
    assert length_mm(laid.outline, closed=True) == pytest.approx(length_mm(start.outline, closed=True))
    assert (laid.side, len(laid.cutouts)) == ("right", 1)
    assert laid.grain is not None
    assert length_mm(laid.grain) == pytest.approx(100)
    assert not problems_of(laid)


def test_mirroring_twice_is_where_it_was() -> None:
    again = mirrored(mirrored(panel(side="left")))
    assert again.side == "left"
    assert {(round(x), round(y)) for x, y in again.outline} == set(PANEL)


@pytest.mark.parametrize(
    ("outline", "told"),
    [
        (((0.0, 0.0), (10.0, 0.0)), "three points"),
        (((0.0, 0.0), (10.0, 0.0), (20.0, 0.0)), "without an area"),
        (((0.0, 0.0), (1e6, 0.0), (0.0, 10.0)), "millimetres"),
        (((0.0, 0.0), (float("nan"), 0.0), (0.0, 10.0)), "millimetres"),
    ],
)
def test_what_is_no_outline_is_refused(outline: tuple[tuple[float, float], ...], told: str) -> None:
    with pytest.raises(BadInput, match=told):
        panel(outline=outline)


def test_an_outline_that_crosses_itself_takes_no_allowance() -> None:
    bow_tie = panel(outline=((0.0, 0.0), (100.0, 0.0), (0.0, 80.0), (130.0, 150.0)))
    assert "crosses itself" in str(problems_of(bow_tie)[0])
    with pytest.raises(BadInput, match="crosses itself"):
        with_allowance(bow_tie, 10)


@pytest.mark.parametrize("wrong", [-1.0, 500.0, float("nan")])
def test_an_allowance_out_of_reason_is_refused(wrong: float) -> None:
    with pytest.raises(BadInput, match="between 0 and 100"):
        with_allowance(panel(), wrong)


def test_a_hole_beside_the_piece_is_told() -> None:
    assert "leaves its outline" in str(problems_of(panel(holes=(Hole((900.0, 0.0), 1.0),)))[0])
