"""The hidden faults of this job: one each, however many surveyed faults point at it, with the chance given what a
look has told about its cause.

A find happens when a normal draw falls below its threshold; finds of one cause share a common part of that draw
(one-factor Gaussian copula, correlation ρ). A cause seen stands one standard deviation to the bad side, a cause
looked for and not seen one to the good side.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from math import sqrt
from statistics import NormalDist

from trimwright.facts.trade import EXTENTS, Find
from trimwright.job.document import Job
from trimwright.plan.quantities.cabin import Hidden, Spread
from trimwright.plan.quantities.prices import Till
from trimwright.plan.quantities.surveyed import Surveyed

NORMAL = NormalDist()
WHOLE_CABIN = frozenset({"damp"})
"""Causes whose finds lie in the whole cabin, not at one seat or door."""


def chance_given(chance: float, known: str, correlation: float) -> tuple[float, float]:
    """The chance of a find and how much it moves with one standard deviation of its cause.

    >>> [round(x, 3) for x in chance_given(0.3, "unknown", 0.3)]
    [0.3, 0.19]
    >>> [round(chance_given(0.3, known, 0.3)[0], 3) for known in ("none seen", "seen")]
    [0.1, 0.511]
    """
    if not 0 < chance < 1:
        return chance, 0.0
    threshold = NORMAL.inv_cdf(chance)
    if known == "unknown":
        return chance, NORMAL.pdf(threshold) * sqrt(correlation)
    cause = 1 if known == "seen" else -1
    return NORMAL.cdf((threshold + cause * sqrt(correlation)) / sqrt(1 - correlation)), 0.0


def find_id(find: Find, part: Surveyed) -> str:
    """One id a physical place: the whole cabin for damp, else the seat, door or corner the part belongs to."""
    if find.cause in WHOLE_CABIN:
        return find.id
    return f"{find.id}@{part.corner}"


@dataclass(frozen=True, slots=True)
class Suspicion:
    """A hidden fault behind one part, and which of the part's surveyed faults stand for it."""

    id: str
    find: Find
    faults: tuple[str, ...]


def seen(parts: Iterable[Surveyed]) -> frozenset[tuple[str, str]]:
    """What has been looked at: the place and the family of every part with a surveyed finish."""
    return frozenset((part.corner, part.material) for part in parts if part.part.finish_now is not None)


def suspicions_of(
    part: Surveyed, finds: Mapping[str, Find], known: frozenset[tuple[str, str]]
) -> tuple[Suspicion, ...]:
    """What the part's surveyed faults point at, at their extents, and a part of its kind can hide.

    Foam that has itself been surveyed is not crushed in secret: `known` is what has been looked at.
    """
    named: dict[str, list[str]] = {}
    for found in part.faults:
        for each in found.fault.finds:
            find = finds[each.find]
            told = find.told_by is not None and (part.corner, find.told_by) in known
            if EXTENTS.index(each.from_extent) <= found.extent and find.lies_behind(part.kind.id) and not told:
                named.setdefault(each.find, []).append(found.id)
    return tuple(Suspicion(find_id(finds[each], part), finds[each], tuple(faults)) for each, faults in named.items())


def suspected(parts: Iterable[Surveyed], finds: Mapping[str, Find]) -> dict[str, tuple[Suspicion, ...]]:
    """For each part the hidden faults its surveyed faults point at."""
    parts = tuple(parts)
    known = seen(parts)
    return {part.id: suspicions_of(part, finds, known) for part in parts}


def hidden_faults(
    suspicions: Mapping[str, Iterable[Suspicion]], job: Job, till: Till, correlation: float
) -> dict[str, Hidden]:
    """Every hidden fault that is suspected, by id. What must be dealt with is in the money for certain."""
    hidden: dict[str, Hidden] = {}
    for of_part in suspicions.values():
        for suspicion in of_part:
            find = suspicion.find
            known = job.causes.get(find.cause, "unknown")
            chance, loading = chance_given(sum(find.chance) / 3, known, correlation)
            hidden[suspicion.id] = Hidden(
                id=suspicion.id,
                name=find.name,
                chance=chance,
                loading=loading,
                money=till.find_money(find.usd),
                minutes=Spread(*find.minutes),
                cause=find.cause,
                must_deal=find.must_deal,
                certain=find.must_deal,
                evidence=find.evidence.level,
            )
    return dict(sorted(hidden.items()))
