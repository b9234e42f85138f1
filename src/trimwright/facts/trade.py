"""What the trade knows, as frozen typed values: the nouns of `facts/*.csv`, before any one job.

Conventions, said once. Money of the facts is in whole hundredths of USD and EUR (`Price`); time is in minutes,
elapsed waits in hours; areas in mm², lengths in mm; amounts of a material in its own unit (L, m², m, pieces).
`chance` is 0–1, `finish` 0 (ruined) … 10 (as new). A three-point figure is (low, likely, high).
Every row carries its `Evidence`; a level of "guess" is said to the user too. Figures of the shop's own book may stand
in place of the tables' (`book/applied.py`); their level is "own book".
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import TYPE_CHECKING, Literal

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
Extent = Literal["light", "medium", "heavy"]
EXTENTS: tuple[Extent, ...] = ("light", "medium", "heavy")
Cause = Literal["damp", "sun", "wear", "earlier_work"]
TreatmentKind = Literal["leave", "clean", "mend", "refinish", "re-cover", "fit used", "fit new", "send out"]
Look = Literal["original", "recoloured", "re-covered", "bought"]
"""What the eye compares in a matching set."""
Place = Literal["driver", "passenger", "rear_driver", "rear_passenger"]
"""Side of the cabin; a part without sides has none. The driver's side is left or right with the car."""
Reach = Literal["in place", "off"]
Per = Literal["job", "m2", "m", "piece"]
Buys = Literal["new", "used", "reproduction", "service"]
Level = Literal["pages", "common practice", "guess", "own book"]
"""How far a row may be trusted; the tables know all but the last, which is the shop's own."""
LiesIn = Literal["surface", "part", "behind"]
"""Where a hidden fault lies: in the cover, coat or colour; in the part under it; behind the part or all round."""
WorkPlace = Literal["bench", "spray spot", "press", "line", "car"]
Pause = Literal["no", "after", "any"]
NeedsAir = Literal["limits", "dew"]
Spread3 = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Evidence:
    """How far a row may be trusted: read on pages, common practice, a guess, or the shop's own.

    `note` keeps the researcher's words; of the shop's own it says what is known, and since when.
    """

    level: Level
    source: str
    note: str = ""

    @property
    def told(self) -> str:
        """The level, or what the shop's own book says."""
        return self.note if self.level == "own book" else self.level


@dataclass(frozen=True, slots=True)
class Price:
    """Low and high in whole hundredths, by the two currencies the facts know."""

    usd: tuple[int, int]
    eur: tuple[int, int]
    own: int | None = None
    """What the shop pays itself, in whole minor units of the currency its facts were prepared for. It goes before the
    tables' figures, which are (0, 0) where they have none."""


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


@dataclass(frozen=True, slots=True)
class Find:
    """A hidden fault that strip-down may uncover; one id however many faults point at it."""

    id: str
    name: str
    chance: Spread3
    minutes: Spread3
    usd: Spread3
    """Money [USD] beside the minutes."""
    cause: Cause
    lies_in: LiesIn
    """What is replaced takes it along: a new cover what lies in the surface, another part what lies in the part."""
    must_deal: bool
    evidence: Evidence
    told_by: str | None = None
    """The family of the part that tells of it: where one is surveyed in the same place, nothing is hidden."""
    seen_off: bool = False
    """Whether anybody sees it once the part is off, before any work on it: nothing restrained, wired, wet at times, or
    known only to the hand or the laboratory (our own judgement)."""
    only_parts: tuple[str, ...] = ()
    """Part kinds it lies behind; empty = any that has the fault."""

    def lies_behind(self, kind: str) -> bool:
        """Whether a part of this kind can hide it: no seat foam is crushed under a gear knob."""
        return not self.only_parts or kind in self.only_parts


@dataclass(frozen=True, slots=True)
class PointsAt:
    """A fault at `from_extent` or worse stands for the hidden fault `find`."""

    find: str
    from_extent: Extent


@dataclass(frozen=True, slots=True)
class Fault:
    """What the eye finds on a part. `caps` is the best finish a part can have with it, by extent (a guess);
    `slide` finish points lost a year if left; from `must_deal_from` on it has no "leave"; `stops` the part until dealt
    with."""

    id: str
    name: str
    materials: tuple[str, ...]
    look_for: str
    measure: str
    grades: tuple[str, str, str]
    likely_cause: str
    mend_limit: str
    caps: tuple[int, int, int]
    slide: float
    life_years: float
    must_deal_from: Extent | None
    stops: bool
    smells: bool
    """Damp and smell count for the whole cabin."""
    finds: tuple[PointsAt, ...]
    evidence: Evidence

    @property
    def must_deal(self) -> bool:
        """Whether there is an extent at which it may not be left."""
        return self.must_deal_from is not None

    def must_be_dealt_with(self, extent: Extent) -> bool:
        """Whether it may not be left at this extent."""
        return self.must_deal_from is not None and EXTENTS.index(extent) >= EXTENTS.index(self.must_deal_from)


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


