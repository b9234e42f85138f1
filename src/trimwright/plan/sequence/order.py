"""An order that keeps like work together: one zone to its end, left and right in one go, one drive in the hand.

Only the steps' own order binds it. Of those that may be taken next it prefers what the person wants early, then what
lies loose, then the same kind on the other side, then the same zone, then a zone that can be finished without leaving
it, in the usual order of strip-down, then the fixings that are already in the hand.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from itertools import pairwise

from trimwright.facts.access import AccessStep

USUAL = (
    "make safe", "boot", "rear seats", "front seats", "floor", "console", "steering", "dash", "doors", "seals",
    "belts", "roof", "rear", "brightwork", "fixings",
)  # fmt: skip
"""Zones in the order workshop manuals usually strip them: what is loose and what frees room first."""
_LAST = 10**6


def in_work_order(steps: Mapping[str, AccessStep], first: Sequence[str] = ()) -> tuple[str, ...]:
    """The steps' ids, each after all it requires, like work together; `first` as early as what they require allows."""
    wanted = _wanted(steps, first)
    rank = {step: number for number, step in enumerate(steps)}
    left, done = dict(steps), list[str]()
    while left:
        free = [step for step in left.values() if not left.keys() & set(step.requires)]
        last = steps[done[-1]] if done else None
        finishable = _finishable(left)
        chosen = min(free, key=lambda step: _key(step, last, wanted, finishable, rank))
        done.append(chosen.id)
        del left[chosen.id]
    return tuple(done)


def changes(order: Iterable[str], steps: Mapping[str, AccessStep]) -> int:
    """How often an order goes from one zone to another."""
    zones = [steps[each].kind.zone for each in order]
    return sum(one != other for one, other in pairwise(zones))


def _key(
    step: AccessStep,
    last: AccessStep | None,
    wanted: Mapping[str, int],
    finishable: frozenset[str],
    rank: Mapping[str, int],
) -> tuple[int | bool, ...]:
    zone = step.kind.zone
    return (
        wanted.get(step.id, _LAST),
        all(each.form != "loose" for each in step.kind.fixings),
        last is None or last.kind.id != step.kind.id,
        last is None or last.kind.zone != zone,
        zone not in finishable,
        USUAL.index(zone) if zone in USUAL else len(USUAL),
        last is None or last.place != step.place,
        last is None or not _in_the_hand(step) & _in_the_hand(last),
        rank[step.id],
    )


def _wanted(steps: Mapping[str, AccessStep], first: Sequence[str]) -> dict[str, int]:
    """How early each step is wanted: with the first wish it is needed for."""
    found: dict[str, int] = {}
    for number, wish in enumerate(first):
        waiting = [wish]
        while waiting:
            step = waiting.pop()
            if step in steps and step not in found:
                found[step] = number
                waiting += steps[step].requires
    return found


def _finishable(left: Mapping[str, AccessStep]) -> frozenset[str]:
    """Zones of which everything that is left can be taken off without leaving them."""
    stuck = {
        step.kind.zone
        for step in left.values()
        for each in step.requires
        if each in left and left[each].kind.zone != step.kind.zone
    }
    return frozenset(step.kind.zone for step in left.values()) - stuck


def _in_the_hand(step: AccessStep) -> set[tuple[str, str]]:
    return {(each.form, each.drive) for each in step.kind.fixings if each.bagged}
