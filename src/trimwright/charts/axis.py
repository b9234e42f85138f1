"""A straight scale from figures to places on a drawing, with round figures to mark on it."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import count


@dataclass(frozen=True, slots=True)
class Axis:
    """Figures from `least` to `most` drawn from `start` to `end` [units]; `end` may lie before `start`."""

    least: float
    most: float
    start: float
    end: float

    def at(self, figure: float) -> float:
        """Where a figure is drawn."""
        share = (figure - self.least) / (self.most - self.least) if self.most > self.least else 0.5
        return self.start + share * (self.end - self.start)


def round_figures(least: float, most: float, about: int) -> tuple[int, ...]:
    """Whole figures in steps of 1, 2 or 5 with noughts behind, at most about so many, all from `least` to `most`.

    >>> round_figures(48, 88, 4), round_figures(40_000, 460_000, 5), round_figures(3, 3, 4)
    ((50, 60, 70, 80), (100000, 200000, 300000, 400000), (3,))
    """
    step = next(
        digit * 10**noughts for noughts in count() for digit in (1, 2, 5) if most - least <= about * digit * 10**noughts
    )
    return tuple(range(math.ceil(least / step) * step, math.floor(most) + 1, step))
