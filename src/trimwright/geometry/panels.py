"""The flat panels of a wheel wrap: edges, notches for spokes, bowed ends, holes, and what is written on them.

A panel is drawn by degrees round the rim and mm from the outer line, and only then laid flat, straight or curved. Seen
from the good side the rim runs clockwise to the right, the driver's edge below, the dash's above. Halves are drawn for
the driver's side and mirrored for the dash.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from math import cos, hypot, pi, radians, sin

from trimwright.geometry.pattern import Hole, Line, Piece, Point, Polyline, Words, mirrored
from trimwright.geometry.rim import Rim, Root, clock, half_axes
from trimwright.geometry.ring import Ring
from trimwright.geometry.stretch import Flat, mean_grip

BOW = 4.71
"""Bow of a long panel's end over a²/R, from a least-squares flattening of the ring: 4.69–4.75 over five rims of 120°
and longer; simulated, no source."""
WIDER = 0.04
"""Ends are cut so much wider, and trimmed when the cross seam is closed: 3 to 5 % in the same flattening."""
CORNER_MM = 3.0
"""Radius of a notch's inner corners; a sharp one tears. Common practice, no source."""
COUNTED = 10
"""Every so many holes a tick is drawn inside the row."""
DRIVERS, DASH = ", driver's half", ", dash half"
_STEP = 1.0
"""Degrees between points of an edge that is no straight line."""
_END_POINTS = 25

_Place = tuple[float, float]
"""Degrees round the rim, and mm from the outer line."""


@dataclass(frozen=True)
class Cut:
    """What the panels are drawn by: the flat strip, joins and holes [degrees], the seam, what is left over [mm]."""

    flat: Flat
    joins: tuple[float, ...]
    holes: tuple[float, ...]
    margin_mm: float
    hole_mm: float
    gap_mm: float
    across: float
    tuck_mm: float
    join_mm: float
    outer_mm: float | None
    """Allowance of the seam on the outer line; None where there is none."""


@dataclass(frozen=True, slots=True)
class SpokeNotch:
    """A notch at an edge: its middle [degrees], half its length and its depth in flat leather before and after what is
    tucked under the spoke [mm]; a depth or length of 0 or less is no notch, only a flap that is tucked in."""

    at: float
    half_mm: float
    deep_mm: float
    tuck_mm: float

    @property
    def is_cut(self) -> bool:
        return self.half_mm > self.tuck_mm and self.deep_mm > self.tuck_mm


def notch_of(cut: Cut, at: float, root: Root, half_strip_mm: float) -> SpokeNotch:
    """The notch that a spoke needs where half the strip is so wide."""
    return SpokeNotch(
        at=at,
        half_mm=cut.flat.mm_per_degree(-half_strip_mm) * root.half_open,
        deep_mm=(root.from_seam_mm - cut.gap_mm / 2) / (1 + cut.across),
        tuck_mm=cut.tuck_mm,
    )


def bow_mm(rim: Rim, degrees: float) -> float:
    """How far the end of a straight panel stands out in the middle, for a panel over so many degrees of the rim.

    A long panel shares its stretch with its ends as a flattening finds; a short one is cut to the fibres' own lengths.
    """
    deep, _ = half_axes(mean_grip(rim), rim.oval)
    return min(radians(degrees) * deep, BOW * deep**2 / rim.radius_mm)


def panels(cut: Cut, rim: Rim, roots: Sequence[Root], ring: Ring) -> tuple[Piece, ...]:
    """The pieces in their order from the first join; halves come two by two, the driver's first."""
    count = len(cut.joins)
    ends = (*cut.joins[1:], cut.joins[0] + 360)
    pieces = [
        _panel(_Span(cut, rim, roots, ring, start, end), number + 1, count)
        for number, (start, end) in enumerate(zip(cut.joins, ends, strict=True))
    ]
    if cut.outer_mm is None:
        return tuple(pieces)
    return tuple(each for piece in pieces for each in (piece, _for_the_dash(piece)))


def _for_the_dash(piece: Piece) -> Piece:
    """The other half: the mirror image, named for its side."""
    told = partial(_renamed, {DRIVERS: DASH, "driver's edge": "dash edge"})
    other = mirrored(piece, told(piece.name))
    return replace(other, words=tuple(replace(each, text=told(each.text)) for each in other.words))


def _renamed(names: Mapping[str, str], text: str) -> str:
    for old, new in names.items():
        text = text.replace(old, new)
    return text


