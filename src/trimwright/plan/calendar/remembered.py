"""A calendar as plain data that JSON can carry, and back; and as it stands with what has been noted since."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import MISSING, asdict, fields, replace
from datetime import date, datetime, time
from typing import Any
from zoneinfo import ZoneInfo

from trimwright.job.events import Worked
from trimwright.plan.calendar.shop_hours import moved
from trimwright.plan.calendar.tasks import After, Air, Bench, Calendar, Hours, Limits, Slot, Task

Plain = dict[str, Any]
INSTANTS = ("not_before", "not_after", "begun", "done")


def to_plain(calendar: Calendar) -> Plain:
    """The calendar as plain data; a task tells only what is not as usual."""
    bench = calendar.bench
    return {
        "start": bench.start.isoformat(),
        "tasks": [_task(each) for each in bench.tasks],
        "hours": {
            "zone": bench.hours.zone.key,
            "week": list(bench.hours.week),
            "opens": bench.hours.opens.isoformat(),
            "days_off": sorted(each.isoformat() for each in bench.hours.days_off),
        },
        "hands": bench.hands,
        "places": dict(bench.places),
        "air": asdict(bench.air),
        "wanted_by": bench.wanted_by.isoformat() if bench.wanted_by else None,
        "notes": list(bench.notes),
        "slots": [[each.task, each.start.isoformat(), each.end.isoformat()] for each in calendar.slots],
        "end": calendar.end.isoformat(),
        "bound": calendar.bound.isoformat(),
        "seconds": calendar.seconds,
    }


def of_plain(told: Mapping[str, Any]) -> Calendar:
    """The calendar that `to_plain` told."""
    hours = told["hours"]
    zone = ZoneInfo(hours["zone"])

    def instant(text: str) -> datetime:
        return datetime.fromisoformat(text).astimezone(zone)

    def task(each: Plain) -> Task:
        made: Plain = dict(each)
        made["minutes"] = tuple(made.get("minutes", (0, 0, 0)))
        made["after"] = tuple(After(**{**after, "wait": tuple(after["wait"])}) for after in made.get("after", ()))
        made["cautions"] = tuple(made.get("cautions", ()))
        made["limits"] = Limits(**made.get("limits", {}))
        made["air"] = Air(**made["air"]) if made.get("air") else None
        made |= {name: instant(made[name]) for name in INSTANTS if name in made}
        return Task(**made)

    return Calendar(
        bench=Bench(
            start=instant(told["start"]),
            tasks=tuple(map(task, told["tasks"])),
            hours=Hours(
                zone,
                tuple(hours["week"]),
                time.fromisoformat(hours["opens"]),
                frozenset(map(date.fromisoformat, hours["days_off"])),
            ),
            hands=told["hands"],
            places=told["places"],
            air=Air(**told["air"]),
            wanted_by=date.fromisoformat(told["wanted_by"]) if told["wanted_by"] else None,
            notes=tuple(told["notes"]),
        ),
        slots=tuple(Slot(task, instant(start), instant(end)) for task, start, end in told["slots"]),
        end=instant(told["end"]),
        bound=instant(told["bound"]),
        seconds=told["seconds"],
    )


def as_noted(calendar: Calendar, noted: Iterable[Worked]) -> Calendar:
    """The calendar with what was begun and finished since where it was, until it is planned again."""
    tasks, slots = dict(calendar.bench.by_id), dict(calendar.by_task)
    zone = calendar.bench.hours.zone
    for event in noted:
        if event.task not in tasks:
            continue
        task, at = tasks[event.task], event.at.astimezone(zone)
        took = event.minutes or task.minutes[1]
        if event.state == "finished":
            tasks[task.id] = replace(task, done=at)
            slots[task.id] = Slot(task.id, moved(at, -took), at)
        else:
            tasks[task.id] = replace(task, begun=at, done=None)
            slots[task.id] = Slot(task.id, at, moved(at, task.minutes[1]))
    bench = replace(calendar.bench, tasks=tuple(tasks.values()))
    return replace(calendar, bench=bench, slots=tuple(sorted(slots.values(), key=lambda each: each.start)))


def _task(task: Task) -> Plain:
    told: Plain = {}
    for each in fields(Task):
        value = getattr(task, each.name)
        if each.default is MISSING or value != each.default:
            told[each.name] = _value(value)
    return told


def _value(value: Any) -> Any:
    if isinstance(value, datetime):
        return value.isoformat()
    if isinstance(value, (Air, Limits, After)):
        return {name: _value(each) for name, each in asdict(value).items()}
    if isinstance(value, tuple):
        return [_value(each) for each in value]
    return value
