"""An outline as a pattern cutter draws it: corners, straight sides, and curves through few points."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

from trimwright.geometry.pattern import Point, Polyline

if TYPE_CHECKING:
    from collections.abc import Sequence

    Floats = np.typing.NDArray[np.float64]

STEP_MM = 0.5
"""Between the points that are measured on."""
ARM_MM, SHORT_ARM_MM = (2.0, 9.0), (1.5, 4.5)
"""Lines are fitted so far to either side of a place to tell how sharply the outline turns there."""
LEAST_TURN = np.radians(25)
SHARP_SHARE = 0.75
"""Of a corner's turn, what short arms must see too; on a rounding they see about half."""
ALIKE_MM = 6.0
"""Corners are further apart than this."""
STRAIGHT_MM = 0.3
SMOOTHED = 31
"""Points over which a curve is smoothed: by cubics, which leave roundings of 20 mm alone (Savitzky and Golay)."""
CURVE_MM = 0.2
"""How near the curve through few points keeps to what was measured."""
MOST_POINTS = 60
"""Points of one curve between two corners."""
SAMPLE_MM = 1.5


@dataclass(frozen=True, slots=True)
class Node:
    """A point the outline goes through [mm]; at a corner it may turn, elsewhere it runs smoothly."""

    at: Point
    corner: bool
    number: int = 0
    """From 1, as it was read; it keeps it whatever is added or taken out before it. 0 where it was added by hand."""


def nodes_of(edge: Floats) -> tuple[Node, ...]:
    """Corners, and points of the curves between them, of a measured edge (n, 2) [mm] that runs anticlockwise.

    They begin with the corner nearest to the lower left.
    """
    points = _evenly(edge, STEP_MM)
    corners = _corners(points)
    if not corners:
        return numbered([Node(each, corner=False) for each in _on_curve(points, closed=True)])
    nodes = []
    for (start, at), (end, then) in pairwise([*corners, (corners[0][0] + len(points), corners[0][1])]):
        nodes.append(Node(_point(at), corner=True))
        clear = round(SHORT_ARM_MM[0] / STEP_MM)
        between = points[np.arange(start + clear, end - clear + 1) % len(points)]
        nodes += [Node(each, corner=False) for each in _between(at, between, then)]
    low_left = points.min(axis=0)
    first = min(
        (at for at, each in enumerate(nodes) if each.corner), key=lambda at: float(np.hypot(*(nodes[at].at - low_left)))
    )
    return numbered(nodes[first:] + nodes[:first])


def numbered(nodes: Sequence[Node]) -> tuple[Node, ...]:
    """The nodes with the numbers they go by from now on."""
    return tuple(replace(each, number=number) for number, each in enumerate(nodes, start=1))


def drawn(nodes: Sequence[Node]) -> tuple[Polyline, tuple[bool, ...]]:
    """The closed line through the nodes, fine enough to cut by, and which of its points are corners."""
    first = next((at for at, each in enumerate(nodes) if each.corner), None)
    if first is None:
        ring = np.array([each.at for each in (*nodes, nodes[0])])
        line = [_point(each) for each in _smooth(ring, closed=True)[:-1]]
        return tuple(line), (False,) * len(line)
    turned = [*nodes[first:], *nodes[:first], nodes[first]]
    line, corner = [], []
    for start, end in pairwise([at for at, each in enumerate(turned) if each.corner]):
        side = np.array([each.at for each in turned[start : end + 1]])
        run = [_point(each) for each in (_smooth(side) if len(side) > 2 else side)[:-1]]
        line += run
        corner += [True, *[False] * (len(run) - 1)]
    return tuple(line), tuple(corner)


# ---- corners ---------------------------------------------------------------------------------------------------------


def _corners(points: Floats) -> list[tuple[int, Floats]]:
    """Index and refined place of every corner, in order."""
    turn, short = _turns(points, ARM_MM), _turns(points, SHORT_ARM_MM)
    reach = round(ALIKE_MM / 2 / STEP_MM)
    most = np.max([np.roll(turn, k) for k in range(-reach, reach + 1)], axis=0)
    near = np.max([np.roll(short, k) for k in range(-2, 3)], axis=0)
    peaks = np.nonzero((turn == most) & (turn > LEAST_TURN) & (near > SHARP_SHARE * turn))[0]
    found = [(int(at), _crossing(points, int(at))) for at in peaks]
    return [(at, place) for at, place in found if np.linalg.norm(place - points[at]) < ARM_MM[0] * 2]


