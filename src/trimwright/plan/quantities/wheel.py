"""A wheel's wrap by its measures: leather, thread and seam as they come out, not by the trade's rule of thumb."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import lru_cache
from typing import TYPE_CHECKING

from trimwright.craft.amounts import worked_amount
from trimwright.facts.trade import Trade, Treatment
from trimwright.job.wheel import Wheel
from trimwright.worked import Factor, Term, Worked

if TYPE_CHECKING:
    from trimwright.geometry.lacing import Lacing
    from trimwright.geometry.wrap import Leather, Wrap

REWRAP = "wheel_rewrap"
LEATHER, THREAD = "leather_offcut", "thread_hand"
SOURCE = "the wheel's own measures"
OFFCUT = 2.0
"""Leather to have over that in the pieces, so that they can be laid clear of marks and the firm way; own judgement, as
a marked hide takes 1.7 to 2.2 times its panels."""
STRIP_MM = 100.0
"""Marked on a test strip."""


@lru_cache(maxsize=64)
def wrap_of(wheel: Wheel) -> tuple[Wrap, Lacing]:
    """The wrap and its lacing. BadInput with everything that is wrong with the measures."""
    from trimwright.geometry import wrap as wraps
    from trimwright.geometry.lacing import lacing
    from trimwright.geometry.rim import Rim, Spoke, bare_grip, radius_from_outside

    grips = tuple((each.at, bare_grip(each.grip, wheel.over_leather)) for each in wheel.grips)
    outside = wheel.outside - 2 * wheel.over_leather
    oval = wheel.oval if wheel.oval > 0 else 1.0  # a section of nothing is refused below, by the rim itself
    rim = Rim(
        radius_mm=radius_from_outside(outside, grips, oval),
        grips=grips,
        oval=wheel.oval,
        spokes=tuple(Spoke(each.at, each.wide, each.thick) for each in wheel.spokes),
    )
    made = wraps.wrap(
        rim,
        _leather(wheel),
        wraps.Seam(wheel.gap, wheel.margin, wheel.pitch),
        wraps.Shape(joins=wheel.joins, fit=wheel.fit, halves=wheel.halves, tuck_mm=wheel.tuck),
    )
    return made, lacing(wheel.lacing, rim, made.leather, made.seam, made.runs, arm_mm=wheel.arm)


def _leather(wheel: Wheel) -> Leather:
    from trimwright.geometry import wrap as wraps

    across, along = (
        None if read is None else wraps.stretch_of(STRIP_MM, read, f"test strip {way}")
        for way, read in (("across", wheel.strip_across), ("along", wheel.strip_along))
    )
    return wraps.Leather(
        thick_mm=wheel.leather,
        across=wraps.GUESSED_ACROSS if across is None else across,
        along=wraps.GUESSED_ALONG if along is None else along,
        tested=across is not None and along is not None,
    )


def uses_measured(wheel: Wheel | None, treatments: Iterable[Treatment]) -> Mapping[str, Worked]:
    """Leather and thread of a measured wheel that is to be wrapped, by material; nothing otherwise."""
    if wheel is None or all(each.id != REWRAP for each in treatments):
        return {}
    made, laced = wrap_of(wheel)
    room = Factor(OFFCUT, "room to lay them")
    return {
        LEATHER: Worked("m²", (Term(made.area_mm2 / 1e6, "m² in the pieces", (room,)),), SOURCE),
        THREAD: Worked("m", (Term(laced.cut_mm / 1000, f"m cut for {made.pairs} pairs, {laced.name}"),), SOURCE),
    }


def seam_mm(wheel: Wheel) -> int:
    """The seam to lace, for what is reckoned by length."""
    return round(wrap_of(wheel)[0].laced_mm)


def wrap_minutes(wheel: Wheel, trade: Trade) -> Worked:
    """Hands-on minutes of wrapping this wheel, by the trade's hours or the shop's own."""
    treatment = trade.treatments[REWRAP]
    hours = worked_amount(
        treatment.hours,
        area_mm2=round(wrap_of(wheel)[0].area_mm2),
        length_mm=seam_mm(wheel),
        pieces=1,
        coats=treatment.coats,
        unit="h",
        source=treatment.evidence.source,
    )
    factors = (Factor(60, "min/h"), *((Factor(treatment.pace, "own pace"),) if treatment.pace != 1 else ()))
    return Worked(
        "min", tuple(Term(each.rate, each.unit, (*each.factors, *factors)) for each in hours.terms), hours.source
    )
