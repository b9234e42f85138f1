"""The strips that lie round a part in a photo, true to size: two a sheet, and bars that tell the printer's scale."""

from __future__ import annotations

from trimwright.geometry.outline.strips import (
    ACROSS,
    ALONG,
    BAR_LONG_MM,
    BAR_SHORT_MM,
    LONG_MM,
    MARKER_MM,
    SQUARE_MM,
    WIDE_MM,
    board,
)

SHEET_WIDE_MM, SHEET_HIGH_MM = 190.0, 269.0
_LEFTS = (14.0, 108.0)
_CELLS = 6
"""A marker has four by four cells in a black frame of one."""


def marker_strips(pair: str) -> str:
    """Two strips and both bars as SVG, one unit a millimetre; black and white, for a camera."""
    body = "".join(_strip(strip, left) for strip, left in zip(pair, _LEFTS, strict=True)) + _bars()
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{SHEET_WIDE_MM:g}mm" height="{SHEET_HIGH_MM:g}mm" '
        f'viewBox="0 0 {SHEET_WIDE_MM:g} {SHEET_HIGH_MM:g}">{body}</svg>'
    )


def _strip(strip: str, left: float) -> str:
    """One strip, standing on its end, and its letter in the margin that is cut out with it."""
    import cv2

    laid = board(strip)
    squares = [
        _square(column * SQUARE_MM, row * SQUARE_MM, SQUARE_MM)
        for row in range(ACROSS)
        for column in range(ALONG)
        if (row + column) % 2 == 0
    ]
    cell = MARKER_MM / _CELLS
    markers = []
    for number, corners in zip(laid.getIds().ravel(), laid.getObjPoints(), strict=True):
        drawn = cv2.aruco.generateImageMarker(laid.getDictionary(), int(number), _CELLS, borderBits=1)
        x, y = (float(each) for each in corners[0][:2])
        markers.append(_square(x, y, MARKER_MM))
        markers += [
            _square(x + column * cell, y + row * cell, cell, "#FFFFFF")
            for row in range(_CELLS)
            for column in range(_CELLS)
            if drawn[row, column]
        ]
    stood = f'<g transform="translate({left + WIDE_MM:g} 0) rotate(90)">{"".join(squares + markers)}</g>'
    letters = (
        f'<text x="{left + WIDE_MM + 0.8:g}" y="{y:g}" font-family="Hanken Grotesk" font-size="7" font-weight="600" '
        f'fill="#000000">{strip}</text>'
        for y in (14.0, LONG_MM / 2, LONG_MM - 10)
    )
    return stood + "".join(letters)


def _bars() -> str:
    """From the outer edge of one end mark to that of the other, each is as long as it says."""
    down, across = 3.0, LONG_MM + 3.5
    return (
        _bar(down, 0.0, 0.6, BAR_LONG_MM)
        + "".join(_bar(down - 2, y, 4.6, 0.3) for y in (0.0, BAR_LONG_MM - 0.3))
        + _bar(0.0, across, BAR_SHORT_MM, 0.6)
        + "".join(_bar(x, across - 1.5, 0.3, 3.0) for x in (0.0, BAR_SHORT_MM - 0.3))
        + f'<text transform="translate({down + 4.5:g} {BAR_LONG_MM / 2:g}) rotate(-90)" text-anchor="middle" '
        f'font-family="Hanken Grotesk" font-size="3" fill="#000000">{BAR_LONG_MM:g} mm, outer edge of one end mark to '
        "outer edge of the other</text>"
        f'<text x="{BAR_SHORT_MM / 2 - 12:g}" y="{across - 1:g}" font-family="Hanken Grotesk" font-size="2.4" '
        f'text-anchor="middle" fill="#000000">{BAR_SHORT_MM:g} mm</text>'
    )


def _square(x: float, y: float, side: float, colour: str = "#000000") -> str:
    return f'<rect x="{x:g}" y="{y:g}" width="{side:g}" height="{side:g}" fill="{colour}"/>'


def _bar(x: float, y: float, wide: float, high: float) -> str:
    return f'<rect x="{x:g}" y="{y:g}" width="{wide:g}" height="{high:g}" fill="#000000"/>'
