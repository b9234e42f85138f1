"""The nouns of the fifth stage: every task, what it waits for, and where and when it may be made.

Conventions, said once. Minutes are whole hands-on minutes as they will be, the hours factor applied; waits are whole
minutes by the clock. Figures in threes are low, likely, high: the likely one is planned, all three are simulated.
Instants are aware datetimes in the shop's own time zone.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time
from functools import cached_property
from typing import Literal
from zoneinfo import ZoneInfo

Kind = Literal["strip-down", "bench", "batch", "delivery", "sent out", "rebuild", "check", "find"]
Spot = Literal["car", "bench", "rack", "spray spot", "press", "oven", "line", "away"]
Minutes = tuple[int, int, int]


@dataclass(frozen=True, slots=True)
class After:
    """What comes before a task, and how long lies between."""

    task: str
    wait: Minutes = (0, 0, 0)
    """From that task's end: the likely one is the least that is planned."""
    closes: int | None = None
    """The wait's most: past it the surface is scuffed and begun again; None = it never closes."""
    why: str = ""
    """What the wait is called: flash, cure, dry, battery's wait."""
    cures: bool = False
    """Whether warmth and humidity move it (a delivery's days never move)."""


@dataclass(frozen=True, slots=True)
class Air:
    """Temperature [°C] and relative humidity [%]."""

    temperature: float
    humidity: float


@dataclass(frozen=True, slots=True)
class Limits:
    """The air a coat may be put on in."""

    least_c: float | None = None
    best_c: float | None = None
    most_rh: float | None = None
    dew_margin: bool = False
    """Whether the surface must lie 3 °C above the dew point."""


@dataclass(frozen=True, slots=True)
class Task:
    """One piece of work that is not interrupted, or a delivery on its way."""

    id: str
    kind: Kind
    name: str
    part: str | None = None
    """The survey's id of the part; None = of the whole cabin, or of several."""
    place: Spot = "bench"
    room: int = 1
    """How much of the place: 1, or mm² on a rack."""
    keeps_place: int = 0
    """Minutes it keeps its place after the hands are off it (a press while the glue sets)."""
    rests: Spot | None = None
    """Where the piece lies for `rests_minutes` after the hands are off it, where that is another place."""
    rests_room: int = 1
    """How much of that it takes: 1, or mm² on a rack."""
    rests_minutes: int = 0
    minutes: Minutes = (0, 0, 0)
    people: int = 1
    after: tuple[After, ...] = ()
    limits: Limits = Limits()
    air: Air | None = None
    """What the shop's air has to be brought to before it; None = it will do as it is."""
    treatment: str | None = None
    how: str = ""
    """The recipe's step, or the move's."""
    batch: str | None = None
    """The mix or set-up it shares with others."""
    colour: str = ""
    cautions: tuple[str, ...] = ()
    money: int = 0
    """Of a delivery: what is paid when it is ordered [minor units]."""
    not_before: datetime | None = None
    not_after: datetime | None = None
    begun: datetime | None = None
    """When it was begun, or ordered, where that was noted; its minutes run from there to when it should be over."""
    done: datetime | None = None
    """When it was finished; its minutes are then those it took."""


@dataclass(frozen=True, slots=True)
class Hours:
    """When the shop is open."""

    zone: ZoneInfo
    week: tuple[int, ...]
    """Minutes for tasks, Monday to Sunday: what is left of the day once talk and clearing up have had their share."""
    opens: time
    days_off: frozenset[date] = frozenset()


@dataclass(frozen=True)
class Bench:
    """Everything the calendar is made of."""

    start: datetime
    """Nothing that is not yet begun starts earlier."""
    tasks: tuple[Task, ...]
    hours: Hours
    hands: int
    places: Mapping[Spot, int]
    """How much there is of each place: 1 spray spot, mm² of rack; a place that is not named has no end."""
    air: Air
    wanted_by: date | None = None
    notes: tuple[str, ...] = ()
    """What a person should know of it: windows that have closed, air to be brought right, what comes too late."""

    @cached_property
    def by_id(self) -> Mapping[str, Task]:
        return {each.id: each for each in self.tasks}

    @cached_property
    def followers(self) -> Mapping[str, Sequence[tuple[After, Task]]]:
        """What waits for each task, with how."""
        found: dict[str, list[tuple[After, Task]]] = {task.id: [] for task in self.tasks}
        for task in self.tasks:
            for each in task.after:
                found.setdefault(each.task, []).append((each, task))
        return found


@dataclass(frozen=True, slots=True)
class Slot:
    """When a task is made."""

    task: str
    start: datetime
    end: datetime


@dataclass(frozen=True)
class Calendar:
    """Every task's time, checked without the solver."""

    bench: Bench
    slots: tuple[Slot, ...]
    """In the order of their starts."""
    end: datetime
    """The hand-over."""
    bound: datetime
    """No calendar of these tasks ends earlier."""
    seconds: float

    @cached_property
    def by_task(self) -> Mapping[str, Slot]:
        return {each.task: each for each in self.slots}

    @property
    def gap(self) -> float:
        """How much of the time from the bench's start to the end might still be won: 0 = proven best."""
        start, bound, end = (each.astimezone(UTC) for each in (self.bench.start, self.bound, self.end))
        return (end - bound) / (end - start) if end > start else 0.0
