"""Where a dart would help a patch that the leather can't follow: tried, laid flat and measured."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from trimwright.errors import BadInput
from trimwright.geometry.flatten import Patch, flatten
from trimwright.geometry.pattern import Polyline
from trimwright.geometry.scan import Surface
from trimwright.geometry.seams import cut_along

if TYPE_CHECKING:
    from trimwright.geometry.scan import Floats

DARTS, DART_REACH, COARSE_POINTS = 12, 0.7, 2000
"""So many darts are tried, each so far towards its goal, on a patch of so many points."""


@dataclass(frozen=True, slots=True)
class Relief:
    """A dart that would help: where it is drawn, and what stretch it leaves."""

    drawn: Polyline
    share_before: float
    share_after: float
    """Of the area, what is beyond the limit."""
    most: float
    least: float


def relief(patch: Patch, limit: float) -> Relief | None:
    """The dart that leaves least of the area beyond the limit, of those tried; None where nothing is, or none helps.

    Tried: straight darts from the edge towards the middle of the whole and of what is beyond the limit, each laid
    flat and measured on a coarser patch; the best of them is measured on the patch itself. It is an offer, no proof
    that there is no better one.
    """
    import numpy as np

    before = patch.share_beyond(limit)
    if before == 0:
        return None
    coarse = _coarse(patch)
    middles = coarse.flat[coarse.surface.faces].mean(axis=1)
    areas = coarse.surface.face_areas_mm2
    beyond = coarse.beyond(limit)
    goals = [np.average(middles, axis=0, weights=areas)]
    if beyond.any():
        goals.append(np.average(middles[beyond], axis=0, weights=areas[beyond]))
    edge = coarse.flat[coarse.edge]
    along = np.concatenate(([0.0], np.cumsum(np.linalg.norm(np.diff(edge, axis=0), axis=1))))
    stations = edge[np.searchsorted(along, np.linspace(0, along[-1], DARTS, endpoint=False))]
    tried = [
        (left.share_beyond(limit), drawn)
        for goal in goals
        for start in stations
        for drawn in (_line(start, start + DART_REACH * (goal - start)),)
        for left in (_in_one(coarse, drawn),)
        if left is not None
    ]
    for _, drawn in sorted(tried, key=lambda each: each[0])[:2]:
        left = _in_one(patch, drawn)
        if left is not None and (after := left.share_beyond(limit)) < before:
            return Relief(drawn, before, after, left.most, left.least)
    return None


def _in_one(patch: Patch, drawn: Polyline) -> Patch | None:
    """The patch with a dart in it; None where it does not stay in one piece or cannot be laid flat."""
    try:
        patches = cut_along(patch, [drawn]).patches
    except BadInput:
        return None
    return patches[0] if len(patches) == 1 else None


def _coarse(patch: Patch) -> Patch:
    """The patch with some two thousand points, for trying things on."""
    import numpy as np
    from scipy.interpolate import LinearNDInterpolator
    from scipy.spatial import Delaunay
    from shapely import Polygon, contains_xy

    if len(patch.flat) <= 2 * COARSE_POINTS:
        return patch
    step = float(np.sqrt(patch.area_mm2 / COARSE_POINTS))
    outline = Polygon(patch.flat[patch.edge])
    rim = np.array([outline.exterior.interpolate(at).coords[0] for at in np.arange(0, outline.length, step)])
    wide, high = patch.flat.max(axis=0)
    x, y = (each.ravel() for each in np.meshgrid(np.arange(0, wide, step), np.arange(0, high, step)))
    inner = outline.buffer(-step / 2)
    kept = contains_xy(inner, x, y)
    flat = np.concatenate((rim, np.column_stack((x[kept], y[kept]))))
    space = LinearNDInterpolator(patch.flat, patch.surface.points)(flat)
    known = np.isfinite(space).all(axis=1)
    flat, space = flat[known], space[known]
    faces = Delaunay(flat).simplices.astype(np.int64)
    middles = flat[faces].mean(axis=1)
    faces = faces[contains_xy(outline, middles[:, 0], middles[:, 1])]
    used, renamed = np.unique(faces, return_inverse=True)
    surface = Surface(np.ascontiguousarray(space[used]), renamed.reshape(-1, 3).astype(np.int64))
    return flatten(surface)


def _line(start: Floats, end: Floats) -> Polyline:
    return (float(start[0]), float(start[1])), (float(end[0]), float(end[1]))
