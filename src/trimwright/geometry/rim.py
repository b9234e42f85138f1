"""The rim of a steering wheel as tape and calliper tell it: its ring, the grip at stations, its section, its spokes.

Round the rim everything stands at degrees clockwise from 12 o'clock, seen from the seat. The grip is the tape's length
round the bare rim; between stations it runs without overshoot (monotone cubic). The section is round, or an oval with
one axis towards the hub. The leather lies on it, and what is measured in the leather is measured in the middle of it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import pairwise
from math import asin, atan2, cos, degrees, pi, radians, sin, sqrt
from typing import TYPE_CHECKING

from trimwright.errors import BadInput, Problem

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Array = NDArray[np.float64]

Station = tuple[float, float]
"""Degrees clockwise from 12 o'clock, and the bare grip there [mm]."""

LEAST_RADIUS, MOST_RADIUS = 80.0, 350.0
LEAST_GRIP, MOST_GRIP = 40.0, 220.0
LEAST_OVAL, MOST_OVAL = 0.5, 2.0
MOST_STATIONS = 72
THUMB = ((-20.0, 0.0), (-10.0, 1 / 3), (0.0, 1.0), (10.0, 1 / 3), (20.0, 0.0))
"""A thumb rest beside its middle: degrees, and the share of what it adds to the grip. Our own, five tape readings."""


@dataclass(frozen=True, slots=True)
class Spoke:
    """Where a spoke leaves the rim, its width along the rim and its thickness along the column [mm]."""

    at: float
    wide_mm: float
    thick_mm: float


@dataclass(frozen=True, slots=True)
class Rim:
    """A bare rim: radius to the middle of the grip, grip at stations, section, spokes in their order.

    `oval` is the section's axis towards the hub over its axis along the column: 1 is round, below 1 deeper than wide.
    BadInput with everything that is wrong.
    """

    radius_mm: float
    grips: tuple[Station, ...]
    oval: float = 1.0
    spokes: tuple[Spoke, ...] = ()

    def __post_init__(self) -> None:
        if problems := [*_wrong_sizes(self), *_wrong_stations(self.grips)]:
            raise BadInput(problems)
        object.__setattr__(self, "grips", tuple(sorted({(at % 360, grip) for at, grip in self.grips})))
        object.__setattr__(self, "spokes", tuple(sorted(self.spokes, key=lambda each: each.at % 360)))
        if problems := [*_too_thick(self), *_overlapping(self)]:
            raise BadInput(problems)

    @property
    def varies(self) -> bool:
        return len({grip for _, grip in self.grips}) > 1


def _wrong_sizes(rim: Rim) -> Iterator[Problem]:
    if not LEAST_RADIUS <= rim.radius_mm <= MOST_RADIUS:
        span = f"{2 * LEAST_RADIUS:g} to {2 * MOST_RADIUS:g} mm"
        what = f"is no wheel's size: the middle of its grip would run {2 * rim.radius_mm:.0f} mm across, not {span}."
        way_out = "Check both, in mm: 350 to 420 over all the wheel and 75 to 105 round its grip are usual."
        yield Problem("rim", "", what, way_out)
    if not LEAST_OVAL <= rim.oval <= MOST_OVAL:
        what = f"is not between {LEAST_OVAL:g} and {MOST_OVAL:g}."
        yield Problem("oval", f"{rim.oval:g}", what, "Give the section's depth towards the hub over its width.")
    for each in rim.spokes:
        if not (each.wide_mm > 0 and each.thick_mm > 0):
            shown = f"{each.wide_mm:g} × {each.thick_mm:g}"
            yield Problem(f"spoke at {each.at:g}°", shown, "has no size.", "Give its width and its thickness in mm.")


