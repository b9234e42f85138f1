"""The seam round the hub measured on the wheel and along the flat edge, and the holes spread along it.

Degrees may run past 360, so that a run across 12 o'clock is one span.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import pi
from typing import TYPE_CHECKING

from trimwright.geometry.rim import Rim, Root, grip_at, half_axes
from trimwright.geometry.stretch import Flat

if TYPE_CHECKING:
    from trimwright.geometry.rim import Array

_AROUND = 14_400
"""Places at which the seam is measured; exact where the grip is even."""


@dataclass(frozen=True)
class Ring:
    """At each of so many degrees: half the flat strip's width, and the way from 12 o'clock along the seam on the wheel
    and along the flat edge [mm]."""

    degrees: Array
    half: Array
    seam: Array
    edge: Array

    def half_at(self, degrees: float) -> float:
        """Half the flat strip's width there [mm]."""
        import numpy as np

        return float(np.interp(degrees % 360, self.degrees, self.half))

    def seam_to(self, degrees: float) -> float:
        """The way along the seam on the wheel from 12 o'clock [mm]."""
        return _way(self, self.seam, degrees)

    def edge_to(self, degrees: float) -> float:
        """The way along the flat edge from 12 o'clock [mm]."""
        return _way(self, self.edge, degrees)

    def degrees_at(self, seam_mm: float) -> float:
        """Where on the rim so much of the seam has been walked."""
        import numpy as np

        turns, rest = divmod(seam_mm, float(self.seam[-1]))
        return 360 * turns + float(np.interp(rest, self.seam, self.degrees))


def _way(ring: Ring, along: Array, degrees: float) -> float:
    import numpy as np

    turns, rest = divmod(degrees, 360)
    return turns * float(along[-1]) + float(np.interp(rest, ring.degrees, along))


def measured(rim: Rim, leather_mm: float, flat: Flat, gap_mm: float, across: float) -> Ring:
    """The ring of a rim in leather `leather_mm` thick that gives `across` round the grip, its edges `gap_mm` apart."""
    import numpy as np

    degrees = np.linspace(0.0, 360.0, _AROUND + 1)
    grip, growth = grip_at(rim, degrees)
    deep, _ = half_axes(1.0, rim.oval)
    radius = rim.radius_mm - deep * grip - leather_mm / 2
    half = (grip + pi * leather_mm - gap_mm) / 2 / (1 + across)
    along = flat.turn_mm / (2 * pi) * (1 if flat.bend_mm is None else 1 - half / flat.bend_mm)
    angle = np.radians(degrees)
    return Ring(
        degrees=degrees,
        half=half,
        seam=_walked(np.hypot(radius, deep * growth), angle),
        edge=_walked(np.hypot(along, growth / 2 / (1 + across)), angle),
    )


def _walked(rate: Array, angle: Array) -> Array:
    """The way to each angle, by trapezia."""
    import numpy as np

    return np.concatenate(([0.0], np.cumsum((rate[1:] + rate[:-1]) / 2 * np.diff(angle))))


@dataclass(frozen=True, slots=True)
class Run:
    """A stretch of seam between spokes or joins: where it runs [degrees], its length, its holes [degrees], and from
    hole to hole on the wheel and along the flat edge [mm]."""

    start: float
    end: float
    long_mm: float
    holes: tuple[float, ...]
    pitch_mm: float
    flat_pitch_mm: float
    at_spoke: tuple[bool, bool]
    """Whether it starts and ends at a spoke."""


def runs_of(ring: Ring, rim: Rim, roots: Sequence[Root], joins: Iterable[float], pitch_mm: float) -> tuple[Run, ...]:
    """The laced runs in their order from 12 o'clock, with holes about `pitch_mm` apart on the wheel.

    The whole count is the laced length over the pitch, rounded, shared out among the runs by their length; in each
    run the holes stand evenly, half a pitch from its ends.
    """
    breaks = _breaks(rim, roots, joins)
    spans = [
        (start, end + (360 if end <= start else 0), (first, last))
        for (_, start, first), (end, _, last) in zip(breaks, [*breaks[1:], breaks[0]], strict=True)
    ]
    lengths = [ring.seam_to(end) - ring.seam_to(start) for start, end, _ in spans]
    counts = shared_out(max(len(spans), round(sum(lengths) / pitch_mm)), lengths)
    return tuple(_run(ring, start, end, count, ends) for (start, end, ends), count in zip(spans, counts, strict=True))


def _breaks(rim: Rim, roots: Sequence[Root], joins: Iterable[float]) -> list[tuple[float, float, bool]]:
    """Where the seam is interrupted, from 12 o'clock: from and to [degrees], and whether it is a spoke."""
    spokes = [
        (spoke.at % 360 - root.half_open, spoke.at % 360 + root.half_open, True)
        for spoke, root in zip(rim.spokes, roots, strict=True)
    ]
    bare = [
        (join % 360, join % 360, False)
        for join in joins
        if not any((join - start) % 360 <= end - start for start, end, _ in spokes)
    ]
    return sorted([*spokes, *bare])


def _run(ring: Ring, start: float, end: float, count: int, ends: tuple[bool, bool]) -> Run:
    first, last = ring.seam_to(start), ring.seam_to(end)
    pitch = (last - first) / count
    return Run(
        start=start,
        end=end,
        long_mm=last - first,
        holes=tuple(ring.degrees_at(first + (each + 0.5) * pitch) for each in range(count)),
        pitch_mm=pitch,
        flat_pitch_mm=(ring.edge_to(end) - ring.edge_to(start)) / count,
        at_spoke=ends,
    )


def shared_out(count: int, lengths: Sequence[float]) -> list[int]:
    """A count shared out by lengths, each at least one: whole shares first, the rest to the largest remainders.

    >>> shared_out(213, [350.0, 350.0, 300.0]), shared_out(3, [1000.0, 1.0])
    ([75, 74, 64], [2, 1])
    """
    exact = [count * each / sum(lengths) for each in lengths]
    shares = [max(1, int(each)) for each in exact]
    order = sorted(range(len(lengths)), key=lambda at: (shares[at] - exact[at], at))
    for at in order[: max(0, count - sum(shares))]:
        shares[at] += 1
    return shares
