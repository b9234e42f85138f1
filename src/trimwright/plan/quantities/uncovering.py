"""Which work lays a hidden fault open, and which takes it away unseen.

What lies in the surface shows when that surface is worked on, and goes with it when a new one goes on; what lies in
the part shows when the part comes off and stays, and goes with it when another takes its place; what lies behind shows
when the part is off. What is only cleaned where it is uncovers nothing.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Literal

from trimwright.facts.trade import Treatment
from trimwright.plan.quantities.hidden import Suspicion
from trimwright.plan.quantities.suiting import lifts
from trimwright.plan.quantities.surveyed import Surveyed

Meeting = Literal["passes by", "lays open", "takes away"]


def takes_it_off(treatments: Iterable[Treatment]) -> bool:
    """Whether the part comes off: for work on the bench, or because another goes on in its place."""
    return any(each.reach == "off" or each.buys for each in treatments)


def puts_another(treatments: Iterable[Treatment]) -> bool:
    """Whether another part takes its place."""
    return any(each.suits_any or each.kind in ("fit used", "fit new") for each in treatments)


def renews_surface(treatments: Sequence[Treatment]) -> bool:
    """Whether a new surface goes on, with the part or on it."""
    return puts_another(treatments) or any(each.kind in ("re-cover", "send out") for each in treatments)


def meeting(suspicion: Suspicion, part: Surveyed, treatments: Sequence[Treatment]) -> Meeting:
    """What a course of `treatments` on the part does with a hidden fault suspected there."""
    if all(each.kind == "clean" and each.reach == "in place" for each in treatments):
        return "passes by"
    if suspicion.find.lies_in == "surface":
        if renews_surface(treatments):
            return "takes away"
        worked_on = {found.id for found in part.faults if lifts(treatments, found.id, found.extent)}
        return "passes by" if worked_on.isdisjoint(suspicion.faults) else "lays open"
    if not takes_it_off(treatments) and not part.hidden_from_sight:
        return "passes by"
    return "takes away" if suspicion.find.lies_in == "part" and puts_another(treatments) else "lays open"
