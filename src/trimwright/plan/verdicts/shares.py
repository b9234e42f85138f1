"""Who pays for what is shared: firm money laid on the verdicts so that they and the whole-job lines add up to it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping

from trimwright.plan.quantities.cabin import Quantities
from trimwright.plan.verdicts import charges
from trimwright.plan.verdicts.recount import Count, Packs, pack_offer


def fair_shares(quantities: Quantities, count: Count, packs: Packs) -> dict[str, int]:
    """Money of each part [minor]: its own purchases and labour, packs by the amount used, steps and tools by the
    number of users, carriage by what is bought there. What is left of firm is the whole job's: its lines, what is spent
    already, and putting back on what is off for parts that are done or left.
    """
    terms = quantities.terms
    own = {part: outcome.course for part, outcome in count.outcomes.items() if outcome.settled_by is None}
    users_of_step, users_of_shared = _users(quantities, count)
    burden: dict[str, float] = defaultdict(float)

    for part, course in own.items():
        burden[part] += charges.purchases_mean(course) + charges.labour(terms, course.minutes)
    for step, users in users_of_step.items():
        _lay(burden, dict.fromkeys(users, 1.0), charges.labour(terms, quantities.steps[step].minutes))
    for item, users in users_of_shared.items():
        shared = quantities.shared[item]
        _lay(burden, dict.fromkeys(users, 1.0), shared.money + charges.labour(terms, shared.minutes))

    spent_at: dict[str, dict[str, float]] = defaultdict(lambda: defaultdict(float))
    using = _amounts(quantities, count, users_of_step, users_of_shared)
    for pack, number in packs.items():
        offer = pack_offer(quantities, pack)
        price = charges.with_sundries(terms, offer.price) * number
        _lay(burden, using[pack[0]], price)
        _lay(spent_at[offer.supplier], using[pack[0]], price)
    for part, course in own.items():
        for purchase in course.purchases:
            spent_at[purchase.supplier][part] += purchase.price.mean
    for supplier, paid in count.carriage.items():
        _lay(burden, spent_at[supplier], paid)
    return _rounded({part: burden[part] for part in own}, round(sum(burden.values())))


def _users(quantities: Quantities, count: Count) -> tuple[dict[str, list[str]], dict[str, list[str]]]:
    """Parts behind each opened step (through the steps that required it) and each shared item."""
    steps: dict[str, list[str]] = {step: [] for step in count.steps}
    shared: dict[str, list[str]] = {item: [] for item in count.shared}
    for part, outcome in count.outcomes.items():
        if outcome.settled_by is not None:
            continue
        reached: set[str] = set()
        waiting = list(outcome.course.steps)
        while waiting:
            step = waiting.pop()
            if step not in reached:
                reached.add(step)
                waiting += quantities.steps[step].requires
        for step in reached:
            steps[step].append(part)
        for item in outcome.course.once:
            shared[item].append(part)
    return steps, shared


def _amounts(
    quantities: Quantities, count: Count, steps: Mapping[str, list[str]], shared: Mapping[str, list[str]]
) -> dict[str, dict[str, float]]:
    """Who uses how much of each material key."""
    using: dict[str, dict[str, float]] = defaultdict(lambda: defaultdict(float))
    for part, outcome in count.outcomes.items():
        if outcome.settled_by is None:
            for need in outcome.course.needs:
                using[need.material][part] += need.milli
    for table, users in ((quantities.steps, steps), (quantities.shared, shared)):
        for each, parts in users.items():
            for need in table[each].needs:
                for part in parts:
                    using[need.material][part] += need.milli / len(parts)
    return using


def _lay(burden: dict[str, float], weights: Mapping[str, float], money: float) -> None:
    total = sum(weights.values())
    for part, weight in weights.items():
        burden[part] += money * weight / total if total else money / len(weights)


def _rounded(burden: Mapping[str, float], total: int) -> dict[str, int]:
    """Whole minor units that keep the total: the largest remainders are rounded up."""
    floors = {part: int(value // 1) for part, value in burden.items()}
    short = total - sum(floors.values())
    by_remainder = sorted(burden, key=lambda part: floors[part] - burden[part])
    for part in by_remainder[: max(0, short)]:
        floors[part] += 1
    return floors
