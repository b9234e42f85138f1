"""What finish a course gives, how long it lasts, and the points it holds over the years the owner asks for.

Finish runs from 0 (ruined) to 10 (as new); lives and horizons are in years. A treated part falls in a straight line
over its life to where it would be had it been left; a left part slides by its own faults' rate and never below 0.
The finishes at which something turns are our own judgement.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from trimwright.facts.trade import Treatment
from trimwright.plan.quantities.suiting import lifts
from trimwright.plan.quantities.surveyed import Surveyed

TYPICAL, BEST = 1, 2
FIRM_BEARING = 6
"""A support that bears less than this shortens the life of what lies on it and makes its redo likelier."""
HARDLY_RAISED = 2
"""Cleaning or mending lifts a low finish that no fault explains by so much at most."""
NO_REASON_BELOW = 7
"""A part without faults should be at least this; below it something has not been named."""


@dataclass(frozen=True, slots=True)
class Slide:
    """A part that is left: its finish now and the points it loses a year."""

    finish: float
    a_year: float

    def at(self, years: float) -> float:
        """The finish after `years`.

        >>> Slide(5, 0.5).at(2), Slide(1, 0.5).at(4)
        (4.0, 0.0)
        """
        return max(0.0, self.finish - self.a_year * years)

    def area(self, start: float, end: float) -> float:
        """Finish-years between two moments.

        >>> Slide(5, 1).area(0, 3), Slide(1, 1).area(0, 3)
        (10.5, 0.5)
        """
        if self.a_year > 0:
            end = min(end, self.finish / self.a_year)
        if end <= start:
            return 0.0
        return (self.at(start) + self.at(end)) / 2 * (end - start)


def mean_finish(finish: float, life_years: float, left: Slide, years: float) -> float:
    """The mean over `years` of a finish that falls in a straight line over its life to where a left part would be.

    >>> mean_finish(9, 6, Slide(3, 0), 3)
    7.5
    >>> mean_finish(9, 2, Slide(3, 0), 4)
    4.5
    """
    falling = min(years, life_years)
    end = left.at(life_years)
    first = finish * falling + (end - finish) * falling**2 / (2 * life_years)
    return (first + left.area(falling, years)) / years


def explained(part: Surveyed) -> bool:
    """Whether the finish surveyed is about what the part's faults, or those of what it rests on, would give it."""
    caps = [found.cap for found in part.faults]
    if part.bearing_now < 10:
        caps.append(part.bearing_now)
    return part.finish_now >= min(caps) - 1 if caps else part.finish_now >= NO_REASON_BELOW


def left_finish(part: Surveyed, bearing: int) -> int:
    """The finish of a part that is left, when what it rests on is made to bear `bearing`.

    A sound cover that is low only because of what lies under it comes up a little with it; otherwise nothing changes.
    """
    if bearing <= part.bearing_now or part.finish_now > part.bearing_now:
        return part.finish_now
    own = min((found.cap for found in part.faults), default=10)
    return max(part.finish_now, min(own, bearing, part.finish_now + HARDLY_RAISED))


def treated_finish(
    part: Surveyed,
    treatments: Sequence[Treatment],
    carriers: Sequence[Treatment],
    bearing: int,
    stated: int | None = None,
) -> int:
    """The least of what the carriers give and the caps of the faults left; `stated` is an offer's known finish.

    A first that is itself a mend caps at the best it can give; cleaning gives its best where nothing else is wrong.
    What is treated never ends below where it stands.
    """
    left = [found.cap for found in part.faults if not lifts(treatments, found.id, found.extent)]
    best = min(carrier.finish[BEST if carrier.kind == "clean" and not left else TYPICAL] for carrier in carriers)
    best = best if stated is None else stated
    best = min([best, *(each.finish[BEST] for each in treatments if each.kind == "mend" and each.finish[BEST])])
    best = min([best, bearing, *left])
    if all(carrier.kind in ("clean", "mend") for carrier in carriers) and not explained(part):
        best = min(best, part.finish_now + HARDLY_RAISED)
    return max(best, part.finish_now)


def life_at(life_years: float, bearing: int) -> float:
    """The life of a finish on a support that gives way.

    >>> life_at(10, 9), life_at(10, 3)
    (10, 5.0)
    """
    return life_years if bearing >= FIRM_BEARING else life_years * max(1, bearing) / FIRM_BEARING
