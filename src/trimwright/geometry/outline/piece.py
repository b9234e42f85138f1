"""An outline as a piece to be cut: seam allowance, notches, the way of the grain, left or right."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import cos, hypot, isfinite, radians, sin
from typing import TYPE_CHECKING, Any

from trimwright.errors import BadInput, Problem
from trimwright.geometry.pattern import Notch, Piece, Side, labelled, mirrored, problems_of, with_allowance

if TYPE_CHECKING:
    from trimwright.geometry.outline.shape import Node
    from trimwright.geometry.pattern import Point, Polyline

GRAIN_SHARE = 0.4
"""Of the piece along it, how long the arrow of the grain is."""
BESIDE_MM = 12.0
"""The arrow lies so far beside the name."""


@dataclass(frozen=True, slots=True)
class Marked:
    """What is marked on the piece, and which way up it lay."""

    allowance_mm: float = 0.0
    notches: tuple[tuple[int, float], ...] = ()
    """Behind which node, by its number, and how far along the outline [mm]."""
    grain_degrees: float | None = None
    """Anticlockwise from the photo's right."""
    side: Side = ""
    face_down: bool = False
    """Photographed from its back."""


def notch_at(text: str, where: str = "notch") -> tuple[int, float]:
    """A place on the outline such as `7`, or `7+42.5`, which is 42.5 mm on from point 7; BadInput otherwise."""
    found = re.fullmatch(r"\s*(\d{1,4})\s*(?:\+\s*(\d+(?:\.\d+)?)\s*)?", text)
    if found is None:
        way_out = "Give a point's number as on the picture, and mm behind it: 7 or 7+42.5."
        raise BadInput(Problem(where, text, "is no place on the outline.", way_out))
    return int(found[1]), float(found[2] or 0)


def as_pieces(
    name: str, line: Polyline, nodes: Sequence[Node], marked: Marked, *, both: bool = False
) -> tuple[Piece, ...]:
    """The piece with its marks, and with `both` the other side's; BadInput when it can't be cut or a mark has no place.

    Notches are cut from the edge to where the allowance begins, or 4 mm deep where there is none.
    """
    by_number = {each.number: each for each in nodes if each.number}
    way_out = f"They run from 1 to {max(by_number, default=0)}, without those that were taken out."
    if wrong := [
        Problem("notch", str(number), "is no point of the outline.", way_out)
        for number, _ in marked.notches
        if number not in by_number
    ]:
        raise BadInput(wrong)
    if marked.grain_degrees is not None and not isfinite(marked.grain_degrees):
        raise BadInput(Problem("grain", f"{marked.grain_degrees}", "is no angle.", "Give degrees: 0 to the right."))
    bare = Piece(name, line, side=marked.side)
    if problems := problems_of(bare):
        raise BadInput(problems)
    notches = tuple(_notch(bare, by_number[number], along, marked.allowance_mm) for number, along in marked.notches)
    piece = replace(with_allowance(bare, marked.allowance_mm), notches=notches)
    if marked.grain_degrees is not None:
        piece = replace(piece, grain=_grain(bare, marked.grain_degrees))
    if marked.face_down:
        piece = replace(mirrored(piece), side=marked.side)
    told = _told(piece, name)
    pieces = (told, _told(mirrored(piece), name, mirror=True)) if both else (told,)
    return tuple(labelled(each) for each in pieces)


def _told(piece: Piece, name: str, *, mirror: bool = False) -> Piece:
    return replace(piece, name=f"{name} {piece.side}" if piece.side else f"{name} mirrored" if mirror else name)


def _notch(piece: Piece, node: Node, along_mm: float, allowance_mm: float) -> Notch:
    from shapely import LinearRing
    from shapely import Point as At

    ring = LinearRing(piece.outline)
    at = (ring.project(At(node.at)) + along_mm) % ring.length
    x, y = _on(ring, at)
    (a, b), (c, d) = _on(ring, at - 0.5), _on(ring, at + 0.5)
    long = hypot(c - a, d - b)
    inward = (-(d - b) / long, (c - a) / long)
    deep = allowance_mm or 4.0
    return Notch((x - allowance_mm * inward[0], y - allowance_mm * inward[1]), inward, deep)


def _on(ring: Any, at: float) -> tuple[float, float]:
    there = ring.interpolate(at % ring.length)
    return float(there.x), float(there.y)


def _grain(piece: Piece, degrees: float) -> tuple[Point, Point]:
    """The arrow, beside the place where the name will stand."""
    from shapely import LineString, Polygon
    from shapely.ops import polylabel

    outline = Polygon(piece.outline)
    room = polylabel(outline, 1.0)
    c, s = cos(radians(degrees)), sin(radians(degrees))
    x, y = room.x - BESIDE_MM * s, room.y + BESIDE_MM * c
    far = 1e5
    inside = outline.intersection(LineString([(x - far * c, y - far * s), (x + far * c, y + far * s)]))
    run = max(getattr(inside, "geoms", [inside]), key=lambda each: each.length)
    middle, half = run.interpolate(0.5, normalized=True), run.length * GRAIN_SHARE / 2
    return (
        (float(middle.x - half * c), float(middle.y - half * s)),
        (float(middle.x + half * c), float(middle.y + half * s)),
    )