@dataclass(frozen=True)
class _Span:
    """One panel between two joins [degrees, the end above the start]."""

    cut: Cut
    rim: Rim
    roots: Sequence[Root]
    ring: Ring
    start: float
    end: float

    @property
    def middle(self) -> float:
        return (self.start + self.end) / 2

    @property
    def is_straight(self) -> bool:
        return self.cut.flat.bend_mm is None

    def flat(self, place: _Place) -> Point:
        """Laid flat, its middle at x = 0."""
        return self.cut.flat.at(place[0] - self.middle, place[1])

    def beside(self, degrees: float, y: float, mm: float) -> _Place:
        """So many mm further along."""
        return degrees + mm / self.cut.flat.mm_per_degree(y), y

    def notches(self) -> Iterator[SpokeNotch]:
        """Of the spokes that reach into the panel, at degrees of this span."""
        for spoke, root in zip(self.rim.spokes, self.roots, strict=True):
            found = notch_of(self.cut, spoke.at % 360, root, self.ring.half_at(spoke.at))
            for turn in (-360.0, 0.0, 360.0):
                at = found.at + turn
                if self.start - root.half_open < at < self.end + root.half_open:
                    yield SpokeNotch(at, found.half_mm, found.deep_mm, found.tuck_mm)

    def half(self, degrees: float) -> float:
        """From the outer line to the edge, with the ends cut wider."""
        plain = self.ring.half_at(degrees)
        if not self.is_straight:
            return plain
        end = min(degrees - self.start, self.end - degrees) * self.cut.flat.mm_per_degree(0)
        return plain * (1 + WIDER * cos(pi / 2 * min(1.0, max(0.0, end) / plain)) ** 2)


def _panel(span: _Span, number: int, count: int) -> Piece:
    cut = span.cut
    edge = _edge(span)
    low = [(degrees, -y) for degrees, y in edge]
    high = _outer_edge(span, edge)
    first = _end(span, span.start, low[0][1], high[0][1], cut.join_mm)
    last = _end(span, span.end, low[-1][1], high[-1][1], cut.join_mm)
    name = f"{number} of {count}, {clock(span.start)} to {clock(span.end)}"
    if count == 1:
        name = f"one piece from {clock(span.start)}"
    if cut.outer_mm is not None:
        name += DRIVERS
    return Piece(
        name=name,
        outline=_once(map(span.flat, (*low, *last, *reversed(high), *reversed(first)))),
        holes=tuple(Hole(span.flat(each), cut.hole_mm) for row in _rows(span) for each in row),
        lines=tuple(_lines(span, low, high)),
        words=tuple(_words(span, name)),
        grain=_grain(span),
        allowance_mm=cut.join_mm,
    )


# ---- its outline -----------------------------------------------------------------------------------------------------


def _edge(span: _Span) -> list[_Place]:
    """The laced edge from start to end: degrees, and mm from the outer line."""
    open_at = [
        (each, (each.half_mm - each.tuck_mm) / span.cut.flat.mm_per_degree(-span.half(each.at)))
        for each in span.notches()
        if each.is_cut
    ]
    plain = [
        (degrees, span.half(degrees))
        for degrees in _along(span)
        if not any(abs(degrees - each.at) <= reach for each, reach in open_at)
    ]
    cut = [place for each, reach in open_at for place in _notch(span, each, reach)]
    return sorted([*plain, *cut], key=lambda place: place[0])  # stable: the sides of a notch keep their order


def _along(span: _Span) -> Iterator[float]:
    count = max(1, round((span.end - span.start) / _STEP))
    for each in range(count + 1):
        yield span.start + (span.end - span.start) * each / count


def _notch(span: _Span, notch: SpokeNotch, reach: float) -> Iterator[_Place]:
    """In, across and out again, with rounded inner corners, as far as the panel goes."""
    deep, long = notch.deep_mm - notch.tuck_mm, notch.half_mm - notch.tuck_mm
    floor = span.ring.half_at(notch.at) - deep
    radius = min(CORNER_MM, deep, long)
    wide = radius / span.cut.flat.mm_per_degree(-floor)
    turns = [each * pi / 12 for each in range(7)]
    first = [(notch.at - reach + wide * (1 - cos(turn)), floor + radius * (1 - sin(turn))) for turn in turns]
    last = [(2 * notch.at - degrees, y) for degrees, y in reversed(first)]
    start, end = notch.at - reach, notch.at + reach
    if start <= span.start:
        yield span.start, floor
    for place in ((start, span.half(start)), *first, *last, (end, span.half(end))):
        if span.start < place[0] < span.end:
            yield place
    if end >= span.end:
        yield span.end, floor


def _outer_edge(span: _Span, laced: Sequence[_Place]) -> list[_Place]:
    """The other edge: the same again, or the seam on the outer line with its allowance."""
    if span.cut.outer_mm is None:
        return list(laced)
    return [(degrees, span.cut.outer_mm) for degrees in _along(span)]


