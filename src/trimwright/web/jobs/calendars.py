"""The bench calendar of a plan: laid out in the maker's process, kept as plain data, read again by the pages.

`laid_out` takes seconds and belongs to the maker; the rest is quick enough for a page to wait for. Instants in the
plain data are ISO text, minutes whole; what keeps a calendar from being laid out stands under `problems`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import asdict
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any, Literal

from trimwright.errors import BadInput
from trimwright.job.document import Job
from trimwright.job.events import Air as AirRead
from trimwright.job.events import Worked

if TYPE_CHECKING:
    from trimwright.facts.trade import Trade
    from trimwright.plan.calendar.day_list import DayList
    from trimwright.plan.calendar.promise import Promise
    from trimwright.plan.calendar.tasks import Bench, Calendar, Slot, Task
    from trimwright.plan.changes import ChangeSheet, HandOvers
    from trimwright.plan.plan import Plan
    from trimwright.plan.sequence.holds import Hold

__all__ = ["Calendar", "DayList", "Hold", "Slot", "Task"]

Plain = Mapping[str, Any]
Reached = Callable[[float], None]

CALENDAR = "calendar"
"""What an answer of a plan is called that holds its calendar."""
SECONDS, FREEING_SECONDS = 4.0, 0.6
"""How long an earlier hand-over is looked for, and for each change that might free the date."""
DRAWS = 400
"""How often it is lived through."""
AT_ONCE_SECONDS, AT_ONCE_DRAWS = 0.2, 100
"""The same where somebody waits for it at the bench."""
MOVED_SECONDS = 0.3
"""How long a calendar is looked for with each answer to a find."""
AT_WORK = ("opened", "worked", "air", "done")
"""Once such a thing was noted somebody stands at the bench."""
LAID, LIVED = 0.5, 0.6
"""Shares of the whole that are done once the calendar is laid out, and once it is lived through."""
NARROW, WIDE = 390.0, 1000.0
"""How wide the pictures are drawn, for a phone and for a table [px]."""


def at_work(job: Job) -> bool:
    """Whether somebody stands at the bench."""
    return any(event.kind in AT_WORK for event in job.events)


def at_once(plan: Plan, kept: Plain) -> Iterator[tuple[Literal["first"], str, Any]]:
    """The kept calendar round what has changed, within a second; nothing where that can't be, and why is told later."""
    from trimwright.plan.calendar.schedule import schedule

    try:
        bench = bench_from(plan, datetime.now(UTC))
        calendar = schedule(bench, seconds=AT_ONCE_SECONDS, before=calendar_now(kept, plan.job))
    except BadInput:
        return
    told = _promised(plan, calendar, AT_ONCE_DRAWS)
    yield "first", CALENDAR, {**in_words(plan, calendar, told), "freed": [], "first": True}


def laid_out(
    plan: Plan, size: Literal["a4", "us-letter"], reached: Reached, kept: Plain | None = None
) -> Iterator[tuple[Literal["answer", "paper"], str, Any]]:
    """The calendar from now on, its day sheet and its file for the phone; or what keeps it from being laid out.

    It is looked for from the one that is `kept`.
    """
    from trimwright.papers import bench_pdf
    from trimwright.papers.ical import calendar_file
    from trimwright.plan.calendar.schedule import schedule

    now, before = datetime.now(UTC), calendar_now(kept, plan.job) if kept else None
    try:
        calendar = schedule(bench_from(plan, now), seconds=SECONDS, before=before)
    except BadInput as error:
        yield "answer", CALENDAR, {"problems": [asdict(each) for each in error.problems]}
        return
    reached(LAID)
    names = names_of(plan.job)
    told = _promised(plan, calendar, DRAWS)
    reached(LIVED)
    yield "answer", CALENDAR, {**in_words(plan, calendar, told), "freed": list(_freed(plan, calendar, reached))}
    for name in ("day-sheet", "bench-calendar"):
        yield "paper", f"{name}.pdf", bench_pdf(name, plan, calendar, names, now, size, promise=told)
    yield "paper", "bench.ics", calendar_file(calendar, plan.job.id, plan.job.name, names, now)


def bench_from(plan: Plan, now: datetime) -> Bench:
    """The bench as it stands now, in the air as last read; BadInput with all that is wrong with hours and air."""
    from trimwright.plan.plan import bench_of

    return bench_of(plan, start=_start(plan.job, now))


def _start(job: Job, now: datetime) -> datetime:
    from trimwright.plan.calendar.shop_hours import hours_of, starting

    begun = any(event.kind in ("opened", "done", "worked") for event in job.events)
    return starting(job.time, hours_of(job.time), now, begun=begun)


def moved(sheet: ChangeSheet, trade: Trade, kept: Plain) -> HandOvers | None:
    """What each answer to a find does to the hand-over, seconds; None where one of them can't be laid out."""
    from trimwright.plan.changes import hand_overs

    try:
        start = _start(sheet.job, datetime.now(UTC))
        return hand_overs(sheet, trade, start=start, seconds=MOVED_SECONDS, kept=calendar_now(kept, sheet.job))
    except BadInput:
        return None


def names_of(job: Job) -> dict[str, str]:
    """The parts' names by their ids."""
    return {part.id: part.name for part in job.parts}


