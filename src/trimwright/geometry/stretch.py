"""How much a flat strip must give when it is drawn round a rim: lengths of its fibres on the wheel against those cut.

A fibre runs round the ring at one place of the section; ε = length on the wheel ÷ length cut − 1, above 0 stretched,
below 0 gathered. A straight strip with one seam at the hub can't do better than half outside, half inside: any strip
curved in its plane changes length evenly across, and a ring's fibres are longest in the middle of the strip. A seam on
the outer line as well makes two halves whose fibres grow one way, and those a curved strip fits closely.
What pulling one way takes from the width is left out, and so is what leather does once wet.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import pi
from typing import TYPE_CHECKING, Literal

from trimwright.geometry.rim import Rim, grip_at, half_axes

if TYPE_CHECKING:
    from trimwright.geometry.rim import Array

Fit = Literal["even", "edges", "leather"]
"""Length of the strip: stretched outside as much as gathered at the seam; as long as the seam, so that nothing is
gathered; or as short as the leather stands, and the rest gathered."""

_ACROSS, _FITTED, _FINE = 65, 1025, 4096
"""Fibres from the outer line to the seam: for the strain, for a fit, and to know the section by."""
_AROUND = 720
"""Places round the ring."""


@dataclass(frozen=True, slots=True)
class Strain:
    """ε across the strip: places from the outer line [mm of flat leather], least and most there round the ring."""

    across_mm: tuple[float, ...]
    least: tuple[float, ...]
    most: tuple[float, ...]

    @property
    def stretched(self) -> float:
        """The greatest stretch anywhere."""
        return max(self.most)

    @property
    def gathered(self) -> float:
        """The greatest gathering anywhere, as a share to lose: 0.08 is 8 mm of 100."""
        return max(0.0, -min(self.least))


@dataclass(frozen=True, slots=True)
class Flat:
    """The strip laid flat: its length for a whole turn on the outer line, and the radius that line is cut to.

    Places on it are degrees round the rim and `y`, mm from the outer line, below 0 towards the driver.
    """

    turn_mm: float
    bend_mm: float | None = None

    def at(self, degrees: float, y: float) -> tuple[float, float]:
        """The point on the flat leather."""
        from math import cos, sin

        along = self.turn_mm * degrees / 360
        if self.bend_mm is None:
            return along, y
        angle = along / self.bend_mm
        return (self.bend_mm + y) * sin(angle), (self.bend_mm + y) * cos(angle) - self.bend_mm

    def mm_per_degree(self, y: float) -> float:
        """How far a degree reaches along the strip."""
        return self.turn_mm / 360 * (1.0 if self.bend_mm is None else 1 + y / self.bend_mm)

    @property
    def turn_degrees(self) -> float:
        """The angle that a whole turn takes when the strip is cut curved; 0 for a straight one."""
        return 0.0 if self.bend_mm is None else self.turn_mm / self.bend_mm * 180 / pi


@dataclass(frozen=True)
class Section:
    """The middle of the leather round the grip, by its way from the outer line (0) to the seam (1)."""

    share: Array
    cosine: Array
    sine: Array
    normal: Array
    """Cosine and sine of the oval's angle, and the leather's own direction towards the outside."""

    def outwards(self, deep: Array, off: float) -> Array:
        """Distance outwards from the middle of the grip, for each half axis `deep` and each place round the grip."""
        import numpy as np

        return np.multiply.outer(deep, self.cosine) + off * self.normal


def section(rim: Rim, leather_mm: float, count: int = _ACROSS) -> Section:
    """The section at the mean grip, at `count` places evenly along the leather."""
    import numpy as np
    from scipy.special import ellipeinc

    deep, wide = half_axes(mean_grip(rim), rim.oval)
    angle = np.linspace(0.0, pi, _FINE + 1)
    slope = np.hypot(deep * np.sin(angle), wide * np.cos(angle))
    turned = np.arctan2(deep * np.sin(angle), wide * np.cos(angle))
    way = wide * ellipeinc(angle, 1 - (deep / wide) ** 2) + leather_mm / 2 * turned
    share = np.linspace(0.0, 1.0, count)
    there = np.interp(share, way / way[-1], angle)
    normal = np.interp(there, angle, wide * np.cos(angle) / slope)
    return Section(share, np.cos(there), np.sin(there), normal)


def mean_grip(rim: Rim) -> float:
    """The bare grip's mean round the ring [mm]."""
    import numpy as np

    return float(grip_at(rim, np.arange(_AROUND) * 360.0 / _AROUND)[0].mean())