def _end(span: _Span, at: float, low: float, high: float, beyond_mm: float) -> list[_Place]:
    """An end from its lower to its upper corner, bowed, `beyond_mm` outside the line it is sewn on."""
    away = -1 if at == span.start else 1
    bow = bow_mm(span.rim, span.end - span.start) if span.is_straight else 0.0
    half = span.ring.half_at(at)
    steps = [low + (high - low) * each / (_END_POINTS - 1) for each in range(_END_POINTS)]
    return [
        span.beside(at, y, away * (beyond_mm + bow * (1 + cos(pi * max(-1.0, min(1.0, y / half)))) / 2)) for y in steps
    ]


def _once(points: Iterable[Point]) -> Polyline:
    """Without points that repeat the one before."""
    kept: list[Point] = []
    for each in points:
        if not kept or hypot(each[0] - kept[-1][0], each[1] - kept[-1][1]) > 1e-6:
            kept.append(each)
    return tuple(kept)


# ---- what is punched, marked and written on it -----------------------------------------------------------------------


def _rows(span: _Span) -> Iterator[list[_Place]]:
    """The rows of holes, the driver's first; one where the other edge is no laced one."""
    there = [
        (at, span.ring.half_at(at) - span.cut.margin_mm)
        for hole in span.cut.holes
        for at in (hole, hole + 360)
        if span.start < at < span.end
    ]
    there.sort()
    yield [(at, -y) for at, y in there]
    if span.cut.outer_mm is None:
        yield there


def _lines(span: _Span, low: Sequence[_Place], high: Sequence[_Place]) -> Iterator[Line]:
    """Cross seams, the outer line or its seam, tucks under spokes, a tick at every tenth hole and every hour."""
    if span.cut.join_mm:
        for at, corner in ((span.start, 0), (span.end, -1)):
            yield Line("sew", _once(map(span.flat, _end(span, at, low[corner][1], high[corner][1], 0.0))))
    outer = tuple(span.flat((degrees, 0.0)) for degrees in _along(span))
    yield Line("inside" if span.is_straight else "sew", outer if not span.is_straight else (outer[0], outer[-1]))
    for notch in span.notches():
        yield from _tucks(span, notch)
    for row in _rows(span):
        for degrees, y in row[COUNTED - 1 :: COUNTED]:
            inwards = -1 if y > 0 else 1
            yield Line("inside", (span.flat((degrees, y + 2 * inwards)), span.flat((degrees, y + 5 * inwards))))
    for degrees in _hours(span):
        yield Line("inside", (span.flat((degrees, -4.0)), span.flat((degrees, 0.0))))


def _tucks(span: _Span, notch: SpokeNotch) -> Iterator[Line]:
    """Where leather turns in at a spoke, when some is left to be tucked."""
    if not (notch.tuck_mm and notch.deep_mm > 0):
        return
    floor = span.ring.half_at(notch.at) - notch.deep_mm
    reach = notch.half_mm / span.cut.flat.mm_per_degree(-floor)
    ends = max(span.start, notch.at - reach), min(span.end, notch.at + reach)
    for side in (-1, 1) if span.cut.outer_mm is None else (-1,):
        yield Line("fold", tuple(span.flat((degrees, side * floor)) for degrees in ends))


def _hours(span: _Span) -> Iterator[float]:
    """Hours of the clock that lie well inside the panel."""
    for hour in range(25):
        if span.start + 4 < 30 * hour < span.end - 4:
            yield 30.0 * hour


def _words(span: _Span, name: str) -> Iterator[Words]:
    half = span.ring.half_at(span.middle)
    driver, *dash = (len(row) for row in _rows(span))
    head, _, rest = name.partition(", ")
    if span.is_straight:
        yield Words(name, span.flat((span.middle, -0.3 * half)))
    else:  # short lines, for the hours stand beside them
        reach, _, side = rest.rpartition(", ")
        yield Words(f"{head}, {side}" if reach else name, span.flat((span.middle, -0.36 * half)), 4.0)
        if reach:
            yield Words(reach, span.flat((span.middle, -0.36 * half - 6)), 4.0)
    yield Words(f"driver's edge, {driver} holes", span.flat((span.middle, -half + span.cut.margin_mm + 10)), 4.0)
    for count in dash:
        yield Words(f"dash edge, {count} holes", span.flat((span.middle, half - span.cut.margin_mm - 10)), 4.0)
    for degrees in _hours(span):
        slant = 0.0 if span.is_straight else -(degrees - span.middle) * span.cut.flat.turn_degrees / 360
        yield Words(f"{round(degrees / 30) % 12 or 12}", span.flat((degrees, -7.5)), 4.0, slant)


def _grain(span: _Span) -> tuple[Point, Point]:
    """The firm way of the leather runs along the rim."""
    half = span.ring.half_at(span.middle)
    x, y = span.flat((span.middle, 0.35 * half if span.is_straight else -0.36 * half - 10))
    long = min(40.0, 0.3 * (span.end - span.start) * span.cut.flat.mm_per_degree(-half))
    return (x - long, y), (x + long, y)
