"""Two photos of one place laid over each other: the shift, turn and zoom that bring the later one onto the earlier.

Points that look alike in both (SIFT, Lowe 2004) are matched, and the map that most of them agree on is kept (RANSAC,
Fischler and Bolles 1981): a re-covered part shares hardly a point with its old self, but it lies among others that did
not change. Where too few agree, nothing is laid.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import atan2, degrees, hypot
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Pixels = NDArray[np.uint8]

LONG_SIDE = 1600
"""Pictures are made so long before they are compared [px]; what is told is in shares of the earlier one's long side."""
LEAST_MATCHES, LEAST_SHARE = 12, 0.15
MOST_ZOOM, MOST_TURN = 2.5, 45.0


@dataclass(frozen=True, slots=True)
class Overlay:
    """How the later picture is laid onto the earlier one.

    (x, y) of the later, in shares of its own long side, lies at (a x - b y + right, b x + a y + down) of the earlier,
    in shares of the earlier's long side; y runs down.
    """

    a: float
    b: float
    right: float
    down: float
    matches: int
    """Points that agree."""

    @property
    def zoom(self) -> float:
        return hypot(self.a, self.b)

    @property
    def turn(self) -> float:
        """Clockwise as seen [degrees]."""
        return degrees(atan2(self.b, self.a))


def overlay(earlier: bytes, later: bytes) -> Overlay | None:
    """From two pictures as files (JPEG, PNG, WebP); None where they cannot be laid over each other with trust.

    ValueError when one is no picture.
    """
    one, other = _grey(earlier), _grey(later)
    found = _by_points(one, other)
    if found is None:
        return None
    matrix, matches = found
    a, b = float(matrix[0, 0]), float(matrix[1, 0])
    long, long_other = max(one.shape), max(other.shape)
    laid = Overlay(
        a * long_other / long, b * long_other / long, float(matrix[0, 2]) / long, float(matrix[1, 2]) / long, matches
    )
    if not 1 / MOST_ZOOM <= laid.zoom <= MOST_ZOOM or abs(laid.turn) > MOST_TURN:
        return None
    return laid


def laid_over(earlier: bytes, later: bytes, how: Overlay, *, quality: int = 85) -> bytes:
    """The later picture as JPEG, drawn in the frame of the earlier one; grey where it shows nothing."""
    import cv2
    import numpy as np

    one, other = _read(earlier, cv2.IMREAD_COLOR), _read(later, cv2.IMREAD_COLOR)
    long, long_other = max(one.shape[:2]), max(other.shape[:2])
    scale = long / long_other
    matrix = np.array(
        [[how.a * scale, -how.b * scale, how.right * long], [how.b * scale, how.a * scale, how.down * long]]
    )
    drawn = cv2.warpAffine(
        other, matrix, (one.shape[1], one.shape[0]), flags=cv2.INTER_AREA, borderValue=(233, 242, 246)
    )
    fine, packed = cv2.imencode(".jpg", drawn, [cv2.IMWRITE_JPEG_QUALITY, quality])
    if not fine:
        raise ValueError("The picture could not be packed as JPEG.")
    return bytes(packed)


def _read(picture: bytes, how: int) -> Pixels:
    import cv2
    import numpy as np

    found = cv2.imdecode(np.frombuffer(picture, np.uint8), how) if picture else None
    if found is None:
        raise ValueError("is no picture that can be read.")
    return found  # type: ignore[return-value]


def _grey(picture: bytes) -> Pixels:
    """In shades of grey, its long side made `LONG_SIDE`."""
    import cv2

    grey = _read(picture, cv2.IMREAD_GRAYSCALE)
    scale = LONG_SIDE / max(grey.shape)
    way = cv2.INTER_AREA if scale < 1 else cv2.INTER_LINEAR
    return cv2.resize(grey, None, fx=scale, fy=scale, interpolation=way)  # type: ignore[return-value]


def _by_points(one: Pixels, other: Pixels) -> tuple[NDArray[np.float64], int] | None:
    """The map of most points that look alike, and how many agree; None where too few do."""
    import cv2
    import numpy as np

    finder = cv2.SIFT.create(nfeatures=2500, contrastThreshold=0.02)
    even = cv2.createCLAHE(2.0, (8, 8))
    points, looks = finder.detectAndCompute(even.apply(one), None)
    points_other, looks_other = finder.detectAndCompute(even.apply(other), None)
    if min(len(points), len(points_other)) < LEAST_MATCHES:
        return None
    near = cv2.BFMatcher(cv2.NORM_L2).knnMatch(looks_other, looks, k=2)
    good = [pair[0] for pair in near if len(pair) == 2 and pair[0].distance < 0.8 * pair[1].distance]
    if len(good) < LEAST_MATCHES:
        return None
    start = np.array([points_other[each.queryIdx].pt for each in good])
    goal = np.array([points[each.trainIdx].pt for each in good])
    cv2.setRNGSeed(1)
    matrix, agree = cv2.estimateAffinePartial2D(
        start, goal, method=cv2.RANSAC, ransacReprojThreshold=4.0, maxIters=5000, confidence=0.999, refineIters=20
    )
    matches = int(agree.sum())
    if matches < LEAST_MATCHES or matches < LEAST_SHARE * len(good):
        return None
    return np.asarray(matrix, dtype=np.float64), matches
