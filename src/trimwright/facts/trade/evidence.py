"""How far a row may be trusted, and figures as rows give them: three points, prices in two currencies."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Level = Literal["pages", "common practice", "guess", "own book"]
"""How far a row may be trusted; the tables know all but the last, which is the shop's own."""
Spread3 = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Evidence:
    """How far a row may be trusted: read on pages, common practice, a guess, or the shop's own.

    `note` keeps the researcher's words; of the shop's own it says what is known, and since when.
    """

    level: Level
    source: str
    note: str = ""

    @property
    def told(self) -> str:
        """The level, or what the shop's own book says."""
        return self.note if self.level == "own book" else self.level


@dataclass(frozen=True, slots=True)
class Price:
    """Low and high in whole hundredths, by the two currencies the facts know."""

    usd: tuple[int, int]
    eur: tuple[int, int]
    own: int | None = None
    """What the shop pays itself, in whole minor units of the currency its facts were prepared for. It goes before the
    tables' figures, which are (0, 0) where they have none."""
