"""How far two colours lie apart: CIEDE2000, what a person sees of it at a distance, which way, the grade of fading.

CIEDE2000: CIE 142-2001 as Sharma, Wu & Dalal write it out (2005), kL = kC = kH = 1. Grey scale: ISO 105-A02:1993.
What a person sees is our own wording. That about one unit is the least a trained eye sees, the two touching, is
common practice; how it eases with distance is our own guess.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from trimwright.craft.colour.lab import Array, Lab

GREY_SCALE: tuple[tuple[str, float, float], ...] = (
    ("5", 0.0, 0.2), ("4-5", 0.8, 0.2), ("4", 1.7, 0.3), ("3-4", 2.5, 0.35), ("3", 3.4, 0.4), ("2-3", 4.8, 0.5),
    ("2", 6.8, 0.6), ("1-2", 9.6, 0.7), ("1", 13.6, 1.0),
)  # fmt: skip
"""Grade, CIELAB difference of its two chips, tolerance of the chips: ISO 105-A02:1993, clause 2.4."""

_SEEN: tuple[tuple[float, str], ...] = (
    (0.5, "nobody sees it"),
    (1.0, "a trained eye may see it, the two touching"),
    (2.0, "seen by who looks for it"),
    (4.0, "seen at a second glance"),
    (8.0, "plainly seen"),
)
FAR_SEEN = "two different colours"
NEAR_M, FAR_M = 0.5, 3.0
SEEN_SOURCE = "own wording; one unit as the least seen: common practice, no source; ease with distance: own guess"


@dataclass(frozen=True, slots=True)
class Grade:
    """A grade of the grey scale, and the CIELAB difference it was found from."""

    grade: str
    delta_e76: float


def delta_e00(one: Array, other: Array) -> Array:
    """CIEDE2000 of Lab arrays, element by element.

    >>> round(float(delta_e00(np.array([50, 2.6772, -79.7751]), np.array([50, 0, -82.7485]))), 4)
    2.0425
    """
    l1, a1, b1 = (one[..., each] for each in range(3))
    l2, a2, b2 = (other[..., each] for each in range(3))
    g = 1.5 - 0.5 * _seventh((np.hypot(a1, b1) + np.hypot(a2, b2)) / 2)
    c1, c2 = np.hypot(a1 * g, b1), np.hypot(a2 * g, b2)
    h1, h2 = (np.degrees(np.arctan2(b, a * g)) % 360 for a, b in ((a1, b1), (a2, b2)))
    coloured = c1 * c2 > 0
    turn = np.where(coloured, (h2 - h1 + 180) % 360 - 180, 0)
    # opposite hues lie on a branch: the published pairs take the turn upwards there
    turn = np.where(turn == -180, 180.0, turn)
    dl, dc, dh = l2 - l1, c2 - c1, 2 * np.sqrt(c1 * c2) * np.sin(np.radians(turn) / 2)
    lightness, chroma = (l1 + l2) / 2, (c1 + c2) / 2
    apart = np.abs(h1 - h2) > 180
    hue = np.where(coloured, (h1 + h2 + np.where(apart, np.where(h1 + h2 < 360, 360, -360), 0)) / 2, h1 + h2)
    t = 1 - 0.17 * _cos(hue - 30) + 0.24 * _cos(2 * hue) + 0.32 * _cos(3 * hue + 6) - 0.20 * _cos(4 * hue - 63)
    sl = 1 + 0.015 * (lightness - 50) ** 2 / np.sqrt(20 + (lightness - 50) ** 2)
    sc, sh = 1 + 0.045 * chroma, 1 + 0.015 * chroma * t
    rotation = -np.sin(np.radians(60 * np.exp(-(((hue - 275) / 25) ** 2)))) * 2 * _seventh(chroma)
    across: Array = (dl / sl) ** 2 + (dc / sc) ** 2 + (dh / sh) ** 2 + rotation * (dc / sc) * (dh / sh)
    return np.sqrt(np.maximum(across, 0))


def _seventh(chroma: Array) -> Array:
    power: Array = chroma**7
    return np.sqrt(power / (power + 25.0**7))


def _cos(degrees: Array) -> Array:
    return np.cos(np.radians(degrees))


def apart(one: Lab, other: Lab) -> float:
    """CIEDE2000 of two colours."""
    return float(delta_e00(one.array(), other.array()))


def eased(distance_m: float) -> float:
    """By what a difference may grow before it is seen as it is at arm's length; 1 up to that.

    >>> eased(0.3), eased(1.0), eased(3.0)
    (1.0, 1.4, 3.0)
    """
    return 1.0 if distance_m <= NEAR_M else 1 + 0.8 * (min(distance_m, FAR_M) - NEAR_M)


def seen(delta_e: float, distance_m: float = NEAR_M) -> str:
    """What a person sees of a CIEDE2000 difference from there, in daylight.

    >>> seen(0.3), seen(3.0), seen(3.0, 3.0)
    ('nobody sees it', 'seen at a second glance', 'a trained eye may see it, the two touching')
    """
    felt = delta_e / eased(distance_m)
    return next((told for most, told in _SEEN if felt <= most), FAR_SEEN)


def way(of: Lab, beside: Lab) -> str:
    """Which way a colour lies off another, in words; what is too little to name is left out.

    >>> way(Lab(40, 10, 10), Lab(45, 10, 14)), way(Lab(40, 0, 0), Lab(40, 0, 0))
    ('darker, bluer', 'the same')
    """
    steps = of.array() - beside.array()
    words = (("darker", "lighter"), ("greener", "redder"), ("bluer", "yellower"))
    order = sorted(range(3), key=lambda each: -abs(steps[each]))
    told = [words[each][int(steps[each] > 0)] for each in order if abs(steps[each]) >= 0.3]
    return ", ".join(told) or "the same"


def fading(before: Lab, after: Lab) -> Grade:
    """The grade of the grey scale whose chips lie as far apart as these two colours.

    >>> fading(Lab(50, 0, 0), Lab(53.3, 0, 0)).grade
    '3'
    """
    found = float(np.linalg.norm(before.array() - after.array()))
    return Grade(min(GREY_SCALE, key=lambda each: abs(each[1] - found))[0], found)
