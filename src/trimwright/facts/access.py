"""The strip-down graph of one cabin: which parts it has, what must come off before what, and which parts belong
together side by side.

The facts relate kinds; a cabin has a kind at one or several places. A relation from a kind at a place means the same
place of the other kind, else the same side, else the other kind where it has no side, else all its places.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from graphlib import CycleError, TopologicalSorter
from typing import Protocol

from trimwright.errors import BadInput, Problem
from trimwright.facts.trade import Body, Equipment, PartKind, Place, Trade

There = Mapping[str, tuple[Place | None, ...]]
"""The places at which a cabin has each kind."""

_SIDE: dict[Place, str] = {
    "driver": "driver",
    "rear_driver": "driver",
    "passenger": "passenger",
    "rear_passenger": "passenger",
}


class Fitted(Protocol):
    """The restraint equipment of a car, as far as it is known."""

    def may_have(self, item: Equipment) -> bool:
        """Whether it is fitted or not known to be absent."""


@dataclass(frozen=True, slots=True)
class AccessStep:
    """One thing taken off; `requires` are the ids of the steps right before it."""

    id: str
    kind: PartKind
    place: Place | None
    requires: tuple[str, ...]


def part_id(kind: str, place: Place | None) -> str:
    """The id of a kind at a place.

    >>> part_id("sun_visor", "driver"), part_id("carpet_main", None)
    ('sun_visor.driver', 'carpet_main')
    """
    return f"{kind}.{place}" if place else kind


def same_side(one: Place | None, other: Place | None) -> bool:
    """Whether two places are on one side of the cabin; what has no side is on both.

    >>> same_side("driver", "rear_driver"), same_side("driver", "passenger"), same_side(None, "driver")
    (True, False, True)
    """
    return one is None or other is None or _SIDE[one] == _SIDE[other]


# ---- which parts -----------------------------------------------------------------------------------------------------


def cabin_kinds(trade: Trade, body: Body, year: int, equipment: Fitted) -> tuple[tuple[PartKind, Place | None], ...]:
    """Every part such a car usually has, with its place; what is often missing (`usual` False) is left to be added."""
    there = present(trade, body, year, equipment)
    return tuple((kind, place) for kind in trade.parts.values() if kind.usual for place in there.get(kind.id, ()))


def present(trade: Trade, body: Body, year: int, equipment: Fitted) -> There:
    """The places of every kind that such a car may have, moves and unusual parts included."""
    of_age = {
        kind.id: places
        for kind in trade.parts.values()
        if kind.years[0] <= year <= kind.years[1] and (places := kind.places_on(body))
    }
    fitted = {
        item
        for kind_id in of_age
        if (item := trade.parts[kind_id].needs_equipment) is not None and equipment.may_have(item)
    }
    return {
        kind_id: places
        for kind_id, places in of_age.items()
        if trade.parts[kind_id].needs_equipment in {None, *fitted}
        and trade.parts[kind_id].without_equipment not in fitted
    }


# ---- how they belong together ----------------------------------------------------------------------------------------


def facing(place: Place | None, places: Iterable[Place | None]) -> tuple[Place | None, ...]:
    """Those of another kind's places that a relation from `place` means.

    >>> facing("rear_driver", ("driver", "passenger")), facing(None, ("driver", "passenger")), facing("driver", (None,))
    (('driver',), ('driver', 'passenger'), (None,))
    """
    there = tuple(places)
    if place is None:
        return there
    choices = (
        [each for each in there if each == place],
        [each for each in there if each is not None and same_side(place, each)],
        [each for each in there if each is None],
    )
    return next((tuple(choice) for choice in choices if choice), there)


def related(place: Place | None, kinds: Iterable[str], there: There) -> tuple[str, ...]:
    """Ids of the parts of these kinds that a relation from `place` means; kinds this cabin lacks are passed over."""
    return tuple(part_id(kind, other) for kind in dict.fromkeys(kinds) for other in facing(place, there.get(kind, ())))


# ---- what comes off before what --------------------------------------------------------------------------------------


def removal_steps(
    trade: Trade,
    body: Body,
    year: int,
    equipment: Fitted,
    found: Iterable[tuple[str, Place | None]] = (),
) -> dict[str, AccessStep]:
    """Every step of such a cabin, by id, what comes off first standing first.

    `found` are parts the survey has beside those such a car usually has. BadInput names the circle if there is one.
    """
    there = dict(present(trade, body, year, equipment))
    for kind_id, place in found:
        there[kind_id] = tuple(dict.fromkeys((*there.get(kind_id, ()), place)))
    steps = {
        part_id(kind_id, place): AccessStep(
            part_id(kind_id, place), trade.parts[kind_id], place, _before(trade.parts[kind_id], place, there)
        )
        for kind_id, places in there.items()
        for place in places
    }
    return {step_id: steps[step_id] for step_id in in_order(steps)}


def _before(kind: PartKind, place: Place | None, there: There) -> tuple[str, ...]:
    """The steps right before: of each entry's alternatives those at the same place, else all that this cabin has."""
    before: dict[str, None] = {}
    for alternatives in kind.comes_off_after:
        here = tuple(each for each in alternatives if place in there.get(each, ()))
        before |= dict.fromkeys(related(place, here or alternatives, there))
    return tuple(before)


def in_order(steps: Mapping[str, AccessStep]) -> tuple[str, ...]:
    """The steps' ids, each after all it requires; BadInput naming the circle if they go round in one."""
    try:
        return tuple(TopologicalSorter({step.id: step.requires for step in steps.values()}).static_order())
    except CycleError as error:
        circle = " → ".join(reversed(error.args[1]))
        raise BadInput(
            Problem("facts/part_after.csv", circle, "goes round in a circle.", "Take one of its rows out.")
        ) from None
