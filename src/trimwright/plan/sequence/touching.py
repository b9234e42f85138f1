"""What a hand meets as it takes a part off: what may fire, what carries current, what is covered afterwards.

Equipment that nobody has looked for counts as fitted.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal

from trimwright.facts.fixings import Doing, Fixing, Handling, When
from trimwright.facts.trade import Equipment, PartKind, Trade
from trimwright.job.document import EquipmentFitted

BATTERY = "battery_off"
"""The strip-down step that takes the battery's negative off."""
Covered = Literal["floor", "looms", "drains"]


def handling(kind: PartKind, when: When, doing: Doing, fitted: EquipmentFitted) -> tuple[Handling, ...]:
    """What the trade says of it, as far as this car may have the equipment."""
    return tuple(
        each
        for each in kind.handling
        if (each.when, each.doing) == (when, doing) and (each.fitted is None or fitted.may_have(each.fitted))
    )


def fixings(kind: PartKind, fitted: EquipmentFitted) -> tuple[Fixing, ...]:
    """Its fixings, without plugs of equipment this car has not."""
    return tuple(each for each in kind.fixings if each.fires is None or fitted.may_have(each.fires))


def holding(step: str, trade: Trade) -> tuple[Fixing, ...]:
    """The fixings of a step that hold people: of belts, seats, airbags and the steering wheel."""
    kind = trade.parts.get(step.partition(".")[0])
    return tuple(each for each in kind.fixings if each.holds is not None) if kind is not None else ()


def is_unit(kind: PartKind, fitted: EquipmentFitted) -> bool:
    """Whether it may fire, or is a restraint part nobody but its owner has described: laid down at once, apart."""
    return bool(handling(kind, "off", "store", fitted)) or (kind.is_restraint and is_own(kind))


def is_restrained(kind: PartKind, fitted: EquipmentFitted) -> bool:
    """Whether restraint equipment or its connectors may be met on the way: it waits until the car is safe."""
    near = any(map(fitted.may_have, met(kind)))
    return near or is_unit(kind, fitted) or (fitted.any_restraint_electrics and (kind.needs_hold or kind.is_restraint))


def met(kind: PartKind) -> Iterator[Equipment]:
    """Restraint equipment that the trade names with it."""
    yield from kind.airbag_behind
    yield from (each.fires for each in kind.fixings if each.fires is not None)
    yield from (each.fitted for each in kind.handling if each.doing == "store" and each.fitted is not None)


def is_electric(kind: PartKind, fitted: EquipmentFitted) -> bool:
    """Whether current may be met: it has a plug, follows the battery in the trade's order, or is restrained."""
    plugged = any(each.form == "plug" for each in fixings(kind, fitted))
    behind_battery = any(BATTERY in alternatives for alternatives in kind.comes_off_after)
    return plugged or behind_battery or is_restrained(kind, fitted)


def needs_trained_person(kind: PartKind, fitted: EquipmentFitted) -> bool:
    """Whether only somebody trained for it opens it: a restraint part, a unit that may fire, a plug on its wires."""
    return kind.is_restraint or is_unit(kind, fitted) or any(each.fires for each in fixings(kind, fitted))


def covers(kind: PartKind, what: Covered) -> bool:
    """Whether it hides looms, floor or drains once it is back."""
    return any(each.doing == "covers" and each.text == what for each in kind.handling)


def is_own(kind: PartKind) -> bool:
    """Whether the person has described it, and the trade knows nothing of it."""
    return kind.id.startswith("own:")
