"""Where a dart would help a patch that the leather can't follow: tried, laid flat and measured."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from trimwright.errors import BadInput
from trimwright.geometry.flatten import Patch, flatten
from trimwright.geometry.light_mesh import thinned
from trimwright.geometry.pattern import Polyline
from trimwright.geometry.seams import cut_along, in_space, meeting, on_flat

if TYPE_CHECKING:
    from trimwright.geometry.scan import Floats

DARTS, DART_REACH, COARSE_FACES = 12, 0.7, 4000
"""So many darts are tried, each so far towards its goal, on a patch of so many triangles."""

LEAST_HELP = 0.01
"""A dart is worth a seam when it frees so much of the area; less are single bad triangles of a scan."""


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
    """The dart that leaves least of the area beyond the limit, of those tried; None where hardly any is, or none helps.

    Tried: straight darts from the edge towards the middle of the whole and of what is beyond the limit, each laid
    flat and measured on a coarser patch; the best of them is measured on the patch itself. It is an offer, no proof
    that there is no better one.
    """
    import numpy as np

    before = patch.share_beyond(limit)
    if before < LEAST_HELP:
        return None
    coarse = _coarse(patch)
    if coarse is None:
        return None
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
    for _, on_coarse in sorted(tried, key=lambda each: each[0])[:2]:
        drawn = on_coarse if coarse is patch else _carried(coarse, on_coarse, patch)
        left = _in_one(patch, drawn)
        if left is not None and (after := left.share_beyond(limit)) <= before - LEAST_HELP:
            return Relief(drawn, before, after, left.most, left.least)
    return None


def _in_one(patch: Patch, drawn: Polyline) -> Patch | None:
    """The patch with a dart in it; None where it does not stay in one piece or cannot be laid flat."""
    try:
        patches = cut_along(patch, [drawn]).patches
    except BadInput:
        return None
    return patches[0] if len(patches) == 1 else None


def _coarse(patch: Patch) -> Patch | None:
    """The patch with some four thousand triangles, for trying things on; None where it would fold over."""
    if len(patch.surface.faces) <= 2 * COARSE_FACES:
        return patch
    try:
        return flatten(thinned(patch.surface, COARSE_FACES))
    except BadInput:
        return None


def _carried(coarse: Patch, drawn: Polyline, patch: Patch) -> Polyline:
    """A dart from the coarse patch to the same place of the patch, which may lie turned otherwise."""
    (carried,) = meeting(patch, [on_flat(patch, in_space(coarse, drawn))])
    return carried


def _line(start: Floats, end: Floats) -> Polyline:
    return (float(start[0]), float(start[1])), (float(end[0]), float(end[1]))
