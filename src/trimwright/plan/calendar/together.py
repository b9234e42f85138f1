"""Several jobs over the same hands and places: their benches as one, and each job's part of its calendar."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime

from trimwright.errors import BadInput, Problem
from trimwright.plan.calendar.tasks import Bench, Calendar, Slot, Task

BETWEEN = "/"
"""Stands between a job's id and a task's."""


def together(benches: Mapping[str, Bench]) -> Bench:
    """One bench of all jobs, by their ids. Hours, hands, places and air are those of the shop, and so of the first.

    BadInput where there is no job, or where they do not stand in one shop: other hours, another zone, other hands.
    """
    if not benches:
        raise BadInput(Problem("jobs", "", "names no job.", "Give at least one."))
    first = next(iter(benches.values()))
    problems = [
        Problem(job, "", f"has {what} of its own, and a shop has only one of each.", "Set it alike in every job.")
        for job, bench in benches.items()
        for what, own, shop in (
            ("hours", bench.hours, first.hours),
            ("a number of hands", bench.hands, first.hands),
            ("places", dict(bench.places), dict(first.places)),
        )
        if own != shop
    ]
    if problems:
        raise BadInput(problems)
    wanted = [bench.wanted_by for bench in benches.values() if bench.wanted_by is not None]
    return replace(
        first,
        start=min(bench.start for bench in benches.values()),
        tasks=tuple(of_job(job, task, bench) for job, bench in benches.items() for task in bench.tasks),
        wanted_by=max(wanted, default=None),
    )


def of_job(job: str, task: Task, bench: Bench) -> Task:
    """The task under its job's id; nothing of a job begins before that job's own start."""
    open_still = task.done is None and task.begun is None
    not_before = max(bench.start, task.not_before or bench.start) if open_still else task.not_before
    return replace(
        task,
        id=f"{job}{BETWEEN}{task.id}",
        part=None if task.part is None else f"{job}{BETWEEN}{task.part}",
        batch=None if task.batch is None else f"{job}{BETWEEN}{task.batch}",
        after=tuple(replace(each, task=f"{job}{BETWEEN}{each.task}") for each in task.after),
        not_before=not_before,
    )


def slots_of(calendar: Calendar, job: str) -> tuple[Slot, ...]:
    """One job's slots of a common calendar, under the ids they have in the job."""
    prefix = job + BETWEEN
    return tuple(
        replace(slot, task=slot.task.removeprefix(prefix)) for slot in calendar.slots if slot.task.startswith(prefix)
    )


def ends(calendar: Calendar) -> dict[str, datetime]:
    """Each job's hand-over in a common calendar."""
    found: dict[str, datetime] = {}
    for slot in calendar.slots:
        job = slot.task.partition(BETWEEN)[0]
        found[job] = max(slot.end, found.get(job, slot.end))
    return found
