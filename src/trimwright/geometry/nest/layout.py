"""A layout: which piece lies where on which hide, checked exactly; what is left over that is worth keeping."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from trimwright.geometry.nest.asked import ToLay
from trimwright.geometry.nest.hide import Clearances, Hide, usable
from trimwright.geometry.pattern import Piece, Polyline, moved, signed_area_mm2, turned

if TYPE_CHECKING:
    from shapely import LinearRing, Polygon
    from shapely.geometry.base import BaseGeometry

NEAR_MM = 1e-4
"""What an exact check forgives: the rounding of coordinates, far below what a knife can do."""
KEPT_MM2 = 20_000.0
"""An offcut smaller than this (a hand's breadth by two) is not kept: common practice, no source."""
KEPT_WIDE_MM = 60.0
"""Nor one narrower."""


@dataclass(frozen=True, slots=True)
class Placed:
    """A piece that lies on a hide: its number among those asked, the hide's number, its turn and shift from drawn."""

    number: int
    on: int
    turn: float
    right_mm: float
    up_mm: float

    def laid(self, asked: ToLay) -> Piece:
        """The piece where it is cut."""
        return moved(turned(asked.piece, self.turn), self.right_mm, self.up_mm)


@dataclass(frozen=True)
class Layout:
    """Pieces on hides. `tries` says how many layouts were tried to find it."""

    hides: tuple[Hide, ...]
    asked: tuple[ToLay, ...]
    placed: tuple[Placed, ...]
    clear: Clearances
    tries: int = 0

    @property
    def left_over(self) -> tuple[ToLay, ...]:
        """The pieces that found no room."""
        there = {each.number for each in self.placed}
        return tuple(each for number, each in enumerate(self.asked) if number not in there)

    @property
    def hides_used(self) -> int:
        """How many hides have a piece on them."""
        return len({each.on for each in self.placed})

    @property
    def laid_mm2(self) -> float:
        """The area of all pieces that lie."""
        return sum(signed_area_mm2(self.asked[each.number].piece.outline) for each in self.placed)

    def pieces(self, on: int) -> tuple[Piece, ...]:
        """The pieces of one hide, where they are cut."""
        return tuple(each.laid(self.asked[each.number]) for each in self.placed if each.on == on)

    def filled(self, on: int) -> float:
        """The share of a hide's usable leather that its pieces take."""
        room = usable(self.hides[on], frozenset(), self.clear).area
        return sum(signed_area_mm2(each.outline) for each in self.pieces(on)) / room if room else 0.0


def faults(layout: Layout) -> tuple[str, ...]:
    """What is wrong with a layout: a piece off the usable leather, two too near, a turn not allowed. Empty is right."""
    return tuple(_faults(layout))


def _faults(layout: Layout) -> Iterator[str]:
    from shapely import Polygon

    lying = [(each, Polygon(each.laid(layout.asked[each.number]).outline)) for each in layout.placed]
    if len({each.number for each in layout.placed}) != len(layout.placed):
        yield "a piece lies twice"
    for at, (one, drawn) in enumerate(lying):
        asked = layout.asked[one.number]
        room = usable(layout.hides[one.on], asked.keep_out, layout.clear)
        if not room.buffer(NEAR_MM).covers(drawn):
            yield f"{asked.piece.name} leaves the usable leather"
        if one.turn not in asked.turns:
            yield f"{asked.piece.name} lies turned by {one.turn:g} degrees"
        for other, beside in lying[at + 1 :]:
            if other.on == one.on and (
                drawn.distance(beside) < layout.clear.gap_mm - NEAR_MM or drawn.intersection(beside).area > NEAR_MM
            ):
                yield f"{asked.piece.name} is too near {layout.asked[other.number].piece.name}"


def in_zones(layout: Layout, on: int) -> tuple[tuple[str, str], ...]:
    """Which pieces of a hide lie in which of its zones, by their names."""
    from shapely import Polygon

    found = {
        (piece.name, zone.name)
        for piece in layout.pieces(on)
        for zone in layout.hides[on].zones
        if Polygon(piece.outline).intersection(Polygon(zone.outline)).area > NEAR_MM
    }
    return tuple(sorted(found))


def offcuts(layout: Layout, on: int) -> tuple[Hide, ...]:
    """What is left of a hide in pieces worth keeping, largest first, each a hide of its own for a later layout.

    Narrow tongues are taken off, flaws stay outside, holes where pieces lay become flaws.
    """
    name = layout.hides[on].name
    return tuple(
        Hide(f"{name} offcut {number}", _ring(part.exterior), tuple(_ring(each) for each in part.interiors))
        for number, part in enumerate(_worth_keeping(layout, on), 1)
    )


def largest_offcut_mm2(layout: Layout, on: int) -> float:
    """How large the largest of a hide's `offcuts` is; 0 without any."""
    return max((each.area for each in _worth_keeping(layout, on)), default=0.0)


def _worth_keeping(layout: Layout, on: int) -> list[Polygon]:
    from shapely import Polygon
    from shapely.ops import unary_union

    hide = layout.hides[on]
    taken = [Polygon(each.outline) for each in layout.pieces(on)]
    left = Polygon(hide.outline).difference(unary_union([*taken, *(Polygon(each) for each in hide.flaws)]))
    half = KEPT_WIDE_MM / 2
    kept = left.buffer(-half).buffer(half, join_style="mitre", mitre_limit=1.2).intersection(left)
    return sorted((each for each in _polygons(kept) if each.area >= KEPT_MM2), key=lambda each: -each.area)


def _polygons(shape: BaseGeometry) -> Iterator[Polygon]:
    from shapely import Polygon
    from shapely.geometry.base import BaseMultipartGeometry

    if isinstance(shape, Polygon):
        yield shape
    elif isinstance(shape, BaseMultipartGeometry):
        for each in shape.geoms:
            yield from _polygons(each)


def _ring(ring: LinearRing) -> Polyline:
    return tuple((float(x), float(y)) for x, y in ring.coords[:-1])
