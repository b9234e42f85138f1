"""How surely the hides will do: layouts on smaller ones tell how much they may fall short, and with what chance."""

from __future__ import annotations

from dataclasses import dataclass
from math import erf, sqrt

from trimwright.geometry.nest.hide import scaled
from trimwright.geometry.nest.layout import Layout
from trimwright.geometry.nest.search import Effort, Watch, lay_on_hides

SPREAD = 0.08
"""How hides bought as one size differ in usable area (1σ as a share): from memory, no source."""
HALVINGS = 4
LEAST_AREA = 0.6


@dataclass(frozen=True, slots=True)
class Spare:
    """What came of the trials: for each, the least share of the hides' area that still held all pieces."""

    enough: tuple[float, ...]
    spread: float

    @property
    def chance(self) -> float:
        """That one hide more is needed: that hides fall as short, area being spread normally; mean over the trials."""
        return sum((1 + erf((each - 1) / self.spread / sqrt(2))) / 2 for each in self.enough) / len(self.enough)


class _Ended(Exception):
    """The watch wants no more."""


def spare_of(
    layout: Layout,
    effort: Effort | None = None,
    trials: int = 2,
    spread: float = SPREAD,
    watch: Watch | None = None,
) -> Spare | None:
    """Halve the way between hides that hold all and hides that don't, in trials from different seeds.

    Each layout gets an even share of the effort. With pieces left over there is nothing to try: the chance is 1.
    None when the watch ended the trials.
    """

    def until_all_lie(tries: int, share: float) -> bool:
        if watch is not None and not watch(tries, share):
            raise _Ended
        return share < 1 - 1e-9

    effort = effort or Effort(seconds=20)
    if layout.left_over:
        return Spare((float("inf"),), spread)
    each = effort.seconds / trials / HALVINGS
    efforts = [Effort(each, effort.tries, effort.seed + 7 * number) for number in range(trials)]
    try:
        return Spare(tuple(_least(layout, each, until_all_lie) for each in efforts), spread)
    except _Ended:
        return None


def _least(layout: Layout, effort: Effort, until_all_lie: Watch) -> float:
    from trimwright.errors import BadInput

    fails, holds = LEAST_AREA, 1.0
    for _ in range(HALVINGS):
        area = (fails + holds) / 2
        try:
            smaller = [scaled(each, sqrt(area)) for each in layout.hides[: layout.hides_used]]
            held = not lay_on_hides(smaller, layout.asked, layout.clear, effort, until_all_lie).left_over
        except BadInput:  # a piece is larger than the smaller hides
            held = False
        fails, holds = (fails, area) if held else (area, holds)
    return holds