@dataclass(frozen=True, slots=True)
class Pack:
    """A pack as it is sold: `size` in the material's unit."""

    id: str
    sold_as: str
    size: float
    price: Price
    supplier: str
    evidence: Evidence


@dataclass(frozen=True, slots=True)
class Material:
    """Something bought by the pack. `one_batch`: all of one colour from one batch, with spare; `least_mix` > 0: each
    separate use is rounded up to whole mixes because what is left dies."""

    id: str
    name: str
    unit: str
    coloured: bool
    one_batch: bool
    least_mix: float
    shelf_months: int | None
    handling: str
    packs: tuple[Pack, ...]


@dataclass(frozen=True, slots=True)
class Tool:
    """A tool bought once; a shop is charged price ÷ `jobs`, an owner with one car the whole price."""

    id: str
    name: str
    price: Price
    jobs: int
    hand_tool: bool
    """Anyone who does this work is taken to own it."""
    evidence: Evidence


@dataclass(frozen=True, slots=True)
class Supplier:
    """A kind of seller: carriage, the order value above which it is free, its least order, days to deliver."""

    id: str
    name: str
    carriage: Price
    free_over: Price | None
    least_order: Price | None
    days: tuple[int, int, int]
    evidence: Evidence


@dataclass(frozen=True, slots=True)
class Glance:
    """A look worth taking at the survey, before anything comes off: minutes that may settle dear unknowns.

    Nothing is unplugged for it. `minutes` leave out the make-safe, which comes first where equipment may lie there.
    """

    id: str
    name: str
    how: str
    minutes: int
    parts: tuple[str, ...]
    """Part kinds that are looked at from behind; a cabin without any of them has no such look."""
    signs: MappingProxyType[Cause, str]
    """What shows that a cause was at work, by the causes it tells of."""
    finds: tuple[str, ...]
    """Hidden faults it may show."""
    equipment: tuple[Equipment, ...]
    """What may lie where the hand goes."""
    cautions: tuple[str, ...]
    """Beside make-safe."""
    evidence: Evidence

    def waits_for_make_safe(self, may_have: Callable[[Equipment], bool]) -> bool:
        """Whether the car is made safe first: any of the equipment is fitted, or not known to be absent."""
        return any(map(may_have, self.equipment))


@dataclass(frozen=True, slots=True)
class UsualWear:
    """A fault that wear usually brings to a material family, for guessing before anybody has seen the car.

    A cabin that was looked after has none of them; None where such wear does not bring it yet.
    """

    id: str
    family: str
    fault: str
    used: Extent | None
    worn: Extent | None
    neglected: Extent | None
    evidence: Evidence


@dataclass(frozen=True, slots=True)
class Caution:
    """A usual caution, shown where the hand is about to go; never instead of the car's manual or the label."""

    id: str
    text: str
    evidence: Evidence


@dataclass(frozen=True, slots=True)
class FinalTest:
    """A test before the keys go back; `trained`: by licensed practice. Only where `fitted` may be, if it names any."""

    id: str
    subject: str
    text: str
    trained: bool
    fitted: Equipment | None
    evidence: Evidence


@dataclass(frozen=True, slots=True)
class Source:
    """Where a row is from."""

    id: str
    title: str
    note: str


@dataclass(frozen=True, slots=True)
class Practice:
    """A named constant of the trade (a share, a rule of thumb, a payment) with its evidence."""

    id: str
    value: float
    unit: str
    what: str
    evidence: Evidence


@dataclass(frozen=True)
class Trade:
    """All facts, each table by id, loaded once by `facts.load()`."""

    parts: MappingProxyType[str, PartKind] = field(repr=False)
    faults: MappingProxyType[str, Fault] = field(repr=False)
    finds: MappingProxyType[str, Find] = field(repr=False)
    treatments: MappingProxyType[str, Treatment] = field(repr=False)
    materials: MappingProxyType[str, Material] = field(repr=False)
    tools: MappingProxyType[str, Tool] = field(repr=False)
    suppliers: MappingProxyType[str, Supplier] = field(repr=False)
    glances: MappingProxyType[str, Glance] = field(repr=False)
    cautions: MappingProxyType[str, Caution] = field(repr=False)
    final_tests: MappingProxyType[str, FinalTest] = field(repr=False)
    practice: MappingProxyType[str, Practice] = field(repr=False)
    sources: MappingProxyType[str, Source] = field(repr=False)
    families: MappingProxyType[str, Family] = field(repr=False)
    usual_wear: MappingProxyType[str, UsualWear] = field(repr=False)

    def is_for(self, material: str, materials: tuple[str, ...]) -> bool:
        """Whether a fault or treatment of these materials (any, if it names none) is one of `material`.

        What is of any material is not of those that only restraint parts have.
        """
        family = self.families.get(material)
        return material in materials or (not materials and not (family and family.restraint))
