"""holding(calendar) → Chain: what fixes the hand-over, from the last task back to the first day.

Each link says why a task could not begin sooner: what came before it and the wait after that, the hands or the place
that were still taken, or a date. A delivery counts from when it could first have been ordered, however late the
calendar orders it to keep money back.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from trimwright.plan.calendar.places import held_by, holders
from trimwright.plan.calendar.shop_hours import first_fit, minutes_between, moved
from trimwright.plan.calendar.tasks import After, Calendar, Slot, Task

Held = Literal["start", "date", "after", "wait", "delivery", "place", "hands", "choice"]
"""Why no sooner: the bench's start, a date of its own, the task before, a wait, a delivery or sent-out work, its place
taken, the hands taken, or nothing but the order chosen."""
SWITCH = 1
"""Ends that lie no further apart than this are one moment [min]."""


@dataclass(frozen=True, slots=True)
class Link:
    """One task of the chain and what kept it from beginning sooner."""

    task: Task
    slot: Slot
    held: Held
    by: str | None
    """The task that held it; None where no other did."""
    wait: int = 0
    """Minutes of that wait."""
    why: str = ""
    """What the wait is called."""


@dataclass(frozen=True)
class Share:
    """So much of the time to the hand-over goes to one thing."""

    held: Held
    name: str
    minutes: int
    """By the clock, nights within it included."""
    task: str | None = None
    """The delivery, or the task that waits; None for hands and for work."""


@dataclass(frozen=True)
class Chain:
    """What holds the date, in the order of time, and how its time divides."""

    links: tuple[Link, ...]
    shares: tuple[Share, ...]
    """The largest first."""


def holding(calendar: Calendar) -> Chain:
    """The chain that ends with the hand-over. A calendar without open tasks has an empty one."""
    if not calendar.slots:
        return Chain((), ())
    seen: set[str] = set()
    links: list[Link] = []
    at: str | None = max(calendar.slots, key=lambda slot: (slot.end, slot.start)).task
    while at is not None and at not in seen:
        seen.add(at)
        links.append(link_of(at, calendar))
        at = links[-1].by
    links.reverse()
    return Chain(tuple(links), tuple(shares(links, calendar)))


# ---- one link --------------------------------------------------------------------------------------------------------


def link_of(task_id: str, calendar: Calendar) -> Link:
    """Why this task did not begin sooner."""
    bench = calendar.bench
    task, slot = bench.by_id[task_id], calendar.by_task[task_id]
    if task.done is not None or task.begun is not None:
        return Link(task, slot, "start", None)
    latest = max(task.after, key=lambda each: ready_after(each, calendar), default=None)
    if latest is not None and not could_begin(task, ready_after(latest, calendar), slot, calendar):
        before = bench.by_id[latest.task]
        kind: Held = "wait" if latest.wait[1] else "after"
        if not before.people and before.kind in ("delivery", "sent out"):
            kind = "delivery"
        return Link(task, slot, kind, latest.task, latest.wait[1], latest.why)
    if task.not_before is not None and not could_begin(task, task.not_before, slot, calendar):
        return Link(task, slot, "date", None)
    if not could_begin(task, bench.start, slot, calendar):
        return Link(task, slot, "start", None)
    for held, other in (("place", _place_before(task, slot, calendar)), ("hands", _hands_before(task, slot, calendar))):
        if other is not None and not could_begin(task, other[0], slot, calendar):
            return Link(task, slot, "place" if held == "place" else "hands", other[1])
    last = _hands_before(task, slot, calendar)
    return Link(task, slot, "choice", last[1] if last else None)


def could_begin(task: Task, since: datetime, slot: Slot, calendar: Calendar) -> bool:
    """Whether the shop's hours would let it begin before its slot, were it ready at `since`."""
    if not task.people:
        return minutes_between(since, slot.start) > SWITCH
    fits = first_fit(calendar.bench.hours, since, minutes_between(slot.start, slot.end))
    return fits is not None and minutes_between(fits, slot.start) > SWITCH


def ready_after(each: After, calendar: Calendar) -> datetime:
    """When what comes before lets it begin: a delivery, as if ordered as soon as could be."""
    before, slot = calendar.bench.by_id[each.task], calendar.by_task[each.task]
    ended = slot.end
    if before.kind == "delivery" and before.done is None and before.begun is None:
        ordered = max(
            [calendar.bench.start, *(ready_after(other, calendar) for other in before.after)],
        )
        if before.not_before is not None:
            ordered = max(ordered, before.not_before)
        ended = min(ended, moved(ordered, minutes_between(slot.start, slot.end)))
    return moved(ended, each.wait[1])


def _hands_before(task: Task, slot: Slot, calendar: Calendar) -> tuple[datetime, str] | None:
    """The task for hands that ended last before this one began."""
    if not task.people:
        return None
    by_id = calendar.bench.by_id
    ended = [
        (each.end, each.task)
        for each in calendar.slots
        if each.end <= slot.start and each.task != task.id and by_id[each.task].people
    ]
    return max(ended, default=None)


def _place_before(task: Task, slot: Slot, calendar: Calendar) -> tuple[datetime, str] | None:
    """The last task that had to leave a place before there was room for this one."""
    capacity = calendar.bench.places
    found = []
    for wanted in held_by(task, slot.start, slot.end):
        if wanted.place not in capacity:
            continue
        taken = wanted.room
        held = [each for each in holders(calendar, wanted.place) if each.since < wanted.since and each.task != task.id]
        for each in sorted(held, key=lambda each: each.until, reverse=True):
            taken += each.room
            if each.until <= wanted.since and taken > capacity[wanted.place]:
                found.append((moved(each.until, minutes_between(wanted.since, slot.start)), each.task))
                break
    return max(found, default=None)


# ---- how the time divides --------------------------------------------------------------------------------------------


def shares(links: list[Link], calendar: Calendar) -> list[Share]:
    """The time from the start to the hand-over, by what it goes to."""
    minutes: Counter[tuple[Held, str, str | None]] = Counter()
    since = calendar.bench.start
    for link in links:
        idle = max(0, minutes_between(since, link.slot.start))
        minutes[_told(link, calendar)] += idle
        work: tuple[Held, str, str | None] = (
            ("hands", "hands at work", None) if link.task.people else ("delivery", link.task.name, link.task.id)
        )
        minutes[work] += minutes_between(max(since, link.slot.start), max(since, link.slot.end))
        since = max(since, link.slot.end)
    found = [Share(held, name, spent, task) for (held, name, task), spent in minutes.items() if spent]
    return sorted(found, key=lambda share: -share.minutes)


def _told(link: Link, calendar: Calendar) -> tuple[Held, str, str | None]:
    """What the time before a link's task went to."""
    if link.held == "wait":
        before = calendar.bench.by_id[link.by] if link.by else link.task
        return "wait", f"{link.why or 'wait'} after {before.name}", link.task.id
    if link.held == "delivery" and link.by:
        return "delivery", calendar.bench.by_id[link.by].name, link.by
    if link.held == "date":
        return "date", f"not before {link.slot.start:%Y-%m-%d}: {link.task.name}", link.task.id
    if link.held == "place":
        return "place", f"{link.task.place} taken", None
    return "hands", "hands at work", None
