"""A hide or a length of roll with what lies on it: flaws, zones, pieces with their numbers, offcuts worth keeping."""

from __future__ import annotations

from collections.abc import Sequence

from trimwright.charts.box import Box
from trimwright.charts.look import Style, picture
from trimwright.charts.marks import text, way
from trimwright.geometry.nest.hide import Hide
from trimwright.geometry.nest.layout import Layout
from trimwright.geometry.pattern import Polyline

_EDGE, _TOP, _ROW = 8.0, 28.0, 15.0


def hide_chart(
    layout: Layout,
    on: int = 0,
    *,
    offcuts: Sequence[Hide] = (),
    title: str = "Pieces on the hide",
    wide: float = 390.0,
    name: str = "hide",
    style: Style = "page",
) -> str:
    """One hide of a layout as SVG; pieces are numbered, and a list below says which is which."""
    hide, pieces = layout.hides[on], layout.pieces(on)
    xs, ys = zip(*hide.outline, strict=True)
    scale = (wide - 2 * _EDGE) / (max(xs) - min(xs))
    high = (max(ys) - min(ys)) * scale

    def put(points: Polyline) -> list[tuple[float, float]]:
        return [(_EDGE + (x - min(xs)) * scale, _TOP + (max(ys) - y) * scale) for x, y in points]

    def closed(look: str, points: Polyline) -> str:
        return f'<path class="{look}" d="{way(put(points))}Z"/>'

    body = closed("hide-edge", hide.outline)
    zones = [(zone.name, part) for zone in hide.zones for part in _shared(zone.outline, hide.outline)]
    body += "".join(closed("hide-zone", part) for _, part in zones)
    body += "".join(closed("hide-flaw", each) for each in hide.flaws)
    body += "".join(closed("offcut", each.outline) for each in offcuts)
    for number, piece in enumerate(pieces, 1):
        ((x, y),) = put((_inside(piece.outline),))
        body += closed("laid-piece", piece.outline) + text(f"{number}", x, y + 4, "haloed middle")
    for name_of_zone, part in zones:
        ((x, y),) = put((_inside(part),))
        body += text(name_of_zone, x, y + 4, "faint middle")
    rows = [f"{number}  {piece.name}" for number, piece in enumerate(pieces, 1)]
    columns = max(1, int(wide // 190))
    for at, row in enumerate(rows):
        x = _EDGE + at % columns * (wide - 2 * _EDGE) / columns
        body += text(row, x, _TOP + high + 20 + at // columns * _ROW, "faint")
    body += text(f"{hide.name}: {layout.filled(on):.0%} of the usable material", _EDGE, 16, "faint")
    foot = 26 + -(-len(rows) // columns) * _ROW
    telling = (
        f"{len(pieces)} pieces on {hide.name}, {layout.filled(on):.0%} of its usable material; "
        f"{len(hide.flaws)} flaws stay outside them, {len(offcuts)} offcuts are worth keeping."
    )
    return picture(name, Box(0, 0, wide, _TOP + high + foot), title=title, telling=telling, body=body, style=style)


def _shared(zone: Polyline, outline: Polyline) -> list[Polyline]:
    """What of a zone lies on the hide; it may be drawn beyond its edge."""
    from shapely import Polygon, get_parts

    parts = get_parts(Polygon(zone).intersection(Polygon(outline)))
    return [
        tuple((float(x), float(y)) for x, y in each.exterior.coords[:-1]) for each in parts if isinstance(each, Polygon)
    ]


def _inside(outline: Polyline) -> tuple[float, float]:
    from shapely import Polygon

    point = Polygon(outline).representative_point()
    return float(point.x), float(point.y)
