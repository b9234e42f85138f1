"""The fixings ledger: every bag and where it stands, every torque and whose figure it is.

What holds people (belt, seat, airbag, steering wheel) is tightened to the figure of the car's own book and to no
other; until that is entered there is a blank, and the car is not handed over.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from trimwright import units
from trimwright.craft.torque import SOURCE, general_torque, thread_of
from trimwright.facts.access import part_id
from trimwright.facts.fixings import Fixing, Grade, Holds
from trimwright.facts.trade import PartKind, Trade
from trimwright.job.document import Job
from trimwright.job.events import Bag as BagNoted
from trimwright.job.events import Done, Event, FixingKnown, Opened, Tightened
from trimwright.job.fields import treatments_named
from trimwright.plan.sequence.moves import Sequence
from trimwright.plan.sequence.touching import BATTERY, fixings
from trimwright.worked import Worked

State = Literal["to fill", "open", "back", "written off"]
Basis = Literal["the car's own book", "general, check the book", ""]
SEEN: Mapping[Holds, tuple[int, int]] = {"belt": (35, 57), "seat": (39, 47), "steering wheel": (35, 80)}
"""Torques met in manuals [N·m], to doubt a slip of the unit and for nothing else. Source: workshop manuals of several
makers, 1996–2005, read in excerpts."""
NEAR = 0.05
"""How far a wrench may be off the figure, as a share of it."""


@dataclass(frozen=True, slots=True)
class Bag:
    """The bag of one step, by that step's id."""

    step: str
    name: str
    contents: tuple[Fixing, ...]
    clips: int
    """How many clips usually hold it, all pieces together."""
    state: State
    counted: int | None
    """How many fixings went into it; None where nobody counted."""
    missing: int
    broken: int
    why: str
    """Why it was written off."""
    noted: bool
    """Whether anybody noted it filled; else it goes with its step."""


@dataclass(frozen=True, slots=True)
class Torque:
    """One bolted fixing of one step, and what it is tightened to; None where nobody has said it."""

    step: str
    name: str
    """What the step takes off."""
    fixing: Fixing
    thread: str | None
    grade: Grade | None
    newton_metres: float | None
    basis: Basis
    source: str
    worked: Worked | None
    """The working of a general figure."""
    tightened: Tightened | None
    """The last time it was, since it was last off."""

    @property
    def is_gate(self) -> bool:
        """Whether it holds people, and its figure is not entered yet."""
        return self.fixing.holds is not None and self.newton_metres is None

    @property
    def is_off_the_figure(self) -> bool:
        """Whether the wrench was set to something else."""
        if self.tightened is None or self.newton_metres is None:
            return False
        return abs(self.tightened.newton_metres - self.newton_metres) > NEAR * self.newton_metres

    @property
    def doubt(self) -> str:
        """Why the figure in the book may be a slip of the unit; nothing for one like those met elsewhere."""
        low, high = SEEN.get(self.fixing.holds, (0, 10**6)) if self.fixing.holds else (0, 10**6)
        if self.newton_metres is None or low <= self.newton_metres <= high:
            return ""
        met = f"{units.torque(low)} to {units.torque(high)}"
        return f"{units.torque(self.newton_metres)} is not what manuals give, {met}: N·m, or lbf·ft?"


# ---- bags ------------------------------------------------------------------------------------------------------------


def bags(sequence: Sequence, job: Job, trade: Trade) -> tuple[Bag, ...]:
    """Every bag of the sequence and of what has been opened, as it stands."""
    noted = {each.step: each for each in job.events if isinstance(each, BagNoted)}
    found = []
    for step, name in touched(sequence, job, trade).items():
        contents = tuple(each for each in _held(step, job, trade) if each.bagged)
        if contents or step in noted:
            found.append(_bag(step, name, contents, noted.get(step), job, trade))
    return tuple(found)


def _bag(step: str, name: str, contents: tuple[Fixing, ...], noted: BagNoted | None, job: Job, trade: Trade) -> Bag:
    kind = trade.parts.get(_kind(step))
    opened = [each for each in job.events if isinstance(each, Opened) and each.step == step]
    state: State
    if noted is not None:
        state = "open" if noted.state == "filled" else noted.state
    else:
        state = "to fill" if not opened else "back" if opened[-1].back_on else "open"
    return Bag(
        step=step,
        name=name,
        contents=contents,
        clips=kind.clips if kind else 0,
        state=state,
        counted=noted.counted if noted else None,
        missing=noted.missing if noted else 0,
        broken=noted.broken if noted else 0,
        why=noted.note if noted and noted.state == "written off" else "",
        noted=noted is not None,
    )


