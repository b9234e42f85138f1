"""The square root covered from above: the least of tangents at fixed points, so that a reserve is never too small."""

from __future__ import annotations

from math import sqrt

TANGENT_RATIO = 2.2
"""Neighbouring tangent points of √V: the cover is within 2 % of the root."""
SMALLEST_ROOT = 100
"""Roots below this many minor units are all covered by the first tangent. The tangent points are the same whatever
the sum and the options, so that more money or one more option never makes a plan dearer."""


def tangent_points(most: float) -> list[float]:
    """Variances at which √V gets a tangent, geometrically spaced, enough to reach `most`."""
    points = [float(SMALLEST_ROOT**2)]
    while points[-1] * sqrt(TANGENT_RATIO) < most:
        points.append(points[-1] * TANGENT_RATIO)
    return points


def covered_root(variance: float) -> float:
    """The least of the tangents of √V: at most 2 % above the root.

    >>> round(covered_root(1e6)), covered_root(0.0)
    (1002, 0.0)
    """
    if variance <= 0:
        return 0.0
    return min(sqrt(point) / 2 + variance / (2 * sqrt(point)) for point in tangent_points(variance * TANGENT_RATIO))
