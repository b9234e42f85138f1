"""What seeing some of the hidden faults would tell: what may be seen, how likely each is, and what it says of the rest.

A fault is there when a normal draw falls below its threshold; faults of one cause share a part of that draw (one-factor
Gaussian copula). Given the cause they are independent, so whatever is asked of several is one integral over it, taken
by Gauss and Hermite's rule.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cache
from itertools import product
from math import prod, sqrt
from statistics import NormalDist
from typing import get_args

from trimwright.facts.trade import Cause
from trimwright.plan.quantities.cabin import Hidden, Quantities

NODES = 40
NORMAL = NormalDist()


@dataclass(frozen=True, slots=True)
class Seen:
    """One thing that may be seen: which of the faults looked for are there, with its chance, and all hidden faults as
    they stand then. What is not there has a chance of 0."""

    there: frozenset[str]
    chance: float
    hidden: Mapping[str, Hidden]


def may_be_seen(quantities: Quantities, looked_for: Iterable[str]) -> Iterator[Seen]:
    """Everything that looking for these hidden faults may show; the chances add up to 1."""
    looked_for = tuple(looked_for)
    for answers in product((True, False), repeat=len(looked_for)):
        seen = dict(zip(looked_for, answers, strict=True))
        chance, hidden = 1.0, dict(quantities.hidden)
        for cause in get_args(Cause):
            of_cause = [each for each in quantities.hidden.values() if each.cause == cause]
            if not seen.keys().isdisjoint(each.id for each in of_cause):
                likely, told = given(of_cause, seen, quantities.terms.correlation)
                chance *= likely
                hidden |= told
        if chance > 0:
            yield Seen(frozenset(each for each, there in seen.items() if there), chance, hidden)


def given(of_cause: Iterable[Hidden], seen: Mapping[str, bool], correlation: float) -> tuple[float, dict[str, Hidden]]:
    """The chance of seeing this of the faults of one cause, and those faults as they stand then.

    Of the others the chance moves, and the loading is how far it still moves with one standard deviation of the cause.
    """
    faults = {each.id: each for each in of_cause}
    nodes, weights = rule()
    at_node = {each.id: [chance_at(each, node, correlation) for node in nodes] for each in faults.values()}
    shown = {key: there for key, there in seen.items() if key in faults}
    weighed = [
        weight * prod(at_node[key][n] if there else 1 - at_node[key][n] for key, there in shown.items())
        for n, weight in enumerate(weights)
    ]
    likely = sum(weighed)
    if likely <= 0:
        return 0.0, {}
    mean = sum(w * node for w, node in zip(weighed, nodes, strict=True)) / likely
    spread = sqrt(sum(w * (node - mean) ** 2 for w, node in zip(weighed, nodes, strict=True)) / likely)
    told = {}
    for key, fault in faults.items():
        if key in shown:
            told[key] = replace(fault, chance=float(shown[key]), loading=0.0, certain=fault.certain and shown[key])
        elif fault.loading:
            chance = sum(w * at for w, at in zip(weighed, at_node[key], strict=True)) / likely
            moves = sum(w * (mean - node) * at for w, node, at in zip(weighed, nodes, at_node[key], strict=True))
            told[key] = replace(fault, chance=chance, loading=moves / likely / spread)
    return likely, told


def chance_at(hidden: Hidden, node: float, correlation: float) -> float:
    """The chance of a hidden fault where its cause stands at `node` standard deviations; low is bad."""
    if not hidden.loading or not 0 < hidden.chance < 1:
        return hidden.chance
    return NORMAL.cdf((NORMAL.inv_cdf(hidden.chance) - sqrt(correlation) * node) / sqrt(1 - correlation))


@cache
def rule() -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Nodes and weights of a standard normal draw."""
    from numpy.polynomial.hermite_e import hermegauss

    nodes, weights = hermegauss(NODES)
    return tuple(map(float, nodes)), tuple(float(each) for each in weights / weights.sum())
