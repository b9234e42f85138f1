"""Two colours edge to edge, what is wanted and what is made or forecast, with the difference told in words below.

A screen is no light booth: the picture shows which way they differ, the figures say how far.
"""

from __future__ import annotations

from trimwright.charts.box import Box
from trimwright.charts.look import Style, picture
from trimwright.charts.marks import text
from trimwright.craft.colour.difference import NEAR_M, apart, seen, way
from trimwright.craft.colour.lab import Lab, srgb_of

_HIGH, _EDGE, _TOP, _FOOT = 210.0, 8.0, 26.0, 52.0


def swatches(
    wanted: Lab,
    made: Lab,
    *,
    made_is: str = "forecast",
    distance_m: float = NEAR_M,
    wide: float = 390.0,
    name: str = "swatches",
    style: Style = "page",
) -> str:
    """The two as SVG; they touch, as two pieces of trim do."""
    off = apart(made, wanted)
    told = f"{off:.1f} ΔE apart, {way(made, wanted)}"
    view = f"from {distance_m:g} m {seen(off, distance_m)}"
    middle, foot = wide / 2, _HIGH - _FOOT
    body = (
        _patch(_EDGE, wide - _EDGE, foot, srgb_of(wanted))  # under the other: no line of paper between them
        + _patch(middle, wide - _EDGE, foot, srgb_of(made))
        + text("wanted", _EDGE, _TOP - 8, "strong")
        + text(made_is, wide - _EDGE, _TOP - 8, "strong end")
        + text(str(wanted), _EDGE, foot + 16, "faint")
        + text(str(made), wide - _EDGE, foot + 16, "faint end")
        + text(told, middle, foot + 32, "strong middle")
        + text(view, middle, foot + 46, "middle")
    )
    telling = f"Wanted {wanted}, {made_is} {made}: {told}; {view}."
    return picture(
        name, Box(0.0, 0.0, wide, _HIGH), title="Two colours side by side", telling=telling, body=body, style=style
    )


def _patch(left: float, right: float, foot: float, colour: str) -> str:
    return (
        f'<rect x="{left:.1f}" y="{_TOP:.1f}" width="{right - left:.1f}" height="{foot - _TOP:.1f}" fill="{colour}"/>'
    )
