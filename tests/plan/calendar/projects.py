"""Small random projects, and their best end from a formulation of its own: one binary a start, solved by HiGHS."""

from __future__ import annotations

from collections import defaultdict

import numpy as np
from hypothesis import strategies as st
from scipy.optimize import Bounds, LinearConstraint, milp

from trimwright.plan.calendar.project import Activity, Holds, Lag, Project

HORIZON = 24
INFEASIBLE = 2
"""HiGHS's status, as scipy tells it."""


@st.composite
def projects(draw: st.DrawFn, *, windows: bool = True, fixed: bool = True) -> Project:
    """Two to six activities, hands and a rack, shut hours, waits that close, now and then something already made."""
    count = draw(st.integers(2, 6))
    capacity = {"hands": draw(st.integers(1, 2)), "rack": 4}
    activities = tuple(one_of(draw, number, capacity["hands"], fixed=fixed) for number in range(count))
    lags = []
    for after in range(1, count):
        for before in draw(st.sets(st.integers(0, after - 1), max_size=2)):
            least = draw(st.integers(-1, 3))
            most = draw(st.none() | st.integers(least, least + 4)) if windows else None
            lags.append(Lag(f"a{before}", f"a{after}", least, most))
    return Project(activities, tuple(lags), capacity, HORIZON)


def one_of(draw: st.DrawFn, number: int, hands: int, *, fixed: bool) -> Activity:
    """One activity."""
    holds = []
    if draw(st.booleans()) or number == 0:
        holds.append(Holds("hands", draw(st.integers(1, hands))))
    if draw(st.booleans()):
        holds.append(Holds("rack", draw(st.integers(1, 4)), draw(st.integers(0, 3))))
    length = draw(st.integers(0, 4))
    opened = tuple((day, day + 8 - length) for day in (0, 12)) if draw(st.booleans()) else ()
    made = draw(st.integers(0, 3)) if fixed and number == 0 and draw(st.booleans()) else None
    money, group = draw(st.integers(0, 3)), draw(st.sampled_from(("", "car", "bench")))
    return Activity(f"a{number}", length, tuple(holds), opened, made, money, group)


def best_end(project: Project) -> int | None:
    """The least end by a time-indexed programme; None where no timetable exists."""
    last = project.horizon
    columns = [(place, start) for place in range(len(project.activities)) for start in range(last + 1)]
    at = {pair: number for number, pair in enumerate(columns)}
    width = len(columns) + 1
    rows: list[tuple[dict[int, float], float, float]] = []
    allowed = np.ones(width)
    allowed[-1] = last
    number = {each.id: place for place, each in enumerate(project.activities)}
    for place, each in enumerate(project.activities):
        rows.append(({at[place, start]: 1.0 for start in range(last + 1)}, 1, 1))
        rows.append(
            ({**{at[place, start]: -float(start) for start in range(last + 1)}, width - 1: 1}, each.length, np.inf)
        )
        for start in range(last + 1):
            good = (
                start == each.fixed
                if each.fixed is not None
                else (not each.starts or any(low <= start <= high for low, high in each.starts))
            )
            allowed[at[place, start]] = good and start + each.length <= last
    for lag in project.lags:
        before, after = number[lag.before], number[lag.after]
        row = {at[after, start]: float(start) for start in range(last + 1)}
        for start in range(last + 1):
            row[at[before, start]] = -float(start)
        length = project.activities[before].length
        rows.append((row, length + lag.least, np.inf if lag.most is None else length + lag.most))
    for moment in range(last + 4):
        taken: dict[str, dict[int, float]] = defaultdict(lambda: defaultdict(float))
        for place, each in enumerate(project.activities):
            for hold in each.holds:
                for start in range(max(0, moment - each.length - hold.after + 1), min(moment, last) + 1):
                    taken[hold.resource][at[place, start]] += hold.amount
        rows += [(row, 0, project.capacity[resource]) for resource, row in taken.items()]
    matrix = np.zeros((len(rows), width))
    for place, (row, _, _) in enumerate(rows):
        for column, value in row.items():
            matrix[place, column] = value
    cost = np.zeros(width)
    cost[-1] = 1
    found = milp(
        cost,
        constraints=LinearConstraint(matrix, [low for _, low, _ in rows], [high for _, _, high in rows]),
        bounds=Bounds(np.zeros(width), allowed),
        integrality=np.ones(width, dtype=np.int64),
    )
    return None if found.fun is None or found.status == INFEASIBLE else round(found.fun)
