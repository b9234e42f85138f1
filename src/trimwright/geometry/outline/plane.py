"""From a photo to the plane the strips lie on: a homography, the lens's bend, and how well both are known.

A pixel is straightened about the middle of the photo, x_u = c + (x − c)(1 + κ1 r² + κ2 r⁴) with r over half the
diagonal, and mapped to mm by a homography. The strips' places, the printer's scale along and across them, κ and c are
fitted together (Gauss–Newton, weighted). What a photo can't tell has a prior: κ2, c, and the printer's scale, which is
as good as the bars were read. So its doubt is in the covariance, which is carried to every point measured.

The fit's residual does not tell how good an outline is: with strips on one side it stays small while the far edge is
centimetres out. The covariance does tell.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import atan2, hypot
from typing import TYPE_CHECKING

import numpy as np

from trimwright.errors import BadInput, Problem
from trimwright.geometry.outline.strips import BAR_LONG_MM, BAR_SHORT_MM

if TYPE_CHECKING:
    from trimwright.geometry.outline.finding import Seen

    Floats = np.typing.NDArray[np.float64]

LENS = 12
"""The first parameters: eight of the homography, κ1, κ2 and the lens's middle. Then two scales, then three a strip."""
KAPPA_PRIORS = (0.3, 0.03)
MIDDLE_PRIOR = 0.01
"""Of half the diagonal: a lens sits so well before its chip."""
BAR_READ_MM = 0.15
"""Standard deviation of a bar read to half a millimetre (±0.25, any value alike)."""
BAR_FAR = 0.1
"""No bar reads further from what is meant than this share, unless it is another bar."""
SCALE_UNREAD = 0.005
"""Of a printer nobody has measured; feeds are seldom further out. Common practice, no source."""
CORNER_PX, LEAST_CORNER_PX = 0.3, 0.1
OUTLIER, MEDIAN_OF_NORMAL = 4.5, 0.6745
ROUNDS = 4
"""Each weighs the corners by the plane found before it."""
_STEP = 1e-6


@dataclass(frozen=True, slots=True)
class Bars:
    """What the two bars on the printed sheet read [mm]; None where nobody has read them."""

    long_mm: float | None = None
    short_mm: float | None = None

    @property
    def scales(self) -> tuple[float, float]:
        """Along and across the strips, printed over meant."""
        return (self.long_mm or BAR_LONG_MM) / BAR_LONG_MM, (self.short_mm or BAR_SHORT_MM) / BAR_SHORT_MM

    @property
    def doubts(self) -> tuple[float, float]:
        """Standard deviations of both scales."""
        return (
            BAR_READ_MM / BAR_LONG_MM if self.long_mm else SCALE_UNREAD,
            BAR_READ_MM / BAR_SHORT_MM if self.short_mm else SCALE_UNREAD,
        )


def bars_read(text: str, where: str) -> Bars:
    """What the bars read, long then short, such as 259.5x190; BadInput when that is no size, or far from what is meant.

    >>> bars_read("259.5 x 190", "bars"), bars_read("", "bars")
    (Bars(long_mm=259.5, short_mm=190.0), Bars(long_mm=None, short_mm=None))
    """
    if not text.strip():
        return Bars()
    found = re.fullmatch(r"\s*(\d+(?:\.\d+)?)\s*[x×,]\s*(\d+(?:\.\d+)?)\s*", text)
    if found is None:
        raise BadInput(Problem(where, text, "is not what two bars read.", "Give mm: long, x, short: 259.5x190."))
    read = Bars(float(found[1]), float(found[2]))
    if abs(float(found[1]) / BAR_LONG_MM - 1) > BAR_FAR or abs(float(found[2]) / BAR_SHORT_MM - 1) > BAR_FAR:
        what = f"is far from {BAR_LONG_MM:g} and {BAR_SHORT_MM:g} mm."
        raise BadInput(Problem(where, text, what, "Give the long bar first; print the sheet again at 100 %."))
    return read


