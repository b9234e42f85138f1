"""A bench as columns of figures, to be lived through: one column a task that is not done, in a given order."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime, timedelta
from itertools import pairwise

from trimwright.plan.calendar.lived import NEVER, Ints, Link, Lives
from trimwright.plan.calendar.shop_hours import minutes_between, open_spans
from trimwright.plan.calendar.tasks import Bench, Spot, Task

ROOM = timedelta(days=60)
"""How long past its planned end a bench may go on in a bad draw, and still find the shop's hours."""


def lives_of(bench: Bench, order: Sequence[Task], ends: datetime, *, one_by_one: bool = False) -> Lives:
    """One life of these tasks, none of them done, by their planned times; `ends` is about when it will be over.

    With `one_by_one` the hands finish each task of the order before they begin the next.
    """
    column = {task.id: number for number, task in enumerate(order)}
    spans = spans_of(bench, ends + ROOM)
    longest = max((closes - opens for opens, closes in spans), default=0)
    places: list[Spot] = sorted(bench.places)
    people = [min(task.people, bench.hands) for task in order]
    likely = [left_of(task, bench) for task in order]
    planned = array(min(each, longest) if hands else each for each, hands in zip(likely, people, strict=True))
    return Lives(
        spans=spans,
        hands=bench.hands,
        capacity=[bench.places[each] for each in places],
        likely=planned,
        careful=planned,
        drawn=planned[None, :],
        people=array(people),
        place=array(places.index(task.place) if task.place in places else -1 for task in order),
        room=array(min(task.room, bench.places.get(task.place, task.room)) for task in order),
        keeps=array(task.keeps_place for task in order),
        rest=array(places.index(task.rests) if task.rests in places else -1 for task in order),
        rest_room=array(
            min(task.rests_room, bench.places[task.rests]) if task.rests in places else 0 for task in order
        ),
        rest_keeps=array(task.rests_minutes for task in order),
        not_before=array(earliest(task, bench) for task in order),
        not_after=array(latest(task, bench) for task in order),
        links=[*links_between(column, order), *(in_a_row(column, order) if one_by_one else ())],
    )


def array(each: Iterable[int]) -> Ints:
    """Whole figures as an array."""
    import numpy as np

    return np.array(list(each), dtype=np.int32)


def spans_of(bench: Bench, until: datetime) -> list[tuple[int, int]]:
    """When the shop is open, in minutes from the bench's start; days without a break between them are one span."""
    found: list[tuple[int, int]] = []
    for opening, closing in open_spans(bench.hours, bench.start, until):
        opens, closes = max(0, minutes_between(bench.start, opening)), minutes_between(bench.start, closing)
        if found and opens <= found[-1][1]:
            opens = found.pop()[0]
        if closes > opens:
            found.append((opens, closes))
    return found


def left_of(task: Task, bench: Bench) -> int:
    """Minutes of the task that are still to come: of one under way, what has not run yet."""
    if task.begun is None:
        return task.minutes[1]
    return max(0, task.minutes[1] - minutes_between(task.begun, bench.start))


def links_between(column: dict[str, int], order: Sequence[Task]) -> list[Link]:
    """What waits for what, each with its planned wait."""
    return [
        Link(column[each.task], column[task.id], array([each.wait[1]]), each.wait[1], each.closes)
        for task in order
        for each in task.after
        if each.task in column
    ]


def in_a_row(column: dict[str, int], order: Sequence[Task]) -> list[Link]:
    """Each task for hands after the one before it, where it does not wait for that anyway."""
    hands_on = [task for task in order if task.people]
    return [
        Link(column[before.id], column[after.id], array([0]), 0, None)
        for before, after in pairwise(hands_on)
        if before.id not in {each.task for each in after.after}
    ]


def earliest(task: Task, bench: Bench) -> int:
    """When the task may begin at the earliest, by its own date and by what is done."""
    found = [0] if task.not_before is None else [0, minutes_between(bench.start, task.not_before)]
    for each in task.after:
        done = bench.by_id[each.task].done
        if done is not None:
            found.append(minutes_between(bench.start, done) + each.wait[1])
    return max(found)


def latest(task: Task, bench: Bench) -> int:
    """When a window that what is done has opened closes again."""
    found = [NEVER]
    for each in task.after:
        done = bench.by_id[each.task].done
        if done is not None and each.closes is not None:
            found.append(minutes_between(bench.start, done) + each.closes)
    return min(found)