def fibres(rim: Rim, leather_mm: float) -> Array:
    """Lengths round the ring of the fibres from the outer line to the seam, at the mean grip [mm]."""
    import numpy as np

    deep, _ = half_axes(mean_grip(rim), rim.oval)
    found = section(rim, leather_mm, _FITTED).outwards(np.array([deep]), leather_mm / 2)[0]
    return np.asarray(2 * pi * (rim.radius_mm + found))


def straight(rim: Rim, leather_mm: float, fit: Fit, along: float) -> Flat:
    """A straight strip; `along` is what the leather may be stretched along it, thumb rests included."""
    lengths = fibres(rim, leather_mm)
    outer, seam = float(lengths.max()), float(lengths.min())
    even = Flat((outer + seam) / 2)
    if fit == "even":
        return even
    if fit == "edges":
        return Flat(seam)
    most = even.turn_mm * (1 + strain(rim, leather_mm, even, 0.0).stretched)
    return Flat(max(most / (1 + along), seam))


def halves(rim: Rim, leather_mm: float, across: float) -> Flat:
    """The curved strip for each half when the outer line is a seam too, of the least greatest strain."""
    import numpy as np
    from scipy.optimize import minimize_scalar

    lengths = fibres(rim, leather_mm)
    share = np.linspace(0.0, 1.0, lengths.size)

    def uneven(fall: float) -> float:
        ratio = lengths / (1 - fall * share)
        return float((ratio.max() - ratio.min()) / (ratio.max() + ratio.min()))

    fall = float(minimize_scalar(uneven, bounds=(0.0, 0.8), method="bounded", options={"xatol": 1e-12}).x)
    ratio = lengths / (1 - fall * share)
    turn_mm = float(ratio.max() + ratio.min()) / 2
    half_mm = (mean_grip(rim) + pi * leather_mm) / 2 / (1 + across)
    return Flat(turn_mm, half_mm / fall)


def strain(rim: Rim, leather_mm: float, flat: Flat, across: float) -> Strain:
    """ε at each place across the strip, all round the ring; the slopes of thumb rests are counted."""
    import numpy as np

    around = np.arange(_AROUND) * 360.0 / _AROUND
    grip, growth = grip_at(rim, around)
    deep_of, wide_of = half_axes(1.0, rim.oval)
    place = section(rim, leather_mm)
    radius = rim.radius_mm + place.outwards(deep_of * grip, leather_mm / 2)
    outwards = np.multiply.outer(deep_of * growth, place.cosine)
    sideways = np.multiply.outer(wide_of * growth, place.sine)
    on_wheel = np.sqrt(radius**2 + outwards**2 + sideways**2)
    half = (grip + pi * leather_mm) / 2 / (1 + across)
    shift = np.multiply.outer(growth / 2 / (1 + across), place.share)
    along = flat.turn_mm / (2 * pi) * np.ones_like(shift)
    if flat.bend_mm is not None:
        along *= 1 - np.multiply.outer(half, place.share) / flat.bend_mm
    found = on_wheel / np.hypot(along, shift) - 1
    out = place.share * half.mean()
    return Strain(
        tuple(float(each) for each in (*-out[:0:-1], *out)),
        tuple(float(each) for each in (*found.min(axis=0)[:0:-1], *found.min(axis=0))),
        tuple(float(each) for each in (*found.max(axis=0)[:0:-1], *found.max(axis=0))),
    )
