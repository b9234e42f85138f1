"""Several jobs over the same hands and places, as plain data: a calendar of all, a line a job, a table by the day.

Runs in the maker's process, like `calendars.py`, on the calendars that the jobs have of their own: nothing is decided
again. Instants are ISO text; what keeps the jobs from being laid over each other stands under `problems`.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from datetime import datetime
from typing import TYPE_CHECKING, Any

from trimwright.errors import BadInput, Problem
from trimwright.job.document import Job

if TYPE_CHECKING:
    from trimwright.plan.calendar.tasks import Bench, Calendar, Slot, Task

Plain = dict[str, Any]

SECONDS = 6.0
"""How long an earlier end of all is looked for."""
OFF_SITE = ("delivery", "sent out")
"""Kinds that are drawn dashed: not work for hands."""
NARROW, WIDE = 390.0, 1000.0
"""How wide the pictures are drawn, for a phone and for a table [px]."""


@dataclass(frozen=True, slots=True)
class Held:
    """A job at hand, and its own calendar as it was kept."""

    key: str
    job: Job
    kept: Mapping[str, Any]


def laid_over(jobs: Sequence[Held], now: datetime) -> Plain:
    """All of them from now on; empty where there is none."""
    from trimwright.plan.calendar.schedule import schedule
    from trimwright.plan.calendar.together import together
    from trimwright.web.jobs.calendars import calendar_now

    names = _told_apart(jobs)
    alone = {each.key: calendar_now(each.kept, each.job) for each in jobs}
    told: Plain = {"names": names, "jobs": {each.key: _alone(each, alone[each.key], now) for each in jobs}}
    if not jobs:
        return told
    try:
        common = schedule(together(_benches(jobs, alone, now)), seconds=SECONDS)
    except BadInput as error:
        rows = [replace(each, where=names.get(each.where, each.where)) for each in error.problems]
        return {**told, "problems": [asdict(each) for each in rows]}
    return told | _common(common, jobs, alone, names)


def _told_apart(jobs: Sequence[Held]) -> dict[str, str]:
    """The jobs' names by their keys; of those called alike every further one with its number."""
    names: dict[str, str] = {}
    for each in jobs:
        alike = sum(one.job.name == each.job.name for one in jobs[: len(names)])
        names[each.key] = f"{each.job.name} ({alike + 1})" if alike else each.job.name
    return names


def _benches(jobs: Sequence[Held], alone: Mapping[str, Calendar], now: datetime) -> dict[str, Bench]:
    """Every job's bench as it stands now; BadInput with all that keep a job from starting."""
    from trimwright.plan.calendar.shop_hours import starting

    problems: list[Problem] = []
    found: dict[str, Bench] = {}
    for each in jobs:
        bench = alone[each.key].bench
        begun = any(event.kind in ("opened", "done", "worked") for event in each.job.events)
        try:
            start = starting(each.job.time, bench.hours, now, begun=begun)
        except BadInput as error:
            problems += [Problem(each.key, one.value, one.what, one.way_out) for one in error.problems]
            continue
        found[each.key] = replace(bench, start=start)
    if problems:
        raise BadInput(problems)
    return found


def _alone(held: Held, calendar: Calendar, now: datetime) -> Plain:
    """What one job's own calendar says of it."""
    wanted = calendar.bench.wanted_by
    return {
        "alone": held.kept["end"],
        "promised": held.kept["promised"],
        "wanted": wanted.isoformat() if wanted else None,
        "window": next(iter(sorted(_windows(held, calendar, now), key=lambda each: each["closes"])), None),
    }


def _windows(held: Held, calendar: Calendar, now: datetime) -> Iterator[Plain]:
    """What has to be begun before its window closes, where what comes before it is done."""
    from trimwright.plan.calendar.shop_hours import moved

    for task in calendar.bench.tasks:
        if task.done is not None or task.begun is not None:
            continue
        for after in task.after:
            before = calendar.bench.by_id[after.task]
            if after.closes is not None and before.done is not None:
                closes = moved(before.done, after.closes)
                if closes > now:
                    yield {"what": _what(held, task), "closes": closes.isoformat(), "why": after.why}


def _common(common: Calendar, jobs: Sequence[Held], alone: Mapping[str, Calendar], names: Mapping[str, str]) -> Plain:
    from trimwright.plan.calendar.together import ends

    over = ends(common)
    by_key = {each.key: each for each in jobs}
    firsts: dict[str, Plain] = {}
    for slot, key, task in _to_do(common):
        own = alone[key].bench.by_id[task.id.partition("/")[2]]
        firsts.setdefault(key, {"what": _what(by_key[key], own), "start": slot.start.isoformat()})
    return {
        "ends": {key: end.isoformat() for key, end in over.items()},
        "next": firsts,
        "days": list(_days(common)),
        "hands": common.bench.hands,
        "zone": common.bench.hours.zone.key,
        "pictures": {
            str(round(wide)): [
                _picture(_by_job(common), names, "parts", "Job by job", wide),
                _picture(common, names, "places", "Place by place", wide),
            ]
            for wide in (NARROW, WIDE)
        },
    }


def _to_do(common: Calendar) -> Iterator[tuple[Slot, str, Task]]:
    """What is still to be done by hands, in its order, with its job."""
    for slot in common.slots:
        task = common.bench.by_id[slot.task]
        if task.people and task.minutes[1] and task.done is None:
            yield slot, task.id.partition("/")[0], task


def _days(common: Calendar) -> Iterator[Plain]:
    """Each day with work: what the shop has of hands, and what every job takes of them, from when to when and where."""
    from trimwright.plan.calendar.shop_hours import closing_of, minutes_between, opening_of

    days: dict[Any, dict[str, Plain]] = {}
    for slot, key, task in _to_do(common):
        told = days.setdefault(slot.start.date(), {}).setdefault(
            key, {"key": key, "from": slot.start, "until": slot.end, "minutes": 0, "places": []}
        )
        told["until"] = max(told["until"], slot.end)
        told["minutes"] += minutes_between(slot.start, slot.end) * task.people
        if task.place not in told["places"]:
            told["places"].append(task.place)
    hours = common.bench.hours
    for day, by_job in sorted(days.items()):
        opens, closes = opening_of(hours, day), closing_of(hours, day)
        open_minutes = minutes_between(opens, closes) * common.bench.hands if opens and closes else 0
        rows = [
            {**each, "from": each["from"].isoformat(), "until": each["until"].isoformat()} for each in by_job.values()
        ]
        taken = sum(each["minutes"] for each in rows)
        yield {"day": day.isoformat(), "open": open_minutes, "taken": taken, "jobs": rows}


def _by_job(common: Calendar) -> Calendar:
    """The calendar with a row a job, whatever stage its work belongs to."""
    tasks = tuple(
        replace(each, part=each.id.partition("/")[0], kind=each.kind if each.kind in OFF_SITE else "bench")
        for each in common.bench.tasks
    )
    return replace(common, bench=replace(common.bench, tasks=tasks))


def _picture(calendar: Calendar, names: Mapping[str, str], rows: Any, title: str, wide: float) -> str:
    from trimwright.charts.calendar import calendar_chart

    name = f"all-{rows}-{round(wide)}"
    return calendar_chart(calendar, names, rows=rows, title=title, wide=wide, name=name)


def _what(held: Held, task: Task) -> str:
    """A task in the words that its own calendar has for it."""
    return str(held.kept["tasks"].get(task.id, {}).get("what") or task.name)
