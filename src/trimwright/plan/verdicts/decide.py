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

from trimwright.errors import RecountDiffers
from trimwright.plan.quantities.cabin import LEAVE, Quantities
from trimwright.plan.verdicts.answer import verdicts_of
from trimwright.plan.verdicts.program import Progress
from trimwright.plan.verdicts.reserve import DRAWS
from trimwright.plan.verdicts.search import HIGHEST_Z, Candidate, Search
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
    short = None
    if best is None:
        best = search_short(search)
        limit = quantities.terms.minutes
        short = Short(
            money=max(0, best.odds.quantile - quantities.terms.sum),
            minutes=0 if limit is None else max(0, best.count.minutes - limit),
            because=tuple(what_must_be_paid(quantities)),
        )
    status: Status = "short" if short else "optimal" if best.proven else "feasible"
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


def search_short(search: Search) -> Candidate:
    """The best plan once the limits are raised to the least that pays what must be paid."""
    z = NormalDist().inv_cdf(search.quantities.terms.sure)
    search.relax(*search.least_limits(z))
    found = search.at(z)
    if found is None:
        raise RecountDiffers("the least plan does not fit its own limits")
    return search.finish(found)


def what_must_be_paid(quantities: Quantities) -> list[str]:
    """In words: pins, must-dos and hidden faults that are in the money whatever is chosen."""
    pinned = [f"{part.name}: pinned" for part in quantities.parts if any(course.pinned for course in part.courses)]
    must = [
        f"{part.name}: must be dealt with"
        for part in quantities.parts
        if not any(course.pinned or course.id == LEAVE for course in part.courses)
    ]
    certain = [f"{each.name}: suspected, must be dealt with" for each in quantities.hidden.values() if each.certain]
    return pinned + must + certain


def write_mps(self, z: float, path: Path) -> None:
        """The first stage at `z`, as minimise −points."""
        self._set_z(z)
        self.solver.minimise(self.model.costs("points"))
        self.solver.write_mps(path)

    # ---- inside --------------------------------------------------------------------------------------------

    def _set_z(self, z: float) -> None:
        self.solver.coefficient(self.model.reserve_row, self.model.spread, z)

    def _bound_variance(self, least_points: int | None) -> None:
        """Close bounds on V, and only the tangents between them, for plans with at least so many points.

        Each pass is two relaxed solves; the second starts from the first one's bounds.
        """
        model, solver = self.model, self.solver
        low, high = 0.0, model.tangents[-1].top
        if least_points is not None:
            solver.bound_row(model.points_row, lower=float(least_points))
        for _ in range(2):
            lowest, highest = solver.least(model.variance), solver.least(model.variance, -1.0)
            if lowest is None or highest is None:
                break
            low, high = max(low, lowest * (1 - 1e-6) - 1e-9), min(high, -highest * (1 + 1e-6) + 1e-9)
            solver.bound_column(model.variance, low, high)
            for tangent in model.tangents:
                within = tangent.low <= high and tangent.top >= low
                solver.bound_column(tangent.pick, 0.0, float(within))

    def _release(self) -> None:
        self.solver.bound_column(self.model.variance, 0.0, INF)
        for tangent in self.model.tangents:
            self.solver.bound_column(tangent.pick, 0.0, 1.0)
        self.solver.bound_row(self.model.points_row)
        self.solver.bound_row(self.model.money_row, upper=self.model.money_limit)
        self.solver.bound_row(self.model.hours_row, upper=self.model.minutes_limit)
        self.solver.bound_row(self.model.expected_row)

    def _hold_expected(self, found: Solution) -> None:
        self.solver.bound_row(self.model.expected_row, upper=round(found.objective) + 0.01)

    def _solve(
        self, what: str, stage: str, start: Values | None = None, share: float = 1.0, gap: float = 0.0
    ) -> Solution:
        self.solver.minimise(self.model.costs(what))
        if start is not None:  # last of all: a new objective or bound makes the solver forget it
            self.solver.start_from(start)
        seconds = max(0.2, (self.ends - monotonic()) * share)
        return self.solver.solve(
            seconds, absolute_gap=WHOLE_UNIT, relative_gap=gap, stage=stage, progress=self._progress
        )

    def _candidate(self, z: float, solution: Solution, points: Solution | None) -> Candidate:
        found = self._counted(z, solution.values)
        if found.count.lacking:
            raise RecountDiffers(f"too little is bought of {', '.join(found.count.lacking)}")
        bound = max(floor(-points.bound + 1e-6) if points else 0, found.count.points)
        return replace(found, bound=bound, proven=solution.status == "optimal" and bound == found.count.points)

    def _counted(self, z: float, values: Values) -> Candidate:
        """The plan behind `values`, counted and simulated; nothing is said of its bound."""
        chosen, packs = self.model.chosen(values), self.model.bought(values)
        count = recount(self.quantities, chosen, packs)
        odds = simulate(self.quantities, count, packs, draws=self._draws, seed=self._seed)
        spread = spread_of(self.quantities, count, packs)
        return Candidate(
            z=z,
            values=values,
            chosen=chosen,
            packs=packs,
            count=count,
            odds=odds,
            bound=float(count.points),
            proven=False,
            needed_z=(odds.quantile - count.expected) / spread if spread > 0 else 0.0,
            fitting_z=(self.quantities.terms.sum - count.expected) / spread if spread > 0 else HIGHEST_Z,
        )

    def _check_money(self, found: Solution) -> None:
        """At least money the model and the recount agree to the minor unit."""
        count = recount(self.quantities, self.model.chosen(found.values), self.model.bought(found.values))
        modelled = round(found.objective) + line_totals(self.quantities)[0]
        if found.status == "optimal" and count.expected != modelled:
            raise RecountDiffers(f"the model expects {modelled}, the recount {count.expected}")


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
    short = None
    if best is None:
        best = search_short(search)
        limit = quantities.terms.minutes
        short = Short(
            money=max(0, best.odds.quantile - quantities.terms.sum),
            minutes=0 if limit is None else max(0, best.count.minutes - limit),
            because=tuple(what_must_be_paid(quantities)),
        )
    status: Status = "short" if short else "optimal" if best.proven else "feasible"
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