def _turns(points: Floats, arm: tuple[float, float]) -> Floats:
    """By how much the outline turns at each point, whichever way [radians]."""
    near, far = (round(each / STEP_MM) for each in arm)
    ahead = np.roll(points, -far, axis=0) - np.roll(points, -near, axis=0)
    behind = np.roll(points, near, axis=0) - np.roll(points, far, axis=0)
    cross = behind[:, 0] * ahead[:, 1] - behind[:, 1] * ahead[:, 0]
    return np.asarray(np.abs(np.arctan2(cross, (behind * ahead).sum(axis=1))))


def _crossing(points: Floats, at: int) -> Floats:
    """Where the lines fitted to both arms of a corner cross."""
    near, far = (round(each / STEP_MM) for each in ARM_MM)
    arms = np.arange(near, far + 1)
    (p, along), (q, other) = (_line(points[(at + way * arms) % len(points)]) for way in (1, -1))
    grid = np.column_stack((along, -other))
    if abs(np.linalg.det(grid)) < 0.1:
        return np.asarray(points[at])
    return np.asarray(p + along * np.linalg.solve(grid, q - p)[0])


def _line(points: Floats) -> tuple[Floats, Floats]:
    middle = points.mean(axis=0)
    return middle, np.linalg.svd(points - middle)[2][0]


# ---- sides -----------------------------------------------------------------------------------------------------------


def _between(start: Floats, points: Floats, end: Floats) -> list[Point]:
    """Points of the curve from corner to corner; none where the side is straight."""
    along = end - start
    long = float(np.linalg.norm(along))
    bow = np.abs((points - start) @ np.array([-along[1], along[0]])) / max(long, 1e-9)
    if len(points) < 6 or np.quantile(bow, 0.95) < STRAIGHT_MM:
        return []
    return _on_curve(np.concatenate((start[None], points, end[None])), closed=False)


def _on_curve(points: Floats, *, closed: bool) -> list[Point]:
    """Points for a smooth curve that keeps to the measured ones: each new one where the curve is furthest out."""
    from scipy.signal import savgol_filter

    window = min(SMOOTHED, (len(points) - 1) // 2 * 2 + 1)
    meant = savgol_filter(points, window, 3, axis=0, mode="wrap" if closed else "interp") if window > 3 else points
    if not closed:
        meant[0], meant[-1] = points[0], points[-1]
    last = len(meant) - 1
    chosen = [0, last // 3, 2 * last // 3] if closed else [0, last // 2, last]
    while len(chosen) < MOST_POINTS:
        off = _off(meant, _smooth(meant[[*chosen, 0] if closed else chosen], closed=closed))
        worst = int(off.argmax())
        if off[worst] < CURVE_MM or worst in chosen:
            break
        chosen = sorted([*chosen, worst])
    return [_point(each) for each in meant[chosen if closed else chosen[1:-1]]]


def _smooth(through: Floats, *, closed: bool = False) -> Floats:
    """The cubic spline through points, by the length of their chords; told by points SAMPLE_MM apart."""
    from scipy.interpolate import CubicSpline

    along = _along(through)
    if closed:
        through = through.copy()
        through[-1] = through[0]
    spline = CubicSpline(along, through, bc_type="periodic" if closed else "not-a-knot")
    return np.asarray(spline(np.linspace(0, along[-1], max(3, round(along[-1] / SAMPLE_MM) + 1))))


def _off(points: Floats, line: Floats) -> Floats:
    from shapely import LineString, distance
    from shapely import points as places

    return np.asarray(distance(places(points), LineString(line)))


def _along(points: Floats) -> Floats:
    return np.concatenate(([0.0], np.cumsum(np.maximum(np.linalg.norm(np.diff(points, axis=0), axis=1), 1e-9))))


def _evenly(closed: Floats, step: float) -> Floats:
    """The closed line told by points a step apart."""
    around = np.concatenate((closed, closed[:1]))
    along = _along(around)
    at = np.linspace(0, along[-1], max(8, round(along[-1] / step)), endpoint=False)
    return np.column_stack([np.interp(at, along, around[:, k]) for k in range(2)])


def _point(at: Floats) -> Point:
    return float(at[0]), float(at[1])
