"""What more money buys, and more hours: the plans with most points at limits from the least that must be paid to
where nothing more can be had; each stair is the verdicts that change.

A stair's sum is the least that makes its plan sure enough: what the model wants at the decided plan's z, or what the
simulation wants where that is more. Only plans that beat all cheaper ones are stairs. Round the decided plan two are
looked for closely: "first out" is what falls first under it, "next in" what comes first over it. Every stair says by
how much the best plan at its limit could still be better.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from math import ceil
from time import monotonic
from typing import Literal

from trimwright.plan.quantities.cabin import Quantities
from trimwright.plan.verdicts.asking import WORKERS, Answered, Asking, Held, ask_all, time_for
from trimwright.plan.verdicts.program import INF
from trimwright.plan.verdicts.recount import leaving
from trimwright.plan.verdicts.search import WHOLE_UNIT, Candidate
from trimwright.plan.verdicts.verdict import Verdicts

Limit = Literal["money", "hours"]

LIMITS = 30
"""Limits asked for between the lowest stair and the highest."""
CLOSELY = 0.25
"""Share of the time for the two stairs round the plan."""
IN_TIME = 0.95
"""Share of the time that is planned with: the last solves end a little late."""
APART = 1.01
"""A limit closer to the decided plan's than this is not asked for: the closer look is."""
GAP = 0.005
"""A stair need not be closer to the best than this share of the points gained."""


@dataclass(frozen=True, slots=True)
class Change:
    """One verdict that differs: ids and names of the courses; `before` and `after` are finishes."""

    part: str
    name: str
    from_course: str
    to_course: str
    from_name: str
    to_name: str
    before: int
    after: int


@dataclass(frozen=True, slots=True)
class Stair:
    """One plan on the way up; money in minor units, `gap` a share of the points gained."""

    sum: int
    """The least sum that makes it sure enough."""
    modelled: int
    """The sum that the model wants for it, at the decided plan's z."""
    expected: int
    minutes: int
    finish: int
    points: int
    gap: float
    changes: tuple[Change, ...]
    """From the stair before it."""


@dataclass(frozen=True)
class Staircase:
    """The stairs, lowest first; `stairs[here]` is the decided plan. Money in minor units."""

    of: Limit
    stairs: tuple[Stair, ...]
    here: int
    first_out: Stair | None
    """The best plan under it, its changes told from the decided plan; None where nothing less is possible."""
    next_in: Stair | None
    """The cheapest plan with more points, its changes told from the decided plan; None where there is none."""
    seconds: float


@dataclass(frozen=True, slots=True)
class Run:
    """Limits to climb through, from a plan that fits under the first of them."""

    start: Candidate
    limits: tuple[float, ...]
    ends: float


def climb(
    quantities: Quantities,
    verdicts: Verdicts,
    *,
    of: Limit = "money",
    seconds: float | None = None,
    workers: int = WORKERS,
    answered: Answered | None = None,
) -> Staircase:
    """The staircase through the decided plan: sums against points at the job's hours, or hours at the job's sum.

    `seconds` is shared out among the stairs; by default what a cabin of this size is given.
    """
    started = monotonic()
    seconds = (seconds or time_for(quantities)) * IN_TIME
    askers = [Asking(quantities, verdicts) for _ in range(workers)]
    plan = askers[0].plan
    lowest, highest = ends_of(askers[0], of, seconds * CLOSELY)
    limits = between(*(used(askers[0], of, each) for each in (lowest, plan, highest)))
    ends = started + seconds * (1 - CLOSELY)
    runs = [Run(lowest, limits[0], ends), Run(plan, limits[1], ends)]
    climbed = ask_all(askers, runs, lambda asker, run: run_up(asker, of, run), answered)
    looks = (just_under, just_over)
    closely = ask_all(askers, looks, lambda asker, look: look(asker, of, max(1.0, started + seconds - monotonic())))
    found = [lowest, *(each for run in climbed for each in run), *(each for each in closely if each), highest]
    return staircase_of(of, quantities, askers[0], found, monotonic() - started)


# ---- plans on the way up ---------------------------------------------------------------------------------------


def used(asker: Asking, of: Limit, plan: Candidate) -> float:
    """How much of the limit a plan wants: the sum [minor] or the minutes."""
    return max(asker.need(plan), plan.odds.quantile) if of == "money" else float(plan.count.minutes)


def under(of: Limit, limit: float, points: int | None = None) -> Held:
    """The other limit stays the job's own."""
    return Held(money=limit, points=points) if of == "money" else Held(minutes=limit, points=points)


def ends_of(asker: Asking, of: Limit, seconds: float) -> tuple[Candidate, Candidate]:
    """What must be paid and the best for no more; and the most points of all."""
    what = "money" if of == "money" else "minutes"
    least = asker.least(what, under(of, INF), asker.plan.values, seconds=seconds, gap=used(asker, of, asker.plan) * GAP)
    lowest = asker.plan if least.status == "infeasible" else unbounded(asker.search.candidate(asker.z, least, None))
    limit = asker.need(lowest) if of == "money" else used(asker, of, lowest)
    lowest = asker.most_points(under(of, limit), lowest.values, seconds=seconds, gap=slack(asker)) or lowest
    highest = asker.most_points(under(of, INF), asker.plan.values, seconds=seconds, gap=slack(asker))
    return lowest, highest or asker.plan


