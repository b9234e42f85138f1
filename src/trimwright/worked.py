"""A figure that remembers its working: value, unit, the terms it was summed from, and their source.

A `Worked` is a sum of `Term`s; a term is a rate multiplied and divided by named factors. That is all the
arithmetic the trade's rules of thumb need, so the working can always be printed and re-done by hand.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, floor, prod

_DUST = 1e-6
"""What a float's rounding may leave beside a whole number of thousandths, minutes or minor units."""


@dataclass(frozen=True, slots=True)
class Factor:
    """One number of a product with its meaning; `divides` puts it under the line."""

    value: float
    unit: str
    divides: bool = False

    def __str__(self) -> str:
        return f"{'÷' if self.divides else '×'} {plain(self.value)}{' ' + self.unit if self.unit else ''}"


@dataclass(frozen=True, slots=True)
class Term:
    """`rate` [`unit`] times and divided by `factors`.

    >>> Term(0.035, "L/m²", (Factor(1.1, "m²"), Factor(3, "coats"))).value
    0.1155
    """

    rate: float
    unit: str
    factors: tuple[Factor, ...] = ()

    @property
    def value(self) -> float:
        over = prod(factor.value for factor in self.factors if not factor.divides)
        under = prod(factor.value for factor in self.factors if factor.divides)
        return round(self.rate * over / under, 9)

    def __str__(self) -> str:
        return " ".join([f"{plain(self.rate)} {self.unit}".strip(), *(str(factor) for factor in self.factors)])


@dataclass(frozen=True, slots=True)
class Worked:
    """The sum of `terms` in `unit`, with the `source` of the rates.

    >>> print(Worked("L", (Term(0.035, "L/m²", (Factor(1.1, "m²"), Factor(3, "coats"))),), "colour maker's sheet"))
    0.1155 L = 0.035 L/m² × 1.1 m² × 3 coats  [colour maker's sheet]
    """

    unit: str
    terms: tuple[Term, ...]
    source: str

    @property
    def value(self) -> float:
        return round(sum(term.value for term in self.terms), 9)

    def __str__(self) -> str:
        working = " + ".join(str(term) for term in self.terms) or "0"
        return f"{plain(self.value)} {self.unit} = {working}  [{self.source}]"


def plain(value: float) -> str:
    """A number with up to four significant decimals and no trailing zeros.

    >>> plain(0.36), plain(3.0), plain(0.00412)
    ('0.36', '3', '0.0041')
    """
    return f"{value:.4f}".rstrip("0").rstrip(".") or "0"


def rounded_up(value: float) -> int:
    """The least whole number that is not below `value`; a float's dust does not count.

    >>> rounded_up((0.1 + 0.2) * 1000), rounded_up(300.01)
    (300, 301)
    """
    return ceil(value - _DUST)


def rounded_down(value: float) -> int:
    """The largest whole number that is not above `value`; a float's dust does not count.

    >>> rounded_down(0.29 * 100), rounded_down(28.99)
    (29, 28)
    """
    return floor(value + _DUST)
