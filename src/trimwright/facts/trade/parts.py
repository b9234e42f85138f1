"""Kinds of parts as the trade names them on any car, and the material families they are of."""

from __future__ import annotations

from dataclasses import dataclass
from types import MappingProxyType
from typing import TYPE_CHECKING, Literal

from trimwright.facts.trade.evidence import Evidence, Spread3

if TYPE_CHECKING:
    from trimwright.facts.fixings import Fixing, Handling


Body = Literal["two-door", "four-door", "open", "estate", "van", "pickup"]
Equipment = Literal[
    "driver_airbag", "passenger_airbag", "side_airbag", "curtain_airbag", "knee_airbag", "seat_sensor", "pretensioner"
]
EQUIPMENT_NAMES: dict[Equipment, str] = {
    "driver_airbag": "driver's airbag",
    "passenger_airbag": "passenger airbag",
    "side_airbag": "side airbag",
    "curtain_airbag": "curtain airbag",
    "knee_airbag": "knee airbag",
    "seat_sensor": "seat sensor",
    "pretensioner": "belt pretensioner",
}
Place = Literal["driver", "passenger", "rear_driver", "rear_passenger"]
"""Side of the cabin; a part without sides has none. The driver's side is left or right with the car."""


@dataclass(frozen=True, slots=True)
class Care:
    """One thing an owner does, or never does, to keep a material as it is."""

    text: str
    evidence: Evidence


@dataclass(frozen=True, slots=True)
class Family:
    """A material family: what a surveyed part is made of, as faults and treatments name it."""

    id: str
    name: str
    restraint: bool
    """Met only on restraint parts: a fault or treatment for any material is not for these."""
    care: tuple[Care, ...] = ()
    """How the owner looks after it, once the car is back."""


REAR_DOORS: frozenset[Body] = frozenset({"four-door", "estate"})
REAR_SEATS: frozenset[Body] = frozenset({"two-door", "four-door", "open", "estate"})


@dataclass(frozen=True, slots=True)
class PartKind:
    """A part as the trade names it, on any car. Relations name other kinds; `access.py` resolves sides.

    `comes_off_after`: all of these first; each entry is a tuple of alternatives, whichever this cabin has.
    `is_step` rows are moves, not parts to survey. `area_mm2`, `length_mm` and `guessed_prices_usd` are those of one
    piece; `clips` and the minutes are those of all `count` pieces together.
    """

    id: str
    name: str
    zone: str
    bodies: frozenset[Body]
    places: tuple[Place, ...]
    usual: bool
    years: tuple[int, int]
    """First and last model year this kind is usually met."""
    needs_equipment: Equipment | None
    """Present only where this is fitted (or unknown)."""
    without_equipment: Equipment | None
    """Present only where this is known not to be fitted."""
    count: int
    materials: tuple[str, ...]
    area_mm2: tuple[int, int, int]
    length_mm: int
    sight: int
    touch: int
    wear: float
    is_restraint: bool
    airbag_behind: tuple[Equipment, ...]
    """Any of these fitted or unknown bans filling, painting, gluing, sewing here."""
    head_impact: bool
    needs_hold: bool
    """Taking it off waits for make-safe."""
    burn_rate: bool
    part_of: str | None
    rests_on: tuple[str, ...]
    touches: tuple[str, ...]
    matching_set: str | None
    comes_off_after: tuple[tuple[str, ...], ...]
    is_step: bool
    fixings: tuple[Fixing, ...]
    clips: int
    clip_loss: float
    off_min: tuple[int, int]
    back_min: tuple[int, int]
    guessed_prices_usd: MappingProxyType[str, Spread3]
    """Where the job has no offer: "new", "used", "reproduction" → (low, likely, high)."""
    note: str
    evidence: Evidence
    by_door: bool = False
    """Its rear places exist only where there are rear doors."""
    wear_driver: float | None = None
    """`wear` on the driver's side, where that differs."""
    handling: tuple[Handling, ...] = ()

    def places_on(self, body: Body) -> tuple[Place | None, ...]:
        """The places it has on such a body; a single None for a part without sides, nothing where it is not met."""
        if body not in self.bodies:
            return ()
        if not self.places:
            return (None,)
        has_rear = body in (REAR_DOORS if self.by_door else REAR_SEATS)
        return tuple(place for place in self.places if has_rear or not place.startswith("rear"))

    def wear_at(self, place: Place | None) -> float:
        """What divides its life at `place`: 1 for ordinary wear, 3–5 where it is hard worn."""
        return self.wear_driver if place == "driver" and self.wear_driver is not None else self.wear
