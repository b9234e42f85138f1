"""The independent check: money, minutes, points and finish counted again from the plan alone, without the solver.

It walks the chosen courses and the packs bought, opens what must be opened, and adds up. Nothing of the model is
used, so a slip in the model shows as a difference.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from trimwright.plan.quantities.cabin import LEAVE, Course, MatchedSet, Need, PackOffer, PartOptions, Quantities
from trimwright.plan.verdicts import charges
from trimwright.plan.verdicts.verdict import GivenUp

Packs = Mapping[tuple[str, str], int]


@dataclass(frozen=True, slots=True)
class Outcome:
    """What became of one part: the course that decided it, the level of support it got, its finish."""

    course: Course
    settled_by: str | None
    level: int
    finish: int


@dataclass(frozen=True)
class Count:
    """The plan, counted."""

    outcomes: Mapping[str, Outcome]
    firm: int
    expected: int
    minutes: int
    points: int
    finish_before: int
    finish_after: int
    steps: tuple[str, ...]
    shared: tuple[str, ...]
    hidden: tuple[str, ...]
    used_milli: Mapping[str, int]
    carriage: Mapping[str, int]
    """Carriage and small-order money by supplier asked."""
    sundries: int
    given_up: tuple[GivenUp, ...]
    lacking: tuple[str, ...]
    """Materials of which too little is bought; empty for a sound plan."""


def recount(quantities: Quantities, chosen: Mapping[str, Course], packs: Packs) -> Count:
    """Count the plan that takes `chosen` (part → course, settled children left out) and buys `packs`."""
    terms = quantities.terms
    outcomes = outcomes_of(quantities, chosen)
    own = {part: outcome for part, outcome in outcomes.items() if outcome.settled_by is None}
    steps = opened_steps(quantities, own.values())
    shared = _in_order(quantities.shared, {item for outcome in own.values() for item in outcome.course.once})
    hidden = uncovered(quantities, own.values(), steps)
    used = used_amounts(quantities, own.values(), steps, shared)
    carriage = carriage_paid(quantities, own.values(), packs)

    goods = sum(pack_offer(quantities, pack).price * count for pack, count in packs.items())
    goods_and_sundries = sum(
        charges.with_sundries(terms, pack_offer(quantities, pack).price) * count for pack, count in packs.items()
    )
    hands_on = hands_on_minutes(quantities, outcomes, steps, shared)
    certain = (
        goods_and_sundries
        + sum(carriage.values())
        + sum(charges.purchases_mean(outcome.course) for outcome in own.values())
        + sum(quantities.shared[item].money for item in shared)
        + sum(line.money for line in quantities.lines)
        + quantities.spent.total
    )
    odds = {part: charges.redo_odds(outcome.course.redo_at[outcome.level]) for part, outcome in own.items()}
    redo = sum(round(odds[part] * charges.redo_cost(terms, outcome.course)) for part, outcome in own.items())
    found = sum(
        round(quantities.hidden[each].chance * charges.find_cost(terms, quantities.hidden[each])) for each in hidden
    )
    minutes = (
        quantities.spent.minutes
        + sum(charges.planned_minutes(terms, each) for each in hands_on)
        + sum(charges.planned_minutes(terms, odds[part] * outcome.course.minutes) for part, outcome in own.items())
        + sum(
            charges.planned_minutes(terms, quantities.hidden[each].chance * quantities.hidden[each].minutes.mean)
            for each in hidden
        )
    )
    given_up = tuple(_given_up(quantities, outcomes))
    return Count(
        outcomes=outcomes,
        firm=certain + sum(charges.labour(terms, each) for each in hands_on),
        expected=certain + sum(charges.labour(terms, each, terms.hours_factor) for each in hands_on) + redo + found,
        minutes=minutes,
        points=sum(outcome.course.points_at[outcome.level] for outcome in own.values())
        - sum(each.points for each in given_up),
        finish_before=cabin_finish(quantities.parts, {part.part: part.finish_now for part in quantities.parts}),
        finish_after=cabin_finish(quantities.parts, {part: outcome.finish for part, outcome in outcomes.items()}),
        steps=steps,
        shared=shared,
        hidden=hidden,
        used_milli=used,
        carriage=carriage,
        sundries=goods_and_sundries - goods,
        given_up=given_up,
        lacking=tuple(sorted(_lacking(quantities, used, packs))),
    )


def hands_on_minutes(
    quantities: Quantities, outcomes: Mapping[str, Outcome], steps: Iterable[str], shared: Iterable[str]
) -> list[int]:
    """Hands-on minutes of everything that is done for certain, an entry an item: labour is rounded once for each."""
    return [
        *(outcome.course.minutes for outcome in outcomes.values() if outcome.settled_by is None),
        *(quantities.steps[step].minutes for step in steps),
        *(quantities.shared[item].minutes for item in shared),
        *(line.minutes for line in quantities.lines),
    ]


def cabin_finish(parts: Iterable[PartOptions], finish: Mapping[str, int]) -> int:
    """The cabin's finish, 0–100: the mean over visible parts by weight, times ten."""
    weighed = [(part.weight, finish[part.part]) for part in parts if part.weight]
    total = sum(weight for weight, _ in weighed)
    return round(10 * sum(weight * value for weight, value in weighed) / total) if total else 0


