"""day_list(calendar, now) → DayList: what a day at the bench needs to know, and nothing of the other days."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime

from trimwright.plan.calendar.gaps import FillIn, Gap, fill_ins, gaps
from trimwright.plan.calendar.shop_hours import closing_of, minutes_between, moved, opening_of
from trimwright.plan.calendar.tasks import After, Calendar, Slot, Task

LONG_WAIT = 6 * 60
"""A wait of so many minutes is worth starting before anything else [min]."""
SOON = 7 * 24 * 60
"""What is to be ordered within so many minutes may fill a gap of ten."""


@dataclass(frozen=True, slots=True)
class AtWork:
    """One task of the day."""

    task: Task
    slot: Slot


@dataclass(frozen=True, slots=True)
class Window:
    """A wait that closes: by then the next task must be begun, or the surface is scuffed and begun again."""

    before: Task
    after: Task
    opens: datetime
    closes: datetime
    planned: datetime


@dataclass(frozen=True, slots=True)
class Cure:
    """A wait that is over on this day."""

    before: Task
    after: Task
    over: datetime
    why: str


@dataclass(frozen=True, slots=True)
class LongWait:
    """A task of the day that a long wait follows: the sooner it is made, the sooner that runs."""

    task: Task
    slot: Slot
    minutes: int
    why: str


@dataclass(frozen=True)
class DayList:
    """One day."""

    now: datetime
    on_the_bench: tuple[AtWork, ...]
    windows: tuple[Window, ...]
    """Open, or opening today; the next to close first."""
    cures: tuple[Cure, ...]
    """Over today, in order."""
    long_waits: tuple[LongWait, ...]
    """The longest first."""
    to_order: tuple[AtWork, ...]
    """Deliveries the calendar orders today, and those due within a week, which may fill a gap."""
    arriving: tuple[AtWork, ...]
    gaps: tuple[tuple[Gap, Mapping[int, tuple[FillIn, ...]]], ...]
    """When hands are free today, and what would fit."""


def day_list(calendar: Calendar, now: datetime) -> DayList:
    """The rest of the day from `now`, in the shop's zone; on a day off it is empty of hands-on work."""
    bench = calendar.bench
    now = now.astimezone(bench.hours.zone)
    until = closing_of(bench.hours, now.date())
    today = [
        AtWork(bench.by_id[slot.task], slot)
        for slot in calendar.slots
        if slot.end > now and slot.start.date() <= now.date() and bench.by_id[slot.task].done is None
    ]
    hands_on = tuple(each for each in today if each.task.people)
    found = [] if until is None or until <= now else gaps(calendar, now, until)
    deliveries = [each for each in _deliveries(calendar) if each.task.begun is None]
    return DayList(
        now=now,
        on_the_bench=hands_on,
        windows=tuple(sorted(windows(calendar, now), key=lambda each: (each.closes, each.after.id))),
        cures=tuple(sorted(cures(calendar, now), key=lambda each: (each.over, each.after.id))),
        long_waits=tuple(sorted(long_waits(calendar, hands_on), key=lambda each: (-each.minutes, each.task.id))),
        to_order=tuple(each for each in deliveries if minutes_between(now, each.slot.start) <= SOON),
        arriving=tuple(each for each in _deliveries(calendar) if each.slot.end.date() == now.date()),
        gaps=tuple((each, fill_ins(calendar, each)) for each in found),
    )


def _deliveries(calendar: Calendar) -> Iterator[AtWork]:
    for slot in calendar.slots:
        task = calendar.bench.by_id[slot.task]
        if task.kind == "delivery" and task.done is None:
            yield AtWork(task, slot)


def _waits(calendar: Calendar) -> Iterator[tuple[Task, Task, After]]:
    """Every wait whose second task is still to be begun."""
    for task in calendar.bench.tasks:
        if task.done is None and task.begun is None:
            for each in task.after:
                yield calendar.bench.by_id[each.task], task, each


def windows(calendar: Calendar, now: datetime) -> Iterator[Window]:
    """Windows that are open, or that the day's work opens."""
    for before, task, each in _waits(calendar):
        ended, planned = calendar.by_task[before.id].end, calendar.by_task[task.id].start
        if each.closes is not None and ended.date() <= now.date() <= planned.date():
            yield Window(before, task, moved(ended, each.wait[1]), moved(ended, each.closes), planned)


def cures(calendar: Calendar, now: datetime) -> Iterator[Cure]:
    """Waits that are over on the day, each once, with the first task that was waiting."""
    told: set[tuple[str, int]] = set()
    for before, task, each in _waits(calendar):
        over = moved(calendar.by_task[before.id].end, each.wait[1])
        is_today = over.date() == now.date() and over >= now and before.people
        if each.wait[1] and is_today and (before.id, each.wait[1]) not in told:
            told.add((before.id, each.wait[1]))
            yield Cure(before, task, over, each.why)


def long_waits(calendar: Calendar, at_work: tuple[AtWork, ...]) -> Iterator[LongWait]:
    """What of the day's work a long wait follows."""
    longest: dict[str, After] = {}
    for before, _, each in _waits(calendar):
        if each.wait[1] >= LONG_WAIT and each.wait[1] > longest.get(before.id, After("")).wait[1]:
            longest[before.id] = each
    for made in at_work:
        if made.task.id in longest:
            after = longest[made.task.id]
            yield LongWait(made.task, made.slot, after.wait[1], after.why)


def day_with_work(calendar: Calendar, now: datetime) -> datetime:
    """`now`, or the opening of the next day with hands-on work where the rest of this one has none."""
    bench = calendar.bench
    coming = [
        slot.start
        for slot in calendar.slots
        if slot.end > now and bench.by_id[slot.task].people and bench.by_id[slot.task].done is None
    ]
    if not coming or min(coming).date() <= now.astimezone(bench.hours.zone).date():
        return now
    return opening_of(bench.hours, min(coming).date()) or min(coming)
