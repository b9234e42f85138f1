"""Leather and roll goods against what leather merchants print; sources stand in the CSVs.

Common practice, no source: roll-goods waste of 1.1 to 1.2 under the merchants' rule, more for a repeat.
"""

from __future__ import annotations

import pytest

from tests.published.rows import rows
from trimwright.craft.cutting import (
    LEATHER_OVER_ROLL,
    leather_for_roll_mm2,
    leather_mm2,
    mm_from_ounces,
    roll_length_mm,
)
from trimwright.facts import load
from trimwright.units import convert

MM2_PER_FT2 = float(convert(1, "ft2", "mm2"))


@pytest.mark.parametrize("row", rows("leather"), ids=lambda row: f"{row['yards']} yd of {row['width_in']} in")
def test_leather_in_place_of_cloth(row: dict[str, str]) -> None:
    found = leather_for_roll_mm2(float(row["yards"]) * 914.4, float(row["width_in"]) * 25.4) / MM2_PER_FT2
    assert found == pytest.approx(float(row["value_ft2"]), abs=float(row["within"]))


def test_the_rule_in_words() -> None:
    """Merchants: 13.5 sq ft in the yard and 4.5 more for the hide's shape; "multiply by 1.3333"."""
    yard = 914.4 * 54 * 25.4 / MM2_PER_FT2
    assert yard == pytest.approx(13.5)
    assert leather_for_roll_mm2(914.4, 54 * 25.4) / MM2_PER_FT2 - yard == pytest.approx(4.5)
    assert pytest.approx(1.3333, abs=1e-4) == LEATHER_OVER_ROLL


def test_leather_and_roll_goods_agree() -> None:
    """The same panels, bought as a roll and as hides, stand in the merchants' relation whatever the roll's width."""
    for width_mm in (1371.6, 1500.0):
        roll = roll_length_mm(2_000_000, width_mm, waste=1.15)
        assert leather_for_roll_mm2(roll, width_mm) == pytest.approx(leather_mm2(2_000_000, waste=1.15))


@pytest.mark.parametrize("row", rows("ounces"), ids=lambda row: f"{row['ounces']} oz")
def test_leather_ounces(row: dict[str, str]) -> None:
    found = mm_from_ounces(float(row["ounces"]))
    assert found / 25.4 == pytest.approx(float(row["inch"]), abs=0.00005 + 1e-9)
    assert found == pytest.approx(float(row["mm"]), rel=0.01)


def test_our_own_rates_keep_to_the_merchants_rule() -> None:
    """Leather for panels: roll-goods waste of 1.1 to 1.2 (common practice) times the merchants' third more."""
    rates = [
        rate
        for treatment in load().treatments.values()
        for used, uses in treatment.uses
        if used == "leather_hide"
        for rate in uses
    ]
    assert rates
    for rate in rates:
        assert leather_mm2(1, waste=1.08) <= rate.waste <= leather_mm2(1, waste=1.2) + 1e-9
