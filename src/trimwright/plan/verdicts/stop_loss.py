"""Stop-loss: how long a mend, a colour or a cover may take before its other option would have been the better one.

Minutes lost on the part come off the hours on hand and, where the sum pays for hours, off the sum. The most that may be
lost while some plan with the course still beats the best one without it, at the decided plan's z, is where to stop.
Where neither the hours nor the money know of lost time there is no such point, and none is told.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from math import floor
from time import monotonic

from trimwright.plan.quantities.cabin import Course, Quantities
from trimwright.plan.verdicts.again import moves
from trimwright.plan.verdicts.asking import WORKERS, Answered, Asking, Held, ask_all, time_for
from trimwright.plan.verdicts.model import offered
from trimwright.plan.verdicts.program import INF
from trimwright.plan.verdicts.rivals import NEARLY, best_without
from trimwright.plan.verdicts.search import Candidate
from trimwright.plan.verdicts.verdict import Verdicts

AT_RISK = frozenset({"mend", "refinish", "re-cover"})
"""Work that may grow under one's hands."""
TIMES_LONGER = 3.0
"""Each part takes two plans to be found, so all of them together have so many times what other questions have."""
RIVAL_SHARE = 0.5
"""Share of the time for a part that goes into the best plan without the course."""
LEAST_SECONDS = 0.2


@dataclass(frozen=True, slots=True)
class Stop:
    """Where to stop with one part. Minutes are hands-on."""

    part: str
    name: str
    course: Course
    other: Course
    """What the part has in the best plan without the course."""
    planned: int
    extra: int
    """Minutes that may be lost beyond those the plan counts on."""
    at: int
    """All minutes after which the other option is the better one."""
    proven: bool
    """Whether neither a better plan without the course nor a longer time could be found; else about."""


Stops = Mapping[str, Stop | None]
"""By part; None where lost time costs nothing, or nothing else fits. What is held, and what has no other option, is not
there."""


def stops(
    quantities: Quantities,
    verdicts: Verdicts,
    *,
    seconds: float | None = None,
    workers: int = WORKERS,
    answered: Answered | None = None,
) -> Stops:
    """Where to stop with each mend, colour and cover of the plan; `seconds` is shared out."""
    at_risk = [each.course for each in verdicts.verdicts if each.settled_by is None and each.course is not None]
    others = {part.part: len(offered(part)) for part in quantities.parts}
    at_risk = [each for each in at_risk if each.kind in AT_RISK and not each.held and others[each.part] > 1]
    if quantities.terms.minutes is None and not quantities.terms.labour_per_hour:
        return dict.fromkeys((each.part for each in at_risk), None)
    ends = monotonic() + (seconds or TIMES_LONGER * time_for(quantities))
    askers = [Asking(quantities, verdicts) for _ in range(workers)]
    left = len(at_risk)

    def ask(asker: Asking, course: Course) -> Stop | None:
        nonlocal left
        share, left = (ends - monotonic()) * workers / left, left - 1
        return stop_for(asker, course, max(LEAST_SECONDS, share))

    found = ask_all(askers, at_risk, ask, answered)
    return {course.part: stop for course, stop in zip(at_risk, found, strict=False)}


def stop_for(asker: Asking, course: Course, seconds: float) -> Stop | None:
    """The most minutes that may be lost on one course; None where no plan without it is found."""
    plan, terms = asker.plan, asker.quantities.terms
    rival = best_without(asker, course, seconds * RIVAL_SHARE)
    if rival is None:
        return None
    roomy = with_room(asker, course, plan.count.points - rival.count.points)
    start = max((plan, roomy), key=lambda each: minutes_to_lose(asker, each, rival))
    held = Held(take=(course,), points=rival.count.points, expected=rival.count.expected - 1)
    with time_open(asker):
        found = asker.least("extra", held, start.values, seconds=seconds * (1 - RIVAL_SHARE), gap=NEARLY)
    extra = minutes_to_lose(asker, start, rival)
    if found.status != "infeasible":
        extra = max(extra, minutes_to_lose(asker, asker.search.candidate(asker.z, found, None), rival))
    return Stop(
        part=course.part,
        name=next(part.name for part in asker.quantities.parts if part.part == course.part),
        course=course,
        other=rival.count.outcomes[course.part].course,
        planned=course.minutes,
        extra=extra,
        at=round(course.minutes * terms.hours_factor) + extra,
        proven=-found.bound < extra + 1 and rival.proven,
    )


def with_room(asker: Asking, course: Course, points: int) -> Candidate:
    """The decided plan, lesser courses taken elsewhere for fewer than so many points: those that save most time."""
    plan = asker.plan
    chosen = dict(plan.chosen)
    saving = (move for move in moves(asker, plan) if move.minutes > 0 and move.course.part != course.part)
    for move in sorted(saving, key=lambda move: move.lost / move.minutes):
        if chosen[move.course.part] is plan.chosen[move.course.part] and move.lost < points:
            chosen[move.course.part] = move.course
            points -= round(move.lost)
    return asker.bought_for(chosen.values())


@contextmanager
def time_open(asker: Asking) -> Iterator[None]:
    """The model with minutes to lose, dear where the sum pays for hours, and either way of beating the rival."""
    model, solver, terms = asker.search.model, asker.search.solver, asker.quantities.terms
    rate = terms.labour_per_hour / 60
    longest = min(float(terms.minutes or INF), terms.sum / rate if rate else INF)
    solver.bound_column(model.extra, 0.0, longest)
    solver.bound_column(model.beats, 0.0, 1.0)
    solver.coefficient(model.expected_row, model.extra, rate)
    try:
        yield
    finally:
        solver.coefficient(model.expected_row, model.extra, 0.0)
        for column in (model.extra, model.beats):
            solver.bound_column(column, 0.0, 0.0)


def minutes_to_lose(asker: Asking, plan: Candidate, rival: Candidate) -> int:
    """The most whole minutes that this very plan may lose, inside the sum and the hours, and still beat the rival.

    0 when it does not beat it, or is not inside the sum to begin with.
    """
    terms, count = asker.quantities.terms, plan.count
    rate = terms.labour_per_hour / 60
    left = terms.sum - asker.need(plan)
    if left < -NEARLY:
        return 0
    room = [INF if terms.minutes is None else terms.minutes - count.minutes]
    if rate:
        room.append(left / rate)
    if count.points < rival.count.points:
        return 0
    if count.points == rival.count.points:
        cheaper = rival.count.expected - 1 - count.expected
        room.append(cheaper / rate if rate else 0.0 if cheaper < 0 else INF)
    return max(0, floor(min(room) + NEARLY))
