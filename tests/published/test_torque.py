"""Torque of bolts against what is published: areas and proof loads of ISO 898-1, a worked T = K · d · F, army tables.

Units by NIST SP 811 (2008), Appendix B.8. No figure here is for what holds people: those stand in the car's own book.
"""

from __future__ import annotations

from typing import get_args

import pytest

from tests.published.rows import rows
from trimwright import units
from trimwright.craft.torque import (
    PROOF_MPA,
    general_torque,
    proof_load_n,
    thread_of,
    torque_nm,
)
from trimwright.facts.fixings import Grade
from trimwright.facts.workbench import load_workbench

PUBLISHED = rows("fasteners")
GRADES: tuple[Grade, ...] = get_args(Grade)
THREADS = load_workbench().bolt_threads
ARMY: dict[str, Grade] = {"grade 5 (about class 8.8)": "8.8", "grade 8 (about class 10.9)": "10.9"}
PLATED = 0.8
"""The army's rule for new plated screws: 20 % off the dry table."""


def of(topic: str) -> list[dict[str, str]]:
    found = [row for row in PUBLISHED if row["topic"] == topic]
    assert found
    return found


@pytest.mark.parametrize("row", of("thread"), ids=lambda row: row["item"])
def test_stress_areas_are_those_of_iso_898_1(row: dict[str, str]) -> None:
    """To the three figures the standard prints."""
    thread = thread_of(row["item"])
    assert thread is not None
    assert float(f"{thread.stress_area_mm2:.3g}") == float(row["value"])


def test_proof_stresses_are_those_of_iso_898_1() -> None:
    assert {row["item"]: float(row["value"]) for row in of("property class")} == PROOF_MPA


@pytest.mark.parametrize("row", of("proof load"), ids=lambda row: f"{row['item']} {row['property']}")
def test_proof_loads_are_those_of_iso_898_1(row: dict[str, str]) -> None:
    """The standard multiplies its rounded areas and rounds again: within 1 %."""
    thread = thread_of(row["item"])
    (grade,) = (grade for grade in GRADES if f"class {grade} " in row["property"])
    assert thread is not None
    assert proof_load_n(thread, grade) == pytest.approx(float(row["value"]), rel=0.01)


def test_a_published_example_of_t_kdf() -> None:
    """3/8-16 UNC grade 5 at 75 % of proof: 4940 lbf, 30 lbf·ft dry (rounded down), 23 with oil."""
    told = {row["property"]: float(row["value"]) for row in of("torque worked example")}
    preload = told["preload"] * 4.4482216152605
    diameter = float(units.convert("0.375", "in", "m"))
    for k, named in ((0.20, "torque for K=0.20 (dry)"), (0.15, "torque for K=0.15 (lubricated)")):
        lbf_ft = float(units.convert(str(torque_nm(k, diameter, preload)), "N·m", "lbf·ft"))
        assert told[named] <= lbf_ft < told[named] + 1


COEFFICIENTS = {"clean dry (steel)": "dry", "zinc plated": "plated", "lubricated": "oiled"}


@pytest.mark.parametrize("row", of("torque coefficient K"), ids=lambda row: row["item"])
def test_coefficients_are_those_of_the_newsletter(row: dict[str, str]) -> None:
    assert THREADS[COEFFICIENTS[row["item"]]].k[1] == float(row["value"])


RANGES = {
    "dry steel on dry steel": ("dry", 0.18, 0.27),
    "machine oil on steel": ("oiled", 0.10, 0.26),
    "zinc on steel": ("plated", 0.17, 0.35),
}
"""Source: a fastener supplier's engineering-data page, read in a secondary source."""


@pytest.mark.parametrize("named", RANGES)
def test_ranges_are_those_of_the_suppliers_page(named: str) -> None:
    state, low, high = RANGES[named]
    assert (THREADS[state].k[0], THREADS[state].k[2]) == (low, high)


@pytest.mark.parametrize("row", of("US Army torque"), ids=lambda row: f"{row['item']} {row['property']}")
def test_the_general_figure_stays_under_the_army_table_for_dry_threads(row: dict[str, str]) -> None:
    """TM 9-2320-362-14&P, Table F-1: never above it but for rounding; class 8.8 from M8 on within 5 % of it plated."""
    thread, grade = thread_of(row["item"]), ARMY[row["property"]]
    assert thread is not None
    ours, printed = general_torque(thread, grade).value, float(row["value"])
    assert ours <= printed * 1.02
    if grade == "8.8" and thread.diameter_mm >= 8:
        assert ours == pytest.approx(printed * PLATED, rel=0.05)


@pytest.mark.parametrize("row", rows("torque_units"), ids=lambda row: row["from"])
def test_torque_units_are_those_of_nist_sp_811(row: dict[str, str]) -> None:
    assert units.parse_torque(f"1 {row['from']}") == pytest.approx(float(row["value"]), rel=1e-12)
