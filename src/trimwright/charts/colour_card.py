"""The card of known patches, true to size: print it, measure it, cut its windows out, lay it on the part."""

from __future__ import annotations

from trimwright.craft.colour.card import HATCH, HIGH, MARKER, MARKERS, PATCH, PATCHES, WIDE, WINDOWS
from trimwright.craft.colour.lab import srgb_of
from trimwright.craft.colour.photo import DICTIONARY

_CELLS = 6
"""A marker has four by four cells in a black frame of one."""


def colour_card() -> str:
    """The card as SVG, one unit a millimetre; its colours are what it is, so none are tokens."""
    body = [f'<rect width="{WIDE:g}" height="{HIGH:g}" fill="#FFFFFF" stroke="#808080" stroke-width="0.2"/>']
    body += [_marker(number, *place) for number, place in enumerate(MARKERS)]
    for each in PATCHES:
        body.append(_square(each.left, each.top, PATCH, PATCH, srgb_of(each.lab)))
        body.append(_small(each.name, each.left, each.top - 0.6))
    for name, (left, top, right, bottom) in WINDOWS.items():
        body.append(_window(left, top, right, bottom))
        body.append(_small(f"window {name}: cut out", left, top - 0.6))
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{WIDE:g}mm" height="{HIGH:g}mm" '
        f'viewBox="0 0 {WIDE:g} {HIGH:g}">{"".join(body)}</svg>'
    )


def _marker(number: int, left: float, top: float) -> str:
    import cv2

    dictionary = cv2.aruco.getPredefinedDictionary(getattr(cv2.aruco, DICTIONARY))
    drawn = cv2.aruco.generateImageMarker(dictionary, number, _CELLS, borderBits=1)
    cell = MARKER / _CELLS
    white = (
        _square(left + column * cell, top + row * cell, cell, cell, "#FFFFFF")
        for row in range(_CELLS)
        for column in range(_CELLS)
        if drawn[row, column]
    )
    return _square(left, top, MARKER, MARKER, "#000000") + "".join(white)


def _window(left: float, top: float, right: float, bottom: float) -> str:
    """A window's edge, with bars that a photo shows when nobody cut it out."""
    count = int((right - left) / HATCH)
    bars = (_square(left + each * HATCH, top, HATCH / 2, bottom - top, "#000000") for each in range(count))
    edge = (
        f'<rect x="{left:g}" y="{top:g}" width="{right - left:g}" height="{bottom - top:g}" fill="none" '
        'stroke="#000000" stroke-width="0.3"/>'
    )
    return "".join(bars) + edge


def _square(left: float, top: float, wide: float, high: float, colour: str) -> str:
    return f'<rect x="{left:.3f}" y="{top:.3f}" width="{wide:.3f}" height="{high:.3f}" fill="{colour}"/>'


def _small(words: str, x: float, y: float) -> str:
    return f'<text x="{x:.2f}" y="{y:.2f}" font-family="Hanken Grotesk" font-size="2" fill="#606060">{words}</text>'
