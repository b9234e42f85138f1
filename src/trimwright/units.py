"""Text to whole numbers and back: money, time, area, length, amounts; the only place that parses or prints them.

Inside the program money is whole minor units of the job's currency (ISO 4217 exponent), time whole minutes, area
whole mm², length whole mm. Metric and US customary units are read alike; printing follows the job's choice.
A figure may be grouped by spaces, apostrophes or commas, and a comma may be the decimal sign; what could be read two
ways is refused. Factors are exact by definition: NIST SP 811 (2008), Appendix B.8.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from decimal import ROUND_HALF_UP, Decimal
from functools import cache
from typing import Literal

from trimwright.errors import BadInput, Problem

System = Literal["metric", "US customary"]

MAX_AREA_MM2 = 20_000_000
"""Largest believable area of one cabin part [mm²], 20 m²."""
MAX_LENGTH_MM = 50_000
MAX_MONEY_MINOR = 10**12
MAX_MINUTES = 20_000 * 60
MAX_TORQUE_NM = 500

_FACTORS: dict[str, dict[str, str]] = {
    "length": {"mm": "1", "cm": "10", "m": "1000", "in": "25.4", "ft": "304.8", "yd": "914.4"},
    "area": {"mm2": "1", "cm2": "100", "dm2": "10000", "m2": "1000000",
             "in2": "645.16", "ft2": "92903.04", "yd2": "836127.36"},
    "volume": {"ml": "1", "cl": "10", "l": "1000", "floz": "29.5735295625", "pt": "473.176473", "qt": "946.352946",
               "gal": "3785.411784", "m3": "1000000", "ft3": "28316.846592"},
    "mass": {"g": "1", "kg": "1000", "oz": "28.349523125", "lb": "453.59237"},
    "flow": {"m3/h": "1", "m3/min": "60", "m3/s": "3600", "l/s": "3.6", "l/min": "0.06", "cfm": "1.69901079552"},
    "film": {"um": "1", "mm": "1000", "mil": "25.4"},
    "torque": {"nm": "1", "lbfft": "1.3558179483314004", "lbfin": "0.1129848290276167", "kgfm": "9.80665"},
}  # fmt: skip
"""Each unit in the smallest of its dimension; volumes are US liquid measure."""

_ALSO = {
    "litre": "l", "litres": "l", "liter": "l", "liters": "l", "usfloz": "floz", "usgal": "gal", "gallon": "gal",
    "gallons": "gal", "usqt": "qt", "quart": "qt", "quarts": "qt", "uspt": "pt", "pint": "pt", "pints": "pt",
    "cum": "m3", "cuft": "ft3", "cubicmetres": "m3", "cubicfeet": "ft3", "ft3/min": "cfm", "m3h": "m3/h",
    "micron": "um", "microns": "um", "mils": "mil",
    "metre": "m", "metres": "m", "meter": "m", "meters": "m", "mrun": "m",
    '"': "in", "″": "in", "inch": "in", "inches": "in", "'": "ft", "′": "ft", "foot": "ft", "feet": "ft",
    "yard": "yd", "yards": "yd", "yds": "yd", "lbs": "lb", "sqm": "m2", "sqmetres": "m2", "sqcm": "cm2", "sqmm": "mm2",
    "sqin": "in2", "sqinch": "in2", "sqinches": "in2", "sqft": "ft2", "sqfoot": "ft2", "sqfeet": "ft2", "sf": "ft2",
    "sqyd": "yd2", "sqyard": "yd2", "sqyards": "yd2", "ftlbf": "lbfft", "ftlb": "lbfft", "inlbf": "lbfin",
}  # fmt: skip
"""Other ways the same units are typed."""

_HEAT = {"c": "C", "celsius": "C", "f": "F", "fahrenheit": "F", "k": "K", "kelvin": "K"}
"""Units of temperature, which have a nought of their own and so no factor."""

_NUMBER = r"-?[0-9][0-9.,]*"


_ASCII = str.maketrans({"²": "2", "³": "3", "µ": "u", "μ": "u"})


def _units(typed: str) -> Iterator[tuple[str, Decimal]]:
    """Dimension and exact factor of a typed unit, once a dimension that has it: a film is told in mm like a length."""
    bare = re.sub(r"[\s.·*^_-]", "", typed.translate(_ASCII).lower().replace("square", "sq"))
    bare = _ALSO.get(bare, bare)
    for dimension, factors in _FACTORS.items():
        if bare in factors:
            yield dimension, Decimal(factors[bare])


def _unit(typed: str) -> tuple[str, Decimal] | None:
    """The first dimension of a typed unit; None when it is none of ours."""
    return next(_units(typed), None)


def convert(value: Decimal | int | str, unit: str, to: str) -> Decimal:
    """`value` of one unit in another of the same dimension; KeyError for units that are not ours or do not go together.

    >>> convert(46, "lbf·ft", "N·m").quantize(Decimal("0.0001")), convert("0.5", "US gal", "L")
    (Decimal('62.3676'), Decimal('1.892705892'))
    """
    wanted = dict(_units(to))
    for dimension, factor in _units(unit):
        if dimension in wanted:
            return Decimal(value) * factor / wanted[dimension]
    raise KeyError(f"{unit} to {to}")


def _figure(text: str, *, groups: bool) -> Decimal | None:
    """A typed number, or None; `groups` says that "2,400" is two thousand four hundred and not refused as unclear."""
    bare = re.sub(r"[\s'’_]", "", text)
    if re.fullmatch(r"-?\d{1,3}(,\d{3})+\.\d+|-?\d{1,3}(,\d{3}){2,}", bare, re.ASCII):
        bare = bare.replace(",", "")
    elif re.fullmatch(r"-?\d{1,3}(\.\d{3})+,\d+|-?\d{1,3}(\.\d{3}){2,}", bare, re.ASCII):
        bare = bare.replace(".", "").replace(",", ".")
    elif re.fullmatch(r"-?[1-9]\d{0,2},\d{3}", bare, re.ASCII):
        if not groups:
            return None
        bare = bare.replace(",", "")
    if not re.fullmatch(r"-?\d+([.,]\d+)?", bare, re.ASCII):
        return None
    return Decimal(bare.replace(",", "."))


def parse_number(text: str, where: str = "number") -> Decimal:
    """A plain number from text, as exact as it is typed.

    >>> parse_number("0,9"), parse_number("12")
    (Decimal('0.9'), Decimal('12'))
    """
    value = _figure(text, groups=False)
    if value is None:
        raise BadInput(Problem(where, text, "is not a number.", "Write it in figures, without a thousands sign."))
    return value


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
    if found.exponent is None:
        raise BadInput(Problem("currency", currency, "is a code that no shop prices in.", "Use EUR, USD or the like."))
    return int(found.exponent)


def parse_money(text: str, currency: str, where: str = "money") -> int:
    """Minor units from a typed sum; thousands may be spaced by commas, spaces or apostrophes.

    >>> parse_money("2,400", "USD"), parse_money("12,50", "EUR"), parse_money("2400", "JPY"), parse_money("1.5", "KWD")
    (240000, 1250, 2400, 1500)
    """
    places = exponent(currency)
    value = _figure(text.strip().removeprefix(currency).removesuffix(currency), groups=True)
    if value is None:
        raise BadInput(Problem(where, text, "is not a sum of money.", "Write it in figures, such as 2400."))
    if -int(value.as_tuple().exponent) > places:
        what = f"has more decimals than {currency} has ({places})."
        raise BadInput(Problem(where, text, what, "Write thousands without a point, and no more decimals than that."))
    if abs(value.scaleb(places)) > MAX_MONEY_MINOR:
        raise BadInput(Problem(where, text, "is beyond any cabin.", "Check the figure."))
    return int(value.scaleb(places))


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


def parse_minutes(text: str, where: str = "time") -> int:
    """Whole minutes from typed hours; a bare number is hours.

    >>> parse_minutes("6 h 20"), parse_minutes("6:20"), parse_minutes("1.5"), parse_minutes("45 min")
    (380, 380, 90, 45)
    """
    typed = text.strip().lower()
    problem = Problem(where, text, "is not a time.", "Write hours, such as 6.5 or 6 h 30.")
    parts = re.fullmatch(r"(\d{1,5})\s*(?:h|hours?|:)\s*(\d{1,2})\s*(?:m|min|minutes)?", typed, re.ASCII)
    one = re.fullmatch(rf"({_NUMBER})\s*(|h|hours?|hrs?|m|min|minutes?)", typed, re.ASCII)
    if parts and int(parts[2]) < 60:
        minutes = Decimal(int(parts[1]) * 60 + int(parts[2]))
    elif one and (value := _figure(one[1], groups=False)) is not None:
        minutes = value if one[2].startswith("m") else value * 60
    else:
        raise BadInput(problem)
    if not 0 <= minutes <= MAX_MINUTES:
        raise BadInput(Problem(where, text, "is not between 0 and 20,000 hours.", "Check the figure."))
    return int(minutes.to_integral_value(ROUND_HALF_UP))


def hours(minutes: int) -> str:
    """Minutes as hours and minutes.

    >>> hours(380), hours(45), hours(0), hours(120)
    ('6 h 20', '0 h 45', '0 h', '2 h')
    """
    whole, rest = divmod(abs(minutes), 60)
    sign = "-" if minutes < 0 else ""
    return f"{sign}{whole} h" + (f" {rest:02d}" if rest else "")


def _measure(text: str, to: str, default: str, where: str, example: str) -> Decimal:
    """`text` in the unit `to`; a bare number is in `default`; several terms add up, as in 3 ft 6 in."""
    problem = Problem(where, text, "is not a size.", f"Write a number and a unit, such as {example}.")
    terms = re.findall(rf"({_NUMBER})\s*([^0-9]*?(?:2(?![0-9.,]))?)\s*(?=$|[0-9-])", text.strip(), re.ASCII)
    if not terms or "".join(number + unit for number, unit in terms).replace(" ", "") != re.sub(r"\s", "", text):
        raise BadInput(problem)
    total = Decimal(0)
    for number, unit in terms:
        value = _figure(number, groups=False)
        if value is None:
            raise BadInput(problem)
        try:
            total += convert(value, unit.strip() or default, to)
        except KeyError:
            raise BadInput(problem) from None
    return total


def parse_area(text: str, where: str = "area", default: str = "m2") -> int:
    """Whole mm² from a typed area; a bare number is m².

    >>> parse_area("1.10"), parse_area("3.2 sq ft"), parse_area("900 cm2"), parse_area("0,5 m²")
    (1100000, 297290, 90000, 500000)
    """
    value = _measure(text, "mm2", default, where, "0.9 m2 or 9.7 sq ft")
    return _within(value, MAX_AREA_MM2, where, text, "20 m²")


def parse_length(text: str, where: str = "length", default: str = "m") -> int:
    """Whole mm from a typed length; a bare number is metres.

    >>> parse_length("1.05"), parse_length('41 in'), parse_length("3 ft"), parse_length("3 ft 6 in")
    (1050, 1041, 914, 1067)
    """
    value = _measure(text, "mm", default, where, "1.2 m or 47 in")
    return _within(value, MAX_LENGTH_MM, where, text, "50 m")


def _within(value: Decimal, most: int, where: str, text: str, most_text: str) -> int:
    whole = int(value.to_integral_value(ROUND_HALF_UP))
    if whole > most:
        what = f"is more than any cabin part has (at most {most_text})."
        raise BadInput(Problem(where, text, what, "Check the unit."))
    if whole < 1:
        raise BadInput(Problem(where, text, "is not more than nothing.", "Leave it empty to use the trade's figure."))
    return whole


def area(mm2: int, system: System = "metric") -> str:
    """An area as people read it.

    >>> area(1100000), area(297290, "US customary"), area(1000)
    ('1.10 m²', '3.20 sq ft', '0.001 m²')
    """
    if system == "metric":
        m2 = mm2 / 1e6
        return f"{m2:.2f} m²" if m2 >= 0.01 or not mm2 else f"{m2:.3f} m²"
    return f"{convert(mm2, 'mm2', 'ft2'):.2f} sq ft"


def length(mm: int, system: System = "metric") -> str:
    """A length as people read it; inches to the nearest tenth.

    >>> length(1050), length(1041, "US customary"), length(700, "US customary")
    ('1.05 m', '41 in', '27.6 in')
    """
    return f"{mm / 1000:.2f} m" if system == "metric" else f"{_short(convert(mm, 'mm', 'in'), 1)} in"


_US_AMOUNTS = {"length": ("yd", "yd"), "area": ("ft2", "sq ft"), "volume": ("floz", "fl oz"), "mass": ("lb", "lb")}


def amount(milli: int, unit: str, system: System = "metric") -> str:
    """Thousandths of a material's unit as people read them; pieces, cans and the like are the same everywhere.

    >>> amount(360, "L"), amount(360, "L", "US customary"), amount(4800, "m2"), amount(12000, "piece")
    ('0.36 L', '12.2 fl oz', '4.8 m²', '12 piece')
    """
    known = _unit(unit)
    value = Decimal(milli) / 1000
    if system == "metric" or known is None or known[0] not in _US_AMOUNTS:
        return f"{_short(value, 3)} {unit.replace('m2', 'm²')}"
    to, shown = _US_AMOUNTS[known[0]]
    if to == "floz" and convert(value, unit, "gal") >= 1:
        to, shown = "gal", "gal"
    return f"{_short(convert(value, unit, to), 1 if to == 'floz' else 2)} {shown}"


def parse_measure(text: str, where: str, to: str, *, least: float, most: float, example: str) -> float:
    """A typed number with its unit, in the unit `to`, above `least` and up to `most`; the unit must be said.

    >>> parse_measure("300 cfm", "air flow", "m3/h", least=0, most=1e6, example="500 m3/h")
    509.703238656
    """
    found = re.fullmatch(rf"({_NUMBER})\s*(.+)", text.strip(), re.ASCII | re.DOTALL)
    value = _figure(found[1], groups=False) if found else None
    try:
        if found is None or value is None:
            raise KeyError
        measure = float(convert(value, found[2], to))
    except KeyError:
        raise BadInput(Problem(where, text, "is no number with its unit.", f"Write {example}.")) from None
    if not least < measure <= most:
        bounds = f"{_short(Decimal(str(least)), 3)} and {_short(Decimal(str(most)), 3)} {to}"
        raise BadInput(Problem(where, text, f"is not between {bounds}.", f"Check the figure and the unit: {example}."))
    return measure


def temperature(celsius: float, system: System = "metric") -> str:
    """A temperature in the units people there use.

    >>> temperature(21), temperature(20.6, "US customary")
    ('21 °C', '69 °F')
    """
    return f"{celsius:.0f} °C" if system == "metric" else f"{celsius * 9 / 5 + 32:.0f} °F"


def parse_temperature(text: str, where: str = "temperature", *, least: float = -30, most: float = 80) -> float:
    """Degrees Celsius from a typed temperature. The unit must be said: 20 is mild or frost.

    >>> parse_temperature("20 °C"), round(parse_temperature("68F"), 6)
    (20.0, 20.0)
    """
    found = re.fullmatch(rf"({_NUMBER})\s*°?\s*([a-z]+)", text.strip().lower().replace("deg", ""), re.ASCII)
    value = _figure(found[1], groups=False) if found else None
    unit = _HEAT.get(found[2]) if found else None
    if value is None or unit is None:
        raise BadInput(Problem(where, text, "is no temperature with its unit.", "Write 20 C, or 68 F."))
    celsius = {"C": value, "F": (value - 32) * 5 / 9, "K": value - Decimal("273.15")}[unit]
    if not least <= celsius <= most:
        what = f"is not between {least:g} and {most:g} °C."
        raise BadInput(Problem(where, text, what, "Check the figure and the unit."))
    return float(celsius)


def parse_share(text: str, where: str = "share") -> float:
    """A share above 0 and up to 1 from a typed one: 60 % and 0.6 are the same.

    >>> parse_share("60 %"), parse_share("0.6")
    (0.6, 0.6)
    """
    typed = text.strip()
    value = _figure(typed.removesuffix("%"), groups=False)
    if value is None:
        raise BadInput(Problem(where, text, "is not a share.", "Write 60 %, or 0.6."))
    share = value / 100 if typed.endswith("%") else value
    if not 0 < share <= 1:
        raise BadInput(Problem(where, text, "is not above 0 and up to 100 %.", "Write it as 60 %, or 0.6."))
    return float(share)


def parse_torque(text: str, where: str = "torque") -> float:
    """Newton metres from a typed torque. The unit must be said: 46 N·m and 46 lbf·ft are not the same bolt.

    >>> round(parse_torque("46 lbf·ft"), 2), parse_torque("46 Nm")
    (62.37, 46.0)
    """
    found = re.fullmatch(rf"({_NUMBER})\s*(.+)", text.strip(), re.ASCII)
    value = _figure(found[1], groups=False) if found else None
    unit = _unit(found[2]) if found else None
    if value is None or unit is None or unit[0] != "torque":
        raise BadInput(Problem(where, text, "is no torque with its unit.", "Write the unit behind it: N·m or lbf·ft."))
    newton_metres = value * unit[1]
    if not 0 < newton_metres <= MAX_TORQUE_NM:
        what = f"is not between 0 and {MAX_TORQUE_NM} N·m."
        raise BadInput(Problem(where, text, what, "Check the figure and the unit."))
    return float(newton_metres)


def torque(newton_metres: float) -> str:
    """A torque in both units, wherever it is shown.

    >>> torque(46), torque(21.55)
    ('46 N·m (33.9 lbf·ft)', '21.6 N·m (15.9 lbf·ft)')
    """
    value = Decimal(str(newton_metres))
    return f"{_short(value, 1)} N·m ({_short(convert(value, 'N·m', 'lbf·ft'), 1)} lbf·ft)"


def _short(value: Decimal, places: int) -> str:
    """At most so many decimals, no trailing zeros."""
    shown = f"{value:.{places}f}"
    return shown.rstrip("0").rstrip(".") if "." in shown else shown
