"""Lacing by its path: where the thread goes from hole to hole, how it looks, how long it is, how it is cut and worked.

A path is stops: an edge (−1 the driver's, 1 the dash's, 0 the gap between them), a level (0 under the leather, 1 over
it, ½ in the gap) and a place along the seam counted in holes. The same stops give the length and the picture, so what
is drawn is what is measured. The thread is drawn tight and straight from stop to stop.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import ceil, cos, dist, floor, hypot, inf, radians, sin
from typing import Literal, get_args

from trimwright.errors import BadInput, Problem
from trimwright.geometry.rim import Rim, clock, grip_at, half_axes
from trimwright.geometry.ring import Run, shared_out
from trimwright.geometry.wrap import Leather, Seam

Pattern = Literal["ladder", "spiral", "v", "crossed", "herring-bone"]
Work = Literal["straight", "thumb rest", "corner"]
PATTERNS: tuple[Pattern, ...] = get_args(Pattern)
NAMES: dict[Pattern, str] = {
    "ladder": "straight ladder",
    "spiral": "spiral",
    "v": "V by two needles",
    "crossed": "crossed",
    "herring-bone": "herring-bone",
}
THREADS: dict[Pattern, int] = {"ladder": 1, "spiral": 1, "v": 2, "crossed": 2, "herring-bone": 1}

BACK_HOLES = 3
"""A new thread starts so many holes back, and an old tail is run back as far. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class Stop:
    """Where the thread turns: edge, level, and place along the seam in holes."""

    edge: int
    level: float
    along: float


Path = tuple[Stop, ...]


def paths(pattern: Pattern, holes: int, *, closed: bool = False) -> tuple[Path, ...]:
    """The path of each needle over so many pairs of holes; a closed one comes round to where it began."""
    steps = holes + 1 if closed else holes
    if pattern == "crossed":
        return tuple(tuple(_crossed(start, steps)) for start in (-1, 1))
    cycle = {"ladder": _ladder, "spiral": _spiral, "v": _vee, "herring-bone": _herring}[pattern]
    starts = (-1, 1) if THREADS[pattern] == 2 else (-1,)
    found = []
    for start in starts:
        stops = [stop for at in range(steps) for stop in cycle(start, at)]
        if closed:  # the last cycle's first stop is the first one again
            stops = stops[: stops.index(next(each for each in stops if each.along == holes)) + 1]
        elif pattern in ("v", "herring-bone"):  # there is no next pair to lean towards
            stops = [each for each in stops if each.along <= holes - 1]
        found.append(tuple(stops))
    return tuple(found)


def _ladder(start: int, at: int) -> Iterator[Stop]:
    """Up, straight over, down; then on beneath that edge, so that sides alternate."""
    side = start if at % 2 == 0 else -start
    yield from (Stop(side, 0, at), Stop(side, 1, at), Stop(-side, 1, at), Stop(-side, 0, at))


def _spiral(start: int, at: int) -> Iterator[Stop]:
    """Up, straight over, down; then back beneath, slanting to the next pair."""
    yield from (Stop(start, 0, at), Stop(start, 1, at), Stop(-start, 1, at), Stop(-start, 0, at))


def _vee(start: int, at: int) -> Iterator[Stop]:
    """Up through an edge from below, down into the gap half a step on, and under to the other edge."""
    side = start if at % 2 == 0 else -start
    yield from (Stop(side, 0, at), Stop(side, 1, at), Stop(0, 0.5, at + 0.5))


def _herring(start: int, at: int) -> Iterator[Stop]:
    """Up, straight into the gap, up the other edge, and slanting into the gap half a step on."""
    yield from (Stop(start, 0, at), Stop(start, 1, at), Stop(0, 0.5, at))
    yield from (Stop(-start, 0, at), Stop(-start, 1, at), Stop(0, 0.5, at + 0.5))


def _crossed(start: int, steps: int) -> Iterator[Stop]:
    """Slanting over to the next pair, down, straight back beneath, up."""
    yield from (Stop(start, 0, 0), Stop(start, 1, 0))
    for at in range(1, steps):
        yield from (Stop(-start, 1, at), Stop(-start, 0, at), Stop(start, 0, at), Stop(start, 1, at))


def is_seen(one: Stop, other: Stop) -> bool:
    """Whether the thread between two stops lies over the leather."""
    return min(one.level, other.level) >= 0.5 and max(one.level, other.level) == 1


