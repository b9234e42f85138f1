"""A photo with the outline that was read from it: its points by number, and how far it may be out, drawn larger."""

from __future__ import annotations

from base64 import b64encode
from typing import TYPE_CHECKING

import numpy as np

from trimwright.charts.box import Box
from trimwright.charts.look import Style, picture
from trimwright.charts.marks import text, way
from trimwright.geometry.outline.reading import Outline

if TYPE_CHECKING:
    Floats = np.typing.NDArray[np.float64]

LARGER = 20
"""The band of doubt is drawn so many times as wide as it is, or nobody would see it."""
_PHOTO_PX, _QUALITY = 1600, 80
_FOOT = 44.0
_NEAR = 14.0
"""Numbers of points nearer to each other than this would cover each other [units]."""


def read_outline_chart(
    outline: Outline, *, title: str = "The outline in the photo", wide: float = 960.0, name: str = "read",
    style: Style = "page",
) -> str:  # fmt: skip
    """The photo as SVG with all that was read: the band is 2σ to either side, twenty times as wide."""
    scale = wide / outline.photo.size[0]
    high = outline.photo.size[1] * scale
    line = np.array(outline.line)
    along = np.roll(line, -1, axis=0) - np.roll(line, 1, axis=0)
    out = np.column_stack((along[:, 1], -along[:, 0])) / np.linalg.norm(along, axis=1)[:, None]
    reach = (LARGER * outline.certain.two_sigma_mm)[:, None] * out
    outer, edge, inner = (_there(outline, each, scale) for each in (line + reach, line, line - reach))
    body = f'<image href="{_jpeg(outline)}" width="{wide:g}" height="{high:.1f}"/>'
    body += f'<path class="doubt" d="{way(outer)}Z{way(inner)}Z"/><path class="read-edge" d="{way(edge)}Z"/>'
    body += _points(outline, scale)
    at = int(outline.certain.two_sigma_mm.argmax())
    most = float(outline.certain.two_sigma_mm[at])
    body += text(f"±{most:.1f} mm", edge[at][0], edge[at][1] - 12, "haloed strong middle")
    sure = f"nine times in ten no point is out by more than {outline.certain.within_mm:.1f} mm"
    body += text(
        f"Band: 2σ to either side, drawn {LARGER} times as wide. Red points are corners.", 8, high + 18, "faint"
    )
    body += text(f"{sure[0].upper()}{sure[1:]}.", 8, high + 36, "faint")
    telling = f"{len(outline.nodes)} points; at the worst ±{most:.1f} mm, {sure}."
    return picture(name, Box(0, 0, wide, high + _FOOT), title=title, telling=telling, body=body, style=style)


def _there(outline: Outline, points: Floats, scale: float) -> list[tuple[float, float]]:
    return [(float(x) * scale, float(y) * scale) for x, y in outline.to_photo([(a, b) for a, b in points])]


def _points(outline: Outline, scale: float) -> str:
    """Every node; numbers where there is room, corners first."""
    places = _there(outline, np.array([each.at for each in outline.nodes]), scale)
    middle = np.mean(places, axis=0)
    marks = ""
    written: list[tuple[float, float]] = []
    for at in sorted(range(len(places)), key=lambda each: (not outline.nodes[each].corner, each)):
        x, y = places[at]
        corner = outline.nodes[at].corner
        look, size = ("turn-point", 4) if corner else ("curve-point", 2.5)
        marks += f'<circle class="{look}" cx="{x:.1f}" cy="{y:.1f}" r="{size}"/>'
        away = np.array([x, y]) - middle
        u, v = np.array([x, y]) - 13 * away / max(float(np.linalg.norm(away)), 1e-9)
        if outline.nodes[at].number and all(np.hypot(u - p, v - q) > _NEAR for p, q in written):
            written.append((float(u), float(v)))
            marks += text(str(outline.nodes[at].number), float(u), float(v) + 4, "haloed middle")
    return marks


def _jpeg(outline: Outline) -> str:
    import cv2

    shrink = min(1.0, _PHOTO_PX / max(outline.photo.size))
    small = cv2.resize(outline.photo.pixels, None, fx=shrink, fy=shrink, interpolation=cv2.INTER_AREA)
    _, held = cv2.imencode(".jpg", small, [cv2.IMWRITE_JPEG_QUALITY, _QUALITY])
    return f"data:image/jpeg;base64,{b64encode(held.tobytes()).decode()}"
