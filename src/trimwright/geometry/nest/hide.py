"""A hide: its outline, its flaws, and zones of lesser leather such as the belly; read from a list of points.

Lengths are mm. The backbone runs along x. Of a hide's file each heading begins a closed line of points below it:

    outline
    0 0
    2400 80
    …
    flaw
    900 640 40          (a round one: its middle and how wide it is)
    zone belly
    0 0
    2400 0
    …
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import cos, isfinite, pi, sin
from typing import TYPE_CHECKING

from trimwright.errors import BadInput, Problem
from trimwright.geometry.pattern import MOST_MM, Polyline, crossing

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

_SIDES = 24
MOST_POINTS = 5_000
MOST_TOLD = 10
"""So many lines that can't be read are named; a file with more is no hide."""


@dataclass(frozen=True, slots=True)
class Zone:
    """A part of the hide that some pieces keep out of."""

    name: str
    outline: Polyline


@dataclass(frozen=True, slots=True)
class Hide:
    """One hide. Flaws are never cut into; zones only by pieces that don't mind."""

    name: str
    outline: Polyline
    flaws: tuple[Polyline, ...] = ()
    zones: tuple[Zone, ...] = ()


@dataclass(frozen=True, slots=True)
class Clearances:
    """What stays between two pieces or a piece and a flaw, and along the hide's edge [mm]."""

    gap_mm: float = 4.0
    margin_mm: float = 12.0

    def __post_init__(self) -> None:
        problems = [
            Problem(name, f"{said:g}", "is not between 0 and 200 mm.", "4 and 12 are usual.")
            for name, said in (("gap", self.gap_mm), ("margin", self.margin_mm))
            if not 0 <= said <= 200
        ]
        if problems:
            raise BadInput(problems)


def usable(hide: Hide, keep_out: frozenset[str], clear: Clearances) -> BaseGeometry:
    """Where a piece may lie that keeps out of those zones: all of it, not its middle."""
    from shapely import Polygon
    from shapely.ops import unary_union

    flaws = [Polygon(each).buffer(clear.gap_mm) for each in hide.flaws]
    zones = [Polygon(each.outline) for each in hide.zones if each.name in keep_out]
    return Polygon(hide.outline).buffer(-clear.margin_mm).difference(unary_union(flaws + zones))


def room_for_wider(hide: Hide, keep_out: frozenset[str], clear: Clearances) -> BaseGeometry:
    """Where a piece may lie that is drawn wider by half the gap: what it covers there is `usable` to the piece itself.

    Two pieces so widened that don't overlap are a gap apart, and a widened piece within the hide drawn in by the
    margin less half a gap is itself within the margin.
    """
    from shapely import Polygon
    from shapely.ops import unary_union

    half = clear.gap_mm / 2
    taken = [Polygon(each).buffer(half) for each in hide.flaws]
    taken += [Polygon(each.outline) for each in hide.zones if each.name in keep_out]
    return Polygon(hide.outline).buffer(-max(0.0, clear.margin_mm - half)).difference(unary_union(taken))


def checked(hide: Hide) -> Hide:
    """The hide, or BadInput with every line that crosses itself, has no area, is too long or lies outside."""
    from shapely import Polygon

    named = [("outline", hide.outline)]
    named += [(f"flaw {number}", each) for number, each in enumerate(hide.flaws, 1)]
    named += [(f"zone {each.name}", each.outline) for each in hide.zones]
    problems = []
    edge: Polygon | None = None
    for name, line in named:
        where = f"hide {hide.name!r} › {name}"
        if len(line) < 3:
            problems.append(Problem(where, str(len(line)), "has fewer than three points.", "Walk once round it."))
        elif not all(isfinite(each) and abs(each) <= MOST_MM for point in line for each in point):
            what = f"has a point beyond {MOST_MM / 1000:g} m."
            problems.append(Problem(where, "", what, "Check the unit: lengths are millimetres."))
        elif not (drawn := Polygon(line)).is_valid or drawn.area < 1:
            what = f"crosses itself{crossing(drawn)} or has no area."
            problems.append(Problem(where, "", what, "Give its points in order, once round."))
        elif name == "outline":
            edge = drawn
        elif edge is not None and not edge.intersects(drawn):
            problems.append(Problem(where, "", "lies outside the hide.", "Move it onto the hide, or take it out."))
    if problems:
        raise BadInput(problems)
    return hide


