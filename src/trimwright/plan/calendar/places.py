"""What of each place a task holds and until when, and how full a place is."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

from trimwright.plan.calendar.shop_hours import moved
from trimwright.plan.calendar.tasks import Calendar, Spot, Task


@dataclass(frozen=True, slots=True)
class Held:
    """So much of a place, from one instant to another."""

    place: Spot
    room: int
    since: datetime
    until: datetime
    task: str


def held_by(task: Task, start: datetime, end: datetime) -> Iterator[Held]:
    """What a task made from `start` to `end` holds: its place, and where the piece rests afterwards."""
    yield Held(task.place, task.room, start, moved(end, task.keeps_place), task.id)
    if task.rests is not None and task.rests_minutes:
        yield Held(task.rests, task.rests_room, end, moved(end, task.rests_minutes), task.id)


def holders(calendar: Calendar, place: Spot) -> Iterator[Held]:
    """Everything that holds of a place, in the order of the calendar."""
    for slot in calendar.slots:
        for held in held_by(calendar.bench.by_id[slot.task], slot.start, slot.end):
            if held.place == place:
                yield held


def most_taken(calendar: Calendar, place: Spot, since: datetime, until: datetime, *, without: str) -> int:
    """The most of a place that other tasks hold at any one time between two instants."""
    held = [
        each for each in holders(calendar, place) if each.task != without and each.since < until and each.until > since
    ]
    turns = [since, *(each.since for each in held if each.since > since)]
    return max(sum(each.room for each in held if each.since <= turn < each.until) for turn in turns)


def has_room(calendar: Calendar, task: Task, start: datetime, end: datetime) -> bool:
    """Whether there is room for the task from `start` to `end` with everything else where it is."""
    capacity = calendar.bench.places
    return all(
        each.place not in capacity
        or most_taken(calendar, each.place, each.since, each.until, without=task.id) + each.room <= capacity[each.place]
        for each in held_by(task, start, end)
    )
