"""What a part rests on: how much its foam, board or frame bears, and the levels of support that make a difference."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from trimwright.facts.trade import Treatment
from trimwright.plan.quantities.cabin import Course
from trimwright.plan.quantities.finish import FIRM_BEARING
from trimwright.plan.quantities.suiting import lifts
from trimwright.plan.quantities.surveyed import Surveyed


def bears(part: Surveyed, treatments: Sequence[Treatment], finish: int) -> int:
    """What the part gives to what lies on it: the least cap of the faults left; a mend below tidy gives its finish.

    `finish` is what the treatments give it on a firm support.
    """
    left = min((found.cap for found in part.faults if not lifts(treatments, found.id, found.extent)), default=10)
    return max(part.bears_now, left if finish >= FIRM_BEARING else min(left, finish))


def levels(of_each_support: Iterable[Iterable[int]]) -> tuple[int, ...]:
    """Every support level that could be reached, falling, from what each support's courses bear.

    >>> levels([(3, 10), (7,)]), levels([])
    ((7, 3), (10,))
    """
    each = [tuple(bearing) for bearing in of_each_support]
    if not each:
        return (10,)
    best = min(max(bearing) for bearing in each)
    return tuple(sorted({min(value, best) for bearing in each for value in bearing}, reverse=True))


def only_telling(bearings: tuple[int, ...], courses: Sequence[Course]) -> tuple[tuple[int, ...], tuple[Course, ...]]:
    """The levels at which some course of the part comes out differently; of alike neighbours the lowest stays."""
    outcomes = [
        tuple((course.finish_at[at], course.points_at[at], course.redo_at[at]) for course in courses)
        for at in range(len(bearings))
    ]
    telling = [at for at in range(len(bearings)) if at == len(bearings) - 1 or outcomes[at] != outcomes[at + 1]]
    if len(telling) == 1:
        bearings = (10,)
        telling = [len(outcomes) - 1]
    else:
        bearings = tuple(bearings[at] for at in telling)
    return bearings, tuple(
        replace(
            course,
            finish_at=tuple(course.finish_at[at] for at in telling),
            points_at=tuple(course.points_at[at] for at in telling),
            redo_at=tuple(course.redo_at[at] for at in telling),
        )
        for course in courses
    )
