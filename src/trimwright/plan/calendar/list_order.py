"""The plain day plan a calendar is measured against: one task at a time, each part finished before the next."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from trimwright.plan.calendar.columns import lives_of
from trimwright.plan.calendar.lived import live
from trimwright.plan.calendar.tasks import Bench, Task

DAY = 24 * 60


@dataclass(frozen=True, slots=True)
class ListOrder:
    """How it would end."""

    end: datetime
    missed: int
    """Windows that closed before the next thing in the list was begun: scuffed and begun again."""

    def days_won(self, end: datetime) -> float:
        """Days between this end and that of a better calendar."""
        return (self.end.timestamp() - end.timestamp()) / (DAY * 60)


def in_list_order(bench: Bench) -> ListOrder:
    """The end when the list is worked down: the hands wait while things dry, and go on with the same part."""
    from datetime import UTC

    order = part_by_part(bench)
    if not order:
        return ListOrder(bench.start, 0)
    lives = lives_of(bench, order, bench.start + timedelta(minutes=longest(order)), one_by_one=True)
    lived = live(lives)
    end = bench.start.astimezone(UTC) + timedelta(minutes=int(lived.ends[0].max()))
    return ListOrder(end.astimezone(bench.hours.zone), int(lived.missed[0]))


def part_by_part(bench: Bench) -> list[Task]:
    """Every task that is not done in the list's order, what it must follow before it."""
    by_id = bench.by_id
    order: dict[str, Task] = {}

    def put(task: Task) -> None:
        if task.id in order or task.done is not None:
            return
        for each in task.after:
            put(by_id[each.task])
        order[task.id] = task

    first: dict[str | None, int] = {}
    for number, task in enumerate(bench.tasks):
        first.setdefault(task.part, number)
    stages = {"strip-down": 0, "rebuild": 2, "check": 3}

    def place(numbered: tuple[int, Task]) -> tuple[int, int, int]:
        number, task = numbered
        stage = stages.get(task.kind, 1)
        return stage, first[task.part] if stage == 1 and task.part is not None else number, number

    for _, task in sorted(enumerate(bench.tasks), key=place):
        put(task)
    return list(order.values())


def longest(order: list[Task]) -> int:
    """Minutes by the clock that it can't take longer than, by and large: every wait in a row and a day a task."""
    return sum(task.minutes[1] + max((each.wait[1] for each in task.after), default=0) + DAY // 4 for task in order)
