"""A flat piece and what the leather must give where: stretched, squeezed, and what is more than it stands."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby
from typing import TYPE_CHECKING

from trimwright.charts.box import Box
from trimwright.charts.look import Style, picture
from trimwright.charts.marks import bar, text, way
from trimwright.geometry.flatten import Patch
from trimwright.geometry.pattern import Polyline

if TYPE_CHECKING:
    from trimwright.geometry.scan import Floats

_CELLS, _LEFT, _TOP, _FOOT = 96, 8.0, 30.0, 58.0


def flat_stretch_chart(
    patch: Patch,
    limit: float,
    *,
    title: str = "Stretch of the flat piece",
    seams: tuple[Polyline, ...] = (),
    wide: float = 390.0,
    name: str = "flat",
    style: Style = "page",
) -> str:
    """The piece as SVG, its triangles gathered in small squares; `limit` is what the leather stands (0.05 = 5 %).

    Stretched squares are red, squeezed ones blue, the more the deeper; the worst of either is marked with its figure,
    so nothing is told by colour alone.
    """
    import numpy as np

    across = wide - 2 * _LEFT
    size = patch.flat.max(axis=0)
    scale = across / float(size[0])
    high = float(size[1]) * scale
    cell = across / _CELLS
    middles = patch.flat[patch.surface.faces].mean(axis=1) * scale
    most, least = patch.stretches[:, 0] - 1, patch.stretches[:, 1] - 1
    given = np.where(most > -least, most, least)
    body = "".join(_row(row, looks, cell) for row, looks in _rows(patch, middles, given / limit, scale, cell))
    body += _edge(patch, scale, high) + "".join(_seam(each, scale, high) for each in seams)
    body += _worst(given, middles, high)
    body += _key(limit, wide, _TOP + high + 20) + text("stretched +, squeezed −, flat to worn", _LEFT, 16, "faint")
    telling = (
        f"{patch.most - 1:+.1%} stretched and {patch.least - 1:+.1%} squeezed at most; the leather stands {limit:.1%}, "
        f"and {patch.share_beyond(limit):.0%} of the area is beyond that."
    )
    return picture(name, Box(0, 0, wide, _TOP + high + _FOOT), title=title, telling=telling, body=body, style=style)


def _rows(
    patch: Patch, middles: Floats, given: Floats, scale: float, cell: float
) -> Iterator[tuple[int, list[tuple[int, str]]]]:
    """Each row of squares that lie on the piece, from the top, with the look of what the nearest triangle gives."""
    import numpy as np
    from scipy.spatial import cKDTree
    from shapely import Polygon, contains_xy

    outline = Polygon(patch.flat[patch.edge] * scale)
    _, _, wide, high = outline.bounds
    columns = np.arange(int(wide / cell) + 1)
    nearest = cKDTree(middles)
    for row in range(int(high / cell) + 1):
        x, y = (columns + 0.5) * cell, np.full(len(columns), high - (row + 0.5) * cell)
        there = columns[contains_xy(outline, x, y)]
        if len(there):
            _, which = nearest.query(np.column_stack((x[there], y[there])))
            yield row, [(at, _look(much)) for at, much in zip(there.tolist(), given[which].tolist(), strict=True)]


def _row(row: int, looks: list[tuple[int, str]], cell: float) -> str:
    """Squares side by side that look alike are one bar."""
    marks = ""
    for (look, _), run in groupby(enumerate(looks), key=lambda each: (each[1][1], each[1][0] - each[0])):
        there = [at for _, (at, _) in run]
        marks += bar(look, _LEFT + there[0] * cell, _TOP + row * cell, len(there) * cell + 0.1, cell + 0.1)
    return marks


def _look(share: float) -> str:
    """Of what is given as a share of the limit."""
    whither = "give" if share >= 0 else "squeeze"
    size = abs(share)
    return f"{whither}-most" if size > 1 else f"{whither}-some" if size > 0.5 else f"{whither}-little"


def _edge(patch: Patch, scale: float, high: float) -> str:
    points = [(x * scale + _LEFT, high - y * scale + _TOP) for x, y in patch.flat[patch.edge].tolist()]
    return f'<path class="piece-edge" d="{way(points)}Z"/>'


def _seam(seam: Polyline, scale: float, high: float) -> str:
    points = [(x * scale + _LEFT, high - y * scale + _TOP) for x, y in seam]
    return f'<path class="drawn-seam" d="{way(points)}"/>'


def _worst(given: Floats, middles: Floats, high: float) -> str:
    """The figure of the most stretched and the most squeezed triangle, single bad ones of a scan left out."""
    import numpy as np

    marks = ""
    for share in (0.99, 0.01):
        figure = np.quantile(given, share)
        x, y = middles[np.argmin(abs(given - figure))]
        if abs(figure) >= 0.0005:
            held = "start" if x < 24 else "end" if x > middles[:, 0].max() - 24 else "middle"
            marks += text(f"{figure:+.1%}", _LEFT + float(x), _TOP + high - float(y), f"haloed {held}")
    return marks


def _key(limit: float, wide: float, y: float) -> str:
    """What the tints mean, stretched above and squeezed below."""
    told = {"most": f"over {limit:.1%}", "some": f"over {limit / 2:.1%}", "little": "less"}
    step = (wide - 2 * _LEFT) / 3
    marks = ""
    for at, (size, words) in enumerate(told.items()):
        x = _LEFT + at * step
        marks += bar(f"give-{size}", x, y - 9, 12, 9) + bar(f"squeeze-{size}", x + 14, y - 9, 12, 9)
        marks += text(words, x + 31, y, "faint")
    return marks
