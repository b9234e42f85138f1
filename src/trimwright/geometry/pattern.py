"""A flat piece as it is cut: its outline, what is punched, marked and sewn on it, which way the material runs.

Conventions, said once. Lengths are mm; x runs to the right, y up, seen from the good side. A closed line does not
repeat its first point; outlines run anticlockwise, cut-outs either way. The outline is where the blade goes; where it
is sewn stands among the lines. A piece is plain tuples, so it can be compared, kept and sent; what moves it is below.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, replace
from math import cos, hypot, isfinite, radians, sin
from typing import TYPE_CHECKING, Literal

from trimwright.errors import BadInput, Problem

if TYPE_CHECKING:
    from shapely import Polygon

Point = tuple[float, float]
Polyline = tuple[Point, ...]
Side = Literal["", "left", "right"]
LineKind = Literal["sew", "fold", "inside"]
"""Where it is sewn, where it is folded or trimmed, and any other line drawn on the piece."""

_OTHER: dict[Side, Side] = {"": "", "left": "right", "right": "left"}
CAUTIONS = ("cover_airbag", "blades")
"""Ids of the cautions that go with cutting the pieces of a cover."""
MOST_MM = 20_000.0
"""No piece of a cabin is longer [mm]."""


@dataclass(frozen=True, slots=True)
class Hole:
    """A hole to punch: its middle and diameter."""

    at: Point
    across_mm: float


@dataclass(frozen=True, slots=True)
class Notch:
    """A mark at the edge that meets one on another piece; `towards` has length 1 and points into the piece."""

    at: Point
    towards: Point
    long_mm: float = 4.0


@dataclass(frozen=True, slots=True)
class Line:
    """A line on the piece, inside its outline."""

    kind: LineKind
    points: Polyline
    closed: bool = False


@dataclass(frozen=True, slots=True)
class Words:
    """What is written on the piece: the middle of the writing, its height, and its slant [degrees, anticlockwise]."""

    text: str
    at: Point
    high_mm: float = 5.0
    slant: float = 0.0


@dataclass(frozen=True, slots=True)
class Piece:
    """One flat piece. `allowance_mm` is what the outline leaves beyond the line it is sewn on, 0 where none is.

    `grain` is an arrow along the way of the material that gives least; `cut` says how many like it are cut.
    BadInput when the outline is no outline.
    """

    name: str
    outline: Polyline
    cutouts: tuple[Polyline, ...] = ()
    holes: tuple[Hole, ...] = ()
    notches: tuple[Notch, ...] = ()
    lines: tuple[Line, ...] = ()
    words: tuple[Words, ...] = ()
    grain: tuple[Point, Point] | None = None
    allowance_mm: float = 0.0
    side: Side = ""
    cut: int = 1

    def __post_init__(self) -> None:
        where = f"piece {self.name!r}"
        if not all(isfinite(each) and abs(each) <= MOST_MM for point in self.outline for each in point):
            what = f"has a point beyond {MOST_MM / 1000:g} m."
            raise BadInput(Problem(where, "", what, "Check the unit: lengths are millimetres."))
        if len(self.outline) < 3 or abs(signed_area_mm2(self.outline)) < 1e-9:
            raise BadInput(Problem(where, "", "has an outline without an area.", "Give three points or more."))
        if signed_area_mm2(self.outline) < 0:
            object.__setattr__(self, "outline", self.outline[::-1])

    @property
    def box(self) -> tuple[float, float, float, float]:
        """Least x, least y, most x, most y of the outline."""
        xs, ys = zip(*self.outline, strict=True)
        return min(xs), min(ys), max(xs), max(ys)

    @property
    def area_mm2(self) -> float:
        """Of the material that is left when it is cut, its holes not counted."""
        return signed_area_mm2(self.outline) - sum(abs(signed_area_mm2(each)) for each in self.cutouts)


def signed_area_mm2(closed: Polyline) -> float:
    """Area inside a closed line, above 0 when it runs anticlockwise (Gauss's shoelace formula).

    >>> signed_area_mm2(((0, 0), (520, 0), (560, 300), (300, 480), (-40, 310)))
    223500.0
    """
    return sum(x * v - u * y for (x, y), (u, v) in zip(closed, closed[1:] + closed[:1], strict=True)) / 2


def length_mm(points: Polyline, *, closed: bool = False) -> float:
    """Along a line.

    >>> length_mm(((0, 0), (3, 4))), length_mm(((0, 0), (3, 4)), closed=True)
    (5.0, 10.0)
    """
    ends = points[1:] + points[:1] if closed else points[1:]
    return sum(hypot(u - x, v - y) for (x, y), (u, v) in zip(points, ends, strict=False))


def problems_of(piece: Piece) -> tuple[Problem, ...]:
    """What keeps a piece from being cut: an outline that crosses itself, or something that lies outside it."""
    from shapely import Point as At
    from shapely import Polygon

    where = f"piece {piece.name!r}"
    outline = Polygon(piece.outline)
    if not outline.is_valid:
        what = f"has an outline that crosses itself{crossing(outline)}."
        return (Problem(where, "", what, "Draw it again, its points in order once round; or move those apart."),)
    inside = outline.buffer(1e-6)
    return tuple(
        Problem(where, "", f"has {what} that leaves its outline.", "Take it out, or draw the outline round it.")
        for what, lines in (("a cut-out", piece.cutouts), ("a hole", tuple((each.at,) for each in piece.holes)))
        for line in lines
        if not all(inside.contains(At(point)) for point in line)
    )


def crossing(outline: Polygon) -> str:
    """Where a line crosses itself, as " at 142, -105 mm"; nothing where it doesn't say.

    >>> from shapely import Polygon
    >>> crossing(Polygon([(0, 0), (10, 10), (10, 0), (0, 10)]))
    ' at 5, 5 mm'
    """
    from shapely.validation import explain_validity

    said = re.search(r"\[(\S+) (\S+)\]", explain_validity(outline))
    return f" at {float(said[1]):.0f}, {float(said[2]):.0f} mm" if said else ""


# ---- moving ----------------------------------------------------------------------------------------------------------


def moved(piece: Piece, right_mm: float, up_mm: float) -> Piece:
    """The piece laid elsewhere."""
    return _laid(piece, lambda at: (at[0] + right_mm, at[1] + up_mm), lambda way: way)


def turned(piece: Piece, degrees: float) -> Piece:
    """The piece turned anticlockwise about the origin."""
    c, s = (1.0, 0.0) if degrees == 0 else (cos(radians(degrees)), sin(radians(degrees)))

    def turn(at: Point) -> Point:
        return (c * at[0] - s * at[1], s * at[0] + c * at[1])

    laid = _laid(piece, turn, turn)
    return replace(laid, words=tuple(replace(each, slant=each.slant + degrees) for each in laid.words))


def mirrored(piece: Piece, name: str | None = None) -> Piece:
    """The piece for the other side: left becomes right; its words still read forwards. It stays where it lies."""
    least, _, most, _ = piece.box
    middle = least + most
    laid = _laid(piece, lambda at: (middle - at[0], at[1]), lambda way: (-way[0], way[1]))
    words = tuple(replace(each, slant=-each.slant) for each in laid.words)
    return replace(laid, name=piece.name if name is None else name, side=_OTHER[piece.side], words=words)


def _laid(piece: Piece, place: Callable[[Point], Point], way: Callable[[Point], Point]) -> Piece:
    """Every point of the piece through `place`, every direction through `way`."""

    def line(points: Polyline) -> Polyline:
        return tuple(place(each) for each in points)

    return replace(
        piece,
        outline=line(piece.outline),
        cutouts=tuple(line(each) for each in piece.cutouts),
        holes=tuple(replace(each, at=place(each.at)) for each in piece.holes),
        notches=tuple(replace(each, at=place(each.at), towards=way(each.towards)) for each in piece.notches),
        lines=tuple(replace(each, points=line(each.points)) for each in piece.lines),
        words=tuple(replace(each, at=place(each.at)) for each in piece.words),
        grain=(place(piece.grain[0]), place(piece.grain[1])) if piece.grain else None,
    )


def labelled(piece: Piece) -> Piece:
    """The piece with its name written where it has most room, besides what is written on it."""
    from shapely import Polygon
    from shapely.ops import polylabel

    room = polylabel(Polygon(piece.outline, piece.cutouts), 1.0)
    return replace(piece, words=(*piece.words, Words(piece.name, (float(room.x), float(room.y)))))


def with_allowance(piece: Piece, allowance_mm: float) -> Piece:
    """The piece with seam allowance: its outline becomes the line it is sewn on, the blade goes round outside it.

    Corners stay corners up to twice the allowance, as a sewn panel's are cut. BadInput below 0, or when the outline
    crosses itself.
    """
    from shapely import Polygon

    where = f"piece {piece.name!r} › allowance"
    if not 0 <= allowance_mm <= 100:
        what = "is not between 0 and 100 mm."
        raise BadInput(Problem(where, f"{allowance_mm:g}", what, "8 to 12 mm is usual."))
    if problems := problems_of(piece):
        raise BadInput(problems)
    if allowance_mm == 0:
        return piece
    wider = Polygon(piece.outline).buffer(allowance_mm, join_style="mitre", mitre_limit=2.0)
    if wider.interiors:
        what = "closes a gap in the outline."
        raise BadInput(Problem(where, f"{allowance_mm:g}", what, "Choose a smaller one, or cut the piece in two."))
    cut = tuple((float(x), float(y)) for x, y in wider.exterior.coords[:-1])
    sewn = Line("sew", piece.outline, closed=True)
    return replace(piece, outline=cut, lines=(*piece.lines, sewn), allowance_mm=allowance_mm)
