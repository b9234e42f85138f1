"""Colour differences against published figures: the CIEDE2000 pairs of Sharma, Wu & Dalal, and ISO 105-A02."""

from __future__ import annotations

import numpy as np
import pytest

from tests.published.rows import rows
from trimwright.craft.colour.difference import GREY_SCALE, delta_e00, fading
from trimwright.craft.colour.lab import Array, Lab

FIGURES = rows("colour")
PAIRS = [row for row in FIGURES if row["kind"] == "published"]
GRADES = [row for row in FIGURES if row["kind"] == "grey scale"]
BRANCH = "14"
"""This pair's hues are opposite to the last digit: the published table has one branch, others print the other."""
OTHER_BRANCH = 4.7461


def lab(row: dict[str, str], which: str) -> Array:
    return np.array([float(row[f"{axis}{which}"]) for axis in "Lab"])


@pytest.mark.parametrize("row", PAIRS, ids=lambda row: f"pair {row['row']}")
def test_the_published_pairs_of_ciede2000(row: dict[str, str]) -> None:
    """Sharma, Wu & Dalal, Color Research & Application 30 (2005) 21-30, Table 1, four decimals, both ways round."""
    expected = [float(row["value"])] + ([OTHER_BRANCH] if row["row"] == BRANCH else [])
    for one, other in (("1", "2"), ("2", "1")):
        found = float(delta_e00(lab(row, one), lab(row, other)))
        assert min(abs(found - each) for each in expected) < 1e-4


def test_all_of_the_published_pairs_are_there() -> None:
    assert len(PAIRS) == 34


@pytest.mark.parametrize("row", GRADES, ids=lambda row: row["formula"].rpartition(" ")[2])
def test_grades_of_fading_are_those_of_the_grey_scale(row: dict[str, str]) -> None:
    """ISO 105-A02:1993: chips that far apart, anywhere within the standard's tolerance, have that grade."""
    grade, apart = row["formula"].rpartition(" ")[2], float(row["value"])
    tolerance = next(each[2] for each in GREY_SCALE if each[0] == grade)
    assert next(each[1] for each in GREY_SCALE if each[0] == grade) == apart
    assert row["note"].partition(";")[0].endswith(f"{tolerance:g}") or f"{tolerance:.1f}" in row["note"]
    for off in (-tolerance, 0.0, tolerance):
        assert fading(Lab(40, 0, 0), Lab(40 + max(0.0, apart + off), 0, 0)).grade == grade
