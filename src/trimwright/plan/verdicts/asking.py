"""A decided plan's own model, asked what else it would do: with a course forced, another limit, a price left open.

Every question is put at the z of the decided plan, so that answers can be compared. A question does not depend on the
one before it, so several askers, each a thread with a model of its own, may share them out.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, TypeVar

from trimwright.errors import RecountDiffers
from trimwright.plan.quantities.cabin import Course, Quantities
from trimwright.plan.verdicts.model import line_totals
from trimwright.plan.verdicts.program import INF, Solution
from trimwright.plan.verdicts.reserve import DRAWS, spread_of
from trimwright.plan.verdicts.search import WHOLE_UNIT, Candidate, Search

if TYPE_CHECKING:
    from trimwright.plan.verdicts.program import Values
    from trimwright.plan.verdicts.verdict import Verdicts

WORKERS = 2
"""Askers at once."""
SECONDS = 10.0
"""Time for all questions of a kind about a cabin of up to `SMALL` courses; larger ones have three times as much."""
SMALL = 350
NOTHING = 1e-7
"""Stands for 0 among the figures of a find: an entry that is 0 is taken out of the matrix, and comes back in another
place."""
HELD_SECONDS = 10.0
"""Time for a plan of which every course is held: only packs are left to choose."""

Question = TypeVar("Question")
Answer = TypeVar("Answer")
Answered = Callable[[int, int], None]
"""Called with how many questions are answered, and of how many."""


@dataclass(frozen=True, slots=True)
class Held:
    """What a question holds: courses that must and must not be taken, and other limits than the job's own."""

    take: tuple[Course, ...] = ()
    ban: tuple[Course, ...] = ()
    money: float | None = None
    """The sum [minor]; INF for no limit."""
    minutes: float | None = None
    points: int | None = None
    """Points at least."""
    expected: int | None = None
    """Expected money at most [minor]."""


