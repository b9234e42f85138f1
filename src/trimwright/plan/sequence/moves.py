"""The nouns of the fourth stage: every move on the way in and on the way back, in one order, with what it waits for.

Conventions, said once. Minutes are whole hands-on minutes before the hours factor, as in the quantities; waits are
whole minutes by the clock, cures hours (low, likely, high). A move's `after` names the moves that come before it
whatever is asked for; equipment that nobody has looked for counts as fitted.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, Any, Literal

from trimwright.facts.fixings import Fixing
from trimwright.facts.trade import Place

if TYPE_CHECKING:
    from pydantic import TypeAdapter

Doing = Literal[
    "record", "make ready", "battery off", "wait", "off", "store", "clips in hand", "floor dry", "drains tested",
    "looms tested", "back", "battery on", "lamp check", "power tests", "hand over",
]  # fmt: skip
Condition = Literal[
    "lug insulated", "nobody in the car", "trained person", "cover up, apart", "meter or isolated feed",
    "never a restraint circuit", "battery stays off",
]  # fmt: skip
"""What must hold while a move is made; no order, pin or reason lifts one."""

RECORD, READY, BATTERY_OFF, WAIT = "record", "ready", "battery_off", "wait"
CLIPS, FLOOR, DRAINS, LOOMS = "clips", "floor", "drains", "looms"
BATTERY_ON, LAMP, POWER, HAND_OVER = "battery_on", "lamp", "power", "hand_over"


def off_id(step: str) -> str:
    """The move that takes a step's thing off."""
    return f"off:{step}"


def back_id(step: str) -> str:
    """The move that puts it back."""
    return f"back:{step}"


def store_id(step: str) -> str:
    """The move that lays down a unit that can fire."""
    return f"store:{step}"


@dataclass(frozen=True, slots=True)
class Finding:
    """A hidden fault that may lie open after a move."""

    id: str
    name: str
    chance: float
    must_deal: bool


@dataclass(frozen=True, slots=True)
class Cure:
    """Work that must have hardened or dried first: the wait after its last step."""

    part: str
    name: str
    """The part's name in the survey."""
    wait: str
    hours: tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Move:
    """One thing done to the car."""

    id: str
    doing: Doing
    name: str
    zone: str = ""
    step: str | None = None
    """The strip-down step it takes off or puts back."""
    place: Place | None = None
    minutes: int = 0
    wait_minutes: int = 0
    after: tuple[str, ...] = ()
    conditions: frozenset[Condition] = frozenset()
    fixings: tuple[Fixing, ...] = ()
    clips: int = 0
    """How many clips usually hold it, all pieces together; 0 = nobody can say."""
    new_fixings: int = 0
    """Clips and small fixings to have in hand: counted, else the usual loss rounded up."""
    bag: str | None = None
    """The bag its fixings go into, or come out of: the step's id."""
    marks: tuple[str, ...] = ()
    photos: tuple[str, ...] = ()
    how: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    """Ids of the trade's cautions."""
    may_find: tuple[Finding, ...] = ()
    cures: tuple[Cure, ...] = ()
    in_hand: tuple[str, ...] = ()
    """Names of bought or sent-out parts that must be here before it goes back."""
    done: bool = False
    """Noted as done."""

    @property
    def plugs(self) -> tuple[Fixing, ...]:
        return tuple(each for each in self.fixings if each.form == "plug")

    @property
    def bagged(self) -> tuple[Fixing, ...]:
        return tuple(each for each in self.fixings if each.bagged)


@dataclass(frozen=True, slots=True)
class SafeWait:
    """How long between taking the battery off and touching restraint connectors, and who says so."""

    minutes: int
    own: bool
    """From the car's own book; else the longest in print."""
    source: str


@dataclass(frozen=True)
class Sequence:
    """All moves in their order: in, the tests before and after, and back."""

    moves: tuple[Move, ...]
    safe_wait: SafeWait | None
    """None where nothing restrained is touched."""

    def __getitem__(self, move_id: str) -> Move:
        """The move of this id; KeyError when there is none."""
        return self.by_id[move_id]

    @property
    def by_id(self) -> Mapping[str, Move]:
        return {each.id: each for each in self.moves}

    @property
    def strip(self) -> tuple[Move, ...]:
        """The way in."""
        return tuple(each for each in self.moves if each.doing in STRIP)

    @property
    def rebuild(self) -> tuple[Move, ...]:
        """The way back."""
        return tuple(each for each in self.moves if each.doing not in STRIP)


def of_plain(data: Any) -> Sequence:
    """The sequence that was kept as plain data, such as JSON carries."""
    return _reader().validate_python(data)


@cache
def _reader() -> TypeAdapter[Sequence]:
    from pydantic import TypeAdapter

    from trimwright.facts.trade import Equipment, Evidence

    reader = TypeAdapter(Sequence)
    reader.rebuild(_types_namespace={"Equipment": Equipment, "Evidence": Evidence})
    return reader


STRIP: frozenset[Doing] = frozenset({"record", "make ready", "battery off", "wait", "off", "store"})