def outcomes_of(quantities: Quantities, chosen: Mapping[str, Course]) -> dict[str, Outcome]:
    """Every part's outcome: settled by its whole, or its own course at the support it gets."""
    settled = {
        child: Outcome(course, whole, 0, finish)
        for whole, course in chosen.items()
        for child, finish in course.settles.items()
    }
    bearing = {part: 10 if part in settled else course.bears for part, course in chosen.items()}
    bearing |= dict.fromkeys(settled, 10)
    outcomes: dict[str, Outcome] = {}
    for part in quantities.parts:
        if part.part in settled:
            outcomes[part.part] = settled[part.part]
            continue
        course = chosen[part.part]
        borne = min((bearing[support] for support in part.rests_on), default=10)
        level = next((at for at, wanted in enumerate(part.bearings) if borne >= wanted), len(part.bearings) - 1)
        outcomes[part.part] = Outcome(course, None, level, course.finish_at[level])
    return outcomes


def opened_steps(quantities: Quantities, outcomes: Iterable[Outcome]) -> tuple[str, ...]:
    """Every step the courses need and what those steps need before them; and all that is off already."""
    opened: set[str] = set()
    waiting = [step for outcome in outcomes for step in outcome.course.steps]
    waiting += [step.id for step in quantities.steps.values() if step.off]
    while waiting:
        step = waiting.pop()
        if step not in opened:
            opened.add(step)
            waiting += quantities.steps[step].requires
    return _in_order(quantities.steps, opened)


def uncovered(quantities: Quantities, outcomes: Iterable[Outcome], steps: Iterable[str]) -> tuple[str, ...]:
    """Hidden faults in the money: the certain ones and those the courses and steps open, each once."""
    found = {hidden.id for hidden in quantities.hidden.values() if hidden.certain}
    found |= {find for outcome in outcomes for find in outcome.course.finds}
    found |= {find for step in steps for find in quantities.steps[step].finds}
    return _in_order(quantities.hidden, found)


def used_amounts(
    quantities: Quantities, outcomes: Iterable[Outcome], steps: Iterable[str], shared: Iterable[str]
) -> dict[str, int]:
    """Thousandths used of each material key."""
    needs: list[Need] = [need for outcome in outcomes for need in outcome.course.needs]
    needs += [need for step in steps for need in quantities.steps[step].needs]
    needs += [need for item in shared for need in quantities.shared[item].needs]
    used: Counter[str] = Counter()
    for need in needs:
        used[need.material] += need.milli
    return dict(sorted(used.items()))


def pack_offer(quantities: Quantities, pack: tuple[str, str]) -> PackOffer:
    """The pack offer behind (material key, pack id)."""
    key, pack_id = pack
    return next(each for each in quantities.materials[key].packs if each.id == pack_id)


def carriage_paid(quantities: Quantities, outcomes: Iterable[Outcome], packs: Packs) -> dict[str, int]:
    """Carriage of each supplier asked, none above its free order; a small order is made up to the least."""
    order: Counter[str] = Counter()
    for pack, count in packs.items():
        offer = pack_offer(quantities, pack)
        order[offer.supplier] += offer.price * count
    asked = {purchase.supplier for outcome in outcomes for purchase in outcome.course.purchases} | set(order)
    paid: dict[str, int] = {}
    for supplier in quantities.suppliers.values():
        if supplier.id not in asked:
            continue
        free = supplier.free_over and order[supplier.id] >= supplier.free_over
        made_up = max(0, supplier.least_order - order[supplier.id]) if order[supplier.id] else 0
        paid[supplier.id] = (0 if free else supplier.carriage) + made_up
    return paid


def _lacking(quantities: Quantities, used: Mapping[str, int], packs: Packs) -> Iterable[str]:
    have: Counter[str] = Counter({key: offer.stock_milli for key, offer in quantities.materials.items()})
    for (key, pack_id), count in packs.items():
        have[key] += pack_offer(quantities, (key, pack_id)).size_milli * count
    return (key for key, amount in used.items() if amount > have[key])


def _given_up(quantities: Quantities, outcomes: Mapping[str, Outcome]) -> Iterable[GivenUp]:
    """Floors, sets and neighbours that are not kept, with the points they cost."""
    for part in quantities.parts:
        finish = outcomes[part.part].finish
        if points := charges.floor_payment(quantities.terms, part, finish):
            yield GivenUp("floor", (part.part,), part.floor or 0, finish, points)
    for each in quantities.sets:
        yield from _unmatched(each, outcomes)
    for pair in quantities.neighbours:
        if pair.a in outcomes and pair.b in outcomes:
            apart = abs(outcomes[pair.a].finish - outcomes[pair.b].finish)
            if apart > pair.within and pair.step_points:
                points = (apart - pair.within) * pair.step_points
                yield GivenUp("neighbour", (pair.a, pair.b), pair.within, apart, points)


def _unmatched(each: MatchedSet, outcomes: Mapping[str, Outcome]) -> Iterable[GivenUp]:
    members = tuple(part for part in each.parts if part in outcomes)
    if len(members) < 2:
        return
    finishes = [outcomes[part].finish for part in members]
    apart = max(finishes) - min(finishes)
    looks = len({outcomes[part].course.look for part in members})
    if points := max(0, apart - each.within) * each.step_points:
        yield GivenUp("set", members, each.within, apart, points)
    if points := (looks - 1) * each.look_points:
        yield GivenUp("look", members, 1, looks, points)


def _in_order(table: Mapping[str, object], ids: set[str]) -> tuple[str, ...]:
    return tuple(each for each in table if each in ids)


def leaving(quantities: Quantities) -> int:
    """The points of leaving everything that may be left (and the least of the rest): where the gain is counted from."""
    chosen = {
        part.part: next((course for course in part.courses if course.id == LEAVE), part.courses[-1])
        for part in quantities.parts
    }
    alone = {part: course for part, course in chosen.items() if not course.settles}
    children = {child for part, course in chosen.items() if part not in alone for child in course.settles}
    return recount(quantities, {part: course for part, course in chosen.items() if part not in children}, {}).points
