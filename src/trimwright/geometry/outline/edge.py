"""The edge of the part in the photo: a coarse outline by its colour, then to a fraction of a pixel along normals."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from trimwright.errors import BadInput, Problem

if TYPE_CHECKING:
    from collections.abc import Sequence

    from trimwright.geometry.outline.photo import Photo

    Floats = np.typing.NDArray[np.float64]

LOOKED_AT = 1200
"""Long side of the picture in which the part is sought [px]."""
LEAST_CONTRAST = 0.22
"""Of the brighter of part and ground; with less, the edge found is not to be trusted."""
LEAST_SHARE = 0.01
"""Of the field between the strips, what a part must fill."""
FAINT_SHARE = 0.15
"""More of the edge than this that can't be told is too much."""
SOFT_TIMES, SOFT_PX, SOFT_SHARE = 2.0, 2.5, 0.05
"""An edge this many times as wide as most of it, and as many pixels at least, is soft; so much of it may be."""
_PROFILE_STEP = 0.5


def edge_of(photo: Photo, field: Floats, strips: Sequence[Floats], where: str) -> Floats:
    """The part's edge in pixels (n, 2), anticlockwise seen with y up, without repeating its first point.

    `field` is the polygon in which it is sought, `strips` those that hide it [px]. BadInput when there is no part that
    stands out from the ground.
    """
    import cv2

    shrink = min(1.0, LOOKED_AT / max(photo.size))
    small = cv2.GaussianBlur(
        cv2.resize(photo.pixels, None, fx=shrink, fy=shrink, interpolation=cv2.INTER_AREA), (0, 0), 1
    )
    looked = _mask(small.shape, [field], shrink)
    looked[_mask(small.shape, strips, shrink) > 0] = 0
    rim = (looked > 0) & (cv2.erode(looked, np.ones((25, 25), dtype=np.uint8)) == 0)
    there = _standing_out(small, looked, rim, where)
    outlines, _ = cv2.findContours(there, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    largest = max(outlines, key=cv2.contourArea, default=None)
    if largest is None or cv2.contourArea(largest) < LEAST_SHARE * np.count_nonzero(looked):
        raise BadInput(_faint(where))
    coarse = (largest.reshape(-1, 2) + 0.5) / shrink - 0.5
    wide = 3.0 / shrink
    near, _ = _refined(photo, _evenly(coarse, 2.0 / shrink), max(6.0, wide), where)
    edge, widths = _refined(photo, _evenly(near, 2.0), max(5.0, wide / 2), where)
    _refuse_soft(widths, where)
    return edge


def _mask(shape: tuple[int, ...], polygons: Sequence[Floats], shrink: float) -> Any:
    import cv2

    mask = np.zeros(shape[:2], dtype=np.uint8)
    for each in polygons:
        cv2.fillPoly(mask, [np.round((each + 0.5) * shrink - 0.5).astype(np.int32)], 255)
    return mask


def _standing_out(small: Any, looked: Any, rim: Any, where: str) -> Any:
    """Where the picture differs from the ground, whose colour is that at the rim of the field and may slope."""
    import cv2

    inside = looked > 0
    ground = inside & rim
    for _ in range(2):
        apart = np.linalg.norm(small - _sloped(small, ground), axis=2)
        apart[~inside] = 0
        levels = np.clip(apart, 0, 255).astype(np.uint8)
        level, _ = cv2.threshold(levels[inside].reshape(1, -1), 0, 255, cv2.THRESH_BINARY + cv2.THRESH_OTSU)
        part = inside & (levels > level)
        ground = inside & ~part & (levels < max(1.0, 0.7 * level))
    if not part.any() or not ground.any():
        raise BadInput(_faint(where))
    one, other = (np.median(small[each], axis=0) for each in (part, ground))
    if np.linalg.norm(one - other) < LEAST_CONTRAST * max(np.linalg.norm(one), np.linalg.norm(other)):
        raise BadInput(_faint(where))
    whole = cv2.morphologyEx(part.astype(np.uint8) * 255, cv2.MORPH_OPEN, np.ones((3, 3), dtype=np.uint8))
    return cv2.morphologyEx(whole, cv2.MORPH_CLOSE, np.ones((3, 3), dtype=np.uint8))


def _sloped(small: Any, ground: Any) -> Any:
    """The ground's colour everywhere: a slope of the second degree through what is seen of it."""
    high, wide = ground.shape
    v, u = np.nonzero(ground)
    some = slice(None, None, max(1, len(u) // 20_000))
    u, v = u[some], v[some]

    def terms(x: Any, y: Any) -> Any:
        x, y = x / wide - 0.5, y / high - 0.5
        return np.stack([np.ones_like(x), x, y, x * x, x * y, y * y], axis=-1)

    found = np.linalg.lstsq(terms(u, v), small[v, u].astype(float), rcond=None)[0]
    rows, columns = np.mgrid[:high, :wide]
    return terms(columns, rows) @ found


def _evenly(closed: Floats, step: float) -> Floats:
    """The closed line smoothed a little and told by points a step apart."""
    around = np.concatenate((closed, closed[:1]))
    along = np.concatenate(([0.0], np.cumsum(np.linalg.norm(np.diff(around, axis=0), axis=1))))
    at = np.linspace(0, along[-1], max(8, round(along[-1] / step)), endpoint=False)
    return np.column_stack([np.interp(at, along, around[:, k]) for k in range(2)])


def _refined(photo: Photo, points: Floats, reach: float, where: str) -> tuple[Floats, Floats]:
    """Each point moved along its normal to where the light is half that of the part, half that of the ground.

    In linear light, since that is where a lens blurs. Points with no clear step are left out. With them comes how
    wide the step is at each, from a quarter to three quarters [px].
    """
    import cv2

    along = _tangents(points)
    normal = np.column_stack((-along[:, 1], along[:, 0]))
    steps = np.arange(-reach, reach + _PROFILE_STEP / 2, _PROFILE_STEP)
    places = (points[:, None, :] + steps[None, :, None] * normal[:, None, :]).astype(np.float32)
    # a remap takes no picture longer than 32767
    seen = np.concatenate(
        [
            cv2.remap(photo.pixels, part[..., 0], part[..., 1], cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
            for part in np.array_split(places, len(places) // 16_000 + 1)
        ]
    )
    light = _linear(seen / 255)
    quarter = len(steps) // 4
    one, other = light[:, :quarter].mean(axis=1), light[:, -quarter:].mean(axis=1)
    across = other - one
    size = (across**2).sum(axis=1)
    share = np.einsum("nsc,nc->ns", light - one[:, None], across) / np.maximum(size, 1e-12)[:, None]
    clear = np.sqrt(size) > 0.3 * np.median(np.sqrt(size))
    rising = (share[:, :-1] < 0.5) & (share[:, 1:] >= 0.5)
    middles = np.abs(steps[:-1] + _PROFILE_STEP / 2)
    nearest = np.where(rising, middles, np.inf).argmin(axis=1)
    rows = np.arange(len(points))
    clear &= rising[rows, nearest]
    if clear.mean() < 1 - FAINT_SHARE:
        raise BadInput(_faint(where))
    low, high = share[rows, nearest], share[rows, nearest + 1]
    at = steps[nearest] + _PROFILE_STEP * (0.5 - low) / np.where(high > low, high - low, 1.0)
    widths = _PROFILE_STEP * ((share > 0.25) & (share < 0.75)).sum(axis=1)
    return np.asarray((points + at[:, None] * normal)[clear], dtype=float), widths[clear]


def _refuse_soft(widths: Floats, where: str) -> None:
    """A shadow's edge is far softer than that of the part beside it."""
    soft = float((widths > max(SOFT_TIMES * float(np.median(widths)), SOFT_PX)).mean())
    if soft > SOFT_SHARE:
        way_out = "Take it again in soft light from all sides, without a shadow beside the part, and sharp all over."
        raise BadInput(Problem(where, f"{soft:.0%} of the edge", "is soft, as a shadow's is.", way_out))


def _tangents(closed: Floats) -> Floats:
    along = sum((np.roll(closed, -k, axis=0) - np.roll(closed, k, axis=0) for k in (1, 2, 3)), np.zeros_like(closed))
    return np.asarray(along / np.maximum(np.linalg.norm(along, axis=1), 1e-12)[:, None])


def _linear(code: Floats) -> Floats:
    """Light by the code of sRGB, IEC 61966-2-1."""
    return np.where(code <= 0.04045, code / 12.92, ((code + 0.055) / 1.055) ** 2.4)


def _faint(where: str) -> Problem:
    way_out = (
        "Lay it on something plain that is much lighter or darker than it, in soft light without hard shadows, "
        "between the strips and clear of them."
    )
    return Problem(where, "", "shows no part whose edge stands out from the ground.", way_out)
