"""freeing(calendar, chain) → what would bring the hand-over forward, each measured: the bench changed and solved again.

The days won are those of the best calendar found in the time there is; the bound says that no more could be won.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Literal

from trimwright.plan.calendar.holding import Chain
from trimwright.plan.calendar.schedule import schedule
from trimwright.plan.calendar.shop_hours import minutes_between
from trimwright.plan.calendar.tasks import After, Bench, Calendar, Task

Way = Literal["hands", "spray spot", "day", "order", "treatment"]
DAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
SECONDS = 1.0
"""For each change; the calendar as it is starts the search, so most of it is spent on what is new."""
DAY_MINUTES = 24 * 60
LONG_WAIT = 8 * 60
"""From so many minutes on a wait makes a treatment slow."""


@dataclass(frozen=True)
class Change:
    """One thing that could be otherwise."""

    way: Way
    name: str
    bench: Bench
    part: str | None = None
    treatment: str | None = None
    days: float | None = None
    """Of a treatment: what a course may take at most to rule it out [days]."""


@dataclass(frozen=True)
class Freed:
    """What a change comes to."""

    change: Change
    end: datetime
    bound: datetime
    """No calendar of the changed bench ends sooner."""
    days: float
    """Days the hand-over is sooner than in the calendar as it is; never less than 0."""
    in_time: bool | None
    """Whether it meets the day the car is wanted by; None where none is set."""


def freeing(
    calendar: Calendar,
    chain: Chain,
    names: Mapping[str, str],
    *,
    seconds: float = SECONDS,
    told: Callable[[str], None] | None = None,
) -> tuple[Freed, ...]:
    """Each change that the chain asks for, solved again in `seconds`; what wins most first.

    `names` are the parts' and the treatments' by id; `told` hears the name of each change before it is tried.
    """
    found = []
    for change in changes(calendar, chain, names):
        if told is not None:
            told(change.name)
        after = schedule(change.bench, seconds=seconds, before=calendar)
        found.append(_freed(change, after, calendar))
    return tuple(sorted(found, key=lambda each: -each.days))


def _freed(change: Change, after: Calendar, calendar: Calendar) -> Freed:
    end = min(after.end, calendar.end)
    wanted = calendar.bench.wanted_by
    return Freed(
        change,
        end,
        min(after.bound, end),
        minutes_between(end, calendar.end) / DAY_MINUTES,
        None if wanted is None else end.date() <= wanted,
    )


# ---- what could be otherwise -----------------------------------------------------------------------------------------


def changes(calendar: Calendar, chain: Chain, names: Mapping[str, str]) -> Iterator[Change]:
    """Another pair of hands, another spray spot, a day more in the week, an order sooner, a slow treatment left out."""
    bench = calendar.bench
    yield Change("hands", "another pair of hands", replace(bench, hands=bench.hands + 1))
    if bench.places.get("spray spot"):
        yield Change("spray spot", "another spray spot", more_places(bench))
    yield from _another_day(bench)
    yield from _ordered_sooner(calendar, chain)
    yield from _without_the_slow(calendar, chain, names)


def more_places(bench: Bench) -> Bench:
    """One spray spot more."""
    return replace(bench, places={**bench.places, "spray spot": bench.places["spray spot"] + 1})


def _another_day(bench: Bench) -> Iterator[Change]:
    """The first closed day of the week from Saturday on worked like the longest of the others."""
    for day in (5, 6, 0, 1, 2, 3, 4):
        if not bench.hours.week[day]:
            week = tuple(max(bench.hours.week) if each == day else own for each, own in enumerate(bench.hours.week))
            yield Change("day", f"{DAYS[day]}s worked too", replace(bench, hours=replace(bench.hours, week=week)))
            return


def _ordered_sooner(calendar: Calendar, chain: Chain) -> Iterator[Change]:
    """The delivery or sent-out work the chain waits longest for, here when the work begins."""
    for share in chain.shares:
        task = calendar.bench.by_id.get(share.task or "")
        if share.held == "delivery" and task is not None and not task.people:
            here = replace(task, minutes=(0, 0, 0), after=tuple(replace(each, wait=(0, 0, 0)) for each in task.after))
            days = round(task.minutes[1] / DAY_MINUTES)
            name = f"{task.name}: ordered {days} days sooner" if days != 1 else f"{task.name}: ordered a day sooner"
            yield Change("order", name, with_task(calendar.bench, here), part=task.part, treatment=task.treatment)
            return


def _without_the_slow(calendar: Calendar, chain: Chain, names: Mapping[str, str]) -> Iterator[Change]:
    """The treatment whose waits hold the chain longest, left out: another course for that part has to be decided."""
    by_id = calendar.bench.by_id
    waits: dict[tuple[str, str], int] = {}
    for link in chain.links:
        before = by_id.get(link.by or "")
        if link.held == "wait" and link.wait >= LONG_WAIT and before is not None and before.part and before.treatment:
            key = before.part, before.treatment
            waits[key] = waits.get(key, 0) + link.wait
    if not waits:
        return
    part, treatment = max(waits, key=lambda key: waits[key])
    days = waits[part, treatment] / DAY_MINUTES
    name = f"{names.get(part, part)}: another course than {names.get(treatment, treatment)}"
    bench = without(calendar.bench, {each.id for each in by_id.values() if is_of(each, part, treatment)})
    yield Change("treatment", name, bench, part=part, treatment=treatment, days=round(days, 1))


def is_of(task: Task, part: str, treatment: str) -> bool:
    """Whether a task belongs to this treatment of this part and is still to be made."""
    return task.part == part and task.treatment == treatment and task.done is None and task.begun is None


def with_task(bench: Bench, task: Task) -> Bench:
    """The bench with one task as given."""
    return replace(bench, tasks=tuple(task if each.id == task.id else each for each in bench.tasks))


def without(bench: Bench, gone: set[str]) -> Bench:
    """The bench without these tasks; what came after them comes after what they came after, without their waits."""
    by_id: Mapping[str, Task] = bench.by_id

    def through(after: After) -> Iterator[After]:
        if after.task not in gone:
            yield after
            return
        for each in by_id[after.task].after:
            for other in through(each):
                yield After(other.task) if each.task in gone or after.task in gone else other

    def rid(task: Task) -> Task:
        kept: dict[str, After] = {}
        for each in (other for after in task.after for other in through(after)):
            if each.task not in kept or each.wait[1] > kept[each.task].wait[1]:
                kept[each.task] = each
        return replace(task, after=tuple(kept.values()))

    return replace(bench, tasks=tuple(rid(task) for task in bench.tasks if task.id not in gone))
