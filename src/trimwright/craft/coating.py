"""How far a coating goes: coverage, litres for an area, wet and dry film, a mix weighed out, the pot life it must last.

Shares (volume solids, transfer, thinner as a share of the paint) are numbers in (0, 1], films are µm. Transfer is the
share of what leaves the gun that lands on the part, so it multiplies coverage and divides litres.
Source: paint practice; 1 L spread 1 µm thick covers 1,000 m².
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from trimwright.errors import BadInput, Problem
from trimwright.worked import Factor, Term, Worked

M2_UM_PER_L = 1000.0
"""A litre is 10⁶ mm³: 10⁻³ mm thick it covers 10⁹ mm² [m²·µm/L]."""
POURED = ("colour or clear", "hardener", "thinner", "additive")
"""The parts of a mixing ratio, in the order in which data sheets write them."""
SOURCE = "paint practice: 1 L at 1 µm covers 1000 m²"
GUN_L_PER_MIN = 0.15
"""What a small gun lets through with its trigger pulled: common practice, no source."""


@dataclass(frozen=True, slots=True)
class Share:
    """One part of a mix: how much of it, and what the scale reads when it is in, the cup tared [g]."""

    part: float
    litres: Worked
    grams: Worked
    scale: Worked


def coverage_m2_per_l(solids: float, dry_film_um: float, transfer: float = 1.0) -> float:
    """Area that a litre covers at a dry film; theoretical with nothing lost, practical with the `transfer` of the gun.

    >>> coverage_m2_per_l(0.65, 125), coverage_m2_per_l(0.65, 125, transfer=0.5)
    (5.2, 2.6)
    """
    _refuse(_share("solids", solids), _share("transfer", transfer), _film("dry_film_um", dry_film_um))
    return M2_UM_PER_L * solids * transfer / dry_film_um


def litres(area_mm2: float, dry_film_um: float, solids: float, transfer: float = 1.0, coats: int = 1) -> Worked:
    """Litres of coating for an area, each coat leaving `dry_film_um`; `solids` are those of what is in the gun.

    >>> print(litres(1_100_000, 25, solids=0.25, transfer=0.5, coats=2))
    0.44 L = 1.1 m² × 25 µm × 2 coats ÷ 1000 m²·µm/L ÷ 0.25 solids ÷ 0.5 transfer  [paint practice: 1 L at 1 µm \
covers 1000 m²]
    """
    _refuse(
        _area(area_mm2),
        _film("dry_film_um", dry_film_um),
        _share("solids", solids),
        _share("transfer", transfer),
        _coats(coats),
    )
    factors = (
        Factor(dry_film_um, "µm"),
        Factor(coats, "coat" if coats == 1 else "coats"),
        Factor(M2_UM_PER_L, "m²·µm/L", divides=True),
        Factor(solids, "solids", divides=True),
        Factor(transfer, "transfer", divides=True),
    )
    return Worked("L", (Term(area_mm2 / 1e6, "m²", factors),), SOURCE)


def dry_from_wet_um(wet_film_um: float, solids: float, thinner: float = 0.0) -> Worked:
    """What is left of a wet film when the solvent has gone; `thinner` is its volume as a share of the paint's.

    >>> round(dry_from_wet_um(80, 0.35).value, 1), round(dry_from_wet_um(80, 0.35, thinner=0.10).value, 1)
    (28.0, 25.5)
    """
    _refuse(_share("solids", solids), _film("wet_film_um", wet_film_um), _thinner(thinner))
    return _film_worked(wet_film_um, "µm wet", (Factor(solids, "solids"), *_thinned(thinner, divides=True)))


def wet_from_dry_um(dry_film_um: float, solids: float, thinner: float = 0.0) -> Worked:
    """The wet film that dries to `dry_film_um`: what a film comb must read while the coat is wet.

    >>> round(wet_from_dry_um(28, 0.35).value, 1)
    80.0
    """
    _refuse(_share("solids", solids), _film("dry_film_um", dry_film_um), _thinner(thinner))
    thinned = _thinned(thinner, divides=False)
    return _film_worked(dry_film_um, "µm dry", (Factor(solids, "solids", divides=True), *thinned))


def _thinned(thinner: float, *, divides: bool) -> tuple[Factor, ...]:
    return (Factor(1 + thinner, "thinned volume", divides=divides),) if thinner else ()


def _film_worked(film_um: float, unit: str, factors: tuple[Factor, ...]) -> Worked:
    return Worked("µm", (Term(film_um, unit, factors),), SOURCE)


# ---- the mix ---------------------------------------------------------------------------------------------------------


def mixed(total_l: float, ratio: Sequence[float], densities: Sequence[float]) -> tuple[Share, ...]:
    """A mix of `total_l` shared out by volume, weighed by the densities [kg/L]; 4:1:1 is colour : hardener : thinner.

    BadInput with everything that is wrong.

    >>> [round(each.scale.value, 1) for each in mixed(0.3, (4, 1, 1), (1.25, 1.05, 0.87))]
    [250.0, 302.5, 346.0]
    """
    told = ":".join(f"{part:g}" for part in ratio)
    problems: list[Problem | None] = []
    if not total_l > 0:
        problems.append(Problem("total", f"{total_l:g} L", "is not more than nothing.", "Give litres above 0."))
    if not ratio or not min(ratio) > 0:
        problems.append(Problem("ratio", told, "is no mixing ratio.", "Write parts above 0, such as 4:1:1."))
    if len(densities) != len(ratio):
        what = f"are {len(densities)} densities for {len(ratio)} parts."
        shown = ":".join(f"{each:g}" for each in densities)
        problems.append(Problem("densities", shown, what, "Give one for each part, as the data sheets have them."))
    problems += [
        Problem("densities", f"{each:g} kg/L", "is no density of a paint.", "Give kg/L between 0.5 and 3.")
        for each in densities
        if not 0.5 <= each <= 3
    ]
    _refuse(*problems)
    shares: list[Share] = []
    on_the_scale: tuple[Term, ...] = ()
    for part, density in zip(ratio, densities, strict=True):
        volume = (Factor(part, "parts"), Factor(sum(ratio), "parts in all", divides=True))
        grams = Term(total_l, "L", (*volume, Factor(density, "kg/L"), Factor(1000, "g/kg")))
        on_the_scale = (*on_the_scale, Term(grams.value, "g"))
        shares.append(
            Share(
                part,
                Worked("L", (Term(total_l, "L", volume),), f"{told} by volume"),
                Worked("g", (grams,), f"{told} by volume"),
                Worked("g", on_the_scale, "one after the other into the tared cup"),
            )
        )
    return tuple(shares)


def minutes_to_spray(total_l: float, coats: int, flash_min: float, gun_l_per_min: float = GUN_L_PER_MIN) -> Worked:
    """How long one mix must stay open: all of it through the gun, and the flash between the coats.

    >>> round(minutes_to_spray(0.3, 2, 15).value)
    17
    """
    if not gun_l_per_min > 0:
        _refuse(Problem("gun", f"{gun_l_per_min:g} L/min", "lets nothing through.", "Give more than 0."))
    through = Term(total_l, "L", (Factor(gun_l_per_min, "L/min", divides=True),))
    waits = Term(flash_min, "min flash", (Factor(coats - 1, "times"),))
    return Worked("min", (through, waits) if coats > 1 else (through,), "common practice, no source")


# ---- what is refused -------------------------------------------------------------------------------------------------


def _share(where: str, value: float) -> Problem | None:
    if 0 < value <= 1:
        return None
    return Problem(where, f"{value:g}", "is not a share above 0 and up to 1.", "Write 30 % as 0.3.")


def _film(where: str, value: float) -> Problem | None:
    return None if value > 0 else Problem(where, f"{value:g}", "is not more than nothing.", "Give the film in µm.")


def _area(value: float) -> Problem | None:
    return None if value > 0 else Problem("area", f"{value:g} mm²", "is not more than nothing.", "Measure it again.")


def _coats(value: int) -> Problem | None:
    return None if value >= 1 else Problem("coats", f"{value}", "is not one coat.", "Give 1 or more.")


def _thinner(value: float) -> Problem | None:
    if value >= 0:
        return None
    return Problem("thinner", f"{value:g}", "is less than nothing.", "Write 10 % of the paint's volume as 0.1.")


def _refuse(*found: Problem | None) -> None:
    """BadInput with every problem found."""
    problems = [problem for problem in found if problem]
    if problems:
        raise BadInput(problems)