def search_short(search: Search) -> Candidate:
    """The best plan once the limits are raised to the least that pays what must be paid."""
    z = NormalDist().inv_cdf(search.quantities.terms.sure)
    search.relax(*search.least_limits(z))
    found = search.at(z)
    if found is None:
        raise RecountDiffers("the least plan does not fit its own limits")
    return search.finish(found)


def what_must_be_paid(quantities: Quantities) -> list[str]:
    """In words: pins, must-dos and hidden faults that are in the money whatever is chosen."""
    pinned = [f"{part.name}: pinned" for part in quantities.parts if any(course.pinned for course in part.courses)]
    must = [
        f"{part.name}: must be dealt with"
        for part in quantities.parts
        if not any(course.pinned or course.id == LEAVE for course in part.courses)
    ]
    certain = [f"{each.name}: suspected, must be dealt with" for each in quantities.hidden.values() if each.certain]
    return pinned + must + certain


def verdicts_of(search: Search, best: Candidate, status: Status, short: Short | None, seconds: float) -> Verdicts:
    """The answer in the words people read."""
    quantities, count, odds = search.quantities, best.count, best.odds
    terms = quantities.terms
    reserve = max(0, odds.quantile - count.firm)
    if short is None:  # a chance within the sampling error of `sure` may put the quantile just over the sum
        reserve = min(reserve, terms.sum - count.firm)
    shares = fair_shares(quantities, count, best.packs)
    if_left = leaving(quantities)
    gained = max(1, count.points - if_left)
    verdicts = []
    for part in quantities.parts:
        outcome = count.outcomes[part.part]
        own = outcome.settled_by is None
        verdicts.append(
            Verdict(
                part=part.part,
                name=part.name,
                zone=part.zone,
                course=outcome.course,
                settled_by=outcome.settled_by,
                money=shares[part.part] if own else 0,
                minutes=outcome.course.minutes if own else 0,
                finish_before=part.finish_now,
                finish_after=outcome.finish,
                pinned=outcome.course.pinned and own,
            )
        )
    return Verdicts(
        status=status,
        verdicts=tuple(verdicts),
        finish_before=count.finish_before,
        finish_after=count.finish_after,
        points=count.points,
        money=Money(
            currency=terms.currency,
            sum=terms.sum,
            firm=count.firm,
            expected=count.expected,
            reserve=reserve,
            left=terms.sum - count.firm - reserve,
            chance=odds.chance,
            chance_se=odds.standard_error,
        ),
        minutes=count.minutes,
        minutes_limit=terms.minutes,
        bought=tuple(_bought(quantities, best.packs)),
        used_milli=count.used_milli,
        carriage=count.carriage,
        steps=count.steps,
        shared=count.shared,
        hidden=count.hidden,
        sundries=count.sundries,
        given_up=count.given_up,
        short=short,
        proof=Proof(
            points=count.points,
            bound=best.bound,
            gap=max(0.0, (best.bound - count.points) / gained),
            points_if_left=if_left,
            z=best.z,
            tries=tuple(search.tries),
            columns=len(search.model.program.names),
            rows=len(search.model.program.rows),
            dropped=sum(part.dropped for part in quantities.parts),
        ),
        seconds=round(seconds, 3),
    )


def _bought(quantities: Quantities, packs: Mapping[tuple[str, str], int]) -> list[Bought]:
    rows = []
    for (key, pack_id), number in packs.items():
        material = quantities.materials[key]
        pack = next(each for each in material.packs if each.id == pack_id)
        rows.append(
            Bought(
                material=key,
                name=material.name,
                colour=material.colour,
                pack=pack.name,
                pack_id=pack.id,
                count=number,
                money=number * pack.price,
                supplier=pack.supplier,
            )
        )
    return sorted(rows, key=lambda row: (row.supplier, row.name, row.pack))


def write_mps(quantities: Quantities, z: float, path: Path) -> None:
    """The first stage's model at `z` as an MPS file: minimise −points, no constant."""
    Search(quantities, seconds=1.0, draws=1, seed=0, progress=None).write_mps(z, path)
