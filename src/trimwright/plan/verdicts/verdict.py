"""The nouns of the second stage: a verdict for every part, the packs that go with them, and the money.

The words for money, the same everywhere: **firm** is what is bought and charged for certain; **expected** is firm
plus expected redo and hidden faults; **reserve** is the simulated quantile at `sure` less firm; **left** is the sum
less firm and reserve. All in whole minor units.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from trimwright.plan.quantities.cabin import Course, Quantities

Status = Literal["optimal", "feasible", "short"]


@dataclass(frozen=True, slots=True)
class Verdict:
    """What is done to one part. `money` is its own purchases and its fair share of packs, tools and steps, so that
    the verdicts and the whole-job lines add up to firm; `settled_by` names the whole whose course decided it."""

    part: str
    name: str
    zone: str
    course: Course | None
    settled_by: str | None
    money: int
    minutes: int
    finish_before: int
    finish_after: int
    pinned: bool


@dataclass(frozen=True, slots=True)
class Bought:
    """Packs of one material to buy. `used_milli` and `left_milli` are over all packs of its material key."""

    material: str
    name: str
    colour: str
    pack: str
    pack_id: str
    count: int
    money: int
    supplier: str
    """Supplier id."""


@dataclass(frozen=True, slots=True)
class Money:
    """Firm, expected, reserve, left; `chance` that the job ends inside the sum, simulated, with its standard error."""

    currency: str
    sum: int
    firm: int
    expected: int
    reserve: int
    left: int
    chance: float
    chance_se: float


@dataclass(frozen=True, slots=True)
class GivenUp:
    """A wish that could not be kept: what, which part, by how much."""

    what: Literal["floor", "set", "look", "neighbour"]
    """`look`: parts of a set that end with more than one look (recoloured, …); the others are steps apart."""
    parts: tuple[str, ...]
    wanted: int
    got: int
    points: int


@dataclass(frozen=True, slots=True)
class Short:
    """The sum or the hours cannot even pay the must-dos, the pins and the promises: by how much, and what they are.

    A promise that can't be kept whatever is paid makes a plan short of nothing, and stands in `because`.
    """

    money: int
    minutes: int
    because: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Proof:
    """What was proven: best bound, gap on points gained over leaving everything, how the reserve's z was found."""

    points: int
    bound: float
    gap: float
    points_if_left: int
    z: float
    tries: tuple[tuple[float, int, float], ...]
    """(z, points, simulated chance) of each plan tried."""
    columns: int
    rows: int
    dropped: int


@dataclass(frozen=True)
class Verdicts:
    """The answer: a verdict for every part, proven best for the sum at the z that makes it sure enough."""

    status: Status
    verdicts: tuple[Verdict, ...]
    finish_before: int
    finish_after: int
    """0–100, weighted mean over visible parts."""
    points: int
    money: Money
    minutes: int
    """Expected hands-on minutes, overheads inside."""
    minutes_limit: int | None
    bought: tuple[Bought, ...]
    used_milli: Mapping[str, int]
    """Thousandths of each material key that the plan uses."""
    carriage: Mapping[str, int]
    """Carriage paid, by supplier id."""
    steps: tuple[str, ...]
    shared: tuple[str, ...]
    hidden: tuple[str, ...]
    """Hidden faults in the money."""
    sundries: int
    given_up: tuple[GivenUp, ...]
    short: Short | None
    proof: Proof
    seconds: float


@dataclass(frozen=True)
class Decision:
    """Verdicts, and the quantities they were decided on."""

    quantities: Quantities
    verdicts: Verdicts

    def stands_for(self, quantities: Quantities) -> bool:
        """Whether deciding on these quantities would come to the same: it reads nothing else, and none has changed.

        Work begun and finished at the bench, the shop's air, dates of one's own, an order and its arrival change none;
        money, a find, a price, a step that is off and a part that is done do.
        """
        return self.quantities == quantities