def in_words(plan: Plan, calendar: Calendar, told: Promise) -> Plain:
    """The calendar as it is kept: itself, its pictures, every task in words, what holds the date."""
    from trimwright.charts.calendar import clock_of, window
    from trimwright.papers.bench_words import driven, held, moment
    from trimwright.papers.task_words import task_words
    from trimwright.plan.calendar.holding import holding
    from trimwright.plan.calendar.remembered import to_plain

    names = names_of(plan.job)
    wanted = calendar.bench.wanted_by
    first, last = window(calendar, None, None)
    return {
        "calendar": to_plain(calendar),
        "tasks": task_words(plan, calendar, names),
        "end": calendar.end.isoformat(),
        "promised": told.at.isoformat(),
        "bound": "" if calendar.end == calendar.bound else moment(calendar.bound),
        "late": (calendar.end.date() - wanted).days if wanted else None,
        "held": list(held(holding(calendar), calendar, names)),
        "driven": list(driven(told.drivers, calendar, names)),
        "pictures": {str(round(wide)): list(_pictures(calendar, names, told, wide)) for wide in (NARROW, WIDE)},
        "knots": [
            [when.isoformat(), round(x / WIDE, 5)] for when, x in clock_of(calendar, first, last, 0.0, WIDE).knots
        ],
    }


def _pictures(calendar: Calendar, names: Mapping[str, str], told: Promise, wide: float) -> Iterator[str]:
    from trimwright.charts.calendar import calendar_chart, pictures

    for part in range(1, pictures(calendar, names) + 1):
        name = f"bench{round(wide)}-{part}"
        yield calendar_chart(calendar, names, part=part, promised=told.at, wide=wide, name=name)


def _promised(plan: Plan, calendar: Calendar, draws: int) -> Promise:
    from trimwright.plan.calendar.promise import promise

    terms = plan.quantities.terms
    return promise(calendar, hours_spread=terms.hours_spread / terms.hours_factor, draws=draws)


def _freed(plan: Plan, calendar: Calendar, reached: Reached) -> Iterator[Plain]:
    """What would bring the hand-over forward, each tried, those that win most first."""
    from trimwright.papers.bench_words import days
    from trimwright.plan.calendar.freeing import freeing
    from trimwright.plan.calendar.holding import holding

    names = {**names_of(plan.job), **{each.id: each.name for each in plan.trade.treatments.values()}}
    tried: list[str] = []

    def told(name: str) -> None:
        tried.append(name)
        reached(min(0.98, LIVED + 0.05 * len(tried)))

    found = freeing(calendar, holding(calendar), names, seconds=FREEING_SECONDS, told=told)
    for each in sorted(found, key=lambda each: -each.days):
        yield {
            "what": each.change.name,
            "won": days(each.days * 24 * 60) if each.days * 24 * 60 >= 30 else "",
            "end": each.end.isoformat(),
            "in_time": each.in_time,
        }


# ---- what a page asks ------------------------------------------------------------------------------------------------


def calendar_now(told: Mapping[str, Any], job: Job) -> Calendar:
    """The kept calendar with all that the job's events have begun and finished since."""
    from trimwright.plan.calendar.remembered import as_noted, of_plain

    return as_noted(of_plain(told["calendar"]), (event for event in job.events if isinstance(event, Worked)))


def day_of(calendar: Calendar, now: datetime) -> DayList:
    """What is on today, or on the next day with work."""
    from trimwright.plan.calendar.day_list import day_list, day_with_work

    return day_list(calendar, day_with_work(calendar, now))


def later(instant: datetime, minutes: int) -> datetime:
    """So many minutes later by the clock."""
    from trimwright.plan.calendar.shop_hours import moved

    return moved(instant, minutes)


def called(task: Task, names: Mapping[str, str]) -> str:
    """A task by itself, in words."""
    from trimwright.papers.bench_words import named

    return named(task, names)


def stretches_of(
    calendar: Calendar, names: Mapping[str, str]
) -> Iterable[tuple[datetime, datetime, str, tuple[str, ...]]]:
    """The calendar as a table: from, to, what, and its tasks; what is done is left out."""
    from trimwright.papers.bench_words import summary
    from trimwright.plan.calendar.stretches import stretches

    for each in stretches(calendar):
        if any(task.done is None for task in each.tasks):
            yield each.start, each.end, summary(each, names), tuple(task.id for task in each.tasks)


def holds_of(task: str, job: Job, trade: Trade, now: datetime) -> tuple[Hold, ...]:
    """What keeps a task from being begun now: the battery or its wait, where its treatment opens what holds people."""
    from trimwright.plan.quantities.whole_job import MAKE_SAFE
    from trimwright.plan.sequence.coming_off import until_safe

    _part, _slash, rest = task.partition("/")
    treatment = trade.treatments.get(rest.partition("/")[0])
    if treatment is None or MAKE_SAFE not in treatment.cautions or treatment.reach != "off":
        return ()
    return until_safe(job, trade, now)


def air_read(job: Job) -> AirRead | None:
    """The shop's air as it was read last."""
    return next((event for event in reversed(job.events) if isinstance(event, AirRead)), None)
