"""Open scheduling instances as bare projects: single-mode `.sm`, `.sch` with time lags, job shops.

The formats are described by Kolisch and Sprecher (1996) and by Schwindt (1998); dummies at both ends stay in.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from trimwright.plan.calendar.project import Activity, Holds, Lag, Project


def read_sm(path: Path) -> Project:
    """A project without lags: `PRECEDENCE RELATIONS`, `REQUESTS/DURATIONS`, `RESOURCEAVAILABILITIES`."""
    lines = path.read_text(encoding="latin-1").splitlines()
    followers = {row[0]: row[3:] for row in rows_after(lines, "PRECEDENCE RELATIONS", skipped=2)}
    demands = rows_after(lines, "REQUESTS/DURATIONS", skipped=3)
    (capacity,) = rows_after(lines, "RESOURCEAVAILABILITIES", skipped=2)
    activities = tuple(Activity(str(row[0]), row[2], holds_of(row[3:])) for row in demands)
    lags = tuple(Lag(str(job), str(after)) for job, others in followers.items() for after in others)
    return Project(activities, lags, by_number(capacity), sum(each.length for each in activities))


def rows_after(lines: Sequence[str], heading: str, *, skipped: int) -> list[list[int]]:
    """The rows of whole numbers under a heading, until one that is none."""
    (at,) = (place for place, line in enumerate(lines) if line.replace(" ", "").startswith(heading.replace(" ", "")))
    found = []
    for line in lines[at + skipped :]:
        words = line.split()
        if not words or not words[0].isdigit():
            break
        found.append([int(word) for word in words])
    return found


def read_sch(path: Path) -> Project:
    """A project with lags from start to start, the negative ones a most; its horizon is no bound on the optimum."""
    rows = [line.split() for line in path.read_text(encoding="latin-1").splitlines() if line.strip()]
    count = int(rows[0][0]) + 2
    demands = [[int(word) for word in row] for row in rows[1 + count : 1 + 2 * count]]
    activities = tuple(Activity(str(row[0]), row[2], holds_of(row[3:])) for row in demands)
    lags = []
    for row in rows[1 : 1 + count]:
        many = int(row[2])
        for other, lag in zip(row[3 : 3 + many], row[3 + many :], strict=True):
            least = int(lag.strip("[]")) - activities[int(row[0])].length
            lags.append(Lag(str(int(row[0])), str(int(other)), least))
    capacity = by_number([int(word) for word in rows[1 + 2 * count]])
    return Project(activities, tuple(lags), capacity, longest_ever(activities, lags))


def longest_ever(activities: Sequence[Activity], lags: Sequence[Lag]) -> int:
    """No best timetable is longer: each activity and the longest wait after it, one by one."""
    longest = {each.id: each.length for each in activities}
    for lag in lags:
        longest[lag.before] = max(longest[lag.before], lag.least + length_of(activities, lag.before))
    return sum(longest.values())


def length_of(activities: Sequence[Activity], name: str) -> int:
    """The length of the activity of that name; ids of these instances are their places."""
    return activities[int(name)].length


def job_shop(durations: Sequence[Sequence[int]], machines: Sequence[Sequence[int]]) -> Project:
    """Jobs on machines that take one at a time; a row is a job, in the order of its operations."""
    activities, lags = [], []
    for job, (lengths, where) in enumerate(zip(durations, machines, strict=True)):
        for step, (length, machine) in enumerate(zip(lengths, where, strict=True)):
            activities.append(Activity(f"{job}.{step}", length, (Holds(str(machine)),)))
            if step:
                lags.append(Lag(f"{job}.{step - 1}", f"{job}.{step}"))
    capacity = {str(machine): 1 for machine in sorted({each for row in machines for each in row})}
    return Project(tuple(activities), tuple(lags), capacity, sum(map(sum, durations)))


def holds_of(demands: Sequence[int]) -> tuple[Holds, ...]:
    """What a row of demands holds."""
    return tuple(Holds(str(place), amount) for place, amount in enumerate(demands) if amount)


def by_number(capacity: Sequence[int]) -> dict[str, int]:
    """Capacities by the resource's number."""
    return {str(place): amount for place, amount in enumerate(capacity)}
