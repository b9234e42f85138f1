"""Text to whole numbers and back: money, time, area, length, amounts; the only place that parses or prints them.

Inside the program money is whole minor units of the job's currency (ISO 4217 exponent), time whole minutes, area
whole mm², length whole mm. Metric and US customary units are read alike; printing follows the job's choice.
"""

from __future__ import annotations

import re
from decimal import ROUND_HALF_UP, Decimal, InvalidOperation
from functools import cache
from typing import TYPE_CHECKING, Literal

from trimwright.errors import BadInput, Problem

if TYPE_CHECKING:
    from pint import UnitRegistry

System = Literal["metric", "US customary"]

MAX_AREA_MM2 = 20_000_000
"""Largest believable area of one cabin part [mm²], 20 m²."""
MAX_LENGTH_MM = 50_000
MAX_MONEY_MINOR = 10**12


@cache
def exponent(currency: str) -> int:
    """Decimal places of a currency by ISO 4217.

    >>> exponent("EUR"), exponent("JPY"), exponent("KWD")
    (2, 0, 3)
    """
    from iso4217 import Currency

    try:
        found = Currency(currency)
    except ValueError:
        raise BadInput(
            Problem("currency", currency, "is no ISO 4217 currency code.", "Use three letters, such as EUR or USD.")
        ) from None
    return int(found.exponent or 0)


def parse_money(text: str, currency: str, where: str = "money") -> int:
    """Minor units from a typed sum; thousands may be spaced by commas, spaces or apostrophes.

    >>> parse_money("2,400", "USD"), parse_money("12.50", "EUR"), parse_money("2400", "JPY")
    (240000, 1250, 2400)
    """
    places = exponent(currency)
    bare = re.sub(r"[\s,'’_ ]", "", text.strip().removesuffix(currency).strip())
    try:
        value = Decimal(bare)
    except InvalidOperation:
        raise BadInput(Problem(where, text, "is not a sum of money.", "Write it in figures, such as 2400.")) from None
    if not value.is_finite():
        raise BadInput(Problem(where, text, "is not a sum of money.", "Write it in figures, such as 2400."))
    minor = value.scaleb(places)
    if minor != minor.to_integral_value():
        raise BadInput(Problem(where, text, f"has more decimals than {currency} has ({places})."))
    if abs(minor) > MAX_MONEY_MINOR:
        raise BadInput(Problem(where, text, "is beyond any cabin.", "Check the figure."))
    return int(minor)


def money(minor: int, currency: str, *, code: bool = False) -> str:
    """A sum as people read it: whole units when there is nothing after the point.

    >>> money(240000, "USD"), money(1250, "EUR", code=True), money(-7, "KWD")
    ('2,400', '12.50 EUR', '-0.007')
    """
    places = exponent(currency)
    value = Decimal(minor).scaleb(-places)
    shown = f"{value:,.{places}f}"
    if places and shown.endswith("." + "0" * places):
        shown = shown[: -places - 1]
    return f"{shown} {currency}" if code else shown


def hours(minutes: int) -> str:
    """Minutes as hours and minutes.

    >>> hours(380), hours(45), hours(0), hours(120)
    ('6 h 20', '0 h 45', '0 h', '2 h')
    """
    whole, rest = divmod(abs(minutes), 60)
    sign = "-" if minutes < 0 else ""
    return f"{sign}{whole} h" + (f" {rest:02d}" if rest else "")


@cache
def registry() -> UnitRegistry:
    """The one unit registry, with the leather trade's square foot spelled the ways it is typed."""
    from pint import UnitRegistry

    return UnitRegistry(autoconvert_offset_to_baseunit=True)


_SPELLINGS = (
    (r"(?<=[a-z])²|(?<=[a-z])\^2", "**2"),
    (r"\bsq\.?\s*(ft|feet|foot)\b\.?", "ft**2"),
    (r"\bsq\.?\s*(in|inch|inches)\b\.?", "inch**2"),
    (r"\bsq\.?\s*(yd|yards?)\b\.?", "yard**2"),
    (r"\bsq\.?\s*m\b\.?", "m**2"),
    (r"\b(m|cm|mm|ft|in)2\b", r"\1**2"),
    (r"(?<=\d)\s*(?:\"|″)", " inch"),
    (r"(?<=\d)\s*(?:'|′)", " ft"),
    (r"\bin\b", "inch"),
)


def _measure(text: str, base: str, default: str, where: str, example: str) -> Decimal:
    """`text` in `base` units; a bare number is in `default` units."""
    import pint

    spelled = text.strip().lower()
    for pattern, instead in _SPELLINGS:
        spelled = re.sub(pattern, instead, spelled)
    problem = Problem(where, text, "is not a size.", f"Write a number and a unit, such as {example}.")
    if not re.fullmatch(r"[0-9.,]+(e-?\d+)?\s*[a-z*0-9]*", spelled):
        raise BadInput(problem)
    number, unit = re.fullmatch(r"([0-9.,]+(?:e-?\d+)?)\s*([a-z*0-9]*)", spelled).groups()  # type: ignore[union-attr]
    number = number.replace(",", ".") if number.count(",") == 1 and "." not in number else number.replace(",", "")
    try:
        value = Decimal(number)
        factor = Decimal(str(registry().Quantity(1, unit or default).to(base).magnitude))
    except (InvalidOperation, pint.errors.PintError, AttributeError, TypeError, ValueError):
        raise BadInput(problem) from None
    return value * factor


def parse_area(text: str, where: str = "area", default: str = "m**2") -> int:
    """Whole mm² from a typed area; a bare number is m².

    >>> parse_area("1.10"), parse_area("3.2 sq ft"), parse_area("900 cm2")
    (1100000, 297290, 90000)
    """
    value = _measure(text, "mm**2", default, where, "0.9 m2 or 9.7 sq ft")
    return _within(value, MAX_AREA_MM2, where, text, "20 m²")


def parse_length(text: str, where: str = "length", default: str = "m") -> int:
    """Whole mm from a typed length; a bare number is metres.

    >>> parse_length("1.05"), parse_length('41 in'), parse_length("3 ft")
    (1050, 1041, 914)
    """
    value = _measure(text, "mm", default, where, "1.2 m or 47 in")
    return _within(value, MAX_LENGTH_MM, where, text, "50 m")


def _within(value: Decimal, most: int, where: str, text: str, most_text: str) -> int:
    whole = int(value.to_integral_value(ROUND_HALF_UP))
    if whole > most:
        raise BadInput(Problem(where, text, f"is more than any cabin part has (at most {most_text})."))
    return whole


def area(mm2: int, system: System = "metric") -> str:
    """An area as people read it.

    >>> area(1100000), area(297290, "US customary"), area(1000)
    ('1.10 m²', '3.20 sq ft', '0.001 m²')
    """
    if system == "metric":
        m2 = mm2 / 1e6
        return f"{m2:.2f} m²" if m2 >= 0.01 or not mm2 else f"{m2:.3f} m²"
    return f"{mm2 / 92903.04:.2f} sq ft"


def length(mm: int, system: System = "metric") -> str:
    """A length as people read it.

    >>> length(1050), length(1041, "US customary")
    ('1.05 m', '41 in')
    """
    return f"{mm / 1000:.2f} m" if system == "metric" else f"{mm / 25.4:.4g} in"
