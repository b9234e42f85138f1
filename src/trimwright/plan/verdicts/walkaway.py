"""Most to pay: for each part that could be bought, the price up to which buying it makes the better plan.

Forced into the plan at a price of p, with everything that goes with it (the time to find it, what comes with fitting
it, the chance that it must be done again and loses part of its price), the part still has to leave a plan that beats
the best one without it: more points inside the sum, or as many for less. The largest such p, at the decided plan's z,
is the most to pay. Prices are whole minor units at the door, delivery inside.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from math import floor
from time import monotonic

from trimwright.plan.quantities.cabin import Course, Quantities, Spread
from trimwright.plan.verdicts import charges
from trimwright.plan.verdicts.asking import WORKERS, Answered, Asking, Held, ask_all, time_for
from trimwright.plan.verdicts.model import offered
from trimwright.plan.verdicts.program import INF
from trimwright.plan.verdicts.recount import recount
from trimwright.plan.verdicts.reserve import spread_of
from trimwright.plan.verdicts.rivals import NEARLY, best_without
from trimwright.plan.verdicts.search import WHOLE_UNIT, Candidate
from trimwright.plan.verdicts.verdict import Verdicts

RIVAL_SECONDS = 1.5
"""Time at least for the best plan without a part that is in the plan."""
PAIR_SECONDS = 3.0
"""Time for the price of both of a pair."""
GLANCE = 0.27
"""Seconds that a glance takes, and the start of every closer look."""


@dataclass(frozen=True, slots=True)
class Sought:
    """A part that could be bought: the course it would take."""

    part: str
    name: str
    course: Course
    source: str
    price: Spread
    """What is known or guessed of its price [minor]."""


Lot = tuple[Sought, ...]
"""What is bought together: one part, or both of a pair."""


@dataclass(frozen=True, slots=True)
class Rival:
    """What buying has to beat: the points and the expected money of the best plan without it."""

    points: int
    expected: int


@dataclass(frozen=True, slots=True)
class WalkAway:
    """The answer for one part and one way to buy it. Money in minor units."""

    sought: Sought
    rival: Rival
    most: int
    """The most to pay; 0 when it is not worth having even as a gift."""
    at_most: int
    """No more than this could be right; equal to `most` where it is proven."""
    in_plan: bool
    look: float
    """What one more look for it costs the sum [minor]."""

    @property
    def jump_at(self) -> int:
        """Take it at once at this price or less: looking further would cost more than it is likely to save."""
        return min(self.most, price_to_jump_at(self.sought.price, self.look))

    @property
    def proven(self) -> bool:
        """Whether no price above `most` could be right."""
        return self.at_most <= self.most


NO_RIVAL = Rival(-(10**9), 0)


def walk_away(
    quantities: Quantities,
    verdicts: Verdicts,
    *,
    parts: Iterable[str] | None = None,
    seconds: float | None = None,
    workers: int = WORKERS,
    answered: Answered | None = None,
) -> tuple[WalkAway, ...]:
    """The most to pay for every part that could be bought, or for those of `parts`, in the order of the survey.

    `seconds` is shared out; what is not proven by then says how high the price could be at most.
    """
    ends = monotonic() + (seconds or time_for(quantities))
    askers = [Asking(quantities, verdicts) for _ in range(workers)]
    wanted = sought(quantities, parts)
    bought = {course.part for course in askers[0].plan.chosen.values() if course.purchases}
    dear_first = sorted(wanted, key=lambda each: each.part not in bought)  # whose rival has to be found
    left = len(wanted)

    def ask(asker: Asking, each: Sought) -> WalkAway:
        nonlocal left
        share, left = (ends - monotonic()) * workers / left - GLANCE, left - 1
        look = unlooked(asker, each, share)
        return closely(asker, look, share) if share > 0 else at_a_glance(asker, look)

    found = {id(look.sought): look for look in ask_all(askers, dear_first, ask, answered)}
    return tuple(found[id(each)] for each in wanted if id(each) in found)


def sought(quantities: Quantities, parts: Iterable[str] | None = None) -> list[Sought]:
    """Every course that buys the part itself and competes with another; what costs the sum nothing is not sought."""
    wanted = None if parts is None else set(parts)
    return [
        Sought(part.part, part.name, course, bought.source, bought.price)
        for part in quantities.parts
        if wanted is None or part.part in wanted
        for course in offered(part)
        if len(offered(part)) > 1
        for bought in course.purchases
        if bought.source != "service" and bought.price.high > 0
    ]


def unlooked(asker: Asking, each: Sought, seconds: float) -> WalkAway:
    """What is known before any look: what has to be beaten, and what the plan itself could pay if it buys the part."""
    in_plan = asker.plan.chosen.get(each.part) is each.course
    rival = rival_without(asker, each.course, seconds) if in_plan else rival_of(asker.plan)
    most = highest_price(asker, (each,), asker.plan, rival) if in_plan else 0
    return WalkAway(each, rival, most, asker.quantities.terms.sum, in_plan, hunting_cost(asker.quantities))


def at_a_glance(asker: Asking, look: WalkAway) -> WalkAway:
    """The price that a plan near the decided one could pay, and the bound of the relaxed model."""
    each, most = look.sought, look.most
    with price_open(asker, (each,), most):
        near, bound = asker.near("paid", held_for((each,), look.rival), asker.plan.values)
    if near is not None:
        most = max(most, highest_price(asker, (each,), near, look.rival))
    return replace(look, most=most, at_most=max(most, min(look.at_most, ceiling(asker, look.most, bound))))


def closely(asker: Asking, look: WalkAway, seconds: float) -> WalkAway:
    """The price proven, or as close as `seconds` bring it."""
    most, at_most = reached(asker, (look.sought,), look.rival, (look.most, look.at_most), seconds)
    return replace(look, most=most, at_most=at_most)


def reached(asker: Asking, lot: Lot, rival: Rival, known: tuple[int, int], seconds: float) -> tuple[int, int]:
    """The price that can be paid for a lot, and what no plan could pay more than; from what is `known` of both.

    What the reserve holds for the parts moves with their price, so the price is found in rounds: whether any plan could
    pay one more than the price reached so far, and how much that plan could pay.
    """
    ends, start = monotonic() + seconds, asker.plan.values
    most, at_most = known
    while most < at_most and (left := ends - monotonic()) > 0:
        with price_open(asker, lot, most + 1):
            found = asker.least("paid", held_for(lot, rival), start, seconds=left)
        at_most = max(most, min(at_most, ceiling(asker, most + 1, found.bound)))
        if found.status == "infeasible":
            break
        most = max(most, highest_price(asker, lot, asker.search.candidate(asker.z, found, None), rival))
        start = found.values
    return most, max(most, at_most)


def held_for(lot: Lot, rival: Rival) -> Held:
    """The lot in the plan, and the rival beaten."""
    return Held(take=tuple(each.course for each in lot), points=rival.points, expected=rival.expected - 1)


def ceiling(asker: Asking, price: int, bound: float) -> int:
    """No price above this, when no plan could pay more than `price` and the bound's negative; under it without any."""
    if bound == INF:
        return price - 1
    return floor(price + min(-bound, float(asker.quantities.terms.sum)) + NEARLY)