# ---- how long it is --------------------------------------------------------------------------------------------------


def pitch_thread_mm(pattern: Pattern, pitch_mm: float, between_mm: float, leather_mm: float) -> float:
    """Thread in one pitch of a straight flat seam, all needles together.

    >>> [round(213 * pitch_thread_mm(each, 4.99705, 9, 1.2), 1) for each in ("ladder", "spiral", "herring-bone", "v")]
    [3492.6, 4620.9, 4652.7, 4926.2]
    """
    slant = hypot(between_mm, pitch_mm)
    to_gap = hypot(between_mm, leather_mm) / 2
    to_next = hypot(between_mm, pitch_mm, leather_mm) / 2
    return {
        "ladder": between_mm + pitch_mm + 2 * leather_mm,
        "spiral": between_mm + slant + 2 * leather_mm,
        "v": 2 * (leather_mm + 2 * to_next),
        "crossed": 2 * (between_mm + slant + 2 * leather_mm),
        "herring-bone": 2 * leather_mm + 2 * to_gap + 2 * to_next,
    }[pattern]


def thread_mm(
    pattern: Pattern, rim: Rim, leather: Leather, seam: Seam, holes: Sequence[float], *, closed: bool = False
) -> float:
    """Thread through holes at these degrees: the sum of its straight chords on the wheel, all needles together."""
    import numpy as np

    turn = 360.0 if closed else 0.0
    degrees = np.array([*holes, *([holes[0] + turn] if closed else [])])
    places = np.arange(degrees.size)
    grips, _ = grip_at(rim, degrees)

    def point(stop: Stop) -> tuple[float, float, float]:
        at = radians(float(np.interp(stop.along, places, degrees)))
        return _on_the_wheel(stop, at, float(np.interp(stop.along, places, grips)), rim, leather.thick_mm, seam)

    return sum(
        sum(dist(one, other) for one, other in pairwise(map(point, path)))
        for path in paths(pattern, len(holes), closed=closed)
    )


def _on_the_wheel(
    stop: Stop, at: float, grip_mm: float, rim: Rim, leather_mm: float, seam: Seam
) -> tuple[float, float, float]:
    """A stop in space [mm]; near the seam the section is the circle that fits its inner tip."""
    deep, wide = half_axes(grip_mm, rim.oval)
    bare = wide**2 / deep
    beside = stop.edge * seam.between_mm / 2 / (bare + leather_mm)
    off = bare + stop.level * leather_mm
    radius = rim.radius_mm - deep + bare - off * cos(beside)
    return radius * cos(at), radius * sin(at), off * sin(beside)


# ---- how it is cut ---------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Needlefuls:
    """Thread cut to an arm: pitches that one does, how many, and what is cut in all [mm]."""

    pitches: int
    count: int
    cut_mm: float


def needlefuls(pairs: int, pitch_mm: float, arm_mm: float, tail_mm: float = 80.0, knot_mm: float = 20.0) -> Needlefuls:
    """Threads of `arm_mm` for so many pairs that take `pitch_mm` of thread each; a tail at both ends and a knot go off.

    BadInput when the arm is too short for one pitch.

    >>> needlefuls(213, 3475.36 / 213, 1000)
    Needlefuls(pitches=50, count=5, cut_mm=5000)
    """
    usable = arm_mm - 2 * tail_mm - knot_mm
    pitches = floor(usable / pitch_mm + 1e-9) if usable < inf else 0
    if pitches < 1:
        what = "is too short for one stitch and two tails."
        raise BadInput(Problem("arm", f"{arm_mm:g} mm", what, "Draw through what your arm reaches: 700 to 1,500 mm."))
    count = ceil(pairs / pitches)
    return Needlefuls(pitches, count, count * arm_mm)


@dataclass(frozen=True, slots=True)
class Thread:
    """One needleful: its run, the holes it laces (counted from 1), and the length it is cut to [mm], by needle."""

    run: int
    first: int
    last: int
    cut_mm: int
    needles: int


@dataclass(frozen=True, slots=True)
class Stint:
    """Some lacing in one go: what it is, its run, and its holes counted from 1."""

    what: Work
    run: int
    first: int
    last: int


