"""Fill-in work: when the hands are free while things cure, what of the calendar fits into the gap without harm.

A task that is moved into a gap leaves every other where it is, so the end stays where it is too; it may go there only
if it has waited long enough for what comes before, holds no place that is taken, and lets no window close.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from itertools import pairwise

from trimwright.plan.calendar.places import has_room
from trimwright.plan.calendar.shop_hours import minutes_between, moved, open_spans
from trimwright.plan.calendar.tasks import Calendar, Slot, Task

GAPS = (10, 30, 90)
"""Minutes that people ask about: what is worth beginning in so much time."""


@dataclass(frozen=True, slots=True)
class Gap:
    """Open hours in which somebody has nothing to do."""

    start: datetime
    end: datetime
    hands: int
    """How many are free all through it."""

    @property
    def minutes(self) -> int:
        return minutes_between(self.start, self.end)


@dataclass(frozen=True)
class FillIn:
    """A task that could be made in a gap, and when."""

    task: Task
    start: datetime
    end: datetime


def gaps(calendar: Calendar, start: datetime, end: datetime) -> tuple[Gap, ...]:
    """Every gap of at least the least of `GAPS` between two instants, in order."""
    bench = calendar.bench
    at_work = [(slot, bench.by_id[slot.task]) for slot in calendar.slots if bench.by_id[slot.task].people]
    found: list[Gap] = []
    for opens, closes in open_spans(bench.hours, start, end):
        opens, closes = max(opens, start), min(closes, end)
        inside = [(slot, task.people) for slot, task in at_work if slot.end > opens and slot.start < closes]
        found += _free(opens, closes, inside, bench.hands)
    return tuple(each for each in found if each.minutes >= GAPS[0])


def _free(opens: datetime, closes: datetime, busy: Iterable[tuple[Slot, int]], hands: int) -> Iterator[Gap]:
    """Where not all hands are taken, between an opening and a closing."""
    busy = list(busy)
    turns = sorted(
        {opens, closes, *(max(opens, each.start) for each, _ in busy), *(min(closes, each.end) for each, _ in busy)}
    )
    running: Gap | None = None
    for since, until in pairwise(turns):
        free = hands - sum(people for slot, people in busy if slot.start <= since and slot.end >= until)
        if running is not None and free == running.hands:
            running = replace(running, end=until)
            continue
        if running is not None:
            yield running
        running = Gap(since, until, free) if free > 0 else None
    if running is not None:
        yield running


def fill_ins(calendar: Calendar, gap: Gap) -> Mapping[int, tuple[FillIn, ...]]:
    """By minutes there are (10, 30 and 90, as far as the gap goes): what could be made in them, the longest first."""
    found = [each for each in (_in_gap(task, gap, calendar) for task in calendar.bench.tasks) if each is not None]
    ordered = sorted(found, key=lambda each: -minutes_between(each.start, each.end))
    told: dict[int, tuple[FillIn, ...]] = {}
    for least in GAPS:
        if gap.minutes >= least:
            until = moved(gap.start, least)
            told[least] = tuple(each for each in ordered if each.end <= until)
    return told


def _in_gap(task: Task, gap: Gap, calendar: Calendar) -> FillIn | None:
    """The task moved to where it can be begun in the gap; None where it can't, or where it lies there already."""
    slot = calendar.by_task[task.id]
    if not task.people or task.people > gap.hands or task.done or task.begun or slot.start <= gap.start:
        return None
    length = minutes_between(slot.start, slot.end)
    start = max([gap.start, *(_ready(each.task, each.wait[1], calendar) for each in task.after)])
    if task.not_before is not None:
        start = max(start, task.not_before)
    end = moved(start, length)
    if end > gap.end or start >= slot.start or not length:
        return None
    if _closes_too_soon(task, end, calendar) or not has_room(calendar, task, start, end):
        return None
    return FillIn(task, start, end)


def _ready(task_id: str, wait: int, calendar: Calendar) -> datetime:
    return moved(calendar.by_task[task_id].end, wait)


def _closes_too_soon(task: Task, end: datetime, calendar: Calendar) -> bool:
    """Whether a window would close before what follows is begun."""
    return any(
        each.closes is not None and minutes_between(end, calendar.by_task[after.id].start) > each.closes
        for after in calendar.bench.tasks
        for each in after.after
        if each.task == task.id
    )