def rival_of(plan: Candidate) -> Rival:
    """What a decided plan asks of a better one."""
    return Rival(plan.count.points, plan.count.expected)


def rival_without(asker: Asking, course: Course, seconds: float) -> Rival:
    """The best plan that does without the course, or more than that where it is not proven; anything beats none."""
    best = best_without(asker, course, max(seconds, RIVAL_SECONDS))
    if best is None:
        return NO_RIVAL
    return rival_of(best) if best.proven else Rival(max(best.count.points, floor(best.bound)), 0)


@contextmanager
def price_open(asker: Asking, lot: Lot, price: int) -> Iterator[None]:
    """The model with the lot at `price`, what could be paid on top left open, and either way of beating the rival."""
    model, solver = asker.search.model, asker.search.solver
    dearer = 1 + min(charges.redo_odds(redo) * each.course.redo_share for each in lot for redo in each.course.redo_at)

    def put(each: Sought, course: Course) -> None:
        for choice in model.choices[each.part]:
            if choice.course is each.course:
                figures = model.figures_of(model.parts[each.part], course, choice.level)
                solver.coefficient(model.money_row, choice.column, figures["expected"])
                solver.coefficient(model.expected_row, choice.column, figures["expected"])
                solver.coefficient(model.variance_row, choice.column, figures["variance"] / model.variance_unit)

    def weigh(paid: float) -> None:
        solver.coefficient(model.money_row, model.paid, paid)
        solver.coefficient(model.expected_row, model.paid, paid)

    for each, course in at_price(lot, price):
        put(each, course)
    weigh(dearer)
    solver.bound_column(model.paid, 0.0, float(asker.quantities.terms.sum))
    solver.bound_column(model.beats, 0.0, 1.0)
    try:
        yield
    finally:
        for each in lot:
            put(each, each.course)
        weigh(1.0)
        for column in (model.paid, model.beats):
            solver.bound_column(column, 0.0, 0.0)


def at_price(lot: Lot, price: int) -> Iterator[tuple[Sought, Course]]:
    """The courses with the lot at exactly this price, shared out by what each part usually costs."""
    usual, left = sum(each.price.mean for each in lot), price
    for number, each in enumerate(lot):
        own = left if number == len(lot) - 1 else round(price * each.price.mean / usual)
        left -= own
        course = each.course
        purchases = tuple(
            replace(bought, price=Spread(own, own, own)) if bought.source == each.source else bought
            for bought in course.purchases
        )
        lost = course.redo_share * (own - each.price.mean)
        yield each, replace(course, purchases=purchases, redo_money=round(course.redo_money + lost))


