"""A leather wrap for a steering wheel: from the rim and the leather to panels whose edges lace up hole for hole.

The holes are laid out along the seam on the wheel, and each is carried to both edges of the flat leather: so both
edges have the same count whatever the grip does. `stretch.py` says how long the strip is and what it must give,
`ring.py` where the holes are, `panels.py` draws the pieces, `advice.py` says what is unwise and what would help.
Friction, creep and what leather does once wet are outside the formulas.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import combinations

from trimwright.errors import BadInput, Problem
from trimwright.geometry import ring, stretch
from trimwright.geometry.panels import Cut, panels
from trimwright.geometry.pattern import Piece
from trimwright.geometry.rim import Rim, Root, root_of
from trimwright.geometry.ring import Run
from trimwright.geometry.stretch import Fit, Flat, Strain

GUESSED_ACROSS, GUESSED_ALONG = 0.04, 0.08
"""What wheel leather gives under the hand where no strip was tested: round the grip, and along the rim. From memory:
4 to 8 %."""
MOST_STRETCH = 0.5
MOST_PIECES = 12
LEAST_HOLES = 3


@dataclass(frozen=True, slots=True)
class Leather:
    """The leather: thickness [mm], what it gives round the grip and along the rim, and whether a strip said so."""

    thick_mm: float = 1.2
    across: float = GUESSED_ACROSS
    along: float = GUESSED_ALONG
    tested: bool = False


@dataclass(frozen=True, slots=True)
class Seam:
    """The laced seam: gap left between the edges, hole to edge, wanted distance from hole to hole, hole [mm]."""

    gap_mm: float = 2.0
    margin_mm: float = 3.5
    pitch_mm: float = 5.0
    hole_mm: float = 1.0

    @property
    def between_mm(self) -> float:
        """From the row on one edge to the row on the other, on the wheel."""
        return self.gap_mm + 2 * self.margin_mm


@dataclass(frozen=True, slots=True)
class Shape:
    """How the strip is cut: where pieces meet [degrees], length, a seam on the outer line, and what is left over at
    a cross seam, at the outer seam and tucked under a spoke [mm]."""

    joins: tuple[float, ...] = ()
    fit: Fit = "even"
    halves: bool = False
    join_mm: float = 8.0
    outer_mm: float = 6.0
    tuck_mm: float = 0.0


@dataclass(frozen=True)
class Wrap:
    """A wrap worked out. Lengths mm; `seam_mm` is the whole turn at the hub, `edge_mm` that along one flat edge: what
    it has over the seam is gathered by the lacing."""

    rim: Rim
    leather: Leather
    seam: Seam
    shape: Shape
    flat: Flat
    wide_mm: tuple[float, float]
    """Least and greatest width of the flat strip."""
    seam_mm: float
    edge_mm: float
    runs: tuple[Run, ...]
    roots: tuple[Root, ...]
    strain: Strain
    cut: Cut
    pieces: tuple[Piece, ...]

    @property
    def joins(self) -> tuple[float, ...]:
        """Where pieces meet [degrees], from 12 o'clock."""
        return self.cut.joins

    @property
    def pairs(self) -> int:
        """Pairs of holes on the whole wheel."""
        return sum(len(run.holes) for run in self.runs)

    @property
    def laced_mm(self) -> float:
        """What the spokes leave of the seam."""
        return sum(run.long_mm for run in self.runs)

    @property
    def area_mm2(self) -> float:
        """Leather in the pieces."""
        return sum(piece.area_mm2 * piece.cut for piece in self.pieces)


def wrap(rim: Rim, leather: Leather, seam: Seam, shape: Shape) -> Wrap:
    """The wrap of a rim. BadInput with everything that is wrong; what is only unwise `advice.py` tells."""
    if problems := [*_wrong_leather(leather), *_wrong_seam(seam), *_wrong_shape(shape)]:
        raise BadInput(problems)
    roots = tuple(root_of(each, rim, leather.thick_mm) for each in rim.spokes)
    if shape.halves:
        flat = stretch.halves(rim, leather.thick_mm, leather.across)
    else:
        flat = stretch.straight(rim, leather.thick_mm, shape.fit, leather.along)
    joins = tuple(sorted({each % 360 for each in shape.joins})) or usual_joins(
        (each.at for each in rim.spokes), max(1, len(rim.spokes))
    )
    around = ring.measured(rim, leather.thick_mm, flat, seam.gap_mm, leather.across)
    runs = ring.runs_of(around, rim, roots, joins, seam.pitch_mm)
    if problems := list(_cramped(runs, seam)):
        raise BadInput(problems)
    half_mm = (float(around.half.min()), float(around.half.max()))
    if half_mm[0] < 2 * seam.margin_mm + seam.gap_mm:
        what = f"leaves a strip only {2 * half_mm[0]:.0f} mm wide."
        raise BadInput(Problem("gap and margin", "", what, "Make the gap or the hole margin smaller."))
    cut = Cut(
        flat=flat,
        joins=joins,
        holes=tuple(hole % 360 for run in runs for hole in run.holes),
        margin_mm=seam.margin_mm,
        hole_mm=seam.hole_mm,
        gap_mm=seam.gap_mm,
        across=leather.across,
        tuck_mm=shape.tuck_mm,
        join_mm=shape.join_mm,
        outer_mm=shape.outer_mm if shape.halves else None,
    )
    return Wrap(
        rim=rim,
        leather=leather,
        seam=seam,
        shape=shape,
        flat=flat,
        wide_mm=(2 * half_mm[0], 2 * half_mm[1]),
        seam_mm=around.seam_to(360),
        edge_mm=around.edge_to(360),
        runs=runs,
        roots=roots,
        strain=stretch.strain(rim, leather.thick_mm, flat, leather.across),
        cut=cut,
        pieces=panels(cut, rim, roots, around),
    )