def _wrong_stations(grips: tuple[Station, ...]) -> Iterator[Problem]:
    if not 1 <= len(grips) <= MOST_STATIONS:
        what = f"is taken at {len(grips)} stations."
        yield Problem("grip", "", what, f"Give one length round the grip, or up to {MOST_STATIONS} at stations.")
    for at, grip in grips:
        if not LEAST_GRIP <= grip <= MOST_GRIP:
            what = f"is not between {LEAST_GRIP:g} and {MOST_GRIP:g} mm."
            yield Problem(
                f"grip at {at:g}°", f"{grip:g}", what, "Give the tape's length round the grip; 75 to 105 is usual."
            )
    seen: dict[float, float] = {}
    for at, grip in grips:
        if seen.setdefault(round(at % 360, 6), grip) != grip:
            what = f"is told twice: {seen[round(at % 360, 6)]:g} and {grip:g}."
            yield Problem(f"grip at {at:g}°", "", what, "Keep one; 0° and 360° are one place.")


def _too_thick(rim: Rim) -> Iterator[Problem]:
    """A grip that fills the wheel: no hand goes through, and no seam would face the hub."""
    for at, grip in rim.grips:
        deep, _ = half_axes(grip, rim.oval)
        if deep > rim.radius_mm / 3:
            what = f"is too large for a wheel of {2 * rim.radius_mm:.0f} mm to the middle of its grip."
            way_out = (
                "Check that the grip is the tape round the rim, and the rim measured across the whole wheel, in mm."
            )
            yield Problem(f"grip at {at:g}°", f"{grip:g}", what, way_out)
        for each in rim.spokes:
            if grip == min(length for _, length in rim.grips) and each.thick_mm >= 2 * half_axes(grip, rim.oval)[1]:
                what = "is as thick as the grip or thicker."
                yield Problem(
                    f"spoke at {each.at:g}°", f"{each.thick_mm:g}", what, "Measure it where it enters the rim."
                )


def _overlapping(rim: Rim) -> Iterator[Problem]:
    around = [*rim.spokes, *rim.spokes[: 1 if len(rim.spokes) > 2 else 0]]
    for one, other in pairwise(around):
        between = (other.at - one.at) % 360
        apart = radians(min(between, 360 - between)) * rim.radius_mm * 0.8
        if apart <= (one.wide_mm + other.wide_mm) / 2:
            what = "overlap."
            yield Problem(
                f"spokes at {one.at:g}° and {other.at:g}°",
                "",
                what,
                "Check their places and widths, or give one wide spoke.",
            )


# ---- from what was measured ------------------------------------------------------------------------------------------


def bare_grip(over_mm: float, leather_mm: float) -> float:
    """The bare grip under leather that the tape went over (Steiner's formula for the outside of a convex section).

    >>> round(bare_grip(94.2478 + 2.4 * pi, 1.2), 4)
    94.2478
    """
    return over_mm - 2 * pi * leather_mm


def radius_from_outside(outside_mm: float, grips: Iterable[Station], oval: float = 1.0) -> float:
    """Radius to the middle of the grip, from the diameter over all where the grip is least.

    >>> round(radius_from_outside(400, [(0, 30 * pi)]), 9)
    185.0
    """
    deep, _ = half_axes(min(grip for _, grip in grips), oval)
    return outside_mm / 2 - deep


def with_thumbs(grip_mm: float, thumbs: Iterable[Station]) -> tuple[Station, ...]:
    """Stations of a rim with one grip and thumb rests, each given by its middle and the grip there.

    >>> with_thumbs(94, [(70, 106)])
    ((50.0, 94.0), (60.0, 98.0), (70.0, 106.0), (80.0, 98.0), (90.0, 94.0))
    """
    return tuple(
        ((at + beside) % 360, round(grip_mm + share * (most_mm - grip_mm), 6))
        for at, most_mm in thumbs
        for beside, share in THUMB
    ) or ((0.0, grip_mm),)


# ---- its shape -------------------------------------------------------------------------------------------------------


