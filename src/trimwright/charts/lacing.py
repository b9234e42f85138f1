"""Lacing as it looks, from the same stops that its thread is measured by: over the leather solid, beneath it dashed."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from trimwright.charts.box import Box
from trimwright.charts.look import Style, picture
from trimwright.charts.marks import bar
from trimwright.geometry.lacing import NAMES, Path, Pattern, Stop, is_seen, paths
from trimwright.geometry.wrap import Seam

SHOWN = 8
"""Pairs of holes in a picture."""
_EDGE_MM = 3.0
"""Leather drawn beyond each row."""


def lacing_picture(
    pattern: Pattern,
    seam: Seam,
    *,
    laced: int = SHOWN,
    beneath: bool = True,
    wide: float = 390.0,
    name: str = "lacing",
    style: Style = "page",
) -> str:
    """A stretch of seam with so many pairs laced from the left, to scale, the dash's edge above; SVG.

    `beneath` draws the thread under the leather too. The last stop of an unfinished seam carries the needle's point.
    """
    high_mm = seam.between_mm + 2 * _EDGE_MM
    scale = wide / (SHOWN * seam.pitch_mm)
    box = Box(0.0, 0.0, wide, high_mm * scale)
    runs = paths(pattern, laced)
    body = "".join(_leather(seam, box, scale)) + "".join(
        part for number, path in enumerate(runs) for part in _thread(path, number, seam, box, scale, beneath)
    )
    if laced < SHOWN:
        body += "".join(_needle(path, number, seam, box, scale) for number, path in enumerate(runs))
    telling = f"{NAMES[pattern]}, {laced} pairs of holes laced by {len(runs)} needle{'s' * (len(runs) > 1)}."
    return picture(name, box, title=f"How {NAMES[pattern]} looks", telling=telling, body=body, style=style)


def _leather(seam: Seam, box: Box, scale: float) -> Iterator[str]:
    """Both edges and their holes."""
    middle, half = box.high / 2, seam.gap_mm / 2 * scale
    yield bar("leather", 0, 0, box.wide, middle - half)
    yield bar("leather", 0, middle + half, box.wide, middle - half)
    radius = max(1.6, seam.hole_mm / 2 * scale)
    for at in range(SHOWN):
        for edge in (-1, 1):
            x, y = _place(Stop(edge, 1, at), seam, box, scale)
            yield f'<circle class="hole" cx="{x:.1f}" cy="{y:.1f}" r="{radius:.1f}"/>'


def _place(stop: Stop, seam: Seam, box: Box, scale: float) -> tuple[float, float]:
    return (stop.along + 0.5) * seam.pitch_mm * scale, box.high / 2 - stop.edge * seam.between_mm / 2 * scale


def _thread(path: Path, number: int, seam: Seam, box: Box, scale: float, beneath: bool) -> Iterator[str]:
    """What lies beneath first, so that what lies over the leather crosses it."""
    pieces = [(is_seen(one, other), _line(one, other, seam, box, scale)) for one, other in pairwise(path)]
    needle = f"needle-{number + 1}"
    if beneath:
        yield from (f'<path class="thread-under {needle}" {way}/>' for seen, way in pieces if not seen and way)
    for seen, way in pieces:
        if seen and way:
            yield f'<path class="thread-over {needle}" {way}/><path class="thread-shine" {way}/>'


def _line(one: Stop, other: Stop, seam: Seam, box: Box, scale: float) -> str:
    """Nothing where the thread only goes through the leather."""
    (x, y), (u, v) = (_place(each, seam, box, scale) for each in (one, other))
    return "" if (x, y) == (u, v) else f'd="M{x:.1f} {y:.1f}L{u:.1f} {v:.1f}"'


def _needle(path: Path, number: int, seam: Seam, box: Box, scale: float) -> str:
    x, y = _place(path[-1], seam, box, scale)
    return f'<circle class="needle-point needle-{number + 1}" cx="{x:.1f}" cy="{y:.1f}" r="6"/>'
