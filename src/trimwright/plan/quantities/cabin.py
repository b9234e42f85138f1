"""The nouns of the first stage: every course a part could take and what each would need, in whole numbers.

Conventions, said once. Money is whole minor units of the job's currency, tax and coverage already applied (what
the sum does not cover costs 0); minutes are whole hands-on minutes before the hours factor; amounts of material are
whole thousandths of the material's unit, waste included, rounded up; points are whole numbers, `POINT_SCALE` to a
finish step of weight 1. Nothing here needs the job again: the solver reads `Quantities` alone.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from trimwright.facts.trade import Cause, Level, Look, TreatmentKind, Wait
from trimwright.worked import Worked

POINT_SCALE = 10

LEAVE = "leave"
"""The id of the course that does nothing."""


@dataclass(frozen=True, slots=True)
class Spread:
    """A three-point figure, triangular: its mean and variance are used, never its mode."""

    low: float
    likely: float
    high: float

    @property
    def mean(self) -> float:
        return (self.low + self.likely + self.high) / 3

    @property
    def variance(self) -> float:
        a, m, b = self.low, self.likely, self.high
        return (a * a + m * m + b * b - a * m - a * b - m * b) / 18


@dataclass(frozen=True, slots=True)
class Need:
    """So much of a material, by `MaterialKey`; `milli` is thousandths of its unit."""

    material: str
    """A key into `Quantities.materials`: the material's id, with its colour behind a colon where it has one."""
    milli: int
    worked: Worked | None = None


@dataclass(frozen=True, slots=True)
class Purchase:
    """Something bought or sent out for one course: the part itself or work done elsewhere."""

    what: str
    source: Literal["new", "used", "reproduction", "service"]
    supplier: str
    price: Spread
    """Everything but carriage of the supplier, delivery of this offer included [minor]."""
    days: tuple[int, int, int]
    evidence: str
    """"offer", the level of the trade's figure, or what the shop's own book says."""


@dataclass(frozen=True, slots=True)
class Course:
    """One way to treat one part: treatments in order, closed under what they need first.

    `finish_at[k]` is the finish when what the part rests on bears `bearings[k]` (the levels of
    `PartOptions.bearings`, falling); likewise `points_at[k]` and `redo_at[k]`. A course of a part that rests on
    nothing has one entry.
    Weaker support never gives more points or less redo. `bears` is what this course gives to what lies on it.
    `settles` maps child parts to the finish they get: a whole-part course decides its children.
    """

    id: str
    part: str
    name: str
    kind: TreatmentKind
    treatments: tuple[str, ...]
    finish_at: tuple[int, ...]
    points_at: tuple[int, ...]
    redo_at: tuple[float, ...]
    bears: int
    life_years: float
    kept: float
    look: Look
    minutes: int
    needs: tuple[Need, ...] = ()
    purchases: tuple[Purchase, ...] = ()
    once: tuple[str, ...] = ()
    """Tools, visits and batches it shares with others: keys into `Quantities.shared`."""
    steps: tuple[str, ...] = ()
    finds: tuple[str, ...] = ()
    redo_money: int = 0
    """What doing it again costs [minor], beside its minutes."""
    redo_share: float = 0.0
    """The share of what is bought that doing it again loses: counted in `redo_money`."""
    settles: Mapping[str, int] = field(default_factory=dict)
    waits: tuple[Wait, ...] = ()
    cautions: tuple[str, ...] = ()
    worked: tuple[Worked, ...] = ()
    """Minutes and other figures with their working, for Show working."""
    pinned: bool = False
    promised: bool = False
    """The owner has been promised it."""
    done: bool = False
    """It is done, at the finish it reached, and asks for nothing more."""

    @property
    def held(self) -> bool:
        """Whether the part takes this course, or another that is held, and no other."""
        return self.pinned or self.promised or self.done


@dataclass(frozen=True, slots=True)
class Refused:
    """A treatment that suits the part but is not offered, and why (shown to the user)."""

    treatment: str
    why: str


@dataclass(frozen=True, slots=True)
class PartOptions:
    """A part with its courses, `courses[0]` the cheapest that leaves it, unless it may not be left."""

    part: str
    name: str
    zone: str
    weight: float
    """Points per finish step before `POINT_SCALE`."""
    finish_now: int
    courses: tuple[Course, ...]
    child_of: str | None = None
    """The whole whose courses may settle this part."""
    rests_on: tuple[str, ...] = ()
    bearings: tuple[int, ...] = (10,)
    """The levels of support that make a difference, falling; (10,) when it rests on nothing."""
    floor: int | None = None
    refused: tuple[Refused, ...] = ()
    dropped: int = 0
    """Courses left out because another is as good and needs no more of anything."""


@dataclass(frozen=True, slots=True)
class Step:
    """A strip-down step, paid once however many courses need it (off and back on).

    `off`: it is off already and goes back on whatever is decided; its minutes are those of putting it back.
    """

    id: str
    name: str
    requires: tuple[str, ...]
    minutes: int
    needs: tuple[Need, ...] = ()
    finds: tuple[str, ...] = ()
    hold: bool = False
    off: bool = False


