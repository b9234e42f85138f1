"""A colour as CIELAB under D65 seen by the 2° observer: typed, carried over from D50, to and from XYZ, on a screen.

Formulas: CIE 15:2018; the carrying from D50 is Bradford's. XYZ is scaled so that a perfect white has Y = 1.
Arrays end in an axis of three.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from math import hypot
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from trimwright.errors import BadInput, Problem

Array = NDArray[np.float64]
White = Literal["D65", "D50"]

WHITES: dict[White, tuple[float, float, float]] = {
    "D65": (0.95047, 1.0, 1.08883),
    "D50": (0.96422, 1.0, 0.82521),
}
"""White points of the 2° observer."""
_BRADFORD = np.array([[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]])
_SRGB = np.array([
    [0.4124564, 0.3575761, 0.1804375],
    [0.2126729, 0.7151522, 0.0721750],
    [0.0193339, 0.1191920, 0.9503041],
])  # fmt: skip
"""IEC 61966-2-1: linear sRGB to XYZ under D65."""
_EDGE = 6 / 29
MOST_CHROMA = 128.0
USUAL_SPREAD = 0.5
"""What a reading typed in from an instrument may be out by [ΔE2000]: own estimate, no source."""


@dataclass(frozen=True, slots=True)
class Lab:
    """A colour: lightness 0–100, a* (green to red), b* (blue to yellow), under D65, 2°."""

    lightness: float
    a: float
    b: float

    def array(self) -> Array:
        """The three as an array."""
        return np.array([self.lightness, self.a, self.b])

    def __str__(self) -> str:
        return f"{self.lightness:.1f} {self.a:.1f} {self.b:.1f}"


@dataclass(frozen=True, slots=True)
class Reading:
    """A colour as read, and how far in ΔE2000 the true one may lie from it, 19 times in 20."""

    lab: Lab
    spread: float = USUAL_SPREAD

    def __str__(self) -> str:
        return f"{self.lab} ± {self.spread:.1f}"


def lab_of(values: Any) -> Lab:
    """The colour in an array of three."""
    lightness, a, b = (float(each) for each in values)
    return Lab(lightness, a, b)


def read_reading(text: str, where: str, white: White = "D65") -> Reading:
    """A reading as typed: L* a* b*, with ± and its spread where that is known; BadInput when it is no colour.

    >>> print(read_reading("41.2 18.3 -24 ± 1.5", "target"))
    41.2 18.3 -24.0 ± 1.5
    """
    body, _, spread_text = text.replace("+/-", "±").partition("±")
    figures = re.split(r"[;\s]+", body.replace("−", "-").strip())
    way_out = "Write L* a* b*, such as 41.2 18.3 24.0, or 41.2 18.3 24.0 ± 1.5."
    try:
        values = [float(each.removesuffix(",")) for each in figures]
        spread = float(spread_text) if spread_text.strip() else USUAL_SPREAD
    except ValueError:
        raise BadInput(Problem(where, text, "is no reading.", way_out)) from None
    if len(values) != 3 or not np.isfinite([*values, spread]).all():
        raise BadInput(Problem(where, text, "is not three figures.", way_out))
    chroma = hypot(values[1], values[2])
    problems = []
    if not 0 <= values[0] <= 100:
        problems.append(Problem(where, f"{values[0]:g}", "is no lightness.", "L* lies between 0 and 100."))
    if chroma > MOST_CHROMA:
        way_out = f"a* and b* together stay within {MOST_CHROMA:g} of grey: read it again."
        problems.append(Problem(where, text, "is stronger than any dye.", way_out))
    if not problems and 0 < values[0] < 100 and values[0] < chroma / 25:
        problems.append(Problem(where, text, "is a strong colour with no light in it.", "Read it again."))
    if not 0 <= spread <= 50:
        problems.append(Problem(where, spread_text.strip(), "is no spread.", "Write it in ΔE, such as ± 1.5."))
    if problems:
        raise BadInput(problems)
    lab = lab_of(values)
    return Reading(lab if white == "D65" else from_d50(lab), spread)


def from_d50(lab: Lab) -> Lab:
    """What reads so under D50 as it would read under D65, by Bradford's carrying.

    >>> print(from_d50(Lab(50, 0, 0)))
    50.0 0.0 0.0
    """
    xyz = xyz_of(lab.array(), "D50")
    cones = _BRADFORD @ np.array(WHITES["D65"]) / (_BRADFORD @ np.array(WHITES["D50"]))
    return lab_of(lab_from_xyz(np.linalg.solve(_BRADFORD, cones * (_BRADFORD @ xyz))) + 0.0)


def lab_from_xyz(xyz: Array, white: Any = WHITES["D65"]) -> Array:
    """CIELAB of XYZ beside a white."""
    share = np.maximum(xyz / np.asarray(white), 0)
    f = np.where(share > _EDGE**3, np.cbrt(share), share / (3 * _EDGE**2) + 4 / 29)
    x, y, z = f[..., 0], f[..., 1], f[..., 2]
    return np.stack([116 * y - 16, 500 * (x - y), 200 * (y - z)], axis=-1)


def xyz_of(lab: Array, white: White = "D65") -> Array:
    """XYZ of CIELAB."""
    y = (lab[..., 0] + 16) / 116
    f = np.stack([y + lab[..., 1] / 500, y, y - lab[..., 2] / 200], axis=-1)
    share = np.where(f > _EDGE, f**3, 3 * _EDGE**2 * (f - 4 / 29))
    xyz: Array = share * np.array(WHITES[white])
    return xyz


def srgb_of(lab: Lab) -> str:
    """The nearest colour a screen has, as CSS writes it.

    >>> srgb_of(Lab(100, 0, 0)), srgb_of(Lab(53.24, 80.09, 67.20))
    ('#FFFFFF', '#FF0000')
    """
    linear = np.clip(srgb_from_xyz(xyz_of(lab.array())), 0, 1)
    encoded = np.where(linear <= 0.0031308, 12.92 * linear, 1.055 * linear ** (1 / 2.4) - 0.055)
    return "#" + "".join(f"{round(float(each) * 255):02X}" for each in encoded)


def linear_srgb(encoded: Array) -> Array:
    """Linear values of sRGB in 0–1."""
    return np.where(encoded <= 0.04045, encoded / 12.92, ((np.maximum(encoded, 0) + 0.055) / 1.055) ** 2.4)


def srgb_from_xyz(xyz: Array) -> Array:
    """Linear sRGB of XYZ under D65; outside a screen's colours below 0 or above 1."""
    found: Array = np.linalg.solve(_SRGB, xyz[..., None])[..., 0]
    return found
