"""Units against published figures, and what people type.

Factors: NIST SP 811 (2008), Appendix B.8, and a reference library. Exponents: ISO 4217.
"""

from __future__ import annotations

from decimal import Decimal

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from trimwright import units
from trimwright.errors import BadInput

NIST_SP_811 = [
    ("1", "in", "mm", "25.4"),
    ("1", "ft", "m", "0.3048"),
    ("1", "yd", "m", "0.9144"),
    ("1", "ft²", "m2", "0.09290304"),
    ("1", "sq in", "cm2", "6.4516"),
    ("1", "sq yd", "m²", "0.83612736"),
    ("1", "ft2", "dm2", "9.290304"),
    ("1", "US gal", "L", "3.785411784"),
    ("1", "US qt", "L", "0.946352946"),
    ("1", "US pt", "ml", "473.176473"),
    ("1", "US fl oz", "ml", "29.5735295625"),
    ("1", "oz", "g", "28.349523125"),
    ("1", "lb", "kg", "0.45359237"),
]


@pytest.mark.parametrize(("value", "unit", "to", "expected"), NIST_SP_811)
def test_factors_are_the_published_ones(value: str, unit: str, to: str, expected: str) -> None:
    assert units.convert(value, unit, to) == Decimal(expected)


@pytest.mark.parametrize(
    ("unit", "expected"), [("lbf·ft", "1.3558179483314"), ("in·lbf", "0.112984829027617"), ("kgf·m", "9.80665")]
)
def test_torque_factors_are_the_published_ones(unit: str, expected: str) -> None:
    """NIST SP 811 (2008), Appendix B.8; the products of exact definitions, cut after 13 digits or more."""
    assert float(units.convert(1, unit, "N·m")) == pytest.approx(float(expected), rel=1e-13)


def test_46_pound_force_feet_in_newton_metres() -> None:
    """46 × 0.3048 m × 4.4482216152605 N (NIST SP 811, Appendix B.8)."""
    assert units.convert(46, "lbf·ft", "N·m").quantize(Decimal("0.00001")) == Decimal("62.36763")


@pytest.mark.parametrize(
    ("ours", "theirs"),
    [("floz", "US_fluid_ounce"), ("gal", "US_liquid_gallon"), ("yd2", "yard**2"), ("lb", "pound"), ("in2", "inch**2")],
)
def test_factors_agree_with_a_reference_library(ours: str, theirs: str) -> None:
    base = {"floz": "ml", "gal": "ml", "yd2": "mm2", "lb": "g", "in2": "mm2"}[ours]
    expected = pint.UnitRegistry().Quantity(1, theirs).to(base.replace("mm2", "mm**2")).magnitude
    assert float(units.convert(1, ours, base)) == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize(("code", "places"), [("USD", 2), ("EUR", 2), ("JPY", 0), ("KRW", 0), ("KWD", 3), ("BHD", 3)])
def test_decimals_of_a_currency_are_those_of_iso_4217(code: str, places: int) -> None:
    assert units.exponent(code) == places


@pytest.mark.parametrize("code", ["DOLLAR", "usd", "", "ZZZ", "XXX"])
def test_a_code_that_no_shop_prices_in_is_refused(code: str) -> None:
    with pytest.raises(BadInput):
        units.exponent(code)


@pytest.mark.parametrize(
    ("typed", "currency", "minor"),
    [
        ("2400", "USD", 240_000), ("2,400", "USD", 240_000), ("2 400", "EUR", 240_000), ("2'400.50", "EUR", 240_050),
        ("2.400,50", "EUR", 240_050), ("12,5", "EUR", 1250), ("1,234,567.89", "USD", 123_456_789), ("0", "USD", 0),
        ("EUR 25", "EUR", 2500), ("25 EUR", "EUR", 2500), ("2,400", "JPY", 2400), ("1.234", "KWD", 1234),
    ],
)  # fmt: skip
def test_sums_are_read_as_typed(typed: str, currency: str, minor: int) -> None:
    assert units.parse_money(typed, currency) == minor


@pytest.mark.parametrize(
    ("typed", "currency"),
    [
        ("two thousand", "USD"), ("", "USD"), ("nan", "USD"), ("Infinity", "USD"), ("1e9", "USD"), ("2.400", "EUR"),
        ("1.005", "USD"), ("0.5", "JPY"), ("12 EUR", "USD"), ("9" * 60, "USD"), ("1,2,3", "USD"), ("--5", "USD"),
    ],
)  # fmt: skip
def test_what_is_no_sum_or_could_be_read_two_ways_is_refused(typed: str, currency: str) -> None:
    with pytest.raises(BadInput) as caught:
        units.parse_money(typed, currency, "the sum")
    assert caught.value.problems[0].where == "the sum"
    assert caught.value.problems[0].way_out


@given(st.integers(-(10**12), 10**12), st.sampled_from(["JPY", "USD", "KWD"]))
def test_a_printed_sum_reads_back(minor: int, currency: str) -> None:
    assert units.parse_money(units.money(minor, currency, code=True), currency) == minor


@pytest.mark.parametrize(
    ("typed", "mm2"),
    [
        ("1.1", 1_100_000), ("0,5 m²", 500_000), ("3.2 sq ft", 297_290), ("3.2 sq. ft.", 297_290),
        ("900 cm^2", 90_000), ("12 square inches", 7742), ("1 yd2", 836_127), ("2 ft2 10 in2", 192_258),
    ],
)  # fmt: skip
def test_areas_are_read_in_any_unit(typed: str, mm2: int) -> None:
    assert units.parse_area(typed) == mm2


@pytest.mark.parametrize(
    "typed",
    [
        "4000 m2",
        "-3 m2",
        "0",
        "nan",
        "inf m2",
        "1e5 m2",
        "3 kg",
        "3 m",
        "m2",
        "1,100 m2",
        "",
        "٣ m2",
        "0.0000001",
        "1 2",
    ],
)
def test_sizes_that_cannot_be_are_refused(typed: str) -> None:
    with pytest.raises(BadInput):
        units.parse_area(typed)


@pytest.mark.parametrize(
    ("typed", "mm"), [("41 in", 1041), ("3 ft 6 in", 1067), ("5' 10\"", 1778), ("120 cm", 1200), ("1.05", 1050)]
)
def test_lengths_are_read_in_any_unit(typed: str, mm: int) -> None:
    assert units.parse_length(typed) == mm


@pytest.mark.parametrize(
    ("milli", "unit", "system", "shown"),
    [
        (360, "L", "metric", "0.36 L"), (360, "L", "US customary", "12.2 fl oz"),
        (4000, "L", "US customary", "1.06 gal"),
        (4800, "m²", "US customary", "51.67 sq ft"), (4800, "m2", "metric", "4.8 m²"), (0, "L", "metric", "0 L"),
        (2500, "m", "US customary", "2.73 yd"), (500, "kg", "US customary", "1.1 lb"), (3000, "can", "metric", "3 can"),
    ],
)  # fmt: skip
def test_amounts_are_printed_in_the_units_of_the_job(milli: int, unit: str, system: units.System, shown: str) -> None:
    assert units.amount(milli, unit, system) == shown


@pytest.mark.parametrize("typed", ["", "6 h 75", "soon", "-1", "nan", "30000"])
def test_what_is_no_time_is_refused(typed: str) -> None:
    with pytest.raises(BadInput):
        units.parse_minutes(typed)
