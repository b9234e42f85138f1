"""Where a finger hits a part: round every small shape as much room as its neighbours leave, up to a fingertip."""

from __future__ import annotations

from collections.abc import Sequence

from trimwright.charts.box import Box

FINGERTIP = 44.0
"""Side of the square a finger hits surely [px]. Source: WCAG 2.2, success criterion 2.5.5."""
_LARGE = 38.0
"""A shape at least this wide and high can spare some of its edge [units]."""
_SPARED = 9.0
"""How much of its edge a large neighbour leaves to a small one [units]."""
_OF_ITS_GROUND = 1 / 3
"""Share of what is free round it that a shape takes of the one it lies upon."""
_OVERLAP = 1.0
"""Shapes that overlap by no more than a seam's width lie side by side [units]."""


def touch_boxes(boxes: Sequence[Box], edge: Box) -> tuple[Box | None, ...]:
    """For each box one that holds it, widened towards 44 by 44 inside `edge`; None where the shape itself will do.

    Neighbours share the gap between them half and half, large ones spare some of their edge, and what a box lies upon
    (a door card under its armrest) leaves it a third of what is free there. A shape round others, or large enough,
    needs no box.
    """
    needing = [not _will_do(box, boxes) for box in boxes]
    wider = [
        _widened(box, box, boxes, edge, upright=False) if needs else box
        for box, needs in zip(boxes, needing, strict=True)
    ]
    return tuple(
        _widened(wide, box, wider, edge, upright=True) if needs else None
        for wide, box, needs in zip(wider, boxes, needing, strict=True)
    )


def _will_do(box: Box, others: Sequence[Box]) -> bool:
    return min(box.wide, box.high) >= FINGERTIP or any(box.holds(other) and other != box for other in others)


def _widened(box: Box, bare: Box, others: Sequence[Box], edge: Box, *, upright: bool) -> Box:
    """The box with more room to the left and right, or above and below when `upright`; `bare` is the shape's own."""
    low, high = _span(box, upright)
    wanted = max(0.0, FINGERTIP - (high - low)) / 2
    first, last = _span(edge, upright)
    least, most = max(low - wanted, first), min(high + wanted, last)
    for other in others:
        if other == box or not _beside(box, other, upright):
            continue
        other_low, other_high = _span(other, upright)
        spared = _SPARED if min(other.wide, other.high) >= _LARGE else 0.0
        if other.holds(bare):
            least = max(least, low - (low - other_low) * _OF_ITS_GROUND)
            most = min(most, high + (other_high - high) * _OF_ITS_GROUND)
        elif other_high <= low + _OVERLAP:
            least = max(least, min(low, (low + other_high) / 2 - spared))
        elif other_low >= high - _OVERLAP:
            most = min(most, max(high, (high + other_low) / 2 + spared))
        else:
            least = max(least, low - spared) if other_low < low else least
            most = min(most, high + spared) if other_high > high else most
    if upright:
        return Box(box.left, least, box.right, most)
    return Box(least, box.top, most, box.bottom)


def _span(box: Box, upright: bool) -> tuple[float, float]:
    return (box.top, box.bottom) if upright else (box.left, box.right)


def _beside(one: Box, other: Box, upright: bool) -> bool:
    """Whether growing along the one axis would bring them together: they overlap along the other axis."""
    low, high = _span(one, not upright)
    other_low, other_high = _span(other, not upright)
    return other_low < high and other_high > low
