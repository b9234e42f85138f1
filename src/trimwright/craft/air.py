"""The air before a coat: its dew point, how far above it the surface is, and the water in it.

Humidity is a share in (0, 1], temperatures are °C at sea level. Below 0 °C the dew point is the frost point.
Source: ASHRAE Handbook of Fundamentals (2017), chapter 1, through the library PsychroLib.
"""

from __future__ import annotations

from dataclasses import dataclass

from trimwright.craft.answer import Against
from trimwright.craft.gas import GAS_CONSTANT, KELVIN
from trimwright.errors import BadInput, Problem
from trimwright.worked import Factor, Term, Worked

LEAST_MARGIN_K = 3.0
"""How far above the dew point a surface must be before a coat. Source: ISO 8502-4, read in a secondary source."""
MOST_HUMIDITY = 0.85
"""Above this nothing is coated. Source: ISO 12944-7 style practice, read in a secondary source."""
HYGROMETER = 0.05
"""What a hygrometer of the workshop may read too low, as a share of saturation: common practice, no source."""
SOURCE = "ASHRAE Fundamentals 2017 ch. 1, by PsychroLib"
_WATER_G_MOL = 18.015


@dataclass(frozen=True, slots=True)
class CoatAir:
    """The air and a surface, before a coat."""

    vapour_pressure: Worked
    """Of the water in the air [Pa]."""
    dew_point: Worked
    """[°C]."""
    margin: Worked
    """The surface above the dew point [K]."""
    least_surface: Worked
    """The coldest surface that may be coated in this air [°C]."""
    margin_if_damper: Worked
    """The margin if the hygrometer reads too low by `HYGROMETER` [K]."""
    water: Worked
    """Water in the air [g/m³]."""
    limits: tuple[Against, ...]

    @property
    def holds(self) -> bool:
        """Whether margin and humidity both keep their limits."""
        return all(each.holds for each in self.limits)


def dew_point_c(air_c: float, humidity: float) -> float:
    """The dew point [°C].

    >>> round(dew_point_c(20, 0.6), 2), round(dew_point_c(25, 1.0), 2)
    (12.01, 25.0)
    """
    import psychrolib

    _refuse(air_c, humidity)
    psychrolib.SetUnitSystem(psychrolib.SI)
    return float(psychrolib.GetTDewPointFromRelHum(air_c, humidity))


def before_a_coat(
    air_c: float,
    humidity: float,
    surface_c: float,
    *,
    least_margin_k: float = LEAST_MARGIN_K,
    most_humidity: float = MOST_HUMIDITY,
) -> CoatAir:
    """Whether a surface is far enough above the dew point to be coated; BadInput with every figure that can't be.

    >>> air = before_a_coat(20, 0.6, 14)
    >>> round(air.margin.value, 1), air.holds, round(air.least_surface.value, 1)
    (2.0, False, 15.0)
    """
    import psychrolib

    dew = dew_point_c(air_c, humidity)
    damper = dew_point_c(air_c, min(1.0, humidity + HYGROMETER))
    saturated = float(psychrolib.GetSatVapPres(air_c))
    pressure = Worked("Pa", (Term(saturated, f"Pa saturated at {air_c:g} °C", (Factor(humidity, "of it"),)),), SOURCE)
    dew_term = Term(dew, f"°C, where {pressure.value:.0f} Pa is all that air can hold")
    kelvin = air_c + KELVIN
    water = Term(
        pressure.value,
        "Pa",
        (
            Factor(_WATER_G_MOL, "g/mol"),
            Factor(GAS_CONSTANT, "J/(mol·K)", divides=True),
            Factor(kelvin, "K", divides=True),
        ),
    )
    margin = _above("dew point", surface_c, dew)
    return CoatAir(
        vapour_pressure=pressure,
        dew_point=Worked("°C", (dew_term,), SOURCE),
        margin=margin,
        least_surface=Worked(
            "°C", (Term(dew, "°C dew point"), Term(least_margin_k, "K margin")), f"{SOURCE}; ISO 8502-4"
        ),
        margin_if_damper=_above(f"dew point at {min(1.0, humidity + HYGROMETER):.0%}", surface_c, damper),
        water=Worked("g/m³", (water,), "ideal gas"),
        limits=(
            Against("surface above the dew point", margin, least_margin_k, "K", "ISO 8502-4", at_most=False),
            Against(
                "relative humidity",
                Worked("%", (Term(humidity, "", (Factor(100, "%"),)),), "as read"),
                most_humidity * 100,
                "%",
                "ISO 12944-7 style practice; the data sheet goes before it",
            ),
        ),
    )


def _above(of: str, surface_c: float, dew_c: float) -> Worked:
    return Worked("K", (Term(surface_c, "°C surface"), Term(-dew_c, f"°C {of}")), SOURCE)


def _refuse(air_c: float, humidity: float) -> None:
    problems = []
    if not -60 <= air_c <= 100:
        problems.append(Problem("air", f"{air_c:g} °C", "is no air one works in.", "Give −60 to 100 °C."))
    if not 0 < humidity <= 1:
        what = "is not above 0 and up to 100 %."
        problems.append(Problem("humidity", f"{humidity:.0%}", what, "Read the hygrometer again; 60 % is 0.6."))
    if problems:
        raise BadInput(problems)
