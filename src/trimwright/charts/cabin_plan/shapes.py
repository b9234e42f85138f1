"""The drawing as data: `shapes.csv` says how each kind of part looks inside its zone, `zones.csv` where a body has it.

Everything is drawn once, for a driver on the left: what is on the passenger's side is mirrored. A zone's width and
height are those its shapes are drawn in; where a body gives it another size, the shapes stretch. A kind that starts
with "-" is backdrop and no part. In a zone that comes as "… front" and "… rear", a part's place picks one.
"""

from __future__ import annotations

import csv
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from types import MappingProxyType

from trimwright.charts.cabin_plan.outline import Outline, Point, read
from trimwright.facts.trade import Body, Place

WIDE = 390.0
"""Width of the drawing [units]; on the narrowest phone we draw for, a unit is a pixel."""


@dataclass(frozen=True, slots=True)
class Frame:
    """Where one body has a zone, and the size its shapes are drawn in."""

    x: float
    y: float
    wide: float
    high: float
    drawn_wide: float
    drawn_high: float

    def settle(self, point: Point) -> Point:
        """A point of the zone on the whole drawing."""
        return self.x + point[0] * self.wide / self.drawn_wide, self.y + point[1] * self.high / self.drawn_high


@dataclass(frozen=True, slots=True)
class Row:
    """One line of `shapes.csv`: `both` sides show it though it is one part; `under` something else it lies hidden."""

    kinds: tuple[str, ...]
    zone: str
    bodies: frozenset[str]
    both: bool
    under: bool
    outlines: tuple[Outline, ...]
    seams: tuple[Outline, ...]

    def is_on(self, body: Body) -> bool:
        """Whether such a body shows it; no bodies named means all."""
        return not self.bodies or body in self.bodies

    def settled(self, frame: Frame, *, mirror: bool) -> tuple[tuple[Outline, ...], tuple[Outline, ...]]:
        """Its outlines and seams on the whole drawing, mirrored for the passenger's side."""
        sides = (False, True) if self.both else (mirror,)
        outlines = tuple(_on_side(each.moved(frame.settle), side) for side in sides for each in self.outlines)
        seams = tuple(_on_side(each.moved(frame.settle), side) for side in sides for each in self.seams)
        return outlines, seams


def _on_side(outline: Outline, mirror: bool) -> Outline:
    return outline.moved(mirrored) if mirror else outline


def mirrored(point: Point) -> Point:
    """The same point on the other side of the car."""
    return WIDE - point[0], point[1]


def frame_for(body: Body, zone: str, place: Place | None) -> Frame | None:
    """Where a part of this zone and place is on such a body; None where the body has no such zone."""
    which = "rear" if place and place.startswith("rear") else "front"
    zones = _zones()
    return zones.get((body, f"{zone} {which}")) or zones.get((body, zone))


@cache
def rows() -> tuple[Row, ...]:
    """All of `shapes.csv`, what lies lowest first."""
    return tuple(
        Row(
            tuple(line["kinds"].split()),
            line["zone"],
            frozenset(line["bodies"].split()),
            bool(line["both"]),
            bool(line["under"]),
            _outlines(line["shapes"]),
            _outlines(line["seams"]),
        )
        for line in _lines("shapes.csv")
    )


@cache
def _zones() -> MappingProxyType[tuple[str, str], Frame]:
    found = {}
    for line in _lines("zones.csv"):
        zone, wide, high = line.pop("zone"), float(line.pop("wide")), float(line.pop("high"))
        for body, where in line.items():
            if where:
                x, y, here_wide, here_high = map(float, where.split())
                found[body, zone] = Frame(x, y, here_wide, here_high, wide, high)
    return MappingProxyType(found)


def _outlines(cell: str) -> tuple[Outline, ...]:
    return tuple(read(words) for words in cell.split(";") if words.strip())


def _lines(name: str) -> Iterator[dict[str, str]]:
    text = files("trimwright.charts.cabin_plan").joinpath(name).read_text(encoding="utf-8")
    return csv.DictReader(text.splitlines())