def highest_price(asker: Asking, lot: Lot, plan: Candidate, rival: Rival) -> int:
    """The largest price at which this very plan beats the rival."""
    low, high = 0, asker.quantities.terms.sum + 1
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if beats(asker, lot, plan, rival, middle) else (low, middle)
    return low


def beats(asker: Asking, lot: Lot, plan: Candidate, rival: Rival, price: int) -> bool:
    """Whether the plan with the lot at `price` keeps inside the sum and has more points, or as many for less."""
    quantities = asker.quantities
    priced = {each.part: course for each, course in at_price(lot, price)}
    count = recount(quantities, {**plan.chosen, **priced}, plan.packs)
    need = count.expected + asker.z * spread_of(quantities, count, plan.packs)
    better = count.points > rival.points or (count.points == rival.points and count.expected < rival.expected)
    return better and need <= quantities.terms.sum + NEARLY


# ---- both of a pair ------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class PairWorth:
    """Two parts of a matching set bought together, from one donor. Money in minor units, for both."""

    one: WalkAway
    other: WalkAway
    most: int
    at_most: int


def pairs_worth(
    quantities: Quantities, verdicts: Verdicts, looks: Sequence[WalkAway], *, seconds: float = PAIR_SECONDS
) -> tuple[PairWorth, ...]:
    """The most to pay for both of each pair that could be bought the same way.

    Two prices that stand alone don't add up: what the first takes of the sum, the second cannot have.
    """
    found = pairs(quantities, looks)
    askers = [Asking(quantities, verdicts) for _ in range(WORKERS)] if found else []

    def ask(asker: Asking, pair: tuple[WalkAway, WalkAway]) -> PairWorth:
        lot = tuple(look.sought for look in pair)
        in_plan = any(look.in_plan for look in pair)
        rival = rival_without_both(asker, lot, seconds) if in_plan else rival_of(asker.plan)
        most = highest_price(asker, lot, asker.plan, rival) if all(look.in_plan for look in pair) else 0
        return PairWorth(*pair, *reached(asker, lot, rival, (most, asker.quantities.terms.sum), seconds))

    return tuple(ask_all(askers, found, ask)) if found else ()


def rival_without_both(asker: Asking, lot: Lot, seconds: float) -> Rival:
    """The best plan that does without either, or more than that where it is not proven."""
    held = Held(ban=tuple(each.course for each in lot))
    best = asker.most_points(held, asker.plan.values, seconds=seconds, gap=WHOLE_UNIT)
    if best is None:
        return NO_RIVAL
    held = replace(held, points=best.count.points)
    least = asker.least("expected", held, best.values, seconds=seconds)
    if not best.proven or least.status != "optimal":
        return Rival(max(best.count.points, floor(best.bound)), 0)
    return rival_of(asker.search.candidate(asker.z, least, None))


def pairs(quantities: Quantities, looks: Sequence[WalkAway]) -> list[tuple[WalkAway, WalkAway]]:
    """Looks at two parts of one matching set that are worth having the same way from the same kind of seller."""
    sets = [frozenset(each.parts) for each in quantities.sets]
    return [
        (one, other)
        for number, one in enumerate(looks)
        for other in looks[number + 1 :]
        if one.sought.part != other.sought.part
        and one.sought.course.id == other.sought.course.id
        and one.sought.name.rpartition(", ")[0] == other.sought.name.rpartition(", ")[0]
        and any({one.sought.part, other.sought.part} <= each for each in sets)
        and (one.most or other.most)
    ]


# ---- when to stop looking ------------------------------------------------------------------------------------------


def hunting_cost(quantities: Quantities) -> float:
    """What one more look for a part costs the sum [minor]: the time of a hunt, where the sum pays for hours."""
    return float(charges.labour(quantities.terms, quantities.terms.hunt_minutes, quantities.terms.hours_factor))


def price_to_jump_at(price: Spread, look: float) -> int:
    """The price at which to stop looking: one more look, at a cost of `look`, would save no more than it costs.

    The reservation price r of search with recall, E[(r − X)⁺] = look, for a triangular price X (McCall 1970; Weitzman
    1979). Where a look costs the sum nothing it is worth waiting for the lowest price.

    >>> price_to_jump_at(Spread(1000, 2000, 3000), 0.0), price_to_jump_at(Spread(1000, 2000, 3000), 500.0)
    (1000, 2476)
    """
    low, high = price.low, price.high
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (low, middle) if saving_under(price, middle) > look else (middle, high)
    return round(low)


def saving_under(price: Spread, limit: float) -> float:
    """E[(limit − X)⁺] for a triangular X between the price's low and high [minor]."""
    a, m, b = price.low, price.likely, price.high
    if limit <= a:
        return 0.0
    if limit >= b:
        return limit - price.mean
    if limit <= m:
        return (limit - a) ** 3 / (3 * (b - a) * (m - a))
    return limit - price.mean + (b - limit) ** 3 / (3 * (b - a) * (b - m))
