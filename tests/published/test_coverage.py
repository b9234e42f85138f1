"""Coverage, films and mixes against the figures that makers and trade columns print; sources stand in the CSVs."""

from __future__ import annotations

import pytest

from tests.published.rows import rows
from trimwright.craft.coating import coverage_m2_per_l, dry_from_wet_um, litres, mixed, wet_from_dry_um
from trimwright.units import convert

UM_PER_MIL = 25.4
FT2_PER_GAL = float(convert(1, "m2", "ft2") * convert(1, "gal", "l"))
"""1 m²/L in sq ft per US gallon (NIST SP 811)."""


@pytest.mark.parametrize("row", rows("coverage"), ids=lambda row: f"{row['solids_percent']}% {row['film']}")
def test_coverage_is_as_published(row: dict[str, str]) -> None:
    us = row["unit"] == "ft2/US gal"
    film_um = float(row["film"]) * (UM_PER_MIL if row["film_unit"] == "mil" else 1)
    found = coverage_m2_per_l(float(row["solids_percent"]) / 100, film_um, float(row["transfer_percent"]) / 100)
    assert found * (FT2_PER_GAL if us else 1) == pytest.approx(float(row["value"]), abs=float(row["within"]))


def test_the_table_is_whole() -> None:
    """Eight volume solids by five films."""
    table = {(row["solids_percent"], row["film"]) for row in rows("coverage") if "table" in row["quantity"]}
    assert len(table) == 40


def test_a_loss_of_30_percent_leaves_70_of_100_square_feet() -> None:
    """Source: a corrosion encyclopedia, practical coverage."""
    theoretical = coverage_m2_per_l(0.5, 200)
    assert coverage_m2_per_l(0.5, 200, transfer=0.7) == pytest.approx(theoretical * 70 / 100)


def test_a_lining_of_1400_square_feet_takes_70_gallons() -> None:
    """80 mil of 100 % solids: a lining maker's bulletin of May 2014 rounds 69.83 up to 70."""
    area_mm2 = float(convert(1400, "ft2", "mm2"))
    gallons = litres(area_mm2, 80 * UM_PER_MIL, solids=1.0).value / float(convert(1, "gal", "l"))
    assert gallons == pytest.approx(69.8254, abs=0.01)
    assert round(gallons) == 70


def test_a_gallon_of_the_columns_paint_covers_what_it_says() -> None:
    """The transfer share divides the amount: 167 sq ft of the column of Oct 2003 take one gallon, not a tenth of it."""
    area_mm2 = float(convert(167, "ft2", "mm2"))
    needed = litres(area_mm2, 1.5 * UM_PER_MIL, solids=0.52, transfer=0.30).value
    assert needed == pytest.approx(float(convert(1, "gal", "l")), rel=0.002)


@pytest.mark.parametrize("row", rows("film"), ids=lambda row: f"{row['quantity']} {row['wet_film']}")
def test_a_wet_film_dries_as_published(row: dict[str, str]) -> None:
    wet, solids, thinner = float(row["wet_film"]), float(row["solids_percent"]), float(row["thinner_percent"])
    dry = dry_from_wet_um(wet * UM_PER_MIL, solids / 100, thinner / 100).value
    assert dry / UM_PER_MIL == pytest.approx(float(row["value"]), abs=float(row["within"]))
    assert wet_from_dry_um(dry, solids / 100, thinner / 100).value / UM_PER_MIL == pytest.approx(wet)


@pytest.mark.parametrize("row", rows("mix"), ids=lambda row: row["ratio"])
def test_a_mix_is_as_the_chart_says(row: dict[str, str]) -> None:
    ratio = [float(part) for part in row["ratio"].split(":")]
    total = float(row["paint"]) * sum(ratio) / ratio[0]
    assert total == pytest.approx(float(row["total"]), abs=0.05)
    paint, *others = (share.litres.value for share in mixed(total, ratio, [1.0] * len(ratio)))
    assert paint == pytest.approx(float(row["paint"]))
    assert others == pytest.approx([float(other) for other in row["others"].split(";")], abs=0.05)
