"""What the bench's pages stand on: today's tasks with their clocks, each task a screen, the shop's air."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from functools import cached_property
from typing import TYPE_CHECKING, Any
from uuid import uuid4
from zoneinfo import ZoneInfo

from django.urls import reverse
from django.utils.translation import gettext as _

from trimwright.craft.air import before_a_coat
from trimwright.errors import BadInput
from trimwright.facts import load
from trimwright.job.document import Job, Pin
from trimwright.job.events import Worked
from trimwright.units import temperature
from trimwright.web.jobs import calendars, rebuilding
from trimwright.web.jobs.store.early import BATTERY
from trimwright.web.jobs.stripping import milliseconds

if TYPE_CHECKING:
    from trimwright.web.jobs.calendars import Calendar, DayList, Hold, Slot, Task

AIR = "air"
"""The screen on which the shop's air is typed."""
READY, ENDS, HAND_OVER = "ready", ("lamp", "power"), "hand_over"
FILL_INS = 4
GAPS = (10, 30, 90)


@dataclass(frozen=True, slots=True)
class Clock:
    """A moment that is waited for, or that must not be missed."""

    until: datetime
    why: str
    closes: bool = False
    """Whether something has to be begun by then; else it may be begun from then on."""

    @property
    def until_ms(self) -> int:
        return milliseconds(self.until)


@dataclass(frozen=True, slots=True)
class Screen:
    """One task as it is shown, by itself and in rows."""

    task: Task
    slot: Slot
    name: str
    url: str
    told: Mapping[str, Any]
    """In words (`papers.task_words`)."""
    noted: Worked | None
    clocks: tuple[Clock, ...] = ()
    pin: Pin | None = None
    holds: tuple[Hold, ...] = ()
    """What keeps it from being begun now: the battery, or its wait."""
    edit_id: str = field(default_factory=lambda: uuid4().hex)

    @property
    def id(self) -> str:
        return step_of(self.task.id)

    @property
    def done(self) -> bool:
        return self.task.done is not None

    @property
    def begun(self) -> datetime | None:
        return None if self.done else self.task.begun

    @property
    def last_day(self) -> datetime | None:
        """The last day on which it may be made, where it has one."""
        return last_day(self.pin)

    @property
    def elsewhere(self) -> bool:
        """Noted on the strip-down's or the rebuild's own screen."""
        return self.task.kind == "strip-down" or is_way_back(self.task)


def last_day(pin: Pin | None) -> datetime | None:
    """The last day of a pin, which ends with the midnight behind it."""
    return pin.not_after - timedelta(seconds=1) if pin and pin.not_after else None


def is_way_back(task: Task) -> bool:
    """Whether a task is noted on the rebuild's pages: moves back, checks on the way, lamps and power, the keys."""
    return task.kind == "rebuild" or task.id in (*rebuilding.CHECK_MOVES, *ENDS, HAND_OVER)


def step_of(task: str) -> str:
    """A task's id as it stands in an address.

    >>> step_of("carpet/carpet_make/2"), task_of("carpet~carpet_make~2")
    ('carpet~carpet_make~2', 'carpet/carpet_make/2')
    """
    return task.replace("/", "~")


def task_of(step: str) -> str:
    """And back."""
    return step.replace("~", "/")


