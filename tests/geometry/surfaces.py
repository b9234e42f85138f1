"""Surfaces made of triangles, with shapes that mathematics knows."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import Delaunay

from trimwright.geometry.scan import Surface

Array = NDArray[np.float64]


def grid(along: int, across: int, shape: Callable[[Array, Array], tuple[Array, Array, Array]]) -> Surface:
    """A square sheet of triangles bent into a shape of two shares."""
    u, v = np.meshgrid(np.linspace(0, 1, along), np.linspace(0, 1, across), indexing="ij")
    points = np.stack(np.broadcast_arrays(*shape(u, v)), -1).reshape(-1, 3)
    at = np.arange(along * across).reshape(along, across)
    a, b, c, d = (each.ravel() for each in (at[:-1, :-1], at[1:, :-1], at[1:, 1:], at[:-1, 1:]))
    return Surface(points, np.concatenate([np.stack([a, b, c], 1), np.stack([a, c, d], 1)]))


def cap(radius: float, half_angle: float, rings: int) -> Surface:
    """A cap of a sphere in rings of triangles of about one size."""
    flat = [(0.0, 0.0)]
    for ring in range(1, rings + 1):
        turns = np.arange(6 * ring) * 2 * np.pi / (6 * ring)
        flat += [(ring * np.cos(each) / rings, ring * np.sin(each) / rings) for each in turns]
    laid = np.array(flat) * half_angle
    theta, phi = np.hypot(*laid.T), np.arctan2(laid[:, 1], laid[:, 0])
    points = radius * np.column_stack((np.sin(theta) * np.cos(phi), np.sin(theta) * np.sin(phi), np.cos(theta)))
    return Surface(points, Delaunay(laid).simplices.astype(np.int64))


def seat(along: int = 90, across: int = 70) -> Surface:
    """A cushion of our own: a bolster's rise and a pleat or two."""
    return grid(
        along,
        across,
        lambda u, v: (480 * u, 430 * v, 55 * np.sin(2.6 * u + 0.2) * np.sin(2.2 * v + 0.3) + 6 * np.sin(7 * u)),
    )
