"""One model and one solver, asked again and again: most points at some z, then less money, then fewer minutes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from math import floor
from pathlib import Path
from statistics import NormalDist
from time import monotonic
from typing import TYPE_CHECKING

from trimwright.errors import RecountDiffers
from trimwright.plan.quantities.cabin import Course, Quantities
from trimwright.plan.verdicts.model import HIGHEST_Z, VerdictModel, line_totals
from trimwright.plan.verdicts.program import INF, Progress, Solution, Solver
from trimwright.plan.verdicts.recount import Count, recount
from trimwright.plan.verdicts.reserve import Odds, simulate, spread_of

if TYPE_CHECKING:
    from trimwright.plan.verdicts.program import Values

WHOLE_UNIT = 0.5
"""Points, money and minutes are whole, so a gap under one is none."""
FIRST_LOOK_GAP = 0.03
"""The first look at a z only has to find how many points can about be had, as a share."""
NO_PLAN = "there is no plan at all, not even without limits"
LEAST_SECONDS = 10.0
"""Time given to the cheapest plan even when the search has used all of its own."""
NEAR_SECONDS = 0.5
"""Time for one look round a plan."""
TUNING_SHARE = 1 / 4
"""Share of the time left that one try at z may take."""
FINISHING_SHARE = 0.6
"""Share of the time left that each of the last three solves may take."""


@dataclass(frozen=True, eq=False)
class Candidate:
    """A plan found at some z, counted and simulated."""

    z: float
    values: Values
    chosen: Mapping[str, Course]
    packs: Mapping[tuple[str, str], int]
    count: Count
    odds: Odds
    bound: float
    proven: bool
    needed_z: float
    """The z at which the model's reserve for this very plan is its simulated one."""


