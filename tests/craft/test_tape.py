"""Areas from the tape against school geometry (any table of plane figures); units by NIST SP 811, appendix B.8."""

from __future__ import annotations

from math import pi

import pytest

from trimwright.craft.tape import SHAPES, measured
from trimwright.errors import BadInput


@pytest.mark.parametrize(
    ("shape", "typed", "mm2"),
    [
        ("rectangle", ["52", "48"], 520 * 480),
        ("trapezium", ["60", "40", "50"], 500 * 500),
        ("triangle", ["30", "20"], 300 * 100),
        ("oval", ["20", "20"], round(pi * 100**2)),
        ("strip", ["1.2 m", "9"], 1200 * 90),
        ("cushion", ["50", "40", "10"], 500 * 400 + 2 * (500 + 400) * 100),
        ("rectangle", ["2 ft", "12 in"], 610 * 305),  # lengths are whole mm
    ],
)
def test_a_shape_has_its_area(shape: str, typed: list[str], mm2: int) -> None:
    assert measured(shape, typed).area_mm2 == mm2


def test_a_bare_number_is_centimetres_or_inches() -> None:
    assert measured("rectangle", ["10", "10"]).area_mm2 == 100 * 100
    assert measured("rectangle", ["10", "10"], system="US customary").area_mm2 == 254 * 254


def test_the_working_is_the_formula_with_its_figures() -> None:
    assert measured("trapezium", ["52", "48", "60"]).working == "(0.52 m + 0.48 m) ÷ 2 × 0.60 m = 0.30 m²"
    told = measured("rectangle", ["20", "20"], system="US customary").working
    assert told == "20 in × 20 in = 2.78 sq ft"


def test_like_pieces_count_together() -> None:
    one, four = measured("cushion", ["50", "40", "10"]), measured("cushion", ["50", "40", "10"], pieces=4)
    assert four.area_mm2 == 4 * one.area_mm2
    assert four.working.startswith("(0.50 m × 0.40 m + 2 × (0.50 m + 0.40 m) × 0.10 m) × 4 = ")


@pytest.mark.parametrize(
    ("shape", "typed", "where"),
    [
        ("heap", ["1", "1"], ["shape"]),
        ("rectangle", ["52"], ["width"]),
        ("trapezium", ["", "x", "-4"], ["wide end", "narrow end", "between them"]),
        ("rectangle", ["40 m", "40 m"], ["area"]),
    ],
)
def test_what_is_wrong_is_told_all_at_once(shape: str, typed: list[str], where: list[str]) -> None:
    with pytest.raises(BadInput) as caught:
        measured(shape, typed)
    assert [each.where for each in caught.value.problems] == where


def test_every_shape_names_its_measures_in_its_formula() -> None:
    for shape in SHAPES.values():
        assert [each for each in "abc" if each in shape.formula] == list("abc")[: len(shape.measures)]
