"""What stands in the way, as a frozen value, and what moves on the way back and the keys both ask: off, checked, tight.

Events stand in the order in which they happened: a check holds until what it looks at is laid open again.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from trimwright import units
from trimwright.facts.trade import PartKind, Trade
from trimwright.job.check_events import is_restraint
from trimwright.job.document import Job
from trimwright.job.events import Bought, Check, Checked, Opened
from trimwright.plan.sequence import moves
from trimwright.plan.sequence.ledger import Torque
from trimwright.plan.sequence.touching import Covered, covers

Kind = Literal[
    "not off", "off", "battery on", "battery off", "wait", "check", "curing", "not done", "not here", "no torque",
    "not tightened", "other torque", "bag", "find", "not paid", "snag", "not tried", "failed", "not licensed",
    "not signed", "fuel", "not taken in",
]  # fmt: skip
CHECKS: dict[str, tuple[Checked, Covered | None]] = {
    moves.CLIPS: ("clips in hand", None),
    moves.FLOOR: ("floor dry", "floor"),
    moves.DRAINS: ("drains tested", "drains"),
    moves.LOOMS: ("looms tested", "looms"),
}
"""Moves that are noted as a check, and what is covered once they are made."""


@dataclass(frozen=True, slots=True)
class Hold:
    """One thing that stands in the way, and what it is about: whoever shows it knows the way out."""

    kind: Kind
    where: str
    what: str
    about: str = ""
    """The step, test, part, find, snag or check it is about, by its id."""
    fixing: str = ""
    """Of a torque: the fixing."""
    until: datetime | None = None
    """When it is over by itself."""

    def __str__(self) -> str:
        return f"{self.where} {self.what}"


def may_be_fitted(bought: Bought, job: Job, trade: Trade) -> bool:
    """Whether what was bought may go into the car: it has not gone back, and holds nobody unless it is new."""
    is_new = bought.source == "new" or bought.part is None or not is_restraint(bought.part, job, trade)
    return bought.returned is None and is_new


def is_off(step: str, job: Job) -> bool | None:
    """Whether a step is off; None where it never was."""
    opened = [each for each in job.events if isinstance(each, Opened) and each.step == step]
    return not opened[-1].back_on if opened else None


def checked_at(move: str, job: Job, trade: Trade) -> datetime | None:
    """When a check was made that still holds: nothing it looks at has been laid open since."""
    what, covered = CHECKS[move]
    found = None
    for event in job.events:
        if isinstance(event, Opened) and covered and not event.back_on and _covers(event.step, covered, trade):
            found = None
        if isinstance(event, Check) and event.what == what:
            found = event.at
    return found


def laid_open(move: str, job: Job, trade: Trade) -> bool:
    """Whether anything was ever off that covers what this check looks at; of other moves never."""
    _what, covered = CHECKS.get(move, (None, None))
    return covered is not None and any(
        isinstance(each, Opened) and _covers(each.step, covered, trade) for each in job.events
    )


def loose(found: Iterable[Torque]) -> Iterator[Hold]:
    """What holds people and is not tightened to the figure of the car's own book."""
    for each in found:
        if each.fixing.holds is None:
            continue
        where, step, fixing = f"{each.name}: {each.fixing.name}", each.step, each.fixing.name
        if each.newton_metres is None:
            yield Hold("no torque", where, "has no torque from the car's own book.", step, fixing)
        elif each.tightened is None:
            yield Hold("not tightened", where, "is not noted as tightened.", step, fixing)
        elif each.is_off_the_figure:
            set_to, book = units.torque(each.tightened.newton_metres), units.torque(each.newton_metres)
            yield Hold("other torque", where, f"was tightened to {set_to}; the book says {book}.", step, fixing)


def _covers(step: str, covered: Covered, trade: Trade) -> bool:
    kind: PartKind | None = trade.parts.get(step.partition(".")[0])
    return kind is not None and covers(kind, covered)
