"""schedule(bench) → Calendar: the bench as a bare project of minutes, solved, and turned back into instants.

Minutes count from the midnight before the first thing that was ever done, as they pass, whatever the clocks do.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from functools import cached_property
from graphlib import CycleError, TopologicalSorter

from trimwright.errors import BadInput, HoldBroken, Problem
from trimwright.plan.calendar.kept import check_calendar
from trimwright.plan.calendar.project import Activity, Holds, Lag, Project, Timetable
from trimwright.plan.calendar.shop_hours import DAY_MINUTES, midnight_of, minutes_between, moved, open_spans
from trimwright.plan.calendar.solve import solve
from trimwright.plan.calendar.tasks import Bench, Calendar, Slot, Task

HANDS = "hands"
ROOM = timedelta(days=14)
"""Left behind what the work can take at the most, for windows that do not fit."""
SLACK = 1.5
"""Open time that is looked at, as a multiple of what the work takes."""
FURTHEST_DAYS = 1500

Spans = tuple[tuple[int, int], ...]


def schedule(
    bench: Bench,
    *,
    seconds: float = 15.0,
    before: Calendar | None = None,
    progress: Callable[[Calendar], None] | None = None,
    stop: Callable[[], bool] | None = None,
) -> Calendar:
    """The earliest hand-over found in about `seconds`; `before` is an older calendar of much the same bench.

    `progress` is told of every better calendar. NoTimetable, a BadInput, where waits, windows and pins leave none.
    """
    grid = Grid(bench)
    project = grid.project
    timetable = solve(
        project,
        seconds=seconds,
        hint=None if before is None else grid.hint(before),
        progress=None if progress is None else lambda better: progress(grid.calendar(better)),
        stop=stop,
    )
    calendar = grid.calendar(timetable)
    if broken := check_calendar(calendar):
        raise HoldBroken("; ".join(broken))
    return calendar


def to_project(bench: Bench) -> Project:
    """The bench as a bare project; BadInput with every task that fits into no open time."""
    return Grid(bench).project


@dataclass(frozen=True)
class Grid:
    """A bench on a line of minutes."""

    bench: Bench

    @cached_property
    def origin(self) -> datetime:
        """The midnight before everything."""
        zone = self.bench.hours.zone
        moments = [self.bench.start]
        for task in self.bench.tasks:
            moments += [moved(each, -task.minutes[1]) for each in (task.done,) if each is not None]
            moments += [each for each in (task.begun,) if each is not None]
        return midnight_of(min(moments).astimezone(zone).date(), zone)

    def minute(self, instant: datetime) -> int:
        """The minute of an instant, rounded down."""
        return minutes_between(self.origin, instant)

    def instant(self, minute: int) -> datetime:
        """The instant of a minute."""
        return moved(self.origin, minute)

    @cached_property
    def start(self) -> int:
        """The first whole minute from the bench's start on."""
        return self.up(self.bench.start)

    @cached_property
    def horizon(self) -> int:
        """By when everything can be over: work on one pair of hands, all waits behind each other as far as they are."""
        return self.open_until + longest_way(self.bench) + int(ROOM.total_seconds() // 60)

    @cached_property
    def open_until(self) -> int:
        """When the shop has been open long enough for all the work, from the latest date that is pinned."""
        to_do = [task for task in self.bench.tasks if task.done is None]
        wanted = SLACK * sum(task.minutes[1] for task in to_do if task.people)
        since = max([self.bench.start, *(task.not_before for task in to_do if task.not_before is not None)])
        found = 0
        for opening, closing in open_spans(self.bench.hours, since, since + timedelta(days=FURTHEST_DAYS)):
            found += minutes_between(max(opening, since), closing)
            if found >= wanted:
                return self.minute(closing)
        return self.minute(since + timedelta(days=FURTHEST_DAYS))

    @cached_property
    def spans(self) -> Spans:
        """The shop's open time from the start on, in whole minutes, apart."""
        found: list[tuple[int, int]] = []
        for opening, closing in open_spans(self.bench.hours, self.bench.start, self.instant(self.horizon)):
            opens, closes = max(self.start, self.minute(opening)), self.minute(closing)
            if found and opens <= found[-1][1]:
                opens = found.pop()[0]
            if closes >= opens:
                found.append((opens, closes))
        return tuple(found)

    @cached_property
    def project(self) -> Project:
        """Everything the solver reads."""
        problems: list[Problem] = []
        activities = []
        for task in self.bench.tasks:
            try:
                activities.append(self.activity(task))
            except BadInput as error:
                problems += error.problems
        if problems:
            raise BadInput(problems)
        capacity: dict[str, int] = {HANDS: self.bench.hands}
        capacity.update((str(place), room) for place, room in self.bench.places.items())
        return Project(self.with_room(activities, capacity), tuple(self.lags()), capacity, self.horizon)

    def activity(self, task: Task) -> Activity:
        """One task; what is done and what is on its way stay where they are."""
        if task.done is not None:
            length = task.minutes[1]
            start = max(0, self.minute(task.done) - length)
            return Activity(task.id, self.minute(task.done) - start, self.resting(task), fixed=start)
        length = self.length(task)
        if task.begun is not None and not task.people:
            return Activity(task.id, length, fixed=self.minute(task.begun))
        return Activity(
            id=task.id,
            length=length,
            holds=self.holds(task),
            starts=self.starts(task, length),
            tied_up=task.money,
            group=f"{task.place} {task.colour}".strip() if task.people else "",
        )

    def length(self, task: Task) -> int:
        """Minutes it takes from its start; of work under way those that are left."""
        if task.begun is None or not task.people:
            return task.minutes[1]
        return max(0, task.minutes[1] - minutes_between(task.begun, self.bench.start))

    def holds(self, task: Task) -> tuple[Holds, ...]:
        """Hands, the place, and where the piece lies afterwards."""
        found = [Holds(HANDS, task.people)] if task.people else []
        if task.place in self.bench.places:
            found.append(Holds(task.place, task.room, task.keeps_place))
        if task.rests is not None and task.rests in self.bench.places and task.rests_minutes:
            found.append(Holds(task.rests, task.rests_room, task.rests_minutes))
        return tuple(found)

    def resting(self, task: Task) -> tuple[Holds, ...]:
        """Where a finished piece still lies when the plan begins."""
        assert task.done is not None
        return tuple(
            each
            for each in self.holds(task)
            if each.resource != HANDS and self.minute(task.done) + each.after > self.start
        )

    def with_room(self, activities: list[Activity], capacity: Mapping[str, int]) -> tuple[Activity, ...]:
        """The activities; of a place that holds more already than it has room for, nothing is counted that is done."""
        taken: dict[str, int] = {}
        for each in activities:
            for held in each.holds if each.fixed is not None else ():
                taken[held.resource] = taken.get(held.resource, 0) + held.amount
        full = {resource for resource, amount in taken.items() if amount > capacity[resource]}
        return tuple(
            replace(each, holds=tuple(held for held in each.holds if held.resource not in full))
            if each.fixed is not None
            else each
            for each in activities
        )

    def starts(self, task: Task, length: int) -> Spans:
        """When it may start; BadInput where it fits into no open time."""
        first = max(self.start, self.up(task.not_before)) if task.not_before is not None else self.start
        last = self.horizon - length if task.not_after is None else self.minute(task.not_after) - length
        spans = self.spans if task.people else ((self.start, self.horizon),)
        found = tuple(
            (max(opens, first), min(closes - length, last))
            for opens, closes in spans
            if max(opens, first) <= min(closes - length, last)
        )
        if found:
            return found
        if task.not_before is not None or task.not_after is not None:
            what = "leaves no open time in which the task could be made."
            raise BadInput(Problem("time › pins", task.id, what, "Give the pin more room, or take it out."))
        what = f"takes {length} min in one go, and the shop is never open as long."
        raise BadInput(Problem(task.name, "", what, "Give a day of time › week more hours."))

    def up(self, instant: datetime) -> int:
        """The first whole minute from an instant on."""
        minute = self.minute(instant)
        return minute + (self.instant(minute).timestamp() < instant.timestamp())

    def lags(self) -> Iterator[Lag]:
        """Who waits for whom, as far as it is still to come."""
        by_id = self.bench.by_id
        for task in self.bench.tasks:
            if task.done is None and task.begun is None:
                for each in task.after:
                    assert each.task in by_id, f"{task.id} waits for {each.task}, which is no task"
                    yield Lag(each.task, task.id, each.wait[1], each.closes)

    # ---- back to instants --------------------------------------------------------------------------------------------

    def hint(self, before: Calendar) -> Timetable:
        """An older calendar on this line of minutes."""
        starts = {slot.task: self.minute(slot.start) for slot in before.slots if slot.task in self.bench.by_id}
        return Timetable(starts, self.minute(before.end), self.minute(before.bound))

    def calendar(self, timetable: Timetable) -> Calendar:
        """The timetable as a calendar."""
        lengths = {each.id: each.length for each in self.project.activities}
        slots = [
            Slot(task, self.instant(start), self.instant(start + lengths[task]))
            for task, start in timetable.starts.items()
        ]
        return Calendar(
            bench=self.bench,
            slots=tuple(sorted(slots, key=lambda each: (each.start, each.end, each.task))),
            end=self.instant(timetable.end),
            bound=self.instant(timetable.bound),
            seconds=timetable.seconds,
        )


def longest_way(bench: Bench) -> int:
    """The longest way through waits and deliveries, hands aside [min]; BadInput where tasks wait for each other."""
    by_id = bench.by_id
    try:
        graph = {task.id: [each.task for each in task.after] for task in bench.tasks}
        order = tuple(TopologicalSorter(graph).static_order())
    except CycleError as error:
        circle = " → ".join(error.args[1])
        what = "wait for each other in a circle."
        raise BadInput(Problem("tasks", circle, what, "Take one of the waits out.")) from None
    ends: dict[str, int] = {}
    for task_id in order:
        task = by_id[task_id]
        own = 0 if task.people else task.minutes[1]
        ends[task_id] = own + max((ends[each.task] + each.wait[1] for each in task.after), default=0)
    # a task at the end of a wait may have to stand over a weekend
    return max(ends.values(), default=0) + DAY_MINUTES
