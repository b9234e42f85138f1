"""A cover's material by its pieces: as they were laid, else as they were drawn; without either by the rule of thumb."""

from __future__ import annotations

from collections.abc import Sequence

from trimwright.facts.trade import Material, Rate, Treatment
from trimwright.job.cutting import Cutting
from trimwright.worked import Factor, Term, Worked

HIDES, LENGTH = "its pieces as laid, hides whole", "its pieces as laid along a roll"
DRAWN = "its pieces as drawn, with the trade's waste"
"""Where a figure is from, as its working tells it. Whole hides have the spare of a batch in them."""


def is_cut_of(material: Material, rates: Sequence[Rate]) -> bool:
    """Whether a treatment cuts its pieces out of it: so much for every square metre, off hides or off a roll."""
    return material.unit in ("m²", "m") and all(each.per == "m2" and not each.each_coat for each in rates)


def by_pieces(
    cutting: Cutting | None, treatment: Treatment, material: Material, rates: Sequence[Rate]
) -> Worked | None:
    """What the pieces come to, in the material's unit; None where none are known of this treatment and material.

    A layout has its waste in it. Pieces that were only drawn take the trade's, and a roll's width.
    """
    if cutting is None or (cutting.treatment, cutting.material) != (treatment.id, material.id):
        return None
    if not is_cut_of(material, rates):
        return None
    if cutting.taken is not None:
        source = HIDES if material.unit == "m²" else LENGTH
        return Worked(material.unit, (Term(cutting.taken, f"{material.unit} of {cutting.laid_on}"),), source)
    most = max(rates, key=lambda each: each.waste / each.divisor)
    factors = [Factor(most.waste, "waste")] if most.waste != 1 else []
    if most.divisor != 1:
        factors.append(Factor(most.divisor, most.divisor_name, divides=True))
    return Worked(material.unit, (Term(cutting.pieces_mm2 / 1e6, "m² in the pieces", tuple(factors)),), DRAWN)