@dataclass(frozen=True)
class AtTheBench:
    """The kept calendar as it stands now."""

    key: str
    job: Job
    kept: Mapping[str, Any]
    now: datetime

    @cached_property
    def calendar(self) -> Calendar:
        return calendars.calendar_now(self.kept, self.job)

    @cached_property
    def day(self) -> DayList:
        return calendars.day_of(self.calendar, self.now)

    @property
    def is_today(self) -> bool:
        return self.day.now.date() == self.now.astimezone(self.day.now.tzinfo).date()

    @cached_property
    def names(self) -> Mapping[str, str]:
        return calendars.names_of(self.job)

    @cached_property
    def noted(self) -> Mapping[str, Worked]:
        """What was noted last of each task."""
        return {event.task: event for event in self.job.events if isinstance(event, Worked)}

    @cached_property
    def screens(self) -> list[Screen]:
        """What is at hand: under way, today's, what a window waits for, what fits into a gap, what is just finished."""
        by_id = self.calendar.bench.by_id
        wanted = [each for each in self.noted if each in by_id and by_id[each].begun and not by_id[each].done]
        wanted += [each.after.id for each in self.day.windows]
        wanted += [each.task.id for each in self.day.on_the_bench]
        wanted += [fit.task.id for _gap, fits in self.day.gaps for found in fits.values() for fit in found[:FILL_INS]]
        wanted += [each for each, event in self.noted.items() if self._is_fresh(event) and each in by_id]
        return [self.screen(each) for each in dict.fromkeys(wanted)]

    @cached_property
    def today(self) -> list[Screen]:
        """Today's, what is under way first; then in their order."""
        ids = {each.task.id for each in self.day.on_the_bench}
        under_way = [each for each in self.screens if each.begun]
        return [*under_way, *(each for each in self.screens if each.task.id in ids and not each.begun)]

    @property
    def finished(self) -> list[Screen]:
        """What was finished on this day."""
        return [each for each in self.screens if each.done and each.noted]

    @property
    def onward(self) -> Screen | None:
        """What to do next: under way, else the window that closes first, else the day's first."""
        windows = [self.screen(each.after.id) for each in self.day.windows if each.opens <= self.now]
        return next(iter([*(each for each in self.today if each.begun), *windows, *self.today]), None)

    @cached_property
    def clocks(self) -> list[tuple[Screen, Clock]]:
        """Every wait that runs and every window that is open, the next to end first."""
        running = [(each, clock) for each in self.screens if not each.done for clock in each.clocks]
        running += [(self.screen(cure.after.id), Clock(cure.over, cure.why)) for cure in self.day.cures
                    if cure.before.done and cure.after.id not in {each.task.id for each in self.screens}]  # fmt: skip
        return sorted(running, key=lambda each: each[1].until)

    @property
    def fill_ins(self) -> list[tuple[int, list[Screen]]]:
        """What fits into so many minutes of the gap at hand, or of today's next; nothing where nothing fits at all."""
        if not self.day.gaps or not any(self.day.gaps[0][1].values()):
            return []
        _gap, fits = self.day.gaps[0]
        return [(least, [self.screen(fit.task.id) for fit in fits.get(least, ())[:FILL_INS]]) for least in GAPS]

    @property
    def windows(self) -> list[tuple[Screen, Any]]:
        """Windows that are open or that today opens, the next to close first."""
        return [(self.screen(each.after.id), each) for each in self.day.windows]

    @property
    def gap(self) -> Any:
        """The gap at hand."""
        return self.day.gaps[0][0] if self.day.gaps else None

    @property
    def to_make(self) -> list[tuple[str, str]]:
        """Every task for hands that is not done: its id and its name."""
        tasks = self.calendar.bench.tasks
        return [(each.id, self.name_of(each)) for each in tasks if each.people and each.done is None]

    def pinned(self, task_id: str) -> Mapping[str, Any]:
        """A date of one's own, as a row tells it; of a task that is no more, by its id."""
        task, pin = self.calendar.bench.by_id.get(task_id), self.job.time.pins[task_id]
        return {
            "id": task_id,
            "name": self.name_of(task) if task else task_id,
            "from": pin.not_before,
            "until": last_day(pin),
        }

    def name_of(self, task: Task) -> str:
        """What it is called by itself."""
        return str(self.kept["tasks"].get(task.id, {}).get("what") or calendars.called(task, self.names))

    def screen(self, task_id: str) -> Screen:
        """One task; KeyError where the calendar has none of that id."""
        task, slot = self.calendar.bench.by_id[task_id], self.calendar.by_task[task_id]
        told = self.kept["tasks"].get(task_id, {})
        clocks = () if task.begun or task.done else tuple(self._clocks(task))
        holds = () if task.begun or task.done else calendars.holds_of(task.id, self.job, load(), self.now)
        pin = self.job.time.pins.get(task_id)
        return Screen(
            task, slot, self.name_of(task), self._url(task), told, self.noted.get(task_id), clocks, pin, holds
        )

    def _clocks(self, task: Task) -> Iterator[Clock]:
        """By when what comes before it was really finished."""
        for each in task.after:
            before = self.calendar.bench.by_id[each.task]
            if before.done is None:
                continue
            over = calendars.later(before.done, each.wait[1])
            if each.wait[1] and over > self.now:
                yield Clock(over, each.why)
            if each.closes is not None:
                closes = calendars.later(before.done, each.closes)
                if closes > self.now:
                    yield Clock(closes, each.why, closes=True)

    def _url(self, task: Task) -> str:
        if task.id == READY:  # told on the battery's own screen
            return reverse("strip_step", args=[self.key, BATTERY])
        if task.kind == "strip-down":
            return reverse("strip_step", args=[self.key, task.id.removeprefix("off:")])
        if task.id == HAND_OVER:
            return reverse("hand_over", args=[self.key])
        if is_way_back(task):
            off = self.calendar.bench.by_id.get(f"off:{task.id.removeprefix('back:')}")
            is_there = off is not None and off.done is not None  # what is not off yet has no screen on the way back
            return (
                reverse("rebuild_step", args=[self.key, task.id]) if is_there else reverse("rebuild", args=[self.key])
            )
        return reverse("bench_task", args=[self.key, step_of(task.id)])

    def _is_fresh(self, event: Worked) -> bool:
        zone = self.day.now.tzinfo
        return event.state == "finished" and event.at.astimezone(zone).date() == self.now.astimezone(zone).date()


def air_told(job: Job) -> Mapping[str, Any] | None:
    """The air as it was read last, its dew point, and how far above that a surface as warm as the air lies."""
    read = calendars.air_read(job)
    if read is None:
        return None
    system = job.car.units
    told = {"read": read, "temperature": temperature(read.temperature, system), "humidity": read.humidity}
    try:
        found = before_a_coat(read.temperature, read.humidity / 100, read.temperature)
    except BadInput as error:
        return {**told, "problems": error.problems}
    return {
        **told,
        "least": temperature(round(found.least_surface.value, 1), system),
        "margin": round(found.margin.value, 1),
        "holds": found.holds,
    }


def words() -> dict[str, str]:
    """What the script says."""
    return {**rebuilding.words(), "over": _("The wait is over."), "closing": _("A window closes in ten minutes.")}


def table(calendar: Calendar, names: Mapping[str, str]) -> Iterable[Mapping[str, Any]]:
    """The calendar behind the picture, a line a stretch of work, days told once."""
    day = None
    for start, end, what, tasks in calendars.stretches_of(calendar, names):
        yield {"day": start if start.date() != day else None, "start": start, "end": end, "what": what, "tasks": tasks}
        day = start.date()


def zone_of(kept: Mapping[str, Any]) -> ZoneInfo:
    """The shop's time zone, as the kept calendar has it."""
    return ZoneInfo(kept["calendar"]["hours"]["zone"])