@dataclass(frozen=True, eq=False, slots=True)
class Plane:
    """How a pixel [px, y down] becomes a place on the plane [mm, y up], and back."""

    lens: Floats
    """The first LENS parameters."""
    root: Floats
    """A square root of their covariance (LENS, k): root · rootᵀ."""
    middle: tuple[float, float]
    half: float
    """Half the photo's diagonal [px]."""
    turn: float
    """By which the plane was turned so that the photo's right is the plane's [radians]."""
    origin: Floats
    """The plane's own origin, before it was shifted [mm] (2,)."""
    corners: Floats
    """All corners of strips that were seen, on the plane (n, 2)."""
    corner_px: float
    """How well they are seen by what the fit leaves, the standard deviation of one coordinate [px]."""

    def to_mm(self, px: Floats) -> Floats:
        """Where pixels lie on the plane (n, 2)."""
        return np.asarray(_turned(_mapped(self.lens, (px - self.middle) / self.half), self.turn) - self.origin)

    def to_px(self, mm: Floats) -> Floats:
        """Where places of the plane appear in the photo (n, 2)."""
        back = np.linalg.inv(_homography(self.lens))
        flat = _turned(mm + self.origin, -self.turn)
        seen = np.column_stack((flat / MM_UNIT, np.ones(len(flat)))) @ back.T
        straight = seen[:, :2] / seen[:, 2:]
        kappa, middle = self.lens[8:10], self.lens[10:12]
        bent = straight.copy()
        for _ in range(20):
            r2 = ((bent - middle) ** 2).sum(axis=1, keepdims=True)
            bent = middle + (straight - middle) / (1 + kappa[0] * r2 + kappa[1] * r2**2)
        return np.asarray(bent * self.half + np.array(self.middle))

    def from_corner(self, mm: Floats) -> Plane:
        """The same plane, told from the lower left corner of the box round those places."""
        corner = mm.min(axis=0)
        return replace(self, origin=self.origin + corner, corners=self.corners - corner)

    def spread(self, px: Floats) -> Floats:
        """How the places of pixels move with each independent doubt of the fit: (n, 2, k) [mm]."""
        at = (px - self.middle) / self.half
        moves = np.empty((len(px), 2, LENS))
        for which in range(LENS):
            step = np.zeros(LENS)
            step[which] = _STEP
            moves[:, :, which] = (_mapped(self.lens + step, at) - _mapped(self.lens - step, at)) / (2 * _STEP)
        turned = np.stack([_turned(moves[:, :, which], self.turn) for which in range(LENS)], axis=2)
        return np.asarray(turned @ self.root)

    def camera(self, focal_px: float) -> tuple[Floats, float]:
        """The point of the plane right under the camera, and the camera's height over it [mm]."""
        to_photo = np.linalg.inv(_homography(self.lens))
        about_middle = np.array([[1, 0, -self.lens[10]], [0, 1, -self.lens[11]], [0, 0, 1]])
        rays = np.diag([self.half / focal_px, self.half / focal_px, 1.0]) @ about_middle @ to_photo
        rays *= 2 / (np.linalg.norm(rays[:, 0]) + np.linalg.norm(rays[:, 1]))
        turned = np.column_stack((rays[:, 0], rays[:, 1], np.cross(rays[:, 0], rays[:, 1])))
        stands = -np.linalg.solve(turned, rays[:, 2]) * MM_UNIT
        return _turned(stands[None, :2], self.turn)[0] - self.origin, abs(float(stands[2]))


MM_UNIT = 1000.0
"""The homography maps to metres, so that its eight figures are of one size."""


def fitted(seen: Sequence[Seen], size: tuple[int, int], bars: Bars) -> Plane:
    """The plane by all corners of the strips, those far off left out; the first strip seen lies still."""
    half, middle = hypot(*size) / 2, ((size[0] - 1) / 2, (size[1] - 1) / 2)
    pixels, printed = [(each.px - middle) / half for each in seen], [each.mm for each in seen]
    found = _start(pixels, printed, bars)
    kept, sigma = np.ones(sum(map(len, pixels)), dtype=bool), CORNER_PX
    for _ in range(ROUNDS):
        problem = _Problem(pixels, printed, bars, _px_per_mm(found, np.concatenate(pixels), half), kept, sigma)
        found = problem.solved(found)
        kept, sigma = problem.looked_over(found)
    value, way = np.linalg.eigh(problem.covariance(found)[:LENS, :LENS])
    lens, root = found[:LENS], way * np.sqrt(np.maximum(value, 0))
    # the photo's right becomes the plane's right
    left, right = _mapped(lens, np.array([[-0.05, 0.0], [0.05, 0.0]]))
    turn = -atan2(right[1] - left[1], right[0] - left[0])
    corners = _turned(_mapped(lens, np.concatenate(pixels)), turn)
    return Plane(lens, root, middle, half, turn, np.zeros(2), corners, sigma)