# ---- from what is said -----------------------------------------------------------------------------------------------


def stretch_of(marked_mm: float, pulled_mm: float, where: str = "test strip") -> float:
    """What a strip gives that was marked over `marked_mm` and reads `pulled_mm` under the hand's pull.

    >>> round(stretch_of(100, 104), 6)
    0.04
    """
    found = pulled_mm / marked_mm - 1 if marked_mm > 0 else -1.0
    if not 0 <= found <= MOST_STRETCH:
        what = f"is no stretch of leather: from nothing to {MOST_STRETCH:.0%} is."
        shown = f"{marked_mm:g} mm drawn to {pulled_mm:g}"
        raise BadInput(Problem(where, shown, what, "Mark 100 mm, pull by hand, read between the marks again."))
    return found


def usual_joins(spokes: Iterable[float], pieces: int) -> tuple[float, ...]:
    """Where so many pieces usually meet [degrees]: under spokes as evenly as may be, then halfway along the longest;
    on a rim without spokes at 6 o'clock, at 3 and 9, or evenly from 6 o'clock. Common practice, no source.

    >>> usual_joins([90, 180, 270], 3), usual_joins([90, 180, 270], 1), usual_joins([90, 180, 270], 2)
    ((90, 180, 270), (180,), (90, 270))
    >>> usual_joins([], 1), usual_joins([90, 180, 270], 4)
    ((180.0,), (0.0, 90, 180, 270))
    """
    if not 1 <= pieces <= MOST_PIECES:
        what = f"is not between 1 and {MOST_PIECES}."
        raise BadInput(Problem("pieces", f"{pieces}", what, "1 to 4 is usual."))
    there = sorted(each % 360 for each in spokes)
    if not there:
        first = 90.0 if pieces == 2 else 180.0
        return tuple(sorted((first + 360 * each / pieces) % 360 for each in range(pieces)))
    if pieces <= len(there):
        return min(combinations(there, pieces), key=lambda chosen: (_longest(chosen)[0], abs(min(chosen) - 180)))
    joins = there
    while len(joins) < pieces:
        reach, start = _longest(joins)
        joins = sorted([*joins, (start + reach / 2) % 360])
    return tuple(joins)


def _longest(joins: Iterable[float]) -> tuple[float, float]:
    """The widest gap between joins and where it starts; of equal ones the first."""
    around = sorted(joins)
    ends = [*around[1:], around[0]]
    gaps = [(round((other - one) % 360, 6) or 360.0, one) for one, other in zip(around, ends, strict=True)]
    return max(gaps, key=lambda gap: (gap[0], -gap[1]))


def _wrong_leather(leather: Leather) -> Iterator[Problem]:
    if not 0.3 <= leather.thick_mm <= 4:
        what = "is not between 0.3 and 4 mm."
        yield Problem(
            "leather", f"{leather.thick_mm:g}", what, "Give its thickness in mm; 1.0 to 1.4 is sold for wheels."
        )
    for name, found in (("across", leather.across), ("along", leather.along)):
        if not 0 <= found <= MOST_STRETCH:
            what = f"is no stretch of leather: from 0 to {MOST_STRETCH:g} is."
            yield Problem(f"stretch {name}", f"{found:g}", what, "Write 0.05 for 5 %.")


def _wrong_seam(seam: Seam) -> Iterator[Problem]:
    spans = (
        ("pitch", seam.pitch_mm, 2.0, 20.0, "3 to 6 mm is usual."),
        ("margin", seam.margin_mm, 1.5, 12.0, "3 to 4 mm is usual."),
        ("gap", seam.gap_mm, 0.0, 12.0, "0 where the edges meet, 1 to 2 mm where the stitch is to show."),
        ("hole", seam.hole_mm, 0.3, 4.0, "About as wide as the thread; 0.8 to 1.0 mm is usual."),
    )
    yield from _out_of(spans)
    if seam.hole_mm >= min(seam.pitch_mm, 2 * seam.margin_mm) > 0:
        yield Problem(
            "hole", f"{seam.hole_mm:g}", "leaves no leather between holes or to the edge.", "Make it smaller."
        )


def _wrong_shape(shape: Shape) -> Iterator[Problem]:
    spans = (
        ("join allowance", shape.join_mm, 0.0, 25.0, "8 to 10 mm is usual."),
        ("outer seam allowance", shape.outer_mm, 0.0, 25.0, "5 to 8 mm is usual."),
        ("tuck", shape.tuck_mm, 0.0, 20.0, "0 to 6 mm is usual."),
    )
    yield from _out_of(spans)
    if len(shape.joins) > MOST_PIECES:
        yield Problem("joins", f"{len(shape.joins)}", f"are more than {MOST_PIECES}.", "1 to 4 is usual.")


def _cramped(runs: Iterable[Run], seam: Seam) -> Iterator[Problem]:
    """Runs too short to lace: spokes that all but meet, or a join just beside a spoke."""
    for run in runs:
        if run.long_mm < LEAST_HOLES * seam.pitch_mm:
            where = f"seam from {run.start % 360:.0f}° to {run.end % 360:.0f}°"
            what = f"is too short to lace: {LEAST_HOLES} holes are the least."
            yield Problem(where, f"{run.long_mm:.0f} mm", what, "Put the join under the spoke, or check the spokes.")


def _out_of(spans: Iterable[tuple[str, float, float, float, str]]) -> Iterator[Problem]:
    for name, found, least, most, way_out in spans:
        if not least <= found <= most:
            yield Problem(name, f"{found:g}", f"is not between {least:g} and {most:g} mm.", way_out)