def between(low: float, here: float, high: float) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Limits in equal ratios from `low` up to `here`, and from `here` up to `high`.

    >>> [[round(limit) for limit in limits[:2]] for limits in between(1000, 4000, 16_000)]
    [[1097, 1203], [4387, 4812]]
    """
    low = max(low, here / 20, 1.0)
    ratio = (max(high, low) / low) ** (1 / LIMITS)
    limits = [low * ratio**step for step in range(1, LIMITS)]
    return tuple(each for each in limits if each * APART < here), tuple(each for each in limits if here * APART < each)


def slack(asker: Asking) -> float:
    """Points within which a stair is close enough."""
    return max(WHOLE_UNIT, GAP * (asker.plan.count.points - leaving(asker.quantities)))


def run_up(asker: Asking, of: Limit, run: Run) -> list[Candidate]:
    """The best plan found at each limit, each look starting from the plan before."""
    found: list[Candidate] = []
    best = run.start
    for number, limit in enumerate(run.limits):
        seconds = (run.ends - monotonic()) / (len(run.limits) - number)
        plan = asker.most_points(under(of, limit), best.values, seconds=max(0.1, seconds), gap=slack(asker))
        if plan is not None:
            found.append(cheapest_form(asker, of, plan))
            best = plan
    return found


def cheapest_form(asker: Asking, of: Limit, plan: Candidate) -> Candidate:
    """The same courses with packs bought for the least money: what was over at the limit is no part of the stair."""
    if of == "hours":
        return plan
    return replace(asker.bought_for(plan.chosen.values()), bound=plan.bound)


def unbounded(plan: Candidate) -> Candidate:
    """A plan that was not looked for by its points: others may have more for as much."""
    return replace(plan, bound=INF)


def just_under(asker: Asking, of: Limit, seconds: float) -> Candidate | None:
    """The best plan with less of the limit than the decided one wants."""
    limit = (asker.need(asker.plan) if of == "money" else used(asker, of, asker.plan)) - 1
    return asker.most_points(under(of, limit), asker.plan.values, seconds=seconds, gap=WHOLE_UNIT)


def just_over(asker: Asking, of: Limit, seconds: float) -> Candidate | None:
    """The plan with more points that wants least of the limit."""
    what = "money" if of == "money" else "minutes"
    held = under(of, INF, points=asker.plan.count.points + 1)
    found = asker.least(what, held, asker.plan.values, seconds=seconds)
    return None if found.status == "infeasible" else unbounded(asker.search.candidate(asker.z, found, None))


# ---- the stairs ------------------------------------------------------------------------------------------------


def staircase_of(
    of: Limit, quantities: Quantities, asker: Asking, found: Iterable[Candidate], seconds: float
) -> Staircase:
    """The plans that beat all cheaper ones, as stairs. A bound found higher up holds lower down too."""
    plan = asker.plan
    rising: list[Candidate] = []
    for each in sorted([*found, plan], key=lambda each: (used(asker, of, each), -each.count.points)):
        if each is plan or beats(each, rising, plan):
            rising.append(each)
    bound = float(most_of_all(quantities))
    gained = max(1, plan.count.points - leaving(quantities))
    gaps: list[float] = []
    for each in reversed(rising):
        bound = max(min(bound, each.bound), each.count.points)
        gaps.insert(0, (bound - each.count.points) / gained)

    def stair(number: int, below: Candidate) -> Stair:
        return stair_of(quantities, asker, rising[number], below, gaps[number])

    here = rising.index(plan)
    return Staircase(
        of=of,
        stairs=tuple(stair(number, rising[max(0, number - 1)]) for number in range(len(rising))),
        here=here,
        first_out=stair(here - 1, plan) if here else None,
        next_in=stair(here + 1, plan) if here + 1 < len(rising) else None,
        seconds=round(seconds, 3),
    )


def most_of_all(quantities: Quantities) -> int:
    """No plan has more points: the best course of every part, nothing paid for."""
    return sum(max(0, *(max(course.points_at) for course in part.courses)) for part in quantities.parts)


def beats(each: Candidate, rising: Sequence[Candidate], plan: Candidate) -> bool:
    """Whether a plan has more points than every cheaper one, and is not beaten by the decided plan further up."""
    return (not rising or each.count.points > rising[-1].count.points) and (
        plan in rising or each.count.points < plan.count.points
    )


def stair_of(quantities: Quantities, asker: Asking, plan: Candidate, below: Candidate, gap: float) -> Stair:
    """One plan as a stair."""
    return Stair(
        sum=ceil(used(asker, "money", plan) - 1e-6),
        modelled=ceil(asker.need(plan) - 1e-6),
        expected=plan.count.expected,
        minutes=plan.count.minutes,
        finish=plan.count.finish_after,
        points=plan.count.points,
        gap=gap,
        changes=tuple(changes_between(quantities, below, plan)),
    )


def changes_between(quantities: Quantities, before: Candidate, after: Candidate) -> Iterable[Change]:
    """The verdicts that differ; a part that goes with its whole is told by the whole."""
    for part in quantities.parts:
        old, new = before.count.outcomes[part.part], after.count.outcomes[part.part]
        if old.course.id != new.course.id and new.settled_by is None:
            yield Change(
                part=part.part,
                name=part.name,
                from_course=old.course.id,
                to_course=new.course.id,
                from_name=old.course.name,
                to_name=new.course.name,
                before=old.finish,
                after=new.finish,
            )
