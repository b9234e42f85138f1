"""What a careful person does with a spreadsheet: most points for the next money, packs counted, till it is spent."""

from __future__ import annotations

import heapq
from collections.abc import Mapping
from math import inf

from trimwright.plan.quantities.cabin import LEAVE, Course, MaterialOffer, Quantities
from trimwright.plan.verdicts.recount import Count, recount
from trimwright.plan.verdicts.reserve import spread_of

Packs = dict[tuple[str, str], int]


def careful_greedy(cabin: Quantities, z: float) -> Count:
    """The greedy's plan, with the same reserve rule as the model's at `z`."""
    chosen = {
        part.part: next((course for course in part.courses if course.id == LEAVE), part.courses[0])
        for part in cabin.parts
    }
    now, cost = _counted(cabin, chosen, z)
    waiting = [(-inf, number, course) for number, course in enumerate(_steps_up(cabin))]
    heapq.heapify(waiting)
    while waiting:
        _, number, course = heapq.heappop(waiting)
        if chosen.get(course.part) is course or course.part not in chosen:
            continue
        then, price = _counted(cabin, {**chosen, course.part: course}, z)
        gain = then.points - now.points
        fits = price <= cabin.terms.sum and then.minutes <= (cabin.terms.minutes or inf)
        if gain <= 0 or not fits:
            continue
        worth = gain / max(1.0, price - cost)
        if waiting and -waiting[0][0] > worth:
            heapq.heappush(waiting, (-worth, number, course))
            continue
        chosen[course.part], now, cost = course, then, price
    return now


def _steps_up(cabin: Quantities) -> list[Course]:
    """Every course that does something and settles only itself."""
    return [course for part in cabin.parts for course in part.courses if course.id != LEAVE and not course.settles]


def _counted(cabin: Quantities, chosen: Mapping[str, Course], z: float) -> tuple[Count, float]:
    """The plan and what it asks of the sum, reserve inside."""
    bare = recount(cabin, chosen, {})
    packs: Packs = {}
    for key, used in bare.used_milli.items():
        for pack, number in cheapest_packs(cabin.materials[key], used).items():
            packs[key, pack] = number
    count = recount(cabin, chosen, packs)
    return count, count.expected + z * spread_of(cabin, count, packs)


def cheapest_packs(offer: MaterialOffer, used: int) -> dict[str, int]:
    """Packs that cover `used` thousandths beyond the stock for the least money, one size filled up by another.

    A person tries each number of the largest pack and fills up with the smallest.
    """
    needed = used - offer.stock_milli
    if needed <= 0:
        return {}
    by_size = sorted(offer.packs, key=lambda pack: -pack.size_milli)
    large, small = by_size[0], by_size[-1]
    best: tuple[float, dict[str, int]] = (inf, {})
    for number in range(-(-needed // large.size_milli) + 1):
        rest = max(0, needed - number * large.size_milli)
        fill = -(-rest // small.size_milli)
        price = number * large.price + fill * small.price
        packs = {large.id: number} if large is small else {large.id: number, small.id: fill}
        covers = number * large.size_milli + (0 if large is small else fill * small.size_milli) >= needed
        if covers and price < best[0]:
            best = (price, {pack: count for pack, count in packs.items() if count})
    return best[1]
