"""A photo with the card in it: find the card by its markers, see the light on its paper, read patches and windows.

Nothing is read from a photo in doubt: a card that is cut off, burnt out, too dark, or a window that was not cut out
is told, each with what to do.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from trimwright.craft.colour.card import HIGH, MARKER, MARKERS, PAPER, PATCH, PATCHES, WIDE, WINDOWS, Window
from trimwright.craft.colour.correction import LEAST_APART, Correction, fitted
from trimwright.craft.colour.lab import Array, Lab, Reading, linear_srgb
from trimwright.errors import BadInput, Problem
from trimwright.photo import pixels_of

if TYPE_CHECKING:
    from collections.abc import Sequence

DICTIONARY = "DICT_4X4_50"
LOOKED_AT = 1600
"""Long side of the picture in which markers are sought; 12 megapixels hold nothing more of them [px]."""
PX_PER_MM = 6
BURNT, BURNT_SHARE = 254, 0.03
TOO_DARK = 0.3
"""The white patch must have this much of what the camera can tell."""
UNEVEN_LIGHT = 1.25
"""Paper that is this much brighter at one place than at another is told of."""
ROUGH = 0.12
"""A window whose brightness spreads by more is not one colour."""


@dataclass(frozen=True, slots=True)
class Photo:
    """What a photo of the card says."""

    correction: Correction
    windows: dict[Window, Array]
    light_varies: float
    """The brightest paper over the darkest."""

    @property
    def is_unevenly_lit(self) -> bool:
        """Whether the light on the paper differs by so much that it is told of."""
        return self.light_varies > UNEVEN_LIGHT

    def reading(self, window: Window) -> Reading:
        """The colour in a window."""
        return self.correction.reading(self.windows[window])

    def apart_spread(self) -> float:
        """How far the difference of the two windows may be out, 19 times in 20 [ΔE2000]: less than either alone."""
        return max(LEAST_APART, max(self.reading(each).spread for each in self.windows) / 2)


def read_photo(source: bytes, where: str, measured: Sequence[Lab] | None = None) -> Photo:
    """The card in a photo (JPEG, PNG), its patches as `measured` or as printed; BadInput with all that is in doubt."""
    flat = _laid_flat(pixels_of(source, where), where)
    patches = [_cut(flat, each.left, each.top, each.left + PATCH, each.top + PATCH) for each in PATCHES]
    windows = {name: _cut(flat, *box) for name, box in WINDOWS.items()}
    burnt = [each.name for each, cut in zip(PATCHES, patches, strict=True) if _burnt(cut)]
    burnt += [f"window {name}" for name, cut in windows.items() if _burnt(cut)]
    problems = []
    if burnt:
        way_out = "Take it again with less exposure, without flash, in even shade."
        problems.append(Problem(where, ", ".join(burnt), "is burnt out: what is lost there is lost.", way_out))
    white = max(range(len(PATCHES)), key=lambda each: PATCHES[each].lab.lightness)
    if float(np.median(patches[white])) / 255 < TOO_DARK:
        problems.append(Problem(where, "", "is too dark to read a colour from.", "Take it again in daylight."))
    problems += [
        Problem(
            where,
            f"window {name}",
            "shows more than one colour.",
            "Cut the windows out and lay the card flat on one even colour; white paper behind a window not in use.",
        )
        for name, cut in windows.items()
        if _rough(cut)
    ]
    if problems:
        raise BadInput(problems)
    light = _light(flat)
    seen = np.array(
        [
            _evened(cut, light(each.left + PATCH / 2, each.top + PATCH / 2))
            for each, cut in zip(PATCHES, patches, strict=True)
        ]
    )
    found = {
        name: _evened(cut, light((WINDOWS[name][0] + WINDOWS[name][2]) / 2, (WINDOWS[name][1] + WINDOWS[name][3]) / 2))
        for name, cut in windows.items()
    }
    levels = np.array([light(x, y).mean() for x, y in PAPER])
    return Photo(fitted(seen, measured), found, float(levels.max() / levels.min()))


def _laid_flat(image: Any, where: str) -> Array:
    """The card as if seen from straight above, RGB 0–255, PX_PER_MM pixels a millimetre."""
    import cv2

    shrink = min(1.0, LOOKED_AT / max(image.shape[:2]))
    small = cv2.resize(image, None, fx=shrink, fy=shrink, interpolation=cv2.INTER_AREA)
    finder = cv2.aruco.ArucoDetector(
        cv2.aruco.getPredefinedDictionary(getattr(cv2.aruco, DICTIONARY)), cv2.aruco.DetectorParameters()
    )
    corners, ids, _ = finder.detectMarkers(cv2.cvtColor(small, cv2.COLOR_BGR2GRAY))
    found = {} if ids is None else dict(zip((int(each) for each in ids.ravel()), corners, strict=True))
    there = [number for number in range(len(MARKERS)) if number in found]
    if not there:
        way_out = "Lay the printed card on the part, whole and flat, and take it from above, filling half the picture."
        raise BadInput(Problem(where, "", "has no card in it.", way_out))
    if len(there) < len(MARKERS):
        names = ("upper left", "upper right", "lower right", "lower left")
        gone = ", ".join(names[number] for number in range(len(MARKERS)) if number not in there)
        way_out = "Take it again with all four corners of the card in the picture, uncovered and without glare."
        raise BadInput(Problem(where, gone, "corner of the card is not to be seen.", way_out))
    square = MARKER * np.array([[0, 0], [1, 0], [1, 1], [0, 1]])
    on_card = np.concatenate([np.array(MARKERS[number]) + square for number in there]) * PX_PER_MM
    in_photo = np.concatenate([found[number].reshape(4, 2) for number in there]) / shrink
    plane, _ = cv2.findHomography(in_photo.astype(np.float64), on_card.astype(np.float64))
    # shrunk first where the photo is much finer, so that every pixel of it counts
    span = float(np.linalg.norm(in_photo[1] - in_photo[0])) / (MARKER * PX_PER_MM)
    if span > 2:
        image = cv2.resize(image, None, fx=1 / span, fy=1 / span, interpolation=cv2.INTER_AREA)
        plane = plane @ np.diag([span, span, 1.0])
    size = (round(WIDE * PX_PER_MM), round(HIGH * PX_PER_MM))
    flat = cv2.warpPerspective(image, plane, size, flags=cv2.INTER_LINEAR)
    return np.asarray(cv2.cvtColor(flat, cv2.COLOR_BGR2RGB), dtype=float)


def _cut(flat: Array, left: float, top: float, right: float, bottom: float) -> Array:
    """The inner three fifths of a place, as rows of RGB."""
    x, y = 0.2 * (right - left), 0.2 * (bottom - top)
    rows = slice(round((top + y) * PX_PER_MM), round((bottom - y) * PX_PER_MM))
    columns = slice(round((left + x) * PX_PER_MM), round((right - x) * PX_PER_MM))
    return flat[rows, columns].reshape(-1, 3)


def _burnt(cut: Array) -> bool:
    return bool(((cut >= BURNT).any(axis=1)).mean() > BURNT_SHARE)


def _rough(cut: Array) -> bool:
    low, high = np.quantile(cut.mean(axis=1), [0.1, 0.9]) / 255
    return bool(high - low > ROUGH + 0.15 * high)


def _light(flat: Array) -> Any:
    """How bright the paper is at a place beside its middle, a smooth slope fitted to its points, channel by channel."""
    places = np.array(PAPER)
    bright = np.array([np.median(_cut(flat, x - 2.5, y - 1.2, x + 2.5, y + 1.2), axis=0) for x, y in PAPER]) / 255
    logs = np.log(np.maximum(linear_srgb(bright), 1e-4))
    slope = np.linalg.lstsq(_slope(places), logs, rcond=None)[0]

    def light(x: float, y: float) -> Array:
        found: Array = np.exp(_slope(np.array([[x, y]]))[0, 1:] @ slope[1:])
        return found

    return light


def _slope(places: Array) -> Array:
    x, y = places[:, 0] / WIDE - 0.5, places[:, 1] / HIGH - 0.5
    return np.stack([np.ones_like(x), x, y], axis=1)


def _evened(cut: Array, light: Array) -> Array:
    """The middle colour of a place as it would have been written in the light of the card's middle, 0–1."""
    linear = linear_srgb(np.median(cut, axis=0) / 255) / light
    encoded = np.where(linear <= 0.0031308, 12.92 * linear, 1.055 * np.maximum(linear, 0) ** (1 / 2.4) - 0.055)
    return np.asarray(encoded, dtype=float)
