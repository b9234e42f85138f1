"""The rival of a course: the best plan that does without it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from time import monotonic

from trimwright.plan.quantities.cabin import Course
from trimwright.plan.verdicts.asking import Asking, Held
from trimwright.plan.verdicts.model import offered
from trimwright.plan.verdicts.search import WHOLE_UNIT, Candidate

POINTS_SHARE = 0.7
"""Of the time, what goes into its points; the rest into its money."""
LEAST_SECONDS = 0.2
"""Time for a solve, however little there is."""
NEARLY = 1e-6


def best_without(asker: Asking, course: Course, seconds: float) -> Candidate | None:
    """The best plan that does without the course; None when none is found.

    The look goes out from the decided plan with another course in its place, the best that fits.
    """
    ends = monotonic() + seconds
    swaps = [each for each in swapped(asker, course) if fits(asker, each)]
    start = max(swaps, key=worth, default=None)
    held = Held(ban=(course,), points=start.count.points if start else None)
    left = (ends - monotonic()) * POINTS_SHARE
    best = asker.most_points(held, (start or asker.plan).values, seconds=max(LEAST_SECONDS, left), gap=WHOLE_UNIT)
    found = max((each for each in (start, best) if each is not None), key=worth, default=None)
    if found is None:
        return None
    held, left = Held(ban=(course,), points=found.count.points), ends - monotonic()
    least = asker.least("expected", held, found.values, seconds=max(LEAST_SECONDS, left))
    if least.status != "infeasible":
        found = max(found, asker.search.candidate(asker.z, least, None), key=worth)
    proven = best is not None and best.proven and least.status == "optimal"
    return replace(found, proven=proven)


def swapped(asker: Asking, course: Course) -> Iterator[Candidate]:
    """The decided plan with each other course in the place of this one, everything else as it is."""
    part = next(each for each in asker.quantities.parts if each.part == course.part)
    settled = {child for child, outcome in asker.plan.count.outcomes.items() if outcome.settled_by == course.part}
    for other in offered(part):
        if other is not course and other.settles.keys() == settled:
            yield asker.bought_for({**asker.plan.chosen, course.part: other}.values())


def fits(asker: Asking, plan: Candidate) -> bool:
    """Whether a plan keeps inside the sum and the hours."""
    terms = asker.quantities.terms
    in_hours = terms.minutes is None or plan.count.minutes <= terms.minutes
    return in_hours and asker.need(plan) <= terms.sum + NEARLY


def worth(plan: Candidate) -> tuple[int, int]:
    """What makes one plan better than another: more points, then less money."""
    return plan.count.points, -plan.count.expected
