"""From quantities to verdicts: the best plan the sum can buy, surely inside it; most points, then least money, then
fewest minutes.

The reserve in the model is a surrogate, z·(√V + swings). z is moved until the *simulated* chance of ending inside
the sum is as high as the owner asks while the next better plan tried falls short. "Proven best" is said of the
surrogate at that z.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from statistics import NormalDist
from time import monotonic

from trimwright.plan.quantities.cabin import LEAVE, Quantities
from trimwright.plan.verdicts.answer import verdicts_of
from trimwright.plan.verdicts.model import HIGHEST_Z
from trimwright.plan.verdicts.program import Progress
from trimwright.plan.verdicts.reserve import DRAWS
from trimwright.plan.verdicts.search import Candidate, Search
from trimwright.plan.verdicts.verdict import Short, Status, Verdicts

STEP = 0.05
"""The least step of z, as a share: within it a plan that falls short is the next better one."""
CLOSE_POINTS = 0.0005
"""The next better plan need not be looked for closer than this share of the points."""
MOST_TRIES = 10


def decide(
    quantities: Quantities,
    *,
    seconds: float = 60.0,
    draws: int = DRAWS,
    seed: int = 1,
    progress: Progress | None = None,
) -> Verdicts:
    """The verdict for every part, proven best at a reserve that makes the sum sure enough.

    `seconds` bounds the whole search; what is not proven by then is returned as "feasible" with its gap. A sum or
    hours that cannot even pay the must-dos and the pins give "short", never an exception.
    """
    started = monotonic()
    search = Search(quantities, seconds=seconds, draws=draws, seed=seed, progress=progress)
    best = surest_best(search)
    short, cut_off = None, best is None
    if best is None:
        best = best_beyond_limits(search)
        short = shortfall(quantities, best)
    elif quantities.broken:
        short = Short(0, 0, quantities.broken)
    status: Status = "short" if short else "optimal" if best.proven and not cut_off else "feasible"
    return verdicts_of(search, best, status, short, monotonic() - started)


def surest_best(search: Search) -> Candidate | None:
    """Move z until the plan is sure enough and the next better plan tried is not; None when no plan is.

    Every plan tells the z it would need, and neighbouring plans need about the same, so few tries do. After the
    cheaper stages the plan is simulated again: should it have lost its chance, z goes on from there.
    """
    sure = search.quantities.terms.sure
    good: Candidate | None = None
    short_of: Candidate | None = None
    low, z, stride = 0.0, search.likely_z(), STEP
    for _ in range(MOST_TRIES):
        found = search.at(z, start=good)
        if found is None:
            if z == 0.0:
                return None
            z = (low + z) / 2 if z > STEP else 0.0
            continue
        if found.odds.sure_enough(sure):
            if good and found.count.points < good.count.points:  # cut off by the clock: no use going on
                break
            stride = stride * 2 if good and good.count.points == found.count.points else STEP
            good, onward = found, min(found.needed_z, z * (1 - stride))
        else:
            short_of, low, onward = found, z, max(found.needed_z, z * (1 + STEP))
        if good is None:
            z = onward
        else:
            gain = short_of.count.points - good.count.points if short_of else None
            near = gain is not None and gain <= CLOSE_POINTS * abs(good.count.points)
            if near or good.z == 0.0 or low >= good.z * (1 - STEP) or monotonic() > search.half_time:
                break
            z = onward if low < onward < good.z else (low + good.z) / 2
            z = z if z > STEP else 0.0
        if z > HIGHEST_Z:
            break
    return finished_surely(search, good) if good else None


def finished_surely(search: Search, good: Candidate) -> Candidate:
    """The cheapest and quickest form of a sure plan, still sure; the plan itself, unproven, when time runs out."""
    sure, trying = search.quantities.terms.sure, good
    while True:
        finished = search.finish(trying)
        if finished.odds.sure_enough(sure):
            return finished
        again = search.at(max(finished.needed_z, trying.z * (1 + STEP))) if monotonic() < search.ends else None
        if again is None or (again.count.points < good.count.points and not again.proven):
            return replace(good, proven=False)
        trying = again


def best_beyond_limits(search: Search) -> Candidate:
    """The best plan once the limits are raised to the least that pays what must be paid."""
    least = search.cheapest(NormalDist().inv_cdf(search.quantities.terms.sure))
    found = search.at(least.z, start=least) or least
    return search.finish(found)


def shortfall(quantities: Quantities, best: Candidate) -> Short | None:
    """By how much the sum and the hours are short; None when the clock ran out before a plan inside them was found."""
    limit = quantities.terms.minutes
    money = max(0, best.odds.quantile - quantities.terms.sum)
    minutes = 0 if limit is None else max(0, best.count.minutes - limit)
    because = (*quantities.broken, *what_must_be_paid(quantities))
    return Short(money, minutes, because) if money or minutes or quantities.broken else None


def what_must_be_paid(quantities: Quantities) -> list[str]:
    """In words: what is spent, pins, promises, must-dos and hidden faults that are in the money whatever is chosen."""
    spent = ["what is spent already"] if quantities.spent.total or quantities.spent.minutes else []
    pinned = [f"{part.name}: pinned" for part in quantities.parts if any(each.pinned for each in part.courses)]
    work = sum(any(each.promised and each.id != LEAVE for each in part.courses) for part in quantities.parts)
    promised = [f"{work} parts: promised"] if work else []
    must = [
        f"{part.name}: must be dealt with"
        for part in quantities.parts
        if not any(course.held or course.id == LEAVE for course in part.courses)
    ]
    certain = [
        f"{each.name}: {'found' if each.chance >= 1 else 'suspected, must be dealt with'}"
        for each in quantities.hidden.values()
        if each.certain
    ]
    return spent + pinned + promised + must + certain


def write_mps(quantities: Quantities, z: float, path: Path) -> None:
    """The first stage's model at `z` as an MPS file: minimise −points, no constant."""
    Search(quantities, seconds=1.0, draws=1, seed=0, progress=None).write_mps(z, path)