@dataclass(frozen=True)
class Lacing:
    """A lacing worked out: thread in the seam [mm] drawn tight on the wheel, and laid flat; threads in their order."""

    pattern: Pattern
    chords_mm: float
    flat_mm: float
    threads: tuple[Thread, ...]
    order: tuple[Stint, ...]

    @property
    def name(self) -> str:
        return NAMES[self.pattern]

    @property
    def cut_mm(self) -> int:
        """Thread to cut, tails and take-up included, all needles together."""
        return sum(each.cut_mm * each.needles for each in self.threads)

    @property
    def in_order(self) -> tuple[tuple[Work, int, str], ...]:
        """What to lace, run and holes in words, those of one kind in one run together."""
        spans: dict[tuple[Work, int], list[str]] = {}
        for each in self.order:
            spans.setdefault((each.what, each.run), []).append(f"{each.first} to {each.last}")
        return tuple((what, run, " and ".join(holes)) for (what, run), holes in spans.items())

    @property
    def joins_inside(self) -> tuple[tuple[int, int], ...]:
        """Run and last hole of every thread that ends inside a run; all others end at a spoke or a cross seam."""
        return tuple((one.run, one.last) for one, other in pairwise(self.threads) if one.run == other.run)


def lacing(
    pattern: Pattern,
    rim: Rim,
    leather: Leather,
    seam: Seam,
    runs: Sequence[Run],
    *,
    arm_mm: float = 1500.0,
    take_up: float = 0.12,
    tail_mm: float = 80.0,
    knot_mm: float = 20.0,
) -> Lacing:
    """The lacing of all runs. `arm_mm` is what one draws through comfortably; `take_up` is what pulling up and pulling
    through the leather uses of the thread over the straight chords. BadInput when the arm is too short.
    """
    ring = len(runs) == 1 and not any(runs[0].at_spoke)
    chords = [thread_mm(pattern, rim, leather, seam, run.holes, closed=ring) for run in runs]
    flat = sum(
        len(run.holes) * pitch_thread_mm(pattern, run.pitch_mm, seam.between_mm, leather.thick_mm) for run in runs
    )
    needles = THREADS[pattern]
    threads: list[Thread] = []
    for number, (run, chord) in enumerate(zip(runs, chords, strict=True)):
        count = len(run.holes)
        pitch = chord / count / needles * (1 + take_up)
        fulls = needlefuls(count, pitch, arm_mm, tail_mm, knot_mm)
        first = 1
        for share in shared_out(count, [1.0] * fulls.count):
            cut_mm = ceil((share * pitch + 2 * tail_mm + knot_mm) / 10) * 10
            threads.append(Thread(number, first, first + share - 1, cut_mm, needles))
            first += share
    return Lacing(pattern, sum(chords), flat, tuple(threads), working_order(rim, runs))


def working_order(rim: Rim, runs: Sequence[Run]) -> tuple[Stint, ...]:
    """Straights first, the run at 12 o'clock before the others and then by turns on both sides; then thumb rests;
    the holes beside spokes and cross seams last."""
    import numpy as np

    grips = [grip_at(rim, np.array(run.holes))[0] for run in runs]
    least = min(float(each.min()) for each in grips)
    stints: list[Stint] = []
    for number, (run, grip) in enumerate(zip(runs, grips, strict=True)):
        last = len(run.holes)
        corner = min(BACK_HOLES, last // 3)
        kinds: list[Work] = [
            "corner" if at < corner or at >= last - corner else "thumb rest" if grip[at] > least * 1.01 else "straight"
            for at in range(last)
        ]
        start = 0
        for at in range(1, last + 1):
            if at == last or kinds[at] != kinds[start]:
                stints.append(Stint(kinds[start], number, start + 1, at))
                start = at
    return tuple(
        sorted(
            stints, key=lambda each: (get_args(Work).index(each.what), _from_top(runs[each.run]), each.run, each.first)
        )
    )


def _from_top(run: Run) -> float:
    """How far a run's middle is from 12 o'clock [degrees]."""
    middle = (run.start + run.end) / 2 % 360
    return round(min(middle, 360 - middle), 6)


def run_name(run: Run) -> str:
    """A run as a driver says it.

    >>> run_name(Run(-85, 85, 500.0, (0.0,), 5.0, 5.5, (True, True)))
    "9 to 3 o'clock"
    """
    start = clock(run.start).removesuffix(" o'clock")
    return f"{start} to {clock(run.end)}"
