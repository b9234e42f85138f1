"""The area of a part from what a tape tells: a shape, at most three measures, and the formula with its figures."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from math import pi
from types import MappingProxyType

from trimwright import units
from trimwright.errors import BadInput, Problem


@dataclass(frozen=True, slots=True)
class Shape:
    """A shape as a hand would call it; `formula` names its measures by a, b and c in their order."""

    measures: tuple[str, ...]
    formula: str
    area: Callable[..., float]


SHAPES: Mapping[str, Shape] = MappingProxyType({
    "rectangle": Shape(("length", "width"), "a × b", lambda a, b: a * b),
    "trapezium": Shape(
        ("wide end", "narrow end", "between them"), "(a + b) ÷ 2 × c", lambda a, b, c: (a + b) / 2 * c
    ),
    "triangle": Shape(("one side", "height on it"), "a × b ÷ 2", lambda a, b: a * b / 2),
    "oval": Shape(("longest way", "shortest way"), "π ÷ 4 × a × b", lambda a, b: pi / 4 * a * b),
    "strip": Shape(("length", "round it"), "a × b", lambda a, b: a * b),
    "cushion": Shape(
        ("length", "width", "border"), "a × b + 2 × (a + b) × c", lambda a, b, c: a * b + 2 * (a + b) * c
    ),
})  # fmt: skip
"""A strip is measured round what it covers; a cushion is its top and the border all round."""


@dataclass(frozen=True, slots=True)
class Measured:
    """An area [mm²] and how it came about."""

    area_mm2: int
    working: str


def measured(shape_id: str, typed: Sequence[str], *, pieces: int = 1, system: units.System = "metric") -> Measured:
    """The area of `pieces` like pieces from typed measures; a bare number is centimetres, in US customary inches.

    BadInput with everything that is wrong.

    >>> measured("trapezium", ["52", "48 cm", "0.6 m"]).working
    '(0.52 m + 0.48 m) ÷ 2 × 0.60 m = 0.30 m²'
    """
    shape = SHAPES.get(shape_id)
    if shape is None:
        raise BadInput(Problem("shape", shape_id, "is no shape there is.", f"Choose one of: {', '.join(SHAPES)}."))
    bare_unit = "cm" if system == "metric" else "in"
    lengths: list[int] = []
    problems: list[Problem] = []
    for name, text in zip(shape.measures, (*typed, "", "", ""), strict=False):
        try:
            lengths.append(units.parse_length(text, name, default=bare_unit))
        except BadInput as error:
            problems += error.problems
    if problems:
        raise BadInput(problems)
    whole = round(shape.area(*lengths) * pieces)
    if not 0 < whole <= units.MAX_AREA_MM2:
        most = units.area(units.MAX_AREA_MM2, system)
        what = f"comes to more than any cabin part has (at most {most})."
        raise BadInput(Problem("area", units.area(whole, system), what, "Check the units."))
    working = shape.formula
    for letter, length in zip("abc", lengths, strict=False):
        working = working.replace(letter, units.length(length, system))
    if pieces > 1:
        working = f"({working}) × {pieces}" if shape_id == "cushion" else f"{working} × {pieces}"
    return Measured(whole, f"{working} = {units.area(whole, system)}")
