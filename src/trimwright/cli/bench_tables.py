"""What `bench` and `today` print: days with their stretches of work, what holds the date; or one JSON object."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from itertools import groupby
from typing import TYPE_CHECKING, Any

from trimwright import units
from trimwright.cli.tables import plain_table, print_short
from trimwright.papers.bench_words import (
    DAY_MINUTES,
    day_told,
    days,
    driven,
    heading,
    held,
    moment,
    named,
    shortened,
)
from trimwright.papers.wording import sentence
from trimwright.plan.calendar.day_list import AtWork, DayList
from trimwright.plan.calendar.freeing import Freed
from trimwright.plan.calendar.holding import holding
from trimwright.plan.calendar.list_order import in_list_order
from trimwright.plan.calendar.promise import SURE, Promise
from trimwright.plan.calendar.shop_hours import minutes_between
from trimwright.plan.calendar.stretches import stretches
from trimwright.plan.calendar.tasks import Calendar, Slot, Task
from trimwright.plan.calendar.together import ends

if TYPE_CHECKING:
    from rich.console import Console

    from trimwright.cli.bench import Laid

STRETCHES = 8
"""So many things of a day are told, the rest counted."""
FILL_INS = 3


def print_bench(console: Console, laid: Laid, told: Promise, freed: Sequence[Freed]) -> None:
    """Every day with its work, then the hand-over, what holds it and what would free it."""
    from rich.text import Text

    calendar = laid.calendar
    for each in calendar.bench.notes:
        console.print(Text(f"! {each}", style="yellow"))
    rows = list(_days(calendar, laid.names))
    console.print(plain_table(("Day", "Hands on", "What"), rows, right=frozenset({1})))
    console.print()
    for line in hand_over(calendar, told, laid.jobs):
        console.print(Text(line))
    _bulleted(console, "What holds the date", held(holding(calendar), calendar, laid.names))
    _bulleted(console, "What it hangs on", list(driven(told.drivers, calendar, laid.names)))
    _print_freed(console, freed)
    print_short(console, laid.plan.verdicts)


def hand_over(calendar: Calendar, told: Promise, jobs: Mapping[str, str]) -> Iterator[str]:
    """When it is handed over, how sure that is, and against what it is measured."""
    yield f"Hand-over {moment(calendar.end)}; {_proof(calendar)}."
    yield f"Ready in {SURE // 10} of 10 cases by {moment(told.at)}."
    for job, end in ends(calendar).items() if jobs else ():
        yield f"  {jobs[job]}: {moment(end)}."
    wanted = calendar.bench.wanted_by
    if wanted is not None:
        late = (calendar.end.date() - wanted).days
        by = day_told(wanted)
        yield f"The car is wanted by {by}: {late} days late." if late > 0 else f"The car is wanted by {by}: in time."
    plain = in_list_order(calendar.bench)
    won = plain.days_won(calendar.end) * DAY_MINUTES
    if won >= 30:
        yield f"Worked down as a list, each part finished before the next: {moment(plain.end)}; {days(won)} later."
    else:
        yield "Worked down as a list, each part finished before the next, it ends no later."


def _proof(calendar: Calendar) -> str:
    if calendar.end == calendar.bound:
        return "proven: nothing ends sooner"
    return f"nothing ends before {moment(calendar.bound)}"


def _days(calendar: Calendar, names: Mapping[str, str]) -> Iterator[Sequence[str]]:
    """A row a day with work: how much, and on what, in its order."""
    found = [each for each in stretches(calendar) if any(task.done is None for task in each.tasks)]
    for day, group in groupby(found, key=lambda each: each.start.date()):
        of_day = list(group)
        minutes = sum(calendar_minutes(task, calendar) * task.people for each in of_day for task in each.tasks)
        steps = Counter[str]()
        for each in of_day:
            steps[heading(each, names)] += len(each.tasks)
        told = [f"{head} ×{count}" if count > 1 else head for head, count in steps.items()]
        more = f"; {len(told) - STRETCHES} more" if len(told) > STRETCHES else ""
        yield day_told(day), units.hours(minutes), "; ".join(told[:STRETCHES]) + more


def calendar_minutes(task: Task, calendar: Calendar) -> int:
    """Minutes of its slot."""
    slot = calendar.by_task[task.id]
    return minutes_between(slot.start, slot.end)


def _bulleted(console: Console, title: str, lines: Iterator[str] | Sequence[str]) -> None:
    from rich.text import Text

    found = list(lines)
    if found:
        console.print(Text(f"\n{title}", style="bold"))
    for each in found:
        console.print(Text(f"  {each}"))


def _print_freed(console: Console, freed: Sequence[Freed]) -> None:
    """Each change with the days it won, the end it came to and the bound."""
    from rich.text import Text

    if not freed:
        return
    console.print(Text("\nWhat would bring it forward, each tried", style="bold"))
    rows = [
        (
            f"  {sentence(_change(each))}",
            days(each.days * DAY_MINUTES) if each.days * DAY_MINUTES >= 30 else "nothing",
            moment(each.end),
            day_told(each.bound),
        )
        for each in freed
    ]
    console.print(plain_table(("  Change", "Won", "Hand-over", "No sooner than"), rows, right=frozenset({1})))
    for each in freed:
        change = each.change
        if change.way == "treatment" and change.days is not None and each.days > 0:
            waits = f"Its waits hold the chain for {days(change.days * DAY_MINUTES)}."
            told = f"To decide without it, ban {change.treatment} for {change.part} in the job and decide again."
            console.print(Text(f"  {waits} {told}", style="dim"))


def _change(each: Freed) -> str:
    """A change in words, a long name cut."""
    name, _, what = each.change.name.rpartition(": ")
    return f"{shortened(name)}: {what}" if name else what


# ---- today -----------------------------------------------------------------------------------------------------------


def print_day(console: Console, listed: DayList, names: Mapping[str, str]) -> None:
    """What is on the bench, windows, cures, what to begin before the long wait, fill-ins, the post."""
    from rich.text import Text

    console.print(Text(day_told(listed.now), style="bold"))
    rows = [(f"{at.slot.start:%H:%M}", f"{at.slot.end:%H:%M}", named(at.task, names), at.task.place, at.task.id)
            for at in listed.on_the_bench]  # fmt: skip
    if rows:
        console.print(plain_table(("From", "To", "What", "Where", "Task"), rows))
    else:
        console.print("Nothing for hands.")
    _bulleted(
        console, "Windows, the next to close first",
        [f"{named(each.after, names)}: between {_at(each.opens, listed)} and {_at(each.closes, listed)}"
         for each in listed.windows],
    )  # fmt: skip
    _bulleted(
        console, "Waits over today",
        [f"{each.over:%H:%M} {named(each.before, names)} ({each.why or 'wait'})" for each in listed.cures],
    )  # fmt: skip
    _bulleted(
        console, "Before a long wait: the sooner made, the sooner it runs",
        [f"{named(each.task, names)}: then {days(each.minutes)} ({each.why or 'wait'})"
         for each in listed.long_waits],
    )  # fmt: skip
    _bulleted(console, "Hands free", list(gap_lines(listed, names)))
    _bulleted(
        console, "To order", [f"by {day_told(each.slot.start)}: {_short(each, names)}" for each in listed.to_order]
    )
    _bulleted(console, "Should be here today", [_short(each, names) for each in listed.arriving])


def gap_lines(listed: DayList, names: Mapping[str, str]) -> Iterator[str]:
    """Each gap, and what would fit into ten, thirty and ninety minutes of it."""
    for gap, fits in listed.gaps:
        told = [
            f"in {least} min {', '.join(named(each.task, names) for each in found[:FILL_INS])}"
            for least, found in fits.items()
            if found
        ]
        yield f"{gap.start:%H:%M} to {gap.end:%H:%M}: {'; '.join(told) or 'nothing of the calendar fits'}"


def _at(when: Any, listed: DayList) -> str:
    return f"{when:%H:%M}" if when.date() == listed.now.date() else moment(when)


def _short(each: AtWork, names: Mapping[str, str]) -> str:
    return shortened(named(each.task, names))


# ---- plain data ------------------------------------------------------------------------------------------------------


def as_plain(calendar: Calendar, told: Promise) -> dict[str, Any]:
    """What `bench --json` prints: instants in ISO 8601 with their offsets."""
    by_id = calendar.bench.by_id
    return {
        "start": calendar.bench.start.isoformat(),
        "end": calendar.end.isoformat(),
        "bound": calendar.bound.isoformat(),
        "gap": calendar.gap,
        "promise_80": told.at.isoformat(),
        "tasks": [_task(by_id[slot.task], slot) for slot in calendar.slots],
        "seconds": round(calendar.seconds, 3),
    }


def _task(task: Task, slot: Slot) -> dict[str, Any]:
    return {
        "id": task.id,
        "part": task.part,
        "kind": task.kind,
        "start": slot.start.isoformat(),
        "end": slot.end.isoformat(),
        "place": task.place,
    }


def day_as_plain(listed: DayList) -> dict[str, Any]:
    """What `today --json` prints."""
    return {
        "day": listed.now.date().isoformat(),
        "on_the_bench": [_task(each.task, each.slot) for each in listed.on_the_bench],
        "windows": [
            {"task": each.after.id, "opens": each.opens.isoformat(), "closes": each.closes.isoformat()}
            for each in listed.windows
        ],
        "cured": [
            {"task": each.before.id, "before": each.after.id, "over": each.over.isoformat()} for each in listed.cures
        ],
        "long_waits": [{"task": each.task.id, "minutes": each.minutes} for each in listed.long_waits],
        "to_order": [{"task": each.task.id, "by": each.slot.start.date().isoformat()} for each in listed.to_order],
        "arriving": [each.task.id for each in listed.arriving],
        "gaps": [
            {
                "start": gap.start.isoformat(),
                "end": gap.end.isoformat(),
                "hands": gap.hands,
                "fill_ins": {str(least): [each.task.id for each in found] for least, found in fits.items()},
            }
            for gap, fits in listed.gaps
        ],
    }
