"""A mixed-integer program as plain arrays: columns, rows, and the way into HiGHS; knows nothing of cabins."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from typing import TypeAlias

    import highspy
    import numpy as np
    from numpy.typing import NDArray

    Values: TypeAlias = NDArray[np.float64]
    """A number for every column."""

INF = float("inf")
EPS = 1e-6
"""Values closer than this are one."""

RESTARTS = "mip_allow_restart"
COSTLY: tuple[str, ...] = (RESTARTS, "mip_heuristic_run_rins", "mip_heuristic_run_rens")
"""Work of HiGHS that does not pay on these models: with it all the demo takes three times as
long (`benchmarks/verdicts.py --tricks`)."""
LARGE = 1_500
"""From so many columns on, time runs out before the proof, and looking round good plans pays after all."""

Progress = Callable[[str, float, float], None]
"""Called with the stage, the best value so far and the bound."""


@dataclass
class Program:
    """Columns (bounds, integer or not) and rows (bounds, sparse coefficients), built once."""

    names: list[str] = field(default_factory=list)
    lower: list[float] = field(default_factory=list)
    upper: list[float] = field(default_factory=list)
    integer: list[bool] = field(default_factory=list)
    row_lower: list[float] = field(default_factory=list)
    row_upper: list[float] = field(default_factory=list)
    rows: list[Mapping[int, float]] = field(default_factory=list)

    def column(self, name: str, upper: float = 1.0, *, lower: float = 0.0, integer: bool = False) -> int:
        """Add a column; its index."""
        self.names.append(name)
        self.lower.append(lower)
        self.upper.append(upper)
        self.integer.append(integer)
        return len(self.names) - 1

    def row(self, terms: Mapping[int, float], *, lower: float = -INF, upper: float = INF) -> int:
        """Add a row lower ≤ Σ coefficient·column ≤ upper; its index."""
        self.rows.append(terms)
        self.row_lower.append(lower)
        self.row_upper.append(upper)
        return len(self.rows) - 1

    def at_most(self, smaller: Iterable[int], larger: Mapping[int, float]) -> int:
        """Σ smaller ≤ Σ coefficient·larger."""
        terms: dict[int, float] = {index: -value for index, value in larger.items()}
        for index in smaller:
            terms[index] = terms.get(index, 0.0) + 1.0
        return self.row(terms, upper=0.0)


@dataclass(frozen=True, slots=True)
class Solution:
    """`optimal` within the asked gap, `feasible` when time ran out first, `infeasible` when none was found: there is
    none where the bound is INF."""

    status: Literal["optimal", "feasible", "infeasible"]
    values: Values
    objective: float
    bound: float


class Solver:
    """One HiGHS model kept alive: objectives, bounds and single coefficients change between solves."""

    def __init__(self, program: Program, threads: int) -> None:
        import highspy
        import numpy as np

        self._columns = len(program.names)
        self._costs = np.zeros(self._columns)
        lp = highspy.HighsLp()
        lp.num_col_, lp.num_row_ = self._columns, len(program.rows)
        lp.col_cost_ = np.zeros(self._columns)
        lp.col_lower_, lp.col_upper_ = np.array(program.lower), np.array(program.upper)
        lp.row_lower_, lp.row_upper_ = np.array(program.row_lower), np.array(program.row_upper)
        lp.integrality_ = [
            highspy.HighsVarType.kInteger if integer else highspy.HighsVarType.kContinuous
            for integer in program.integer
        ]
        lp.col_names_ = list(program.names)
        lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
        lp.a_matrix_.start_ = np.cumsum([0, *(len(row) for row in program.rows)]).astype(np.int32)
        lp.a_matrix_.index_ = np.array([index for row in program.rows for index in row], dtype=np.int32)
        lp.a_matrix_.value_ = np.array([value for row in program.rows for value in row.values()], dtype=float)
        self._highs = _quiet()
        self._highs.setOptionValue("random_seed", 0)
        highspy.Highs.resetGlobalScheduler(True)  # else the first solver of the process sets the threads of all
        self._highs.setOptionValue("threads", threads)
        for option in COSTLY:
            if option == RESTARTS or self._columns < LARGE:
                self._highs.setOptionValue(option, False)
        self._highs.passModel(lp)
        self._relaxed = _quiet()  # the same with nothing whole, kept warm: bounds change, and it goes on from there
        self._relaxed.setOptionValue("threads", threads)
        lp.integrality_ = []
        self._relaxed.passModel(lp)
        self._basis: highspy.HighsBasis | None = None

    def minimise(self, costs: Values) -> None:
        """Take `costs` as the objective."""
        import numpy as np

        self._costs = costs
        for model in (self._highs, self._relaxed):
            model.changeColsCost(self._columns, np.arange(self._columns, dtype=np.int32), costs.astype(float))

    def bound_row(self, row: int, *, lower: float = -INF, upper: float = INF) -> None:
        for model in (self._highs, self._relaxed):
            model.changeRowBounds(row, lower, upper)

    def bound_column(self, column: int, lower: float, upper: float) -> None:
        for model in (self._highs, self._relaxed):
            model.changeColBounds(column, lower, upper)

    def coefficient(self, row: int, column: int, value: float) -> None:
        for model in (self._highs, self._relaxed):
            model.changeCoeff(row, column, value)

    def start_from(self, values: Values) -> None:
        """Hand the solver a plan to begin with; it completes or discards it."""
        import highspy

        solution = highspy.HighsSolution()
        solution.col_value = [float(value) for value in values]
        self._highs.setSolution(solution)

    def solve(
        self,
        seconds: float,
        *,
        absolute_gap: float,
        relative_gap: float = 0.0,
        stage: str = "",
        progress: Progress | None = None,
    ) -> Solution:
        """Solve to `absolute_gap` or `relative_gap` of the objective, or for `seconds`."""
        import highspy
        import numpy as np

        highs = self._highs
        highs.setOptionValue("time_limit", max(0.05, seconds))
        highs.setOptionValue("mip_abs_gap", absolute_gap)
        highs.setOptionValue("mip_rel_gap", relative_gap)
        if progress is not None:
            highs.cbMipLogging.subscribe(
                lambda event: progress(stage, event.data_out.mip_primal_bound, event.data_out.mip_dual_bound)
            )
        try:
            highs.run()
            if self._lost_its_solution():
                highs.clearSolver()
                highs.run()
        finally:
            if progress is not None:
                highs.cbMipLogging.clear()  # type: ignore[no-untyped-call]
        status, info = highs.getModelStatus(), highs.getInfo()
        if info.primal_solution_status != highspy.SolutionStatus.kSolutionStatusFeasible:
            none = status == highspy.HighsModelStatus.kInfeasible
            return Solution("infeasible", np.zeros(self._columns), INF, INF if none else info.mip_dual_bound)
        values = np.array(highs.getSolution().col_value)
        done = status == highspy.HighsModelStatus.kOptimal
        return Solution("optimal" if done else "feasible", values, info.objective_function_value, info.mip_dual_bound)

    def _lost_its_solution(self) -> bool:
        """Whether the values are those of the start though something better is reported: presolve may find it and
        HiGHS (1.16) then hands back the start it was given."""
        import numpy as np

        values = np.array(self._highs.getSolution().col_value)
        reported = self._highs.getInfo().objective_function_value
        return len(values) == self._columns and float(self._costs @ values) > reported + 0.1

    def improve(
        self,
        costs: Values,
        start: Values | None,
        *,
        seconds: float,
        absolute_gap: float,
        relative_gap: float = 0.0,
        stage: str = "",
        progress: Progress | None = None,
    ) -> Solution:
        """Minimise `costs`, going out from `start`."""
        self.minimise(costs)
        if start is not None:  # last of all: a new objective or bound makes the solver forget it
            self.start_from(start)
        return self.solve(seconds, absolute_gap=absolute_gap, relative_gap=relative_gap, stage=stage, progress=progress)

    def solve_near(
        self, start: Values, columns: Iterable[int], seconds: float, *, absolute_gap: float
    ) -> Values | None:
        """The best solution that keeps those of `columns` on which `start` and the relaxed solution agree.

        `start` need not be a solution; None when there is none that near, or the clock runs out before one is found.
        """
        relaxed = self.relaxed()
        if relaxed is None:
            return None
        agreed = {
            column: float(round(start[column])) for column in columns if abs(relaxed[column] - start[column]) < EPS
        }
        before = {column: self._bounds(column) for column in agreed}
        for column, value in agreed.items():
            self.bound_column(column, value, value)
        self.start_from(start)
        found = self.solve(seconds, absolute_gap=absolute_gap)
        for column, (lower, upper) in before.items():
            self.bound_column(column, lower, upper)
        return None if found.status == "infeasible" else found.values

    def _bounds(self, column: int) -> tuple[float, float]:
        _, _, lower, upper, _ = self._highs.getCol(column)
        return lower, upper

    def forget(self) -> None:
        """Drop every trace of earlier solves, so that the next one does not depend on them.

        The relaxed model goes on from where it stood when it was first forgotten.
        """
        self._highs.clearSolver()
        self._relaxed.clearSolver()
        if self._basis is None:
            self._relaxed.run()
            self._basis = self._relaxed.getBasis()
        self._relaxed.setBasis(self._basis)

    def relaxed(self) -> Values | None:
        """The solution when nothing need be whole; None when even that does not exist."""
        import highspy
        import numpy as np

        self._relaxed.run()
        if self._relaxed.getInfo().primal_solution_status != highspy.SolutionStatus.kSolutionStatusFeasible:
            return None
        return np.array(self._relaxed.getSolution().col_value)

    def least(self, column: int, sign: float = 1.0) -> float | None:
        """The least value of `sign`·column when nothing need be whole; None when there is no solution."""
        import numpy as np

        costs = np.zeros(self._columns)
        costs[column] = sign
        self.minimise(costs)
        values = self.relaxed()
        return None if values is None else float(sign * values[column])

    def write_mps(self, path: Path) -> None:
        """The model as it stands, for any other solver."""
        self._highs.writeModel(str(path))


def _quiet() -> highspy.Highs:
    """A HiGHS that prints nothing, not even its name when it is made."""
    import highspy

    class Quiet(highspy.Highs):
        def enableCallbacks(self) -> None:  # noqa: N802
            # the constructor's own call, and the first that prints: silence must come before it; without any output
            # (output_flag) it would not call back with its progress either
            self.setOptionValue("log_to_console", False)
            super().enableCallbacks()  # type: ignore[no-untyped-call]

    return Quiet()  # type: ignore[no-untyped-call]
