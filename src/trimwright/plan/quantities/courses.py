"""Which courses a part can have: treatments that suit it, closed under what each needs first, in order.

A clean stands alone or is a first. Mends combine with each other (at most three lead) and with one refinish, or with
a re-cover that leaves what they mend; what replaces the part stands alone with its firsts.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import get_args

from trimwright.facts.trade import EXTENTS, Buys, Trade, Treatment, TreatmentKind
from trimwright.job.document import Offer
from trimwright.job.fields import treatments_named
from trimwright.plan.quantities.finish import explained, treated_finish
from trimwright.plan.quantities.suiting import applies, cleans_plain_wear, fits, lifts, suits
from trimwright.plan.quantities.surveyed import Surveyed

MOST_MENDS = 3
"""Mends that lead one course; with more, another treatment is meant."""
WORN_OUT = 4
"""Up to this finish, "worn but usable", another part is worth looking for."""
HEAVY = EXTENTS.index("heavy")
RANK: tuple[TreatmentKind, ...] = get_args(TreatmentKind)
"""Lightest first."""


@dataclass(frozen=True, slots=True)
class Outline:
    """A course before it is measured: its treatments in order, those that carry the finish, the offer it takes."""

    treatments: tuple[Treatment, ...]
    carriers: tuple[Treatment, ...]
    offer: Offer | None = None
    nth: int = 1
    """Which offer of its source; the second has the suffix ~2."""

    @property
    def id(self) -> str:
        joined = "+".join(each.id for each in self.treatments)
        return joined if self.nth == 1 else f"{joined}~{self.nth}"

    @property
    def heaviest(self) -> Treatment:
        """The carrier that decides the course's kind and look."""
        return max(self.carriers, key=lambda each: RANK.index(each.kind))

    @property
    def name(self) -> str:
        """In plain words; preparing steps and firsts that only clean are not named beside heavier work."""
        named = [
            each
            for each in self.treatments
            if each in self.carriers or (each.kind not in ("leave", "clean") and any(each.finish))
        ]
        return "; ".join(each.name for each in named)


def settled_children(part: Surveyed, outline: Outline, materials: Mapping[str, str]) -> tuple[str, ...]:
    """What is part of `part` and is new with it: all of it when the part is bought, else what the new cover covers.

    `materials` are those of all parts, by id.
    """
    if any(each.buys in ("new", "used", "reproduction") for each in outline.treatments):
        return part.children
    covering = [each for each in outline.treatments if each.kind in ("re-cover", "fit new")]
    return tuple(child for child in part.children if any(materials[child] in each.materials for each in covering))


def outlines(part: Surveyed, offered: Sequence[Treatment], trade: Trade) -> tuple[Outline, ...]:
    """Every course of `part` from the treatments that may be offered for it; leaving it is not among them."""
    may = {each.id for each in offered}
    found: dict[str, Outline] = {}
    for leaders in combined([each for each in offered if leads(each, part, trade)], part):
        ordered = closed(leaders, part, trade)
        if not all(each.id in may for each in ordered):
            continue
        firsts = {first.treatment for each in ordered for first in each.first if applies(first, part)}
        carriers = tuple(each for each in ordered if each.id not in firsts and any(each.finish))
        if worth_doing(ordered, carriers, part):
            for outline in with_offers(ordered, carriers, part):
                found.setdefault(outline.id, outline)
    return tuple(found.values())


def worth_doing(ordered: Sequence[Treatment], carriers: Sequence[Treatment], part: Surveyed) -> bool:
    """Whether a mend or new colour leaves the part better than worn out: nobody sews a panel into a ruined cover.

    Cleaning always may; so may what rids the cabin of a smell or deals with what must be dealt with.
    """
    if not part.weight or part.part.pin or all(each.kind == "clean" for each in carriers):
        return True
    pressing = [found for found in part.faults if found.fault.smells or found.fault.stops or found.must_be_dealt_with]
    return treated_finish(part, ordered, carriers, 10) > WORN_OUT or any(
        lifts(ordered, found.id, found.extent) for found in pressing
    )


