"""The calendar in words: days and moments, what a stretch of work is called, what holds the date, what drives it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import date, datetime

from trimwright.charts.calendar import DAYS, STAGES
from trimwright.papers.press import MONTHS
from trimwright.papers.wording import sentence
from trimwright.plan.calendar.holding import Chain, Share
from trimwright.plan.calendar.promise import Driver
from trimwright.plan.calendar.shop_hours import moved
from trimwright.plan.calendar.stretches import Stretch
from trimwright.plan.calendar.tasks import Calendar, Task

DAY_MINUTES = 24 * 60
MOST_SHARES = 3
"""So much of what holds the date is told; the rest is small."""
FEW = 2
"""So many steps of a stretch are named."""
LONGEST_NAME = 72
"""Letters of a delivery's name that are told."""


def day_told(day: date) -> str:
    """A day, the same in every locale.

    >>> day_told(date(2026, 3, 2))
    'Mon 2 March'
    """
    return f"{DAYS[day.weekday()]} {day.day} {MONTHS[day.month - 1]}"


def moment(when: datetime) -> str:
    """A day and the time on it."""
    return f"{day_told(when)}, {when:%H:%M}"


def days(minutes: float) -> str:
    """Minutes as days, short ones as hours.

    >>> days(40_320), days(1440), days(2000), days(90)
    ('28 days', 'a day', '1.4 days', '1.5 hours')
    """
    if minutes < DAY_MINUTES:
        shown = f"{minutes / 60:.1f}".removesuffix(".0")
        return "an hour" if shown == "1" else f"{shown} hours"
    whole = minutes / DAY_MINUTES
    shown = f"{whole:.0f}" if whole >= 10 else f"{whole:.1f}".removesuffix(".0")
    return "a day" if shown == "1" else f"{shown} days"


# ---- stretches -------------------------------------------------------------------------------------------------------


def heading(stretch: Stretch, names: Mapping[str, str]) -> str:
    """What a stretch is work on: a part, or a stage of the whole car; a batch by its own name."""
    first = stretch.tasks[0]
    if first.kind in STAGES:
        return STAGES[first.kind]
    if stretch.part is not None:
        return sentence(names.get(stretch.part, stretch.part))
    return sentence(first.name)


def summary(stretch: Stretch, names: Mapping[str, str]) -> str:
    """The same with the first steps of it, the rest counted."""
    first = stretch.tasks[0]
    steps = list(dict.fromkeys(step_told(task, names) for task in stretch.tasks))
    more = f" and {len(steps) - FEW} more" if len(steps) > FEW else ""
    told = "; ".join(steps[:FEW]) + more
    return f"{heading(stretch, names)}: {told}" if first.kind in STAGES or stretch.part is not None else sentence(told)


def step_told(task: Task, names: Mapping[str, str]) -> str:
    """A task's name without its part's in front, which stands before it anyway."""
    return task.name.removeprefix(f"{names.get(task.part, '')}: ") if task.part else task.name


def named(task: Task, names: Mapping[str, str]) -> str:
    """A task by itself: its part, and what is done to it."""
    part = names.get(task.part, "") if task.part and task.kind not in STAGES else ""
    step = step_told(task, names)
    return f"{sentence(part)}: {step}" if part and part.lower() not in step.lower() else sentence(step)


def window_ends(calendar: Calendar) -> dict[str, datetime]:
    """By task: until when it must be begun, where a window closes."""
    found: dict[str, datetime] = {}
    for task in calendar.bench.tasks:
        for each in task.after:
            if each.closes is not None and task.done is None:
                closes = moved(calendar.by_task[each.task].end, each.closes)
                found[task.id] = min(closes, found.get(task.id, closes))
    return found


# ---- what holds it ---------------------------------------------------------------------------------------------------


def held(chain: Chain, calendar: Calendar, names: Mapping[str, str]) -> Iterator[str]:
    """What the time to the hand-over goes to, the most first, in sentences."""
    for share in chain.shares[:MOST_SHARES]:
        if share.minutes >= DAY_MINUTES / 4:
            yield f"{days(share.minutes)}: {_share(share, calendar, names)}"


def _share(share: Share, calendar: Calendar, names: Mapping[str, str]) -> str:
    task = calendar.bench.by_id.get(share.task or "")
    name = shortened(named(task, names) if task is not None and share.held == "delivery" else share.name)
    match share.held:
        case "hands":
            return "the hands are at work, nights and days off between"
        case "delivery":
            return f"on its way: {name}"
        case "place":
            return f"{name}, and nothing else fits"
        case _:
            return name


def shortened(name: str) -> str:
    """A long name, cut between words.

    >>> shortened("brush")
    'brush'
    """
    return name if len(name) <= LONGEST_NAME else name[:LONGEST_NAME].rpartition(" ")[0].rstrip(",") + " …"


def driven(drivers: Sequence[Driver], calendar: Calendar, names: Mapping[str, str]) -> Iterator[str]:
    """What moves the hand-over, and by how much when it is slow."""
    for each in drivers:
        task = calendar.bench.by_id.get(each.task or "")
        on_its_way = task is not None and each.kind in ("delivery", "sent out")
        name = named(task, names) if task is not None and on_its_way else each.name
        if each.days * 24 >= 1:
            yield f"{sentence(shortened(name))}: when slow, {days(each.days * DAY_MINUTES)} later"
