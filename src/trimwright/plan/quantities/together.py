"""What the eye sees together: matching sets and touching neighbours, with what their unlikeness costs in points."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from trimwright.facts.trade import Trade
from trimwright.job.document import Job
from trimwright.plan.quantities.cabin import POINT_SCALE, MatchedSet, Neighbours
from trimwright.plan.quantities.surveyed import Beside, Surveyed


def sets_of(parts: Sequence[Surveyed], job: Job, trade: Trade) -> tuple[MatchedSet, ...]:
    """The owner's sets and the trade's; a part in one of the owner's sets is in no other."""
    visible = {part.id: part for part in parts if part.weight}
    within = round(trade.practice["set_within"].value)
    groups = [
        (each.name, tuple(part for part in each.parts if part in visible), each.within) for each in job.wishes.sets
    ]
    taken = {member for _, members, _ in groups for member in members}
    usual: dict[str, list[str]] = {}
    for part in parts:
        if part.kind.matching_set and part.weight and part.id not in taken:
            usual.setdefault(part.kind.matching_set, []).append(part.id)
    groups += [(name.replace("_", " "), tuple(members), within) for name, members in sorted(usual.items())]
    return tuple(
        MatchedSet(
            name=name,
            parts=members,
            within=steps,
            step_points=payment("set_payment", members, visible, trade),
            look_points=payment("look_payment", members, visible, trade),
        )
        for name, members, steps in groups
        if len(members) > 1
    )


def neighbours_of(parts: Sequence[Surveyed], job: Job, trade: Trade) -> tuple[Neighbours, ...]:
    """Touching parts, each pair once."""
    visible = {part.id: part for part in parts if part.weight}
    within = round(trade.practice["neighbour_within"].value)
    beside = Beside.of(job)
    pairs = {
        tuple(sorted((part.id, other)))
        for part in visible.values()
        for other in beside.related(part.part, part.kind.touches)
        if other in visible
    }
    return tuple(
        Neighbours(a, b, within, payment("neighbour_payment", (a, b), visible, trade)) for a, b in sorted(pairs)
    )


def payment(practice: str, members: Iterable[str], parts: Mapping[str, Surveyed], trade: Trade) -> int:
    """Points for one step, by the least weighty of those concerned: a small part should not outweigh a seat."""
    least = min(parts[member].weight for member in members)
    return round(trade.practice[practice].value * least * POINT_SCALE)
