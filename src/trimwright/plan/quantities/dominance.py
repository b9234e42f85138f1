"""Courses that no plan needs: another ends the same, looks the same, and needs no more of anything."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from trimwright.plan.quantities.cabin import LEAVE, Course


def undominated(courses: Sequence[Course]) -> tuple[Course, ...]:
    """The courses worth offering, in their order. Leaving and held courses always stay; of equals the first stays."""
    kept: list[Course] = []
    for course in courses:
        if course.id == LEAVE or course.held:
            kept.append(course)
        elif not any(beats(other, course) for other in kept):
            kept = [other for other in kept if other.id == LEAVE or other.held or not beats(course, other)]
            kept.append(course)
    return tuple(kept)


def beats(one: Course, other: Course) -> bool:
    """Whether `one` is at least as good as `other` in every way that a plan could notice."""
    return (
        one.finish_at == other.finish_at
        and one.look == other.look
        and one.settles == other.settles
        and one.bears >= other.bears
        and one.life_years >= other.life_years
        and one.kept >= other.kept
        and all(a >= b for a, b in zip(one.points_at, other.points_at, strict=True))
        and all(a <= b for a, b in zip(one.redo_at, other.redo_at, strict=True))
        and one.minutes <= other.minutes
        and one.redo_money <= other.redo_money
        and set(one.once) <= set(other.once)
        and set(one.steps) <= set(other.steps)
        and set(one.finds) <= set(other.finds)
        and _needs_no_more(_amounts(one), _amounts(other))
        and (not one.purchases or one.purchases == other.purchases)
    )


def _amounts(course: Course) -> Mapping[str, int]:
    return {need.material: need.milli for need in course.needs}


def _needs_no_more(one: Mapping[str, int], other: Mapping[str, int]) -> bool:
    return all(milli <= other.get(material, 0) for material, milli in one.items())