def usable_as_is_mm2(hide: Hide) -> float:
    """What is left of it without its flaws, nothing kept clear and no zone kept out of [mm²]."""
    return float(usable(hide, frozenset(), Clearances(0.0, 0.0)).area)


def read_hide(text: str, name: str) -> Hide:
    """The hide that a file's text tells of. BadInput with every line that can't be read."""
    if "\0" in text:
        way_out = "Give a file of points that begins with a line that says outline."
        raise BadInput(Problem(f"hide {name!r}", "", "is no text.", way_out))
    lines: list[tuple[str, list[tuple[float, ...]]]] = []
    problems: list[Problem] = []
    for number, line in enumerate(text.splitlines(), 1):
        words = line.split("#")[0].replace(",", " ").split()
        if not words:
            continue
        where = f"hide {name!r} › line {number}"
        if words[0].lower() in ("outline", "flaw", "zone"):
            if words[0].lower() == "zone" and len(words) < 2:
                problems.append(Problem(where, line.strip(), "is a zone without a name.", "Say zone belly."))
            lines.append((" ".join(words).lower(), []))
            continue
        numbers = _numbers(words)
        if numbers is None or not lines:
            way_out = "Give x y in mm below a heading: outline, flaw, or zone and its name."
            problems.append(Problem(where, line.strip()[:40], "is neither a heading nor a point.", way_out))
        else:
            lines[-1][1].append(numbers)
    outlines = [points for heading, points in lines if heading.startswith("outline")]
    if len(outlines) != 1:
        what = "has no outline." if not outlines else "has more than one outline."
        way_out = "It is one hide: draw its edge once, or write it below one line that says outline."
        problems.append(Problem(f"hide {name!r}", "", what, way_out))
    if sum(len(points) for _, points in lines) > MOST_POINTS:
        problems.append(Problem(f"hide {name!r}", "", f"has more than {MOST_POINTS} points.", "Take out every other."))
    if problems:
        raise BadInput(problems[:MOST_TOLD])
    return checked(
        Hide(
            name,
            _line(outlines[0]),
            tuple(_line(points) for heading, points in lines if heading.startswith("flaw")),
            tuple(Zone(heading[5:], _line(points)) for heading, points in lines if heading.startswith("zone")),
        )
    )


def _numbers(words: list[str]) -> tuple[float, ...] | None:
    try:
        found = tuple(float(each) for each in words)
    except ValueError:
        return None
    return found if len(found) in (2, 3) else None


def _line(points: list[tuple[float, ...]]) -> Polyline:
    """Points as a closed line; one point of three numbers is a round spot, drawn as a polygon about it."""
    if len(points) == 1 and len(points[0]) == 3:
        x, y, across = points[0]
        far = across / 2 / cos(pi / _SIDES)
        turns = [2 * pi * step / _SIDES for step in range(_SIDES)]
        return tuple((x + far * cos(turn), y + far * sin(turn)) for turn in turns)
    found = tuple((each[0], each[1]) for each in points)
    return found[:-1] if len(found) > 1 and found[0] == found[-1] else found


def written(hide: Hide) -> str:
    """The file that `read_hide` reads again."""
    named = [("outline", hide.outline), *(("flaw", each) for each in hide.flaws)]
    named += [(f"zone {each.name}", each.outline) for each in hide.zones]
    return "".join(f"{name}\n" + "".join(f"{x:.1f} {y:.1f}\n" for x, y in line) for name, line in named)


def scaled(hide: Hide, by: float) -> Hide:
    """The hide larger or smaller in length by a factor; its flaws and zones with it."""

    def line(points: Polyline) -> Polyline:
        return tuple((x * by, y * by) for x, y in points)

    return replace(
        hide,
        outline=line(hide.outline),
        flaws=tuple(line(each) for each in hide.flaws),
        zones=tuple(replace(each, outline=line(each.outline)) for each in hide.zones),
    )
