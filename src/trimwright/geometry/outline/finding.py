"""The strips in a photo: which are there, and where their corners are."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from trimwright.errors import BadInput, Problem
from trimwright.geometry.outline.strips import DICTIONARY, STRIPS, board, corners_mm, numbers

if TYPE_CHECKING:
    from trimwright.geometry.outline.photo import Photo

    Floats = np.typing.NDArray[np.float64]

LEAST_MARKERS = 2
LEAST_CORNERS = 10
"""Of the twenty on a strip; with fewer seen, it counts as hidden."""


@dataclass(frozen=True, eq=False, slots=True)
class Seen:
    """The corners of one strip that were seen: in the photo [px, y down] and on the strip [mm, y up], both (n, 2)."""

    strip: str
    px: Floats
    mm: Floats


def find_strips(photo: Photo, strips: Sequence[str], where: str) -> tuple[Seen, ...]:
    """Those strips; BadInput when there are none, or when one of them is not to be seen."""
    import cv2

    grey: Any = cv2.cvtColor(photo.pixels, cv2.COLOR_BGR2GRAY)
    markers, known = _markers(grey)
    found = []
    for strip in strips:
        own = [at for at, number in enumerate(known) if number in numbers(strip)]
        if len(own) >= LEAST_MARKERS:
            detector = cv2.aruco.CharucoDetector(board(strip))
            read: Any = detector.detectBoard(
                grey,
                markerCorners=[markers[at] for at in own],
                markerIds=np.array([[known[at]] for at in own], dtype=np.int32),
            )
            corners, which = read[:2]
            if which is not None and len(which) >= LEAST_CORNERS:
                px = np.asarray(corners, dtype=float).reshape(-1, 2)
                found.append(Seen(strip, px, corners_mm()[np.asarray(which).ravel()]))
    _refuse(found, strips, photo, len(known), where)
    return tuple(found)


def _markers(grey: Any) -> tuple[Any, list[int]]:
    """Every marker of a strip: its corners, its number."""
    import cv2

    finder = cv2.aruco.ArucoDetector(cv2.aruco.getPredefinedDictionary(getattr(cv2.aruco, DICTIONARY)))
    detected: Any = finder.detectMarkers(grey)
    ids = [] if detected[1] is None else [int(each) for each in detected[1].ravel()]
    there = [at for at, number in enumerate(ids) if any(number in numbers(strip) for strip in STRIPS)]
    return [detected[0][at] for at in there], [ids[at] for at in there]


def _refuse(found: Sequence[Seen], strips: Sequence[str], photo: Photo, markers: int, where: str) -> None:
    pixels = f" {photo.more_pixels[0].upper()}{photo.more_pixels[1:]}." if photo.more_pixels else ""
    if not found:
        raise BadInput(_none(photo, markers, where, pixels))
    gone = [each for each in strips if each not in {seen.strip for seen in found}]
    if gone:
        there = ",".join(each.strip for each in found)
        way_out = (
            "Take it again, sharp, with nothing over them and no glare on them; if they were never laid, "
            f"say which were: {there}.{pixels}"
        )
        raise BadInput(Problem(where, f"strip {', '.join(gone)}", "is not to be seen.", way_out))


def _none(photo: Photo, markers: int, where: str, pixels: str) -> Problem:
    """Why no strip can be read: the photo is mirrored, or not sharp, or there are none."""
    import cv2

    mirrored = len(_markers(cv2.flip(cv2.cvtColor(photo.pixels, cv2.COLOR_BGR2GRAY), 1))[1])
    if mirrored > max(2 * markers, LEAST_MARKERS):
        way_out = "Give it as the camera saves it, not as a mirror shows it, and lay the strips print side up."
        return Problem(where, "", "is mirrored: its strips read from right to left.", way_out)
    if markers >= LEAST_MARKERS:
        way_out = f"Hold the camera still or rest it, wait until it is sharp, and take it in good light.{pixels}"
        return Problem(where, "", "shows strips, but too blurred to be read.", way_out)
    way_out = (
        "Print them, lay them flat round the part, print side up, and take the photo sharp and as the camera saves "
        f"it.{pixels}"
    )
    return Problem(where, "", "shows no strips.", way_out)
