"""Treatments: what a hand or a supplier can do to a part, step by step, with what it takes and what it gives."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from trimwright.facts.trade.evidence import Evidence, Spread3
from trimwright.facts.trade.faults import Extent

TreatmentKind = Literal["leave", "clean", "mend", "refinish", "re-cover", "fit used", "fit new", "send out"]
Look = Literal["original", "recoloured", "re-covered", "bought"]
"""What the eye compares in a matching set."""
Reach = Literal["in place", "off"]
Per = Literal["job", "m2", "m", "piece"]
Buys = Literal["new", "used", "reproduction", "service"]
WorkPlace = Literal["bench", "spray spot", "press", "line", "car"]
Pause = Literal["no", "after", "any"]
NeedsAir = Literal["limits", "dew"]


@dataclass(frozen=True, slots=True)
class Rate:
    """One term of a formula: `amount` per job, m², m or piece; per coat if `each_coat`; over `divisor` (a roll's
    width, a transfer share) and times `waste`."""

    amount: float
    per: Per
    each_coat: bool = False
    waste: float = 1.0
    divisor: float = 1.0
    divisor_name: str = ""


@dataclass(frozen=True, slots=True)
class Wait:
    """Elapsed time after a step [h], at 20 °C and 50 % relative humidity where the air moves it."""

    name: str
    hours: Spread3
    place: str
    """Where the piece lies meanwhile."""
    closes: bool = False
    """The high figure is the last moment to go on: a recoat window, the open time of a glue."""
    warmth: bool = False
    """Warm air shortens it."""
    damp: bool = False
    """Damp air draws it out: water has to leave."""


@dataclass(frozen=True, slots=True)
class RecipeStep:
    """One step of a recipe. The shares of a treatment's steps add up to 1."""

    text: str
    share: float
    """Of the treatment's hands-on time, all its times together; 0 = it only waits."""
    times: int
    """How often it is made, its wait after each time."""
    place: WorkPlace
    """Where it is made once the part is off the car."""
    pause: Pause
    """Whether the hands may leave it: not at all, once it is done, or at any moment of it too."""
    air: NeedsAir | None
    """Whether the air must keep the treatment's limits, and the surface lie above the dew point."""
    materials: bool
    """Material is taken up here: before it, all that the treatment uses must be in hand."""
    wait: Wait | None
    evidence: Evidence


@dataclass(frozen=True, slots=True)
class Suits:
    """A treatment lifts the cap of `fault` up to and including extent `upto`."""

    fault: str
    upto: Extent


@dataclass(frozen=True, slots=True)
class First:
    """What must be done before on the same part: a treatment; only if `fault` is present; only for `material`."""

    treatment: str
    if_fault: str | None = None
    if_material: str | None = None


@dataclass(frozen=True, slots=True)
class Treatment:
    """A thing a hand (or a supplier) can do to a part, with what it takes and what it gives."""

    id: str
    name: str
    kind: TreatmentKind
    materials: tuple[str, ...]
    """Material families it is for; empty = any."""
    suits: tuple[Suits, ...]
    suits_any: bool
    """Whole-part replacement: settles every fault of the part."""
    only_parts: tuple[str, ...]
    """Part kinds it is for; empty = any of its materials."""
    first: tuple[First, ...]
    reach: Reach
    steps: tuple[RecipeStep, ...]
    uses: tuple[tuple[str, tuple[Rate, ...]], ...]
    """(material id, sum of rates) in the material's unit."""
    hours: tuple[Rate, ...]
    hours_spread: tuple[float, float]
    """Low and high as multiples of the typical hours."""
    coats: int
    temp_min_c: float | None
    temp_best_c: float | None
    rh_max_pct: float | None
    abrasives: str
    finish: tuple[int, int, int]
    """All 0 for a preparing step that has no finish of its own."""
    life_years: Spread3
    redo: tuple[float, float]
    skill: int
    tools: tuple[str, ...]
    batch: str | None
    """Work shared by all parts of one batch (a colour mixed, a gun cleaned)."""
    batch_minutes: int
    visit: str | None
    """A trained person's visit, paid once however many parts ask for it."""
    buys: Buys | None
    """The part itself is bought: price from the job's offers, else the kind's marked guess. For a service, `uses`
    names what is bought, by the piece."""
    on_restraint: bool
    """The only treatments a restraint part is ever offered."""
    over_airbag: bool
    """May be done where an airbag lies behind (a wipe; the maker's own part)."""
    on_sensor_seat: bool
    on_head_impact: bool
    needs_capability: tuple[str, ...]
    """What the shop must have declared: "air_fed_mask", "booth"."""
    kept: float
    look: Look
    lasts: bool
    """False for a stop-gap that no finished plan should carry."""
    cautions: tuple[str, ...]
    not_for: str
    evidence: Evidence
    wish: bool = False
    """Nothing a fault asks for, such as another colour: offered only where the person has pinned it."""
    pace: float = 1.0
    """What the shop's own jobs have taught: its hours over `hours`."""

    @property
    def waits(self) -> tuple[Wait, ...]:
        """The waits of its steps, each once."""
        return tuple(step.wait for step in self.steps if step.wait is not None)
