"""promise(calendar) → Promise: the day that can be promised, because nearly always it will be ready by then.

The calendar plans by what is likely. Here it is lived through many times, its order kept, each piece of work, wait and
delivery drawn from its three figures (triangular), all hands-on work of a draw quicker or slower together by the
hours factor's spread. A delivery is ordered no earlier than the calendar has it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from math import sqrt
from typing import TYPE_CHECKING, Literal

from trimwright.plan.calendar.columns import array, lives_of
from trimwright.plan.calendar.lived import Ints, Lives, live
from trimwright.plan.calendar.shop_hours import minutes_between
from trimwright.plan.calendar.tasks import Bench, Calendar, Minutes, Task

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Reals = NDArray[np.float64]

DRAWS = 400
SURE = 80
"""In so many of a hundred draws the car is ready on the day that is promised."""
TOLD = (10, 50, SURE, 95)
"""Percent of the draws by which the spread is told."""
CAREFUL = 0.95
"""Before a window somebody careful reckons each task as long as it is in so many of the draws."""
LEAST_PACE = 0.6
"""However well it goes, hours do not fall below this share of the plan."""
MOST_DRIVERS = 5
NOISE = 4.0
"""A correlation under so many standard errors may be chance, and is not told."""
SLOW_SHARE = 5
"""What drives the date is weighed by the slowest one of so many draws."""
DAY_MINUTES = 24 * 60


@dataclass(frozen=True, slots=True)
class Driver:
    """Something whose luck moves the hand-over."""

    kind: Literal["delivery", "sent out", "wait", "work"]
    task: str | None
    """The task, or the one that waits; None = the pace of all hands-on work."""
    name: str
    days: float
    """How many days later the hand-over is on average when this takes as long as in the slowest fifth of the draws."""


@dataclass(frozen=True)
class Promise:
    """When the car will be ready, as far as anybody can know."""

    at: datetime
    """Ready by then in 80 of 100 draws."""
    quantiles: Mapping[int, datetime]
    """By percent of the draws."""
    drivers: tuple[Driver, ...]
    """What moves it, the strongest first."""
    missed: float
    """Windows missed, on average of the draws."""
    draws: int


@dataclass(frozen=True, eq=False)
class Drawn:
    """Every figure of every draw that may turn out otherwise."""

    lives: Lives
    figures: Sequence[tuple[Driver, Reals]]
    """What each was in the draws, under what it would be told as."""


def promise(calendar: Calendar, *, hours_spread: float = 0.0, draws: int = DRAWS, seed: int = 1) -> Promise:
    """The day for 80 of 100; the same calendar, spread and seed always give the same.

    `hours_spread` is the standard deviation of real over planned hours, common to all work of a job [share].
    """
    import numpy as np

    order = to_do(calendar)
    if not order:
        return Promise(calendar.end, dict.fromkeys(TOLD, calendar.end), (), 0.0, draws)
    drawn = draw(calendar, order, hours_spread, draws, np.random.default_rng(seed))
    lived = live(drawn.lives)
    ends = lived.ends.max(axis=1)
    quantiles = {each: at(calendar.bench, int(np.quantile(ends, each / 100, method="higher"))) for each in TOLD}
    return Promise(quantiles[SURE], quantiles, drivers(drawn, ends), float(lived.missed.mean()), draws)


def to_do(calendar: Calendar) -> list[Task]:
    """Tasks that are not done, in the calendar's order; what lets a window close goes before what can wait."""
    by_id = calendar.bench.by_id
    tasks = [by_id[slot.task] for slot in calendar.slots if by_id[slot.task].done is None]
    return sorted(tasks, key=lambda task: all(each.closes is None for each in task.after))


def at(bench: Bench, minute: int) -> datetime:
    """The instant so many minutes after the bench's start, in the shop's zone."""
    return (bench.start.astimezone(UTC) + timedelta(minutes=minute)).astimezone(bench.hours.zone)


def draw(calendar: Calendar, order: Sequence[Task], hours_spread: float, draws: int, rng: np.random.Generator) -> Drawn:
    """The bench in `draws` draws."""
    import numpy as np

    bench = calendar.bench
    planned = lives_of(bench, order, calendar.end)
    pace = np.maximum(LEAST_PACE, rng.normal(1.0, hours_spread, draws))
    figures = [(Driver("work", None, "the pace of the work", 0.0), pace)]
    taken = np.empty((draws, len(order)), dtype=np.int32)
    for column, task in enumerate(order):
        length = triangular(task.minutes, draws, rng)
        if task.people:
            taken[:, column] = whole(length * pace * planned.likely[column] / max(1, task.minutes[1]))
        else:
            taken[:, column] = np.maximum(0, whole(length) - (task.minutes[1] - planned.likely[column]))
            kind: Literal["delivery", "sent out", "wait"] = (
                "delivery" if task.kind == "delivery" else "sent out" if task.kind == "sent out" else "wait"
            )
            figures.append((Driver(kind, task.id, task.name, 0.0), length))
    links = []
    waits = {(column, each.task): each for column, task in enumerate(order) for each in task.after}
    for link in planned.links:
        after, task = waits[link.after, order[link.before].id], order[link.after]
        wait = triangular(after.wait, draws, rng)
        links.append(replace(link, wait=whole(wait)))
        figures.append((Driver("wait", task.id, f"{after.why or 'wait'} before {task.name}", 0.0), wait))
    ordered = array(_ordered(task, calendar) for task in order)
    not_before = np.maximum(planned.not_before, ordered)
    careful = np.quantile(taken, CAREFUL, axis=0).astype(np.int32)
    return Drawn(replace(planned, careful=careful, drawn=taken, links=links, not_before=not_before), figures)


def _ordered(task: Task, calendar: Calendar) -> int:
    """A delivery is not ordered before the calendar says so."""
    if task.kind != "delivery":
        return 0
    return max(0, minutes_between(calendar.bench.start, calendar.by_task[task.id].start))


def triangular(figures: Minutes, draws: int, rng: np.random.Generator) -> Reals:
    """Draws between low and high about the likely one; a figure without spread takes no draw."""
    import numpy as np

    low, likely, high = figures
    if high <= low:
        return np.full(draws, float(likely))
    drawn: Reals = rng.triangular(low, min(max(low, likely), high), high, draws)
    return drawn


def whole(minutes: Reals) -> Ints:
    """Whole minutes."""
    import numpy as np

    rounded: Ints = np.rint(minutes).astype(np.int32)
    return rounded


def drivers(drawn: Drawn, ends: Ints) -> tuple[Driver, ...]:
    """What the hand-over hangs on: figures that go with it beyond chance, by the days their slow draws cost."""
    import numpy as np

    draws = len(ends)
    spread = float(np.std(ends))
    if not spread:
        return ()
    slow = max(1, draws // SLOW_SHARE)
    found = []
    for driver, figures in drawn.figures:
        if np.ptp(figures) == 0:
            continue
        together = float(np.corrcoef(figures, ends)[0, 1])
        if together * sqrt(draws) < NOISE:
            continue
        later = ends[np.argsort(figures, kind="stable")[-slow:]].mean() - ends.mean()
        found.append(replace(driver, days=float(later) / DAY_MINUTES))
    return tuple(sorted(found, key=lambda each: -each.days)[:MOST_DRIVERS])
