"""What a wheel wrap must give across the strip: stretched on the outer line, gathered at the seam, against a limit."""

from __future__ import annotations

import math

from trimwright.charts.axis import Axis, round_figures
from trimwright.charts.box import Box
from trimwright.charts.look import Style, picture
from trimwright.charts.marks import line, text, way
from trimwright.geometry.stretch import Strain

_LEFT, _RIGHT, _TOP, _BOTTOM, _HIGH = 40.0, 14.0, 26.0, 42.0, 250.0


def strain_chart(
    strain: Strain,
    limit: float,
    *,
    title: str = "Stretch across the strip",
    wide: float = 390.0,
    name: str = "strain",
    style: Style = "page",
) -> str:
    """Strain in per cent from the driver's edge over the outer line to the dash's, as SVG; a band where it differs
    round the rim, and what lies over `limit`, the stretch the leather stands, filled."""
    least = min(0.0, *strain.least)
    most = max(limit, strain.stretched)
    room = (most - least) * 0.12
    across = Axis(strain.across_mm[0], strain.across_mm[-1], _LEFT, wide - _RIGHT)
    up = Axis(100 * (least - room), 100 * (most + room), _HIGH - _BOTTOM, _TOP)
    over = strain.stretched > limit + 1e-9
    body = (
        _rulers(across, up)
        + _band(strain, across, up)
        + (_beyond(strain, limit, across, up) if over else "")
        + line("mark-line", across.start, up.at(100 * limit), across.end, up.at(100 * limit))
        + text(f"the leather stands {limit:.1%}", across.end, up.at(100 * limit) - 5, "accent end")
    )
    telling = (
        f"{strain.stretched:.1%} stretched at most, {strain.gathered:.1%} gathered; the leather stands {limit:.1%}."
    )
    if over:
        telling += " That is too much."
    return picture(name, Box(0.0, 0.0, wide, _HIGH), title=title, telling=telling, body=body, style=style)


def _rulers(across: Axis, up: Axis) -> str:
    foot = up.start
    marks = [line("ruler", across.start, foot, across.end, foot), text("per cent", 2, 14, "faint")]
    for figure in round_figures(math.ceil(up.least), math.floor(up.most), 6):
        y = up.at(figure)
        look = "ruler" if figure == 0 else "guide"
        marks += [line(look, across.start, y, across.end, y), text(f"{figure}", across.start - 6, y + 4, "faint end")]
    for at, told, held in (
        (across.least, "driver's edge", ""),
        (0.0, "outer line", "middle"),
        (across.most, "dash edge", "end"),
    ):
        x = across.at(at)
        marks += [line("ruler", x, foot, x, foot + 4), text(told, x, foot + 18, f"faint {held}")]
    marks.append(text("across the strip", across.at(0.0), foot + 35, "faint middle"))
    return "".join(marks)


def _band(strain: Strain, across: Axis, up: Axis) -> str:
    there = [(across.at(at), up.at(100 * most)) for at, most in zip(strain.across_mm, strain.most, strict=True)]
    back = [(across.at(at), up.at(100 * least)) for at, least in zip(strain.across_mm, strain.least, strict=True)]
    return f'<path class="strain" d="{way([*there, *reversed(back)])}Z"/>'


def _beyond(strain: Strain, limit: float, across: Axis, up: Axis) -> str:
    """What lies between the limit and the strain above it."""
    level = up.at(100 * limit)
    points = [
        (across.at(at), min(level, up.at(100 * most))) for at, most in zip(strain.across_mm, strain.most, strict=True)
    ]
    closed = [(points[0][0], level), *points, (points[-1][0], level)]
    return f'<path class="strain-over" d="{way(closed)}Z"/>'