# ---- torques ---------------------------------------------------------------------------------------------------------


def torques(sequence: Sequence, job: Job, trade: Trade) -> tuple[Torque, ...]:
    """Every bolt of the sequence and of what has been opened, in the order in which they go back."""
    order = [each.step for each in sequence.rebuild if each.step]
    named = touched(sequence, job, trade)
    steps = sorted(named, key=lambda step: order.index(step) if step in order else -1)
    return tuple(
        _torque(step, named[step], fixing, job)
        for step in steps
        for fixing in _held(step, job, trade)
        if fixing.form == "bolt"
    )


def fixing_torque(step: str, fixing: str, job: Job, trade: Trade) -> Torque | None:
    """One bolt by its step and its name; None where this car has none such."""
    kind = trade.parts.get(_kind(step))
    bolts = (each for each in _held(step, job, trade) if each.form == "bolt" and each.name == fixing)
    return next((_torque(step, kind.name if kind else step, each, job) for each in bolts), None)


def _torque(step: str, name: str, fixing: Fixing, job: Job) -> Torque:
    known = [
        each for each in job.events if isinstance(each, FixingKnown) and (each.step, each.fixing) == (step, fixing.name)
    ]
    thread = next((each.thread for each in reversed(known) if each.thread), None)
    grade = next((each.grade for each in reversed(known) if each.grade), None)
    own = next((each for each in reversed(known) if each.newton_metres is not None), None)
    metric = thread_of(thread) if thread else None
    worked = general_torque(metric, grade) if metric and grade and own is None and fixing.holds is None else None
    general = worked.value if worked else None
    basis: Basis = "the car's own book" if own else "general, check the book" if worked else ""
    return Torque(
        step=step,
        name=name,
        fixing=fixing,
        thread=thread,
        grade=grade,
        newton_metres=own.newton_metres if own else general,
        basis=basis,
        source=own.page if own else SOURCE if worked else "",
        worked=worked,
        tightened=_tightened(step, fixing, job),
    )


def _tightened(step: str, fixing: Fixing, job: Job) -> Tightened | None:
    """The last tick since the step was last taken off."""
    last = None
    for each in job.events:
        if isinstance(each, Opened) and each.step == step and not each.back_on:
            last = None
        if isinstance(each, Tightened) and (each.step, each.fixing) == (step, fixing.name):
            last = each
    return last


# ---- steps -----------------------------------------------------------------------------------------------------------


def touched(sequence: Sequence, job: Job, trade: Trade) -> dict[str, str]:
    """The steps of the sequence and those ever undone, with what they take off."""
    names = {each.step: each.name for each in sequence.strip if each.doing == "off" and each.step}
    for step in undone(job, trade):
        kind, place = trade.parts.get(_kind(step)), step.partition(".")[2].replace("_", " ")
        names.setdefault(step, (kind.name if kind else step) + (f", {place} side" if kind and place else ""))
    names.pop(BATTERY, None)
    return names


def when_safe(sequence: Sequence, job: Job) -> datetime | None:
    """When the battery came off, where it is noted off: the wait runs from then."""
    off = [each for each in job.events if isinstance(each, Opened) and each.step == BATTERY]
    return off[-1].at if off and not off[-1].back_on and sequence.safe_wait else None


def undone(job: Job, trade: Trade) -> tuple[str, ...]:
    """Every step whose fixings were ever undone: opened, or of a restraint part that was fitted new."""
    steps = (each.step if isinstance(each, Opened) else restraint_fitted(each, job, trade) for each in job.events)
    return tuple(dict.fromkeys(step for step in steps if step is not None))


def restraint_fitted(event: Event, job: Job, trade: Trade) -> str | None:
    """The step of the restraint part that was fitted new, noted off or not; None where the event tells of no such."""
    part = next((each for each in job.parts if isinstance(event, Done) and each.id == event.part), None)
    kind = trade.parts.get(part.kind) if part is not None else None
    if part is None or kind is None or not kind.is_restraint or not isinstance(event, Done):
        return None
    bought = any(trade.treatments[each].buys for each in treatments_named(event.course) if each in trade.treatments)
    return part_id(part.kind, part.place) if bought else None


def _held(step: str, job: Job, trade: Trade) -> tuple[Fixing, ...]:
    """The fixings of a step, without those that this car is said not to have."""
    kind: PartKind | None = trade.parts.get(_kind(step))
    there = {each.fixing: each.there for each in job.events if isinstance(each, FixingKnown) and each.step == step}
    return tuple(each for each in fixings(kind, job.car.equipment) if there.get(each.name, True)) if kind else ()


def _kind(step: str) -> str:
    return step.partition(".")[0]