def half_axes(grip_mm: float, oval: float) -> tuple[float, float]:
    """Half the section's axis towards the hub, and half that along the column, of a grip that the tape measures.

    >>> round(half_axes(2 * pi * 15, 1.0)[0], 9), round(half_axes(97.6175, 14 / 17)[0], 4)
    (15.0, 14.0)
    """
    if oval == 1:
        return grip_mm / (2 * pi), grip_mm / (2 * pi)
    along = grip_mm / oval_round(oval, 1.0)
    return oval * along, along


def oval_round(deep: float, wide: float) -> float:
    """Length round an oval by its half axes: 4 a E(1 − b²/a²), the complete elliptic integral.

    >>> round(oval_round(14, 17), 4), round(oval_round(200, 150), 6)
    (97.6175, 1105.174608)
    """
    from scipy.special import ellipe

    most, least = max(deep, wide), min(deep, wide)
    return float(4 * most * ellipe(1 - (least / most) ** 2))


def grip_at(rim: Rim, at: Array) -> tuple[Array, Array]:
    """The bare grip at degrees [mm], and how fast it grows [mm/rad]."""
    import numpy as np
    from scipy.interpolate import PchipInterpolator

    if not rim.varies:
        return np.full(at.shape, rim.grips[0][1]), np.zeros(at.shape)
    stations = [(place + turn, grip) for turn in (-360.0, 0.0, 360.0) for place, grip in rim.grips]
    places, grips = zip(*stations, strict=True)
    between = PchipInterpolator(places, grips)
    return between(at % 360), np.degrees(between(at % 360, 1))


@dataclass(frozen=True, slots=True)
class Root:
    """Where a spoke enters the leather: half its opening round the rim [degrees], and, round the grip, how far from
    the seam line its middle of leather meets the spoke's face [mm]."""

    half_open: float
    from_seam_mm: float
    radius_mm: float


def root_of(spoke: Spoke, rim: Rim, leather_mm: float) -> Root:
    """How a spoke meets the leather at its place."""
    import numpy as np

    grip = float(grip_at(rim, np.array([spoke.at]))[0][0])
    deep, wide = half_axes(grip, rim.oval)
    angle = _meets(spoke.thick_mm / 2, deep, wide, leather_mm / 2)
    slope = sqrt((deep * sin(angle)) ** 2 + (wide * cos(angle)) ** 2)
    radius = rim.radius_mm - deep * cos(angle) - leather_mm / 2 * wide * cos(angle) / slope
    if spoke.wide_mm >= 2 * radius:
        what = "is wider than the wheel."
        raise BadInput(Problem(f"spoke at {spoke.at:g}°", f"{spoke.wide_mm:g}", what, "Give its width along the rim."))
    return Root(degrees(asin(spoke.wide_mm / (2 * radius))), _from_tip(angle, deep, wide, leather_mm / 2), radius)


def _meets(half_thick: float, deep: float, wide: float, off: float) -> float:
    """The oval's angle from the tip that faces the hub, where the middle of the leather is so far from the plane."""
    from scipy.optimize import brentq

    def beside(angle: float) -> float:
        slope = sqrt((deep * sin(angle)) ** 2 + (wide * cos(angle)) ** 2)
        return wide * sin(angle) + off * deep * sin(angle) / slope - half_thick

    return float(brentq(beside, 0.0, pi / 2, xtol=1e-14))


def _from_tip(angle: float, deep: float, wide: float, off: float) -> float:
    """Length from the tip to an angle along the line `off` outside the oval, by the incomplete elliptic integral."""
    from scipy.special import ellipeinc

    along = wide * float(ellipeinc(angle, 1 - (deep / wide) ** 2))
    return along + off * atan2(deep * sin(angle), wide * cos(angle))


def clock(at: float) -> str:
    """A place on the rim as a driver says it, to the half hour.

    >>> clock(0), clock(90), clock(223), clock(355)
    ("12 o'clock", "3 o'clock", 'half past 7', "12 o'clock")
    """
    halves = round(at % 360 / 15) % 24
    hour = halves // 2 or 12
    return f"half past {hour}" if halves % 2 else f"{hour} o'clock"
