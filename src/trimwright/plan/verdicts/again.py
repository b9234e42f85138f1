"""A decided plan decided again after something changed: from the plan as it was, and soon.

The old plan is tried first: its courses, bought for anew, at the reserve it needs now. Where it no longer fits, courses
give way one by one, those first that free the most money or time for the points they lose. From there the solver looks
for the most points, within a clock; what it has not proven by then is told with its gap.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from time import monotonic

from trimwright.plan.quantities.cabin import Course, Quantities
from trimwright.plan.verdicts.answer import verdicts_of
from trimwright.plan.verdicts.asking import Asking, Held, courses_of
from trimwright.plan.verdicts.decide import STEP, decide
from trimwright.plan.verdicts.model import HIGHEST_Z, offered
from trimwright.plan.verdicts.reserve import DRAWS
from trimwright.plan.verdicts.search import WHOLE_UNIT, Candidate
from trimwright.plan.verdicts.verdict import Short, Status, Verdicts

SOON = 0.25
"""Seconds within which the solver looks for more points, where nobody says how long."""
ENOUGH = 1.25
"""Courses give way until about so many times what is lacking is freed: packs and carriage are not counted exactly."""
MOST_ROUNDS = 8
"""Rounds in which courses give way; each buys packs anew."""
MOST_TRIES = 4
"""Plans tried, each at a higher z, until one is sure enough."""


def decide_again(
    quantities: Quantities, before: Verdicts, *, seconds: float = SOON, draws: int = DRAWS, seed: int = 1
) -> Verdicts:
    """The best plan after a change, found from the verdicts `before` it.

    `seconds` bounds the look for more points. What is short, or can't be found this way, is decided from scratch.
    """
    started = monotonic()
    if not all_there(quantities, before):
        return decide(quantities, draws=draws, seed=seed)
    asker = Asking(quantities, before, draws=draws, seed=seed)
    best = sure_plan(asker, seconds)
    if best is None:
        return decide(quantities, draws=draws, seed=seed)
    short = Short(0, 0, quantities.broken) if quantities.broken else None
    status: Status = "short" if short else "optimal" if best.proven else "feasible"
    return verdicts_of(asker.search, best, status, short, monotonic() - started)


def stand(quantities: Quantities, before: Verdicts, *, draws: int = DRAWS, seed: int = 1) -> Verdicts:
    """The verdicts of `before` as they stand after a change, whatever they cost now; every old course must be there.

    Where they are no longer as sure as asked they are short, by what the sum would have to be higher.
    """
    started = monotonic()
    asker = Asking(quantities, before, draws=draws, seed=seed)
    terms = quantities.terms
    late = 0 if terms.minutes is None else max(0, asker.plan.count.minutes - terms.minutes)
    over = max(0, asker.plan.odds.quantile - terms.sum)
    short = Short(over, late, quantities.broken) if over or late or quantities.broken else None
    return verdicts_of(asker.search, asker.plan, "short" if short else "feasible", short, monotonic() - started)


def all_there(quantities: Quantities, before: Verdicts) -> bool:
    """Whether every course the verdicts take can still be taken."""
    offered_now = {(part.part, course.id) for part in quantities.parts for course in offered(part)}
    return offered_now.issuperset((each.part, each.id) for each in courses_of(before))


def sure_plan(asker: Asking, seconds: float) -> Candidate | None:
    """The plan with most points that is sure enough at the z it needs; None when none is found."""
    sure = asker.quantities.terms.sure
    z = asker.plan.needed_z
    for _ in range(MOST_TRIES):
        asker.move_to(min(HIGHEST_Z, max(0.0, z)))
        fitting = fitted(asker)
        if fitting is None:
            return None
        found = asker.most_points(Held(points=fitting.count.points), fitting.values, seconds=seconds, gap=WHOLE_UNIT)
        best = cheapest_form(asker, found or fitting)
        if best.odds.sure_enough(sure):
            return best
        z = max(best.needed_z, asker.z * (1 + STEP))
    return None


def cheapest_form(asker: Asking, plan: Candidate) -> Candidate:
    """The same points for less money, as far as a plan near it has them."""
    near, _ = asker.near("expected", Held(points=plan.count.points), plan.values)
    if near is None or near.count.expected >= plan.count.expected or near.count.lacking:
        return plan
    return replace(near, bound=plan.bound, proven=plan.proven)


# ---- what gives way --------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Move:
    """A part takes another course: points lost, money and time freed [minor, min]; packs and carriage only about."""

    course: Course
    lost: float
    money: float
    minutes: float


def fitted(asker: Asking) -> Candidate | None:
    """The old plan, with as many courses changed for lesser ones as it takes to fit; None when that is not enough."""
    plan, terms = asker.plan, asker.quantities.terms
    chosen = dict(plan.chosen)
    for _ in range(MOST_ROUNDS):
        over = max(0.0, asker.need(plan) - terms.sum)
        late = 0 if terms.minutes is None else max(0, plan.count.minutes - terms.minutes)
        if not over and not late:
            return plan
        gained = 0.0
        for relief, move in by_worth(moves(asker, plan), over, late):
            if gained >= ENOUGH or chosen[move.course.part] is not plan.chosen[move.course.part]:
                continue
            chosen[move.course.part] = move.course
            gained += relief
        if not gained:
            return None
        plan = asker.bought_for(chosen.values())
        chosen = dict(plan.chosen)
    return None


def by_worth(found: Iterator[Move], over: float, late: float) -> list[tuple[float, Move]]:
    """The moves with the share they free of what is over and late; least points lost for it first."""
    rated = []
    for move in found:
        lacking = [(freed, wanted) for freed, wanted in ((move.money, over), (move.minutes, late)) if wanted]
        relief = sum(min(1.0, freed / wanted) for freed, wanted in lacking) / len(lacking)
        if relief > 0:
            rated.append((relief, move))
    return sorted(rated, key=lambda rate: rate[1].lost / rate[0])


def moves(asker: Asking, plan: Candidate) -> Iterator[Move]:
    """Every lighter course of every part, at the support the part has in the plan: none that asks for more money or
    more time, none that settles other parts, none that lets down what lies on it."""
    model, parts = asker.search.model, asker.quantities.parts
    root = max(1.0, asker.spread(plan))
    supports = {support for part in parts for support in part.rests_on}
    for part, course in plan.chosen.items():
        level = plan.count.outcomes[part].level
        reached = [each for each in model.choices[part] if each.level >= level]
        now = next((each for each in reached if each.course.id == course.id), None)
        if now is None or course.settles:
            continue
        for each in reached:
            move = Move(
                each.course,
                lost=model.figures.points[now.column] - model.figures.points[each.column],
                money=asks(asker, root, now.column, course) - asks(asker, root, each.column, each.course),
                minutes=model.figures.minutes[now.column] - model.figures.minutes[each.column],
            )
            lets_down = part in supports and each.course.bears < course.bears
            if not each.course.settles and not lets_down and min(move.money, move.minutes) >= 0:
                yield move


def asks(asker: Asking, root: float, column: int, course: Course) -> float:
    """About what a course asks of the sum [minor]: its money, its share of the reserve, its materials by the amount.

    `root` is the √V of the plan it stands in.
    """
    figures, materials = asker.search.model.figures, asker.quantities.materials
    reserve = asker.z * (figures.swing[column] + figures.variance[column] / (2 * root))
    packs = sum(
        need.milli * min(pack.price / pack.size_milli for pack in materials[need.material].packs)
        for need in course.needs
    )
    return figures.expected[column] + reserve + packs
