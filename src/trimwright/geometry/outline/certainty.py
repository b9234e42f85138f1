"""How far an outline may be out: point by point, and all of it at once.

What moves or turns the whole outline does no harm to a pattern, so that is taken out before anything is told.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    Floats = np.typing.NDArray[np.float64]

EDGE_MM = 0.1
"""Standard deviation of where light lets an edge appear, the same all round."""
EDGE_PX = 0.15
CORNER_MM = 0.15
"""Of a corner, where two lines that were fitted cross, besides."""
DRAWS, SURE = 2000, 0.9


@dataclass(frozen=True, eq=False, slots=True)
class Certainty:
    """Of an outline's points, in their order."""

    two_sigma_mm: Floats
    """Nineteen times in twenty a point is nearer than this to where it is (n,)."""
    within_mm: float
    """Nine times in ten no point of the outline is further out than this."""


def certainty(points: Floats, doubts: Floats, px_mm: Floats, corner: np.typing.NDArray[np.bool_]) -> Certainty:
    """By what each independent doubt does to each point (n, 2, k) [mm], pixels to a mm, and which are corners."""
    outward = _outward(points)
    all_round = np.concatenate((doubts, EDGE_MM * outward[:, :, None]), axis=2)
    count = len(points)
    still = _without_rigid(points, all_round.reshape(2 * count, -1)).reshape(count, 2, -1)
    alone = np.hypot(EDGE_PX / px_mm, np.where(corner, CORNER_MM, 0.0))
    spread = still @ still.transpose(0, 2, 1) + alone[:, None, None] ** 2 * np.eye(2)
    two_sigma = 2 * np.sqrt(np.linalg.eigvalsh(spread)[:, -1])
    return Certainty(two_sigma, _at_once(still, alone))


def _at_once(still: Floats, alone: Floats) -> float:
    """The bound that holds for all points at once, by drawing doubts; the same draws every time."""
    chance = np.random.default_rng(1)
    worst = []
    for _ in range(DRAWS // 100):
        moved = np.einsum("nck,kd->ncd", still, chance.standard_normal((still.shape[2], 100)))
        moved += alone[:, None, None] * chance.standard_normal(moved.shape)
        worst.append(np.sqrt((moved**2).sum(axis=1)).max(axis=0))
    return float(np.quantile(np.concatenate(worst), SURE))


def _without_rigid(points: Floats, moves: Floats) -> Floats:
    """Moves of all points (2n, k) less what shifts and turns them as one."""
    x, y = (points - points.mean(axis=0)).T
    zero, one = np.zeros(len(x)), np.ones(len(x))
    rigid = np.stack([np.column_stack(each).ravel() for each in ((one, zero), (zero, one), (-y, x))], axis=1)
    kept, _ = np.linalg.qr(rigid)
    return np.asarray(moves - kept @ (kept.T @ moves))


def _outward(points: Floats) -> Floats:
    """Away from the inside, for a line that runs anticlockwise (n, 2)."""
    along = np.roll(points, -1, axis=0) - np.roll(points, 1, axis=0)
    return np.asarray(np.column_stack((along[:, 1], -along[:, 0])) / np.linalg.norm(along, axis=1)[:, None])