def leads(treatment: Treatment, part: Surveyed, trade: Trade) -> bool:
    """Whether the treatment has a finish of its own and suits a fault of the part, or its unexplained wear."""
    if not any(treatment.finish) or treatment.kind == "leave":
        return False
    if treatment.wish and treatment.id not in treatments_named(part.part.pin or ""):
        return False
    if treatment.suits_any:
        return worth_replacing(part) or any(offer.source == treatment.buys for offer in part.offers)
    if any(suits(treatment, found.id, found.extent) for found in part.faults):
        return not kept_for_stops(treatment, part, trade)
    return cleans_plain_wear(treatment, trade.faults) and not explained(part)


def worth_replacing(part: Surveyed) -> bool:
    """Whether anyone would look for another part: a heavy fault, one that must be dealt with, or worn out.

    Common practice; an offer in the job says that somebody did look.
    """
    return part.finish_now <= WORN_OUT or any(
        found.extent == HEAVY or found.must_be_dealt_with or found.fault.stops for found in part.faults
    )


def kept_for_stops(treatment: Treatment, part: Surveyed, trade: Trade) -> bool:
    """Whether it is meant for a fault that stops the part, such as asbestos, and neither that nor another fault that
    nothing else deals with is there."""
    stopping = {each.fault for each in treatment.suits if trade.faults[each.fault].stops}
    if not stopping or stopping & {found.id for found in part.faults}:
        return False
    everyday = [
        each
        for each in trade.treatments.values()
        if fits(each, part, trade) and not any(trade.faults[suit.fault].stops for suit in each.suits)
    ]
    return all(
        any(suits(each, found.id, found.extent) for each in everyday)
        for found in part.faults
        if suits(treatment, found.id, found.extent)
    )


def combined(leading: Sequence[Treatment], part: Surveyed) -> Iterator[tuple[Treatment, ...]]:
    """The sets of leading treatments that go together."""
    mends = [each for each in leading if each.kind == "mend"]
    for each in leading:
        if each.kind != "mend":
            yield (each,)
    for size in range(1, MOST_MENDS + 1):
        for chosen in combinations(mends, size):
            yield chosen
            for other in leading:
                if other.kind == "refinish" or (
                    other.kind == "re-cover" and all(adds(mend, other, part) for mend in chosen)
                ):
                    yield (*chosen, other)


def adds(mend: Treatment, cover: Treatment, part: Surveyed) -> bool:
    """Whether the mend lifts a fault that the new cover would leave."""
    return any(
        suits(mend, found.id, found.extent) and not lifts([cover], found.id, found.extent) for found in part.faults
    )


def closed(leaders: Iterable[Treatment], part: Surveyed, trade: Trade) -> tuple[Treatment, ...]:
    """The leaders with everything each needs first, firsts before."""
    ordered: dict[str, Treatment] = {}

    def take(treatment: Treatment) -> None:
        if treatment.id in ordered:
            return
        for first in treatment.first:
            if applies(first, part):
                take(trade.treatments[first.treatment])
        ordered[treatment.id] = treatment

    for leader in leaders:
        take(leader)
    return tuple(ordered.values())


def source_bought(treatments: Iterable[Treatment]) -> Buys | None:
    """What the course buys, if it does: the part itself new, used or reproduced, or a service for work sent out."""
    return next((each.buys for each in treatments if each.buys), None)


def with_offers(ordered: tuple[Treatment, ...], carriers: tuple[Treatment, ...], part: Surveyed) -> Iterator[Outline]:
    """One outline for each offer of what is bought; without an offer the trade's marked guess is taken."""
    source = source_bought(ordered)
    offers = [offer for offer in part.offers if offer.source == source]
    if not offers:
        yield Outline(ordered, carriers)
    for nth, offer in enumerate(offers, 1):
        yield Outline(ordered, carriers, offer, nth)
