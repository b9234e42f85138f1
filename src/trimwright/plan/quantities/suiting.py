"""Which treatment deals with which fault, and what it needs first on this part."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from trimwright.facts.trade import EXTENTS, Fault, First, Trade, Treatment
from trimwright.plan.quantities.surveyed import Surveyed


def suits(treatment: Treatment, fault: str, extent: int) -> bool:
    """Whether the treatment is for `fault` up to `extent` (0 light … 2 heavy)."""
    return any(each.fault == fault and EXTENTS.index(each.upto) >= extent for each in treatment.suits)


def lifts(treatments: Iterable[Treatment], fault: str, extent: int) -> bool:
    """Whether any of the treatments deals with `fault` at `extent`."""
    return any(each.suits_any or suits(each, fault, extent) for each in treatments)


def applies(first: First, part: Surveyed) -> bool:
    """Whether what must be done first is needed on this part, with its faults and material."""
    return (first.if_fault is None or first.if_fault in {found.id for found in part.faults}) and (
        first.if_material is None or first.if_material == part.material
    )


def fits(treatment: Treatment, part: Surveyed, trade: Trade) -> bool:
    """Whether the treatment is for this material and kind of part; "any material" never means a restraint's."""
    if treatment.only_parts and part.kind.id not in treatment.only_parts:
        return False
    return trade.is_for(part.material, treatment.materials)


def cleans_plain_wear(treatment: Treatment, faults: Mapping[str, Fault]) -> bool:
    """Whether it is an everyday clean: for dirt, not for mould, nests or what must be dealt with."""
    return (
        treatment.kind == "clean"
        and bool(treatment.suits)
        and not any(
            faults[each.fault].smells or faults[each.fault].stops or faults[each.fault].must_deal
            for each in treatment.suits
        )
    )
