"""Tasks while they are being listed: named once, linked to each other as what comes before what becomes known."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, field, replace

from trimwright.job.fields import free_id
from trimwright.plan.calendar.tasks import After, Task

NOT_IN_IDS = re.compile(r"[^A-Za-z0-9_.:+~/-]")


@dataclass
class Drafts:
    """The tasks found so far, by id, in the order in which they were added."""

    tasks: dict[str, Task] = field(default_factory=dict)

    def add(self, task: Task) -> str:
        """A task of its own id; its id again."""
        assert task.id not in self.tasks, task.id
        self.tasks[task.id] = task
        return task.id

    def free(self, wanted: str) -> str:
        """An id for a task, of the characters that ids have: `wanted`, or with a number behind it."""
        return free_id(NOT_IN_IDS.sub("-", wanted), self.tasks)

    def change(self, task_id: str, **values: object) -> None:
        """Other values for some of its fields."""
        self.tasks[task_id] = replace(self.tasks[task_id], **values)  # type: ignore[arg-type]

    def link(self, task_id: str, *before: After) -> None:
        """What the task waits for besides; of two links to one task the longer wait holds, and the shorter window."""
        task = self.tasks[task_id]
        after = {each.task: each for each in task.after}
        for each in before:
            known = after.get(each.task)
            after[each.task] = each if known is None else stricter(known, each)
        self.tasks[task_id] = replace(task, after=tuple(after.values()))

    def would_circle(self, before: str, after: str) -> bool:
        """Whether `before` waits for `after`, through and through, so that no link may lead back."""
        return after in self.behind([before])

    def behind(self, ids: Iterable[str]) -> set[str]:
        """The tasks and all they wait for, through and through."""
        reached: set[str] = set()
        waiting = list(ids)
        while waiting:
            task_id = waiting.pop()
            if task_id not in reached:
                reached.add(task_id)
                waiting += [each.task for each in self.tasks[task_id].after]
        return reached

    @property
    def last(self) -> list[str]:
        """The tasks that nothing waits for."""
        waited_for = {each.task for task in self.tasks.values() for each in task.after}
        return [each for each in self.tasks if each not in waited_for]


def stricter(one: After, other: After) -> After:
    """The link that keeps both."""
    longer = one if one.wait[1] >= other.wait[1] else other
    closing = [each.closes for each in (one, other) if each.closes is not None]
    return replace(longer, closes=min(closing, default=None))
