"""A calendar for the phone (RFC 5545): an event a block of work, what arrives, the hand-over; windows as alarms.

Every event keeps its UID as long as its first step does, so that a file taken in again moves what is there instead of
doubling it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import UTC, date, datetime, timedelta
from typing import TYPE_CHECKING

from trimwright.papers.bench_words import heading, named, step_told, summary, window_ends
from trimwright.papers.wording import listed
from trimwright.plan.calendar.shop_hours import moved
from trimwright.plan.calendar.stretches import Stretch, blocks, stretches
from trimwright.plan.calendar.tasks import Calendar, Task

if TYPE_CHECKING:
    from icalendar import Alarm, Event

PRODUCT = "-//Trimwright//Bench calendar//EN"
DOMAIN = "trimwright.invalid"
"""UIDs need a name to the right of @ (RFC 5545, 3.8.4.7); .invalid belongs to nobody (RFC 2606)."""
HEADINGS = 3
"""So many parts of a block are named."""
BEFORE_CLOSING = 30
"""An alarm goes off so long before a window closes [min]."""
PLACES = {"spray spot": "Spray spot", "press": "Press", "oven": "Oven", "car": "Car"}


def calendar_file(calendar: Calendar, job: str, name: str, parts: Mapping[str, str], made_at: datetime) -> bytes:
    """The file; `job` is the job's id, `name` what people call it, `parts` their names by id.

    The same calendar and moment always give the same bytes.
    """
    from icalendar import Calendar as File

    file = File()
    file.add("prodid", PRODUCT)
    file.add("version", "2.0")
    file.add("calscale", "GREGORIAN")
    file.add("x-wr-calname", name)
    ends = window_ends(calendar)
    to_do = (each for each in stretches(calendar) if any(task.done is None for task in each.tasks))
    for block in blocks(to_do):
        file.add_component(_block(block, calendar, job, parts, ends, made_at))
    for event in _deliveries(calendar, job, made_at):
        file.add_component(event)
    file.add_component(_hand_over(calendar, job, name, made_at))
    file.add_missing_timezones(first_date=_year_before(calendar.bench.start), last_date=_year_after(calendar.end))
    return bytes(file.to_ical())


def _block(
    block: Sequence[Stretch],
    calendar: Calendar,
    job: str,
    parts: Mapping[str, str],
    ends: Mapping[str, datetime],
    made_at: datetime,
) -> Event:
    """One block of work, with an alarm for the first window that would close."""
    tasks = [task for stretch in block for task in stretch.tasks]
    event = _event(f"{tasks[0].id}.{job}", _called(block, parts), made_at)
    event.add("dtstart", block[0].start)
    event.add("dtend", max(stretch.end for stretch in block))
    places = listed(PLACES[task.place] for task in tasks if task.place in PLACES)
    if places:
        event.add("location", places)
    lines = [_line(task, calendar, ends, parts, alone=len(block) == 1) for task in tasks]
    event.add("description", "\n".join(lines))
    closing = min((task for task in tasks if task.id in ends), key=lambda task: ends[task.id], default=None)
    if closing is not None:
        event.add_component(_alarm(closing, ends[closing.id], parts))
    return event


def _called(block: Sequence[Stretch], parts: Mapping[str, str]) -> str:
    """A stretch by its part and steps; several by what they are on."""
    if len(block) == 1:
        return summary(block[0], parts)
    names = list(dict.fromkeys(heading(each, parts) for each in block))
    more = len(names) - HEADINGS
    return "; ".join(names[:HEADINGS]) + (f" and {more} more" if more > 0 else "")


def _line(
    task: Task, calendar: Calendar, ends: Mapping[str, datetime], parts: Mapping[str, str], *, alone: bool
) -> str:
    start = calendar.by_task[task.id].start
    window = f" (begin by {ends[task.id]:%a %H:%M}: the window closes)" if task.id in ends else ""
    told = step_told(task, parts) if alone else named(task, parts)
    return f"{start:%H:%M} {told}{window}"


def _alarm(task: Task, closes: datetime, parts: Mapping[str, str]) -> Alarm:
    from icalendar import Alarm

    alarm = Alarm()
    alarm.add("action", "DISPLAY")
    alarm.add("description", f"{named(task, parts)}: begin by {closes:%H:%M}, the window closes")
    alarm.add("trigger", moved(closes, -BEFORE_CLOSING).astimezone(UTC), parameters={"VALUE": "DATE-TIME"})
    return alarm


def _deliveries(calendar: Calendar, job: str, made_at: datetime) -> Iterator[Event]:
    """A day for everything that has to be ordered, and one for when it should be here."""
    for slot in calendar.slots:
        task = calendar.bench.by_id[slot.task]
        if task.kind not in ("delivery", "sent out") or task.people or task.done is not None:
            continue
        if task.begun is None:
            verb = "Order" if task.kind == "delivery" else "Send out"
            yield _all_day(f"begin.{task.id}.{job}", f"{verb}: {task.name}", slot.start.date(), made_at)
        yield _all_day(f"arrives.{task.id}.{job}", f"Should be here: {task.name}", slot.end.date(), made_at)


def _all_day(uid: str, summary: str, day: date, made_at: datetime) -> Event:
    event = _event(uid, summary, made_at)
    event.add("dtstart", day)
    event.add("dtend", day + timedelta(days=1))
    event.add("transp", "TRANSPARENT")
    return event


def _hand_over(calendar: Calendar, job: str, name: str, made_at: datetime) -> Event:
    event = _event(f"hand-over.{job}", f"Hand-over: {name}", made_at)
    event.add("dtstart", calendar.end)
    event.add("dtend", moved(calendar.end, 30))
    return event


def _event(uid: str, summary: str, made_at: datetime) -> Event:
    from icalendar import Event

    event = Event()
    event.add("uid", f"{uid}@{DOMAIN}")
    event.add("dtstamp", made_at.astimezone(UTC))
    event.add("summary", summary)
    return event


def _year_before(when: datetime) -> date:
    return date(when.year - 1, 1, 1)


def _year_after(when: datetime) -> date:
    return date(when.year + 2, 1, 1)
