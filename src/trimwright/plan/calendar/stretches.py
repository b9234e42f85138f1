"""A calendar as people look at it: stretches of work on one thing, rather than every step by itself."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime

from trimwright.plan.calendar.shop_hours import minutes_between
from trimwright.plan.calendar.tasks import Calendar, Slot, Task

BREATH = 45
"""So long between two steps on the same part and they are still one stretch [min]."""


SHORT = 45
"""A stretch, or a block of them, shorter than this is not worth an entry of its own [min]."""


@dataclass(frozen=True)
class Stretch:
    """Work on one part, or of one kind on the whole cabin, on one day and without anything else between."""

    part: str | None
    tasks: tuple[Task, ...]
    start: datetime
    end: datetime

    @property
    def id(self) -> str:
        """Its first task's: the same as long as that begins it."""
        return self.tasks[0].id


def stretches(calendar: Calendar, day: date | None = None) -> tuple[Stretch, ...]:
    """Every stretch of hands-on work in its order; of one day where it is given."""
    by_id = calendar.bench.by_id
    found: list[Stretch] = []
    last: dict[tuple[str | None, str], int] = {}
    for slot in calendar.slots:
        task = by_id[slot.task]
        if not task.people or (day is not None and slot.start.date() != day):
            continue
        key = belongs_to(task)
        at = last.get(key)
        if at is not None and _goes_on(found[at], slot, found[at + 1 :], calendar.bench.hands):
            before = found[at]
            found[at] = Stretch(before.part, (*before.tasks, task), before.start, max(before.end, slot.end))
        else:
            last[key] = len(found)
            found.append(Stretch(task.part, (task,), slot.start, slot.end))
    return tuple(found)


def blocks(found: Iterable[Stretch]) -> tuple[tuple[Stretch, ...], ...]:
    """Stretches put together until each block is worth looking at by itself: short ones join what goes before."""
    put: list[list[Stretch]] = []
    for each in found:
        before = put[-1] if put else []
        near = bool(before) and before[-1].start.date() == each.start.date()
        near = near and minutes_between(before[-1].end, each.start) <= BREATH
        is_short = minutes_between(each.start, each.end) < SHORT
        if near and (is_short or minutes_between(before[0].start, before[-1].end) < SHORT):
            before.append(each)
        else:
            put.append([each])
    return tuple(map(tuple, put))


def belongs_to(task: Task) -> tuple[str | None, str]:
    """What keeps tasks in one stretch: their part, else what kind of work they are."""
    if task.kind in ("strip-down", "rebuild", "check"):
        return None, task.kind
    return task.part, "" if task.part else task.batch or task.kind


def _goes_on(stretch: Stretch, slot: Slot, since: Iterable[Stretch], hands: int) -> bool:
    """Whether the next slot is still the same stretch: the same day, soon after, and with nothing else between."""
    return (
        slot.start.date() == stretch.start.date()
        and minutes_between(stretch.end, slot.start) <= BREATH
        and (hands > 1 or not tuple(since))
    )