class Asking:
    """One model at one z. `plan` is the decided plan, found again in this model."""

    def __init__(self, quantities: Quantities, verdicts: Verdicts, *, seed: int = 1, draws: int = DRAWS) -> None:
        self.quantities = quantities
        self.search = Search(quantities, seconds=INF, draws=draws, seed=seed, progress=None, threads=1)
        self.move_to(verdicts.proof.z)
        self.plan = replace(self.bought_for(courses_of(verdicts)), bound=verdicts.proof.bound)

    def most_points(self, held: Held, start: Values, *, seconds: float, gap: float) -> Candidate | None:
        """The plan with most points, to within `gap` points; None when nothing fits, or nothing was found in time.

        The look goes out from `start`, which need not fit.
        """
        search, costs = self.search, self.search.model.costs("points")
        with self.holding(held):
            search.narrow(held.points)
            values = search.nearby(start, costs)
            if values is not start:
                search.narrow(search.model.points_of(values))
            found = search.solver.improve(costs, values, seconds=seconds, absolute_gap=gap)
            return None if found.status == "infeasible" else search.candidate(self.z, found, found)

    def least(self, what: str, held: Held, start: Values, *, seconds: float, gap: float = WHOLE_UNIT) -> Solution:
        """The solution with least "money" (the reserve inside), "expected" or "minutes"; most "paid" or "extra"."""
        search, costs = self.search, self.search.model.costs(what)
        with self.holding(held):
            search.narrow(held.points)
            search.solver.minimise(costs)
            relaxed = search.solver.relaxed()
            if relaxed is None:
                return Solution("infeasible", start, INF, INF)
            values = search.nearby(start, costs)
            found = search.solver.improve(costs, values, seconds=seconds, absolute_gap=gap)
            return replace(found, bound=max(found.bound, float(costs @ relaxed)))

    def near(self, what: str, held: Held, start: Values) -> tuple[Candidate | None, float]:
        """A plan near `start` with little of `what`, if one is found at once; and the least that any could have."""
        with self.holding(held):
            self.search.narrow(held.points, passes=1)
            costs = self.search.model.costs(what)
            self.search.solver.minimise(costs)
            relaxed = self.search.solver.relaxed()
            if relaxed is None:
                return None, INF
            values = self.search.nearby(start, costs)
            found = None if values is start else self.search.counted(self.z, values)
            return found, float(costs @ relaxed)

    def bought_for(self, chosen: Iterable[Course]) -> Candidate:
        """The plan that takes exactly these courses, whatever it costs: packs bought for the least money."""
        with self.holding(Held(take=tuple(chosen), money=INF, minutes=INF)):
            self.search.solver.forget()
            costs = self.search.model.costs("money")
            found = self.search.solver.improve(costs, None, seconds=HELD_SECONDS, absolute_gap=WHOLE_UNIT)
            if found.status == "infeasible":
                raise RecountDiffers("the courses of the plan do not go together")
            return self.search.candidate(self.z, found, None)

    def move_to(self, z: float) -> None:
        """Put every question at another z from here on."""
        self.z = z
        self.search.ask_at(z)

    def need(self, plan: Candidate) -> float:
        """The sum that the model wants for a plan: expected money and the reserve at z [minor]."""
        return plan.count.expected + self.z * self.spread(plan)

    def spread(self, plan: Candidate) -> float:
        """What z multiplies for a plan [minor]."""
        return spread_of(self.quantities, plan.count, plan.packs)

    @contextmanager
    def holding(self, held: Held) -> Iterator[None]:
        """The model with what is held; afterwards as it was."""
        model, solver = self.search.model, self.search.solver
        money, minutes = line_totals(self.quantities)
        own = model.money_limit, model.minutes_limit
        model.money_limit = own[0] if held.money is None else held.money - money
        model.minutes_limit = own[1] if held.minutes is None else held.minutes - minutes
        self.search.release()
        closed = [column for course in held.take for column in model.instead_of(course)]
        closed += [column for course in held.ban for column in model.columns_of(course)]
        for column in closed:
            solver.bound_column(column, 0.0, 0.0)
        if held.expected is not None:
            solver.bound_row(model.expected_row, upper=float(held.expected - money))
        try:
            yield
        finally:
            for column in closed:
                solver.bound_column(column, model.program.lower[column], model.program.upper[column])
            model.money_limit, model.minutes_limit = own
            self.search.release()

    @contextmanager
    def finding(self, finds: Mapping[str, Mapping[str, float]]) -> Iterator[None]:
        """The model with other figures for hidden faults, by id; afterwards as it was."""
        model, solver = self.search.model, self.search.solver
        own = {each: model.figures_of_find(self.quantities.hidden[each]) for each in finds}

        def put(all_figures: Mapping[str, Mapping[str, float]]) -> None:
            for each, figures in all_figures.items():
                column = model.hidden[each]
                solver.coefficient(model.money_row, column, figures["expected"] or NOTHING)
                solver.coefficient(model.expected_row, column, figures["expected"] or NOTHING)
                solver.coefficient(model.hours_row, column, figures["minutes"] or NOTHING)
                solver.coefficient(model.variance_row, column, figures["variance"] / model.variance_unit or NOTHING)
                solver.coefficient(model.spread_row, column, figures["swing"] or NOTHING)

        put(finds)
        try:
            yield
        finally:
            put(own)


def courses_of(verdicts: Verdicts) -> list[Course]:
    """The courses that the verdicts take, those of wholes once."""
    return [each.course for each in verdicts.verdicts if each.course is not None and each.settled_by is None]


def time_for(quantities: Quantities) -> float:
    """Seconds that all questions of a kind may take together where nobody says how long."""
    courses = sum(len(part.courses) for part in quantities.parts)
    return SECONDS if courses <= SMALL else 3 * SECONDS


def ask_all(
    askers: Sequence[Asking],
    questions: Iterable[Question],
    ask: Callable[[Asking, Question], Answer],
    answered: Answered | None = None,
) -> list[Answer]:
    """The answers in the order of the questions, shared out among the askers, each in a thread of its own.

    Interrupted (Ctrl-C), it lets the askers finish what they are at and gives the answers there are.
    """
    from concurrent.futures import ThreadPoolExecutor, as_completed
    from queue import SimpleQueue

    questions = list(questions)
    free: SimpleQueue[Asking] = SimpleQueue()
    for asker in askers:
        free.put(asker)

    def take_turn(question: Question) -> Answer:
        asker = free.get()
        try:
            return ask(asker, question)
        finally:
            free.put(asker)

    with ThreadPoolExecutor(len(askers)) as pool:
        turns = [pool.submit(take_turn, question) for question in questions]
        try:
            for count, turn in enumerate(as_completed(turns), start=1):
                turn.result()
                if answered is not None:
                    answered(count, len(turns))
        except BaseException as stopped:
            pool.shutdown(cancel_futures=True)
            if not isinstance(stopped, KeyboardInterrupt):
                raise
    return [turn.result() for turn in turns if not turn.cancelled()]
