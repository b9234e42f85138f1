"""The independent check of a timetable: every rule of the bare problem recounted, without the solver or its tables."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Literal

from trimwright.plan.calendar.project import Activity, Project, Timetable

Rule = Literal["missing", "unknown", "moved", "not then", "too soon", "too late", "too much", "horizon", "end", "bound"]


@dataclass(frozen=True, slots=True)
class Fault:
    """One rule that a timetable breaks, and where."""

    rule: Rule
    activities: tuple[str, ...]
    at: int
    said: str

    def __str__(self) -> str:
        return f"{', '.join(self.activities)} at {self.at}: {self.said}"


def faults(project: Project, timetable: Timetable) -> tuple[Fault, ...]:
    """Everything that is wrong with the timetable; nothing when it may be worked to."""
    starts = timetable.starts
    found = list(of_names(project, starts))
    there = {each.id: each for each in project.activities if each.id in starts}
    for activity in there.values():
        found += of_time(activity, starts[activity.id], project.horizon)
    found += of_lags(project, there, starts)
    found += of_capacity(project, there, starts)
    found += of_end(there, timetable)
    return tuple(found)


def of_names(project: Project, starts: Mapping[str, int]) -> Iterator[Fault]:
    """Every activity has a start, and nothing else has one."""
    known = {each.id for each in project.activities}
    for name in known - set(starts):
        yield Fault("missing", (name,), 0, "has no start")
    for name in set(starts) - known:
        yield Fault("unknown", (name,), starts[name], "is no activity of this project")


def of_time(activity: Activity, start: int, horizon: int) -> Iterator[Fault]:
    """It is made when it may be: where it is fixed, at an allowed start, inside the project."""
    name = (activity.id,)
    if activity.fixed is not None and start != activity.fixed:
        yield Fault("moved", name, start, f"is fixed at {activity.fixed}")
    allowed = not activity.starts or any(first <= start <= last for first, last in activity.starts)
    if activity.fixed is None and not allowed:
        yield Fault("not then", name, start, "may not start then")
    if start < 0 or start + activity.length > horizon:
        yield Fault("horizon", name, start, f"lies outside 0 to {horizon}")


def of_lags(project: Project, there: Mapping[str, Activity], starts: Mapping[str, int]) -> Iterator[Fault]:
    """Every wait is at least its least and at most its most."""
    for lag in project.lags:
        if lag.before not in there or lag.after not in there:
            continue
        waited = starts[lag.after] - starts[lag.before] - there[lag.before].length
        both = (lag.before, lag.after)
        if waited < lag.least:
            yield Fault("too soon", both, starts[lag.after], f"waits {waited}, at least {lag.least} is needed")
        if lag.most is not None and waited > lag.most:
            yield Fault("too late", both, starts[lag.after], f"waits {waited}, at most {lag.most} is allowed")


def of_capacity(project: Project, there: Mapping[str, Activity], starts: Mapping[str, int]) -> Iterator[Fault]:
    """At every moment no more of a resource is held than there is; one fault for each time it becomes too much."""
    taken: dict[str, list[tuple[int, int, str]]] = defaultdict(list)
    for activity in there.values():
        for hold in activity.holds:
            start, until = starts[activity.id], starts[activity.id] + activity.length + hold.after
            if hold.amount and until > start:
                taken[hold.resource] += [(start, hold.amount, activity.id), (until, -hold.amount, activity.id)]
    for resource, moments in taken.items():
        moments.sort(key=lambda moment: moment[:2])  # what is given back at a moment is free at that moment
        held, holders = 0, dict[str, int]()
        for at, amount, name in moments:
            held += amount
            if amount > 0:
                holders[name] = holders.get(name, 0) + 1
                if held > project.capacity[resource]:
                    said = f"{held} of {resource} would be held, there are {project.capacity[resource]}"
                    yield Fault("too much", tuple(holders), at, said)
            else:
                holders[name] -= 1
                if not holders[name]:
                    del holders[name]


def of_end(there: Mapping[str, Activity], timetable: Timetable) -> Iterator[Fault]:
    """The end is that of the last activity, and no bound is above it."""
    last = max((timetable.starts[name] + each.length for name, each in there.items()), default=0)
    if timetable.end != last:
        yield Fault("end", (), timetable.end, f"the last activity ends at {last}")
    if timetable.bound > timetable.end:
        yield Fault("bound", (), timetable.bound, f"a bound above the end {timetable.end}")
