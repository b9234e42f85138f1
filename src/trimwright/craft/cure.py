"""How long a coat or a glue takes in another air than that of its data sheet: the ten-degree rule and its limits.

Times are in whatever unit they are given in, temperatures °C, humidity a share in (0, 1]. The rule: every 10 °C warmer
about halves a time, every 10 °C colder doubles it. Sources: an adhesive maker's note on the ten-degree rule, valid
roughly from −1 to 49 °C; Arrhenius 1889 for the exact form, of which the rule is the case of about 51 kJ/mol at
ordinary warmth.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import exp

from trimwright.craft.gas import GAS_CONSTANT, KELVIN
from trimwright.errors import BadInput, Problem
from trimwright.worked import Factor, Term, Worked

SHEET_C = 20.0
"""The air that the trade's figures are for."""
SHEET_HUMIDITY = 0.5
COLDEST_C, HOTTEST_C = -1.0, 49.0
"""Outside these the rule says nothing. Source: the same maker's note."""
MOST_HEAT_C = 43.3
"""Cements and sealants are not hurried with more. Source: US Army TM 1-1500-204-23-6, 110 °F."""
PER_DAMP_POINT = 0.02
"""Water-borne work dries slower by so much for each point of humidity above 50 %: from memory, no source."""
SOURCE = "ten-degree rule, a maker's note"


@dataclass(frozen=True, slots=True)
class Moved:
    """A wait as it is in the air of the shop; low, likely, high in the unit that was given."""

    wait: tuple[float, float, float]
    closes: float | None
    """The last moment to go on; never later than the data sheet's."""


def ten_degrees(from_c: float, to_c: float, doubling: float = 2.0) -> float:
    """What a time at `from_c` is multiplied by at `to_c`; `doubling` is the rate's growth over 10 °C.

    BadInput outside the range of the rule.

    >>> ten_degrees(25, 35), ten_degrees(20, 10)
    (0.5, 2.0)
    """
    problems = [
        Problem(
            "temperature",
            f"{each:g} °C",
            f"is outside what the ten-degree rule is for ({COLDEST_C:g} to {HOTTEST_C:g} °C).",
            "Bring the shop to a warmth one works in, or ask the data sheet.",
        )
        for each in (from_c, to_c)
        if not COLDEST_C <= each <= HOTTEST_C
    ]
    if problems:
        raise BadInput(problems)
    return float(doubling ** ((from_c - to_c) / 10))


def arrhenius(from_c: float, to_c: float, kilojoules: float) -> float:
    """The same by the activation energy [kJ/mol], exactly.

    >>> round(1 / arrhenius(20, 30, 50), 3)
    1.967
    """
    return exp(kilojoules * 1000 / GAS_CONSTANT * (1 / (to_c + KELVIN) - 1 / (from_c + KELVIN)))


def damp_air(humidity: float) -> float:
    """What the drying time of water-borne work is multiplied by; 1 in dry air.

    >>> damp_air(0.4), round(damp_air(0.7), 2)
    (1.0, 1.4)
    """
    return 1.0 + PER_DAMP_POINT * max(0.0, humidity - SHEET_HUMIDITY) * 100


def cure_time(time: float, from_c: float, to_c: float, unit: str = "h") -> Worked:
    """A time of the data sheet, at `from_c`, as it is at `to_c`, with its working.

    >>> cure_time(60, 25, 35, "min").value
    30.0
    """
    factor = Factor(ten_degrees(from_c, to_c), f"for {to_c - from_c:+g} °C")
    return Worked(unit, (Term(time, f"{unit} at {from_c:g} °C", (factor,)),), SOURCE)


def moved(
    wait: tuple[float, float, float], air_c: float, humidity: float, *, warmth: bool, damp: bool, closes: bool
) -> Moved:
    """A wait of the trade's tables in another air.

    Heat beyond `MOST_HEAT_C` wins nothing more. A window shrinks in heat with the wait, and cold does not keep it
    open longer: nobody should count on that. BadInput where the rule says nothing.

    >>> moved((0.25, 0.5, 1.0), 30, 0.5, warmth=True, damp=False, closes=True)
    Moved(wait=(0.125, 0.25, 0.5), closes=0.5)
    """
    air = ten_degrees(SHEET_C, min(air_c, MOST_HEAT_C) if air_c <= HOTTEST_C else air_c)
    factor = (air if warmth else 1.0) * (damp_air(humidity) if damp else 1.0)
    low, likely, high = wait
    last = high * min(1.0, air if warmth else 1.0) if closes else None
    return Moved((low * factor, likely * factor, high * factor), last)