class Search:
    """One model and one solver, asked again and again with other z, limits and objectives."""

    def __init__(
        self,
        quantities: Quantities,
        *,
        seconds: float,
        draws: int,
        seed: int,
        progress: Progress | None,
        threads: int = 2,
    ) -> None:
        self.quantities = quantities
        self.model = VerdictModel(quantities)
        self.solver = Solver(self.model.program, threads)
        self.courses = [choice.column for choices in self.model.choices.values() for choice in choices]
        self.ends = monotonic() + seconds
        self.half_time = monotonic() + seconds / 2
        self._draws, self._seed, self._progress = draws, seed, progress
        self.tries: list[tuple[float, int, float]] = []

    def likely_z(self) -> float:
        """The z that the relaxed plan, made whole roughly, would need: where the search begins."""
        normal = NormalDist().inv_cdf(self.quantities.terms.sure)
        self.ask_at(normal)
        self.solver.minimise(self.model.costs("points"))
        relaxed = self.solver.relaxed()
        if relaxed is None:
            return normal
        values = self.model.nearest_whole(relaxed)
        return min(HIGHEST_Z, max(0.0, self.counted(normal, values).needed_z))

    def at(self, z: float, start: Candidate | None = None) -> Candidate | None:
        """The plan with most points at `z`; None when nothing fits. `start` is a plan that fits at `z`.

        Without a start a first look within a few per cent comes before: knowing how many points can be had bounds V,
        and V between close bounds is what keeps the reserve in the relaxed model from vanishing.
        """
        self.ask_at(z)
        self.narrow(start.count.points if start else None)
        if start is None:
            look = self.solve("points", "first look", share=TUNING_SHARE, gap=FIRST_LOOK_GAP)
            if look.status == "infeasible":
                self.release()
                return None
            start = self.candidate(z, look, look)
            self.narrow(start.count.points)
        solution = self.solve("points", "most points", start=start.values, share=TUNING_SHARE)
        self.release()
        if solution.status == "infeasible":
            return None
        candidate = self.candidate(z, solution, solution)
        self.tries.append((z, candidate.count.points, candidate.odds.chance))
        return candidate

    def finish(self, best: Candidate) -> Candidate:
        """The same points for the least expected money, then the fewest minutes."""
        model, solver = self.model, self.solver
        self.ask_at(best.z)
        self.narrow(best.count.points)
        if not best.proven:
            again = self.solve("points", "most points", start=best.values, share=FINISHING_SHARE)
            if again.status != "infeasible":
                best = self.candidate(best.z, again, again)
        solver.bound_row(model.points_row, lower=float(best.count.points))
        finished, proven = best, best.proven
        for what, stage in (("expected", "least money"), ("minutes", "fewest minutes")):
            found = self.solve(what, stage, start=finished.values, share=FINISHING_SHARE)
            if found.status == "infeasible":  # the clock ran out before the start was taken up
                proven = False
                break
            finished, proven = self.candidate(best.z, found, None), proven and found.status == "optimal"
            if what == "expected":
                self._check_money(found, finished.count)
                solver.bound_row(model.expected_row, upper=round(found.objective) + 0.01)
        self.release()
        return replace(finished, bound=best.bound, proven=proven)

    def cheapest(self, z: float) -> Candidate:
        """What must be paid and nothing else: the fewest minutes where the hours cannot do, then the least money.

        From here on the limits are the job's own, or what this plan needs where it needs more.
        """
        model, solver = self.model, self.solver
        self.ends = max(self.ends, monotonic() + LEAST_SECONDS)
        self.ask_at(z)
        solver.bound_row(model.money_row)
        solver.bound_row(model.hours_row)
        if model.minutes_limit < INF:
            fewest = self.solve("minutes", "fewest minutes", share=TUNING_SHARE)
            if fewest.status == "infeasible":
                raise RecountDiffers(NO_PLAN)
            model.minutes_limit = max(model.minutes_limit, round(fewest.objective))
            solver.bound_row(model.hours_row, upper=model.minutes_limit)
        least = self.solve("money", "least money", share=TUNING_SHARE)
        if least.status == "infeasible":
            raise RecountDiffers(NO_PLAN)
        model.money_limit = max(model.money_limit, least.objective + 1.0)
        self.release()
        return self.candidate(z, least, None)

    def write_mps(self, z: float, path: Path) -> None:
        """The first stage at `z`, as minimise −points."""
        self.ask_at(z)
        self.solver.minimise(self.model.costs("points"))
        self.solver.write_mps(path)

    # ---- what every question is made of ---------------------------------------------------------------------

    def ask_at(self, z: float) -> None:
        """Hold the reserve at `z` from here on."""
        self.solver.coefficient(self.model.reserve_row, self.model.spread, z)

    def narrow(self, least_points: int | None, passes: int = 2) -> None:
        """Close bounds on V, and only the tangents between them, for plans with at least so many points.

        Each pass is two relaxed solves; the second starts from the first one's bounds.
        """
        model, solver = self.model, self.solver
        low, high = 0.0, model.tangents[-1].top
        if least_points is not None:
            solver.bound_row(model.points_row, lower=float(least_points))
        for _ in range(passes):
            lowest, highest = solver.least(model.variance), solver.least(model.variance, -1.0)
            if lowest is None or highest is None:
                break
            low, high = max(low, lowest * (1 - 1e-6) - 1e-9), min(high, -highest * (1 + 1e-6) + 1e-9)
            solver.bound_column(model.variance, low, high)
            for tangent in model.tangents:
                within = tangent.low <= high and tangent.top >= low
                solver.bound_column(tangent.pick, 0.0, float(within))

    def nearby(self, values: Values, costs: Values, seconds: float = NEAR_SECONDS) -> Values:
        """A plan near this one with less of `costs`; the same plan when there is none."""
        self.solver.minimise(costs)
        near = self.solver.solve_near(values, self.courses, seconds, absolute_gap=WHOLE_UNIT)
        return values if near is None else near

    def release(self) -> None:
        """Undo what `narrow` and the cheaper stages have bounded; the limits are the job's again."""
        self.solver.bound_column(self.model.variance, 0.0, self.model.tangents[-1].top)
        for tangent in self.model.tangents:
            self.solver.bound_column(tangent.pick, 0.0, 1.0)
        self.solver.bound_row(self.model.points_row)
        self.solver.bound_row(self.model.money_row, upper=self.model.money_limit)
        self.solver.bound_row(self.model.hours_row, upper=self.model.minutes_limit)
        self.solver.bound_row(self.model.expected_row)

    def solve(
        self, what: str, stage: str, start: Values | None = None, share: float = 1.0, gap: float = 0.0
    ) -> Solution:
        """One solve of the model as it is bounded now, for this share of the time left."""
        return self.solver.improve(
            self.model.costs(what),
            start,
            seconds=max(0.2, (self.ends - monotonic()) * share),
            absolute_gap=WHOLE_UNIT,
            relative_gap=gap,
            stage=stage,
            progress=self._progress,
        )

    def candidate(self, z: float, solution: Solution, points: Solution | None) -> Candidate:
        """The plan behind a solution, with its bound where `points` says that points were what was maximised."""
        found = self.counted(z, solution.values)
        if found.count.lacking:
            raise RecountDiffers(f"too little is bought of {', '.join(found.count.lacking)}")
        bound = float(found.count.points)
        if points is not None:
            bound = max(bound, INF if points.bound == -INF else floor(-points.bound + 1e-6))
        return replace(found, bound=bound, proven=solution.status == "optimal" and bound == found.count.points)

    def counted(self, z: float, values: Values) -> Candidate:
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
        )

    def _check_money(self, found: Solution, count: Count) -> None:
        """At least money the model and the recount agree to the minor unit."""
        modelled = round(found.objective) + line_totals(self.quantities)[0]
        if found.status == "optimal" and count.expected != modelled:
            raise RecountDiffers(f"the model expects {modelled}, the recount {count.expected}")