@dataclass(frozen=True, slots=True)
class Hidden:
    """A hidden fault of this job, triggered once. `certain`: in the money whether anything is opened or not."""

    id: str
    name: str
    chance: float
    """Given what is known of its cause."""
    loading: float
    """How much the chance moves with one standard deviation of the cause: φ(t)·√ρ, 0 when the cause is known."""
    money: Spread
    minutes: Spread
    cause: Cause
    must_deal: bool
    certain: bool = False
    evidence: Level = "guess"
    """How far the chance may be trusted."""
    shows_behind: tuple[str, ...] = ()
    """Strip-down steps: once all of them are off, anybody sees whether it is there; none = only the work shows it."""


@dataclass(frozen=True, slots=True)
class LookAt:
    """A look worth taking before anything is quoted, at one spot; nothing is unplugged for it."""

    id: str
    name: str
    glance: str
    """The trade's id of it: how it is done, and the cautions."""
    minutes: int
    """Hands on, making safe included where that comes first."""
    wait_minutes: int
    """Waiting until the car is safe, with the hands free."""
    settles: tuple[str, ...]
    """Ids of the hidden faults that it shows to be there or not."""


@dataclass(frozen=True, slots=True)
class Shared:
    """A tool, a batch set-up or a visit: paid once, however many courses use it."""

    id: str
    name: str
    what: Literal["tool", "batch", "visit"]
    money: int
    minutes: int
    needs: tuple[Need, ...] = ()


@dataclass(frozen=True, slots=True)
class PackOffer:
    """A pack of a material: size in thousandths of the unit, price in minor units."""

    id: str
    name: str
    size_milli: int
    price: int
    price_variance: float
    supplier: str
    evidence: str


@dataclass(frozen=True, slots=True)
class MaterialOffer:
    """A material (of one colour) with its packs and what is on the shelf."""

    key: str
    material: str
    colour: str
    name: str
    unit: str
    packs: tuple[PackOffer, ...]
    stock_milli: int = 0
    one_batch: bool = False
    """Bought from one supplier, all at once."""
    handling: str = ""


@dataclass(frozen=True, slots=True)
class SupplierOffer:
    """Carriage [minor], the order value above which it is free (0 = never), the least order, delivery days."""

    id: str
    name: str
    carriage: int
    free_over: int
    least_order: int
    days: tuple[int, int, int]


@dataclass(frozen=True, slots=True)
class Line:
    """A line of the whole job, in the money for certain."""

    id: str
    name: str
    money: int
    minutes: int
    worked: Worked | None = None


@dataclass(frozen=True, slots=True)
class Spent:
    """What is spent already, exactly as it was: money [minor], real minutes, and what those cost the sum [minor]."""

    money: int = 0
    minutes: int = 0
    labour: int = 0

    @property
    def total(self) -> int:
        """What the sum has paid so far [minor]."""
        return self.money + self.labour


@dataclass(frozen=True, slots=True)
class MatchedSet:
    """Parts seen together: `step_points` for each finish step apart beyond `within`, `look_points` for each look
    (recoloured, re-covered …) beyond the first."""

    name: str
    parts: tuple[str, ...]
    within: int
    step_points: int
    look_points: int


@dataclass(frozen=True, slots=True)
class Neighbours:
    """Two parts that touch: `step_points` for each finish step apart beyond `within`."""

    a: str
    b: str
    within: int
    step_points: int


@dataclass(frozen=True, slots=True)
class Terms:
    """The limits and the shares that hold for the whole job."""

    currency: str
    sum: int
    sure: float
    minutes: int | None
    """Hands-on minutes on hand, every overhead inside; None = no limit."""
    years: float
    talk_share: float
    """Talk, ordering, hunting, photographs on top of bench minutes."""
    hours_factor: float
    """Mean of real minutes over planned ones."""
    hours_spread: float
    """Standard deviation of that factor."""
    labour_per_hour: int
    """What an hour costs the sum [minor]; 0 when labour is outside it."""
    sundries_share: float
    """Share of packs bought that goes on small things."""
    floor_points: int
    """Points paid for each finish step a part ends below its floor."""
    correlation: float
    hunt_minutes: int
    """Minutes that one more look for a part takes."""


@dataclass(frozen=True)
class Quantities:
    """What every option would need: the whole input of the solver."""

    terms: Terms
    parts: tuple[PartOptions, ...]
    steps: Mapping[str, Step]
    hidden: Mapping[str, Hidden]
    shared: Mapping[str, Shared]
    materials: Mapping[str, MaterialOffer]
    suppliers: Mapping[str, SupplierOffer]
    lines: tuple[Line, ...]
    sets: tuple[MatchedSet, ...]
    neighbours: tuple[Neighbours, ...]
    notes: tuple[str, ...] = ()
    """What the user should know: unexplained finishes, guessed sizes, stops."""
    spent: Spent = Spent()
    looks: tuple[LookAt, ...] = ()
    broken: tuple[str, ...] = ()
    """Promises that can't be kept, in words, with the reason."""
