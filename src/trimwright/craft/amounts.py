"""What a rule of thumb comes to on one part: rates of the facts times the part's measures, with the working kept.

A rate is so much per job, m², metre or piece; times coats and waste; over a roll's width or a transfer share.
"""

from __future__ import annotations

from collections.abc import Sequence

from trimwright.facts.trade import Per, Rate
from trimwright.worked import Factor, Term, Worked, rounded_up

_PER: dict[Per, str] = {"job": "", "m2": "/m²", "m": "/m", "piece": "/piece"}


def worked_amount(
    rates: Sequence[Rate], *, area_mm2: int, length_mm: int, pieces: int, coats: int, unit: str, source: str
) -> Worked:
    """The sum of `rates` on a part of so much area [mm²], seam or edge [mm] and pieces, in so many coats, in `unit`.

    >>> spray = Rate(0.035, "m2", each_coat=True, divisor=0.32, divisor_name="transfer")
    >>> print(worked_amount([spray], area_mm2=1_100_000, length_mm=0, pieces=1, coats=3, unit="L", source="guess"))
    0.3609 L = 0.035 L/m² × 1.1 m² × 3 coats ÷ 0.32 transfer  [guess]
    >>> cloth = Rate(1, "m2", waste=1.25, divisor=1.37, divisor_name="m roll width")
    >>> print(worked_amount([cloth], area_mm2=900_000, length_mm=0, pieces=2, coats=0, unit="m", source="guess"))
    0.8212 m = 1 m²/m² × 0.9 m² × 1.25 waste ÷ 1.37 m roll width  [guess]
    """
    drivers: dict[Per, tuple[Factor, ...]] = {
        "job": (),
        "m2": (Factor(area_mm2 / 1e6, "m²"),),
        "m": (Factor(length_mm / 1e3, "m"),),
        "piece": (Factor(pieces, _counted(pieces, "piece")),),
    }
    return Worked(unit, tuple(_term(rate, drivers[rate.per], coats, unit) for rate in rates), source)


def milli(worked: Worked) -> int:
    """Whole thousandths of the unit, rounded up.

    >>> milli(Worked("L", (Term(0.1, "L"), Term(0.2, "L")), "")), milli(Worked("L", (Term(0.30001, "L"),), ""))
    (300, 301)
    """
    return rounded_up(worked.value * 1000)


def _term(rate: Rate, driver: tuple[Factor, ...], coats: int, unit: str) -> Term:
    factors = list(driver)
    if rate.each_coat:
        factors.append(Factor(coats, _counted(coats, "coat")))
    if rate.waste != 1:
        factors.append(Factor(rate.waste, "waste"))
    if rate.divisor != 1:
        factors.append(Factor(rate.divisor, rate.divisor_name, divides=True))
    by_width = unit == "m" and rate.per == "m2" and rate.divisor != 1  # m² of roll goods over the roll's width
    return Term(rate.amount, ("m²" if by_width else unit) + _PER[rate.per], tuple(factors))


def _counted(count: int, noun: str) -> str:
    return noun if count == 1 else noun + "s"
