"""The bare scheduling problem: activities, what they hold, who waits for whom; and one timetable that answers it.

It knows nothing of cabins, so published instances go through the same code as a shop's bench. Conventions, said once.
Time is whole units from 0 (a shop counts minutes from the first midnight of its plan, an instance whatever it counts);
waits run through the night, hands do not: an activity that may not start at any time says when it may.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class Holds:
    """So much of a resource, from an activity's start until `after` past its end (a rack while the coat dries)."""

    resource: str
    amount: int = 1
    after: int = 0


@dataclass(frozen=True, slots=True)
class Activity:
    """One thing of a known length that is not interrupted."""

    id: str
    length: int
    holds: tuple[Holds, ...] = ()
    starts: tuple[tuple[int, int], ...] = ()
    """When it may start: closed ranges, rising and apart; empty = at any time in the project."""
    fixed: int | None = None
    """Its start, when it has been made or is under way: nothing moves it."""
    tied_up: int = 0
    """Money that is bound from its start on [minor units]: the later the better, once the end stands."""
    group: str = ""
    """What changing from or to costs a change: the place and the gun's colour. Empty = never a change."""


@dataclass(frozen=True, slots=True)
class Lag:
    """`after` starts at least `least`, and where it closes at most `most`, units after `before` has ended.

    Either may be negative: instances with start-to-start lags are read by taking the length off.
    """

    before: str
    after: str
    least: int = 0
    most: int | None = None


@dataclass(frozen=True)
class Project:
    """Everything the solver reads."""

    activities: tuple[Activity, ...]
    lags: tuple[Lag, ...]
    capacity: Mapping[str, int]
    horizon: int
    """Nothing ends later."""

    @property
    def by_id(self) -> Mapping[str, Activity]:
        return {each.id: each for each in self.activities}


@dataclass(frozen=True)
class Timetable:
    """A start for every activity, how good it is, and how good it could still be."""

    starts: Mapping[str, int]
    end: int
    """When the last activity ends."""
    bound: int
    """No timetable ends earlier."""
    seconds: float = field(default=0.0, compare=False)

    @property
    def proven(self) -> bool:
        return self.end == self.bound
