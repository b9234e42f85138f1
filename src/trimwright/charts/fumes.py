"""Vapour in a room over time, with its limits across: a steep scale, so that breath and fire both stand on it."""

from __future__ import annotations

import math
from dataclasses import dataclass

from trimwright.charts.axis import Axis, round_figures
from trimwright.charts.box import Box
from trimwright.charts.look import Style, picture
from trimwright.charts.marks import line, text
from trimwright.craft.vapour import MOST_LEL, SHIFT_H, Fumes
from trimwright.facts.workbench import LimitKind, Solvent

_LEFT, _RIGHT, _TOP, _BOTTOM, _HIGH = 58.0, 12.0, 30.0, 42.0, 280.0
_POINTS = 160
_CLOSE = 17.0
"""Nearer than this, two limits have no room for a name between them [units]."""


@dataclass(frozen=True, slots=True)
class _Level:
    """A limit of the mixture [ppm of all vapours together]."""

    name: str
    ppm: float


def fumes_chart(
    fumes: Fumes, *, title: str = "Vapour in the room", wide: float = 390.0, name: str = "fumes", style: Style = "page"
) -> str:
    """All vapours together from the start until they are below the lowest limit, 8 h at most; SVG."""
    levels = _levels(fumes)
    hours = _span(fumes, min(each.ppm for each in levels))
    curve = [(hours * 60 * step / _POINTS, fumes.ppm_at(hours * step / _POINTS)) for step in range(1, _POINTS + 1)]
    peak = fumes.ppm_at(fumes.dries_h)
    most = max(peak, *(each.ppm for each in levels)) * 1.6
    least = min(each.ppm for each in levels) / 6
    across = Axis(0.0, hours * 60, _LEFT, wide - _RIGHT)
    up = Axis(math.log10(least), math.log10(most), _HIGH - _BOTTOM, _TOP)
    body = _rulers(across, up) + _dry(fumes, across, up) + _curve(curve, across, up) + _limits(levels, peak, across, up)
    told = "; ".join(f"{each.name} {each.ppm:,.0f} ppm" for each in levels)
    telling = (
        f"At most {peak:,.0f} ppm, {fumes.dries_h * 60:.0f} min after the start, when it has dried; "
        f"{curve[-1][1]:,.0f} ppm after {hours * 60:.0f} min. Limits of this mixture: {told}."
    )
    return picture(name, Box(0.0, 0.0, wide, _HIGH), title=title, telling=telling, body=body, style=style)


def _levels(fumes: Fumes) -> tuple[_Level, ...]:
    """The limits that the mixture has, from low to high."""

    def of(kind: LimitKind) -> float | None:
        def ppm(solvent: Solvent) -> float | None:
            limit = solvent.strictest(kind)
            return limit.ppm if limit else None

        return fumes.as_total(ppm)

    found = [
        ("8 h limit", of("8 h mean")),
        ("at once dangerous", of("at once dangerous")),
        (f"{MOST_LEL:g} % of the LEL", fumes.as_total(lambda solvent: solvent.lel * 1e4 * MOST_LEL / 100)),
        ("LEL: burns at a spark", fumes.as_total(lambda solvent: solvent.lel * 1e4)),
    ]
    return tuple(sorted((_Level(name, ppm) for name, ppm in found if ppm), key=lambda each: each.ppm))


def _span(fumes: Fumes, lowest: float) -> float:
    """Until it is well below the lowest limit [h], twice the drying at least, a shift at most."""
    hours = 2 * fumes.dries_h
    while hours < SHIFT_H and fumes.ppm_at(hours) > lowest / 2:
        hours *= 1.25
    return min(SHIFT_H, max(hours, fumes.dries_h * 1.2))


def _rulers(across: Axis, up: Axis) -> str:
    marks = [line("ruler", across.start, up.start, across.end, up.start)]
    for minutes in round_figures(across.least, across.most, 6):
        x = across.at(minutes)
        held = "start" if minutes == 0 else "end" if x > across.end - 14 else "middle"
        marks += [
            line("ruler", x, up.start, x, up.start + 4),
            text(f"{minutes}", x, up.start + 18, f"faint {held}"),
        ]
    for power in range(math.ceil(up.least), math.floor(up.most) + 1):
        y = up.at(power)
        marks += [
            line("guide", across.start, y, across.end, y),
            text(f"{10**power:,}" if power >= 0 else f"{10**power:g}", across.start - 6, y + 4, "faint end"),
        ]
    marks += [
        text("ppm, all vapours together", 2, 14, "faint"),
        text("minutes from the start", across.end, up.start + 35, "faint end"),
    ]
    return "".join(marks)


def _limits(levels: tuple[_Level, ...], peak: float, across: Axis, up: Axis) -> str:
    """A line across for each limit, strong where it is passed; named below it where another is close above."""
    marks = []
    heights = [up.at(math.log10(each.ppm)) for each in levels]
    for each, y, above in zip(levels, heights, [*heights[1:], -math.inf], strict=True):
        passed = peak > each.ppm
        foot = y + 12 if y - above < _CLOSE else y - 4
        marks += [
            line("mark-line" if passed else "limit-line", across.start, y, across.end, y),
            text(f"{each.name}, {each.ppm:,.0f}", across.end, foot, f"{'accent' if passed else 'faint'} end haloed"),
        ]
    return "".join(marks)


def _dry(fumes: Fumes, across: Axis, up: Axis) -> str:
    x = across.at(fumes.dries_h * 60)
    return line("guide", x, up.start, x, up.end) + text("dry", x + 4, up.start - 6, "faint")


def _curve(curve: list[tuple[float, float]], across: Axis, up: Axis) -> str:
    inside = [(minutes, max(math.log10(ppm), up.least)) for minutes, ppm in curve if ppm > 0]
    path = "L".join(f"{across.at(minutes):.1f} {up.at(power):.1f}" for minutes, power in inside)
    return f'<path class="fumes" d="M{across.start:.1f} {up.start:.1f}L{path}"/>'