@dataclass(frozen=True, eq=False, slots=True)
class _Problem:
    """Corners seen against corners printed, each difference over its standard deviation, and the priors."""

    pixels: Sequence[Floats]
    printed: Sequence[Floats]
    bars: Bars
    px_mm: Floats
    """Pixels to a mm at every corner: differences are weighed in pixels, where all are equally well seen."""
    kept: np.typing.NDArray[np.bool_]
    sigma: float

    def solved(self, start: Floats) -> Floats:
        from scipy.optimize import least_squares

        return np.asarray(least_squares(self.residuals, start, x_scale="jac", max_nfev=200).x)

    def looked_over(self, found: Floats) -> tuple[np.typing.NDArray[np.bool_], float]:
        """Which corners are near enough, and the standard deviation of those that were [px]."""
        left = self.corners_px(found)
        freedom = max(1, 2 * int(self.kept.sum()) - len(found) + len(KAPPA_PRIORS) + 2)
        typical = max(LEAST_CORNER_PX, float(np.median(np.abs(left))) / MEDIAN_OF_NORMAL)
        near = np.asarray((np.abs(left) < OUTLIER * typical).all(axis=1))
        return near, max(LEAST_CORNER_PX, float(np.sqrt((left[self.kept] ** 2).sum() / freedom)))

    def corners_px(self, found: Floats) -> Floats:
        """How far each corner is from where it should be (n, 2) [px]."""
        scales, poses = found[LENS : LENS + 2], np.concatenate((np.zeros(3), found[LENS + 2 :])).reshape(-1, 3)
        meant = [
            _turned(mm * scales, turn) + MM_UNIT * np.array([x, y])
            for mm, (turn, x, y) in zip(self.printed, poses, strict=True)
        ]
        return np.asarray(
            (_mapped(found[:LENS], np.concatenate(self.pixels)) - np.concatenate(meant)) * self.px_mm[:, None]
        )

    def residuals(self, found: Floats) -> Floats:
        priors = np.concatenate(
            (
                found[8:10] / KAPPA_PRIORS,
                found[10:12] / MIDDLE_PRIOR,
                (found[LENS : LENS + 2] - self.bars.scales) / self.bars.doubts,
            )
        )
        return np.concatenate((self.corners_px(found)[self.kept].ravel() / self.sigma, priors))

    def covariance(self, found: Floats) -> Floats:
        moves = np.eye(len(found)) * _STEP
        slope = np.stack(
            [(self.residuals(found + each) - self.residuals(found - each)) / (2 * _STEP) for each in moves], axis=1
        )
        return np.asarray(np.linalg.inv(slope.T @ slope))


def _start(pixels: Sequence[Floats], printed: Sequence[Floats], bars: Bars) -> Floats:
    """The first strip's own homography, the others laid by it."""
    import cv2

    matrix, _ = cv2.findHomography(pixels[0], printed[0] * bars.scales / MM_UNIT)
    lens = np.concatenate(((matrix / matrix[2, 2]).ravel()[:8], np.zeros(LENS - 8)))
    poses = []
    for px, mm in zip(pixels[1:], printed[1:], strict=True):
        there = _mapped(lens, px)
        a, b = mm - mm.mean(axis=0), there - there.mean(axis=0)
        turn = atan2(float((a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]).sum()), float((a * b).sum()))
        poses += [turn, *((there.mean(axis=0) - _turned(mm.mean(axis=0)[None], turn)[0]) / MM_UNIT)]
    return np.concatenate((lens, bars.scales, poses))


def _homography(lens: Floats) -> Floats:
    return np.append(lens[:8], 1.0).reshape(3, 3)


def _mapped(lens: Floats, at: Floats) -> Floats:
    """Places in half diagonals about the photo's middle, straightened and laid on the plane [mm]."""
    from_middle = at - lens[10:12]
    r2 = (from_middle**2).sum(axis=1, keepdims=True)
    straight = lens[10:12] + from_middle * (1 + lens[8] * r2 + lens[9] * r2**2)
    there = np.column_stack((straight, np.ones(len(at)))) @ _homography(lens).T
    return np.asarray(MM_UNIT * there[:, :2] / there[:, 2:])


def _px_per_mm(lens: Floats, at: Floats, half: float) -> Floats:
    step = 1e-4
    x, y = ((_mapped(lens, at + d) - _mapped(lens, at - d)) / (2 * step) for d in step * np.eye(2))
    return np.asarray(half / np.sqrt(np.abs(x[:, 0] * y[:, 1] - x[:, 1] * y[:, 0])))


def _turned(points: Floats, turn: float) -> Floats:
    c, s = np.cos(turn), np.sin(turn)
    return np.asarray(points @ np.array([[c, s], [-s, c]]))
