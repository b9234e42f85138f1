"""How far a coating goes: coverage, litres for an area, wet and dry film, a mix shared out into its parts.

Shares (volume solids, transfer, thinner as a share of the paint) are numbers in (0, 1], films are µm. Transfer is the
share of what leaves the gun that lands on the part, so it multiplies coverage and divides litres.
Source: paint practice; 1 L spread 1 µm thick covers 1,000 m².
"""

from __future__ import annotations

from collections.abc import Sequence

from trimwright.errors import BadInput, Problem

M2_UM_PER_L = 1000.0
"""1 L = 10⁹ mm³ · 10⁻³, spread 1 µm thick [m²·µm/L]."""


def coverage_m2_per_l(solids: float, dry_film_um: float, transfer: float = 1.0) -> float:
    """Area that a litre covers at a dry film; theoretical with nothing lost, practical with the `transfer` of the gun.

    >>> coverage_m2_per_l(0.65, 125), coverage_m2_per_l(0.65, 125, transfer=0.5)
    (5.2, 2.6)
    """
    _refuse(_share("solids", solids), _share("transfer", transfer), _film("dry_film_um", dry_film_um))
    return M2_UM_PER_L * solids * transfer / dry_film_um


def litres(area_mm2: float, dry_film_um: float, solids: float, transfer: float = 1.0, coats: int = 1) -> float:
    """Litres of unthinned coating for an area, each coat leaving `dry_film_um`.

    >>> round(litres(1_100_000, 25, solids=0.25, transfer=0.5, coats=2), 3)
    0.44
    """
    return area_mm2 / 1e6 * coats / coverage_m2_per_l(solids, dry_film_um, transfer)


def dry_from_wet_um(wet_film_um: float, solids: float, thinner: float = 0.0) -> float:
    """What is left of a wet film when the solvent has gone; `thinner` is its volume as a share of the paint's.

    >>> round(dry_from_wet_um(80, 0.35), 1), round(dry_from_wet_um(80, 0.35, thinner=0.10), 1)
    (28.0, 25.5)
    """
    _refuse(_share("solids", solids), _film("wet_film_um", wet_film_um), _thinner(thinner))
    return wet_film_um * solids / (1 + thinner)


def wet_from_dry_um(dry_film_um: float, solids: float, thinner: float = 0.0) -> float:
    """The wet film that dries to `dry_film_um`: what a film comb must read while the coat is wet.

    >>> round(wet_from_dry_um(28, 0.35), 1)
    80.0
    """
    _refuse(_share("solids", solids), _film("dry_film_um", dry_film_um), _thinner(thinner))
    return dry_film_um * (1 + thinner) / solids


def mix(total: float, ratio: Sequence[float]) -> tuple[float, ...]:
    """A mix of `total` shared out by its ratio, in the unit of `total`; 4:1:1 is colour : hardener : thinner.

    >>> mix(0.3, (4, 1, 1))
    (0.2, 0.05, 0.05)
    """
    if not ratio or min(ratio) < 0 or not sum(ratio):
        raise BadInput(
            Problem("ratio", ":".join(map(str, ratio)), "is no mixing ratio.", "Write parts, such as 4:1:1.")
        )
    return tuple(round(total * part / sum(ratio), 9) for part in ratio)


def _share(where: str, value: float) -> Problem | None:
    if 0 < value <= 1:
        return None
    return Problem(where, str(value), "is not a share above 0 and up to 1.", "Write 30 % as 0.3.")


def _film(where: str, value: float) -> Problem | None:
    return None if value > 0 else Problem(where, str(value), "is not more than nothing.", "Give the film in µm.")


def _thinner(value: float) -> Problem | None:
    if value >= 0:
        return None
    return Problem("thinner", str(value), "is less than nothing.", "Write 10 % of the paint's volume as 0.1.")


def _refuse(*found: Problem | None) -> None:
    """BadInput with every problem found."""
    problems = [problem for problem in found if problem]
    if problems:
        raise BadInput(problems)
