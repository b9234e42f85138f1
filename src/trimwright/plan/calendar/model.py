"""The timetable as a constraint model, solved by CP-SAT: starts with their allowed times, rooms as cumulatives."""

from __future__ import annotations

import threading
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any, Literal

from trimwright.plan.calendar.bound import closed
from trimwright.plan.calendar.network import Network

WORKERS = 2
SEED = 1
POLL = 0.05
"""Seconds between two looks whether to stop."""
Found = Callable[[list[int], int], None]
"""What is told of each better timetable: its starts, and the bound known then."""
Outcome = Literal["proven", "found", "none there", "not found"]


@dataclass(frozen=True)
class Asked:
    """What the model is asked, beside the network."""

    seconds: float
    bound: int = 0
    """Nothing ends earlier, by other bounds."""
    hint: Sequence[int] | None = None
    workers: int = WORKERS


@dataclass(frozen=True, slots=True)
class Answer:
    """What came back."""

    outcome: Outcome
    starts: list[int] | None
    bound: int


def ask(
    network: Network, asked: Asked, *, found: Found | None = None, stop: Callable[[], bool] | None = None
) -> Answer:
    """The best timetable found in the seconds given, and the bound on the end."""
    from ortools.sat.python import cp_model

    model = cp_model.CpModel()
    starts = starts_of(model, network, asked)
    waits(model, network, starts)
    rooms(model, network, starts)
    objective(model, network, starts, asked)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = asked.workers
    solver.parameters.random_seed = SEED
    solver.parameters.max_time_in_seconds = max(0.01, asked.seconds)
    status = watched(solver, model, starts, found, stop)
    if status == cp_model.INFEASIBLE:
        return Answer("none there", None, network.horizon + 1)
    bound = max(asked.bound, round(solver.best_objective_bound))
    if status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        best = [solver.value(each) for each in starts]
        return Answer("proven" if status == cp_model.OPTIMAL else "found", best, bound)
    return Answer("not found", None, bound)


def starts_of(model: Any, network: Network, asked: Asked) -> list[Any]:
    """A variable for each start, over its allowed times, and its hint."""
    from ortools.sat.python import cp_model

    found = []
    for place, name in enumerate(network.names):
        low, high = network.heads[place], network.latest[place]
        ranges = [[max(low, one), min(high, other)] for one, other in network.ranges[place]]
        domain = cp_model.Domain.from_intervals([each for each in ranges if each[0] <= each[1]])
        found.append(model.new_int_var_from_domain(domain, name))
        if asked.hint is not None:
            model.add_hint(found[-1], asked.hint[place])
    return found


def waits(model: Any, network: Network, starts: Sequence[Any]) -> None:
    """Who starts how long after whom."""
    for one, others in enumerate(network.later):
        for other, weight in others:
            model.add(starts[other] >= starts[one] + weight)


def rooms(model: Any, network: Network, starts: Sequence[Any]) -> None:
    """No more is held than there is; where nothing can be held at all, the room is shut, which tells the bound."""
    users: dict[int, list[tuple[Any, int]]] = {}
    for place, held in enumerate(network.held):
        for one in held:
            span = model.new_fixed_size_interval_var(starts[place] + one.begins, one.length, f"{network.names[place]}")
            users.setdefault(one.resource, []).append((span, one.amount))
    shut = closed(network)
    for resource, taken in users.items():
        capacity = network.capacity[resource]
        if sum(amount for _, amount in taken) <= capacity:
            continue
        for start, end in shut.get(resource, ()):
            taken.append((model.new_fixed_size_interval_var(start, end - start, "shut"), capacity))
        if min(amount for _, amount in taken) * 2 > capacity:
            model.add_no_overlap([span for span, _ in taken])
        else:
            model.add_cumulative([span for span, _ in taken], [amount for _, amount in taken], capacity)


def objective(model: Any, network: Network, starts: Sequence[Any], asked: Asked) -> None:
    """The earliest end."""
    end = model.new_int_var(min(asked.bound, network.horizon), network.horizon, "end")
    for place, others in enumerate(network.later):
        if not any(weight >= network.lengths[place] for _, weight in others):
            model.add(end >= starts[place] + network.lengths[place])
    if asked.hint is not None:
        model.add_hint(end, max(start + length for start, length in zip(asked.hint, network.lengths, strict=True)))
    model.minimize(end)


def watched(
    solver: Any, model: Any, starts: Sequence[Any], found: Found | None, stop: Callable[[], bool] | None
) -> Any:
    """Solve, telling of each better timetable, and stop when told to."""
    from ortools.sat.python import cp_model

    class Watch(cp_model.CpSolverSolutionCallback):
        def on_solution_callback(self) -> None:
            if found is not None:
                found([self.value(each) for each in starts], round(self.best_objective_bound))

    over = threading.Event()

    def look() -> None:
        while stop is not None and not over.wait(POLL):
            if stop():
                solver.stop_search()
                return

    watcher = threading.Thread(target=look, daemon=True)
    watcher.start()
    try:
        return solver.solve(model, Watch())
    finally:
        over.set()
        watcher.join()
