"""Rates worked out on a part: the sum by hand, the working as read, the rounding to buy by."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trimwright.craft.amounts import milli, worked_amount
from trimwright.facts.trade import Rate
from trimwright.worked import Term, Worked

SPRAY = Rate(0.035, "m2", each_coat=True, divisor=0.32, divisor_name="transfer")


def work(*rates: Rate, unit: str = "L", area_mm2: int = 1_100_000, length_mm: int = 6_200, coats: int = 3) -> Worked:
    return worked_amount(
        rates, area_mm2=area_mm2, length_mm=length_mm, pieces=2, coats=coats, unit=unit, source="a sheet"
    )


def test_each_driver_takes_its_own_measure() -> None:
    """0.5 a job + 2 × 1.1 m² + 0.1 × 6.2 m + 0.25 × 2 pieces = 3.82."""
    found = work(Rate(0.5, "job"), Rate(2, "m2"), Rate(0.1, "m"), Rate(0.25, "piece"), unit="h")
    assert found.value == pytest.approx(3.82)
    assert str(found) == "3.82 h = 0.5 h + 2 h/m² × 1.1 m² + 0.1 h/m × 6.2 m + 0.25 h/piece × 2 pieces  [a sheet]"


def test_what_the_gun_loses_is_bought_too() -> None:
    """0.035 × 1.1 × 3 ÷ 0.32 = 0.3609: transfer divides."""
    assert milli(work(SPRAY)) == 361
    assert str(work(SPRAY)).startswith("0.3609 L = 0.035 L/m² × 1.1 m² × 3 coats ÷ 0.32 transfer")


def test_roll_goods_come_in_metres_of_their_width() -> None:
    found = work(Rate(1, "m2", waste=1.25, divisor=1.37, divisor_name="m roll width"), unit="m")
    assert str(found) == "1.0036 m = 1 m²/m² × 1.1 m² × 1.25 waste ÷ 1.37 m roll width  [a sheet]"


def test_nothing_to_measure_needs_nothing() -> None:
    assert milli(work(Rate(7, "m"), unit="m", length_mm=0)) == 0
    assert milli(work(SPRAY, coats=0)) == 0
    assert milli(work()) == 0


@given(st.integers(min_value=0, max_value=10**7))
def test_thousandths_come_back_as_they_were(thousandths: int) -> None:
    assert milli(Worked("L", (Term(thousandths / 1000, "L"),), "")) == thousandths


@given(st.integers(0, 20_000_000), st.integers(0, 20_000_000), st.integers(0, 9))
def test_a_larger_part_never_needs_less(area: int, other: int, coats: int) -> None:
    least, most = sorted((area, other))
    assert milli(work(SPRAY, area_mm2=least, coats=coats)) <= milli(work(SPRAY, area_mm2=most, coats=coats))
