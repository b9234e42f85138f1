"""Dew points against ASHRAE and a second library; the margin's rules. Sources stand in the CSV."""

from __future__ import annotations

import pytest

from tests.published.rows import rows
from trimwright.craft.air import LEAST_MARGIN_K, MOST_HUMIDITY, before_a_coat, dew_point_c
from trimwright.craft.workbench import ask

PUBLISHED = rows("humid_air")


def of(kind: str) -> list[dict[str, str]]:
    found = [row for row in PUBLISHED if row["kind"] == kind]
    assert found
    return found


@pytest.mark.parametrize("row", of("saturation vapour pressure"), ids=lambda row: f"{row['dry_bulb']} C")
def test_saturation_is_that_of_ashrae(row: dict[str, str]) -> None:
    """ASHRAE Fundamentals 2017, chapter 1, table 3: within 250 ppm. Full air holds its own dew point."""
    air = float(row["dry_bulb"])
    if air <= 100:
        found = before_a_coat(air, 1.0, air)
        assert found.vapour_pressure.value == pytest.approx(float(row["value"]), rel=2.5e-4)
        assert found.margin.value == pytest.approx(0, abs=0.02)


@pytest.mark.parametrize("row", of("dew point grid"), ids=lambda row: f"{row['dry_bulb']} C {row['other']}")
def test_dew_points_agree_with_a_second_library(row: dict[str, str]) -> None:
    """CoolProp (IAPWS-95) stands in cross_check: within 0.02 K."""
    found = dew_point_c(float(row["dry_bulb"]), float(row["other"]) / 100)
    assert found == pytest.approx(float(row["value"]), abs=0.006)
    assert found == pytest.approx(float(row["cross_check"]), abs=0.02)


def test_a_worked_example_of_ashrae() -> None:
    """Fundamentals 2017, chapter 1, example 1, read off a chart: 40 °C at 14 % has its dew point at 7 °C."""
    example = {row["unit"]: float(row["value"]) for row in of("worked example") if row["other"] == "20"}
    assert dew_point_c(40, example["%"] / 100) == pytest.approx(example["°C"], abs=0.5)


PAINTING = [row for row in of("worked example") if row["other_unit"] == "% RH"]
SURFACES = {"16": ("13 °C", False), "70": ("62 °F", True), "80": ("58 °F", False)}
"""By the examples' dry bulb: the surface each names, and whether it may be painted."""


@pytest.mark.parametrize("row", PAINTING, ids=lambda row: row["source"])
def test_examples_of_painters_come_out_as_they_say(row: dict[str, str]) -> None:
    """Read in a paint maker's data sheet and two charts, whose dew points are whole degrees, up to 0.8 too low."""
    surface, may = SURFACES[row["dry_bulb"]]
    margin = "3 K" if row["dry_bulb_unit"] == "°C" else "4.2 F"  # 5 °F, less what the chart reads too low
    answer = ask(
        "air coat",
        {
            "air": f"{row['dry_bulb']} {row['dry_bulb_unit']}",
            "humidity": f"{row['other']} %",
            "surface": surface,
            "margin": margin,
        },
    )
    dew = next(each for each in answer.figures if each.name == "dew point").worked.value
    printed = float(row["value"])
    assert dew == pytest.approx(printed if row["unit"] == "°C" else (printed - 32) / 1.8, abs=0.5)
    assert all(each.holds for each in answer.limits) == may


def test_the_rules_of_the_margin() -> None:
    """ISO 8502-4 asks for 3 K, stricter than the US rule of 5 °F; 85 % is common paint practice."""
    assert LEAST_MARGIN_K == 3 > 5 * 5 / 9
    assert MOST_HUMIDITY == 0.85
