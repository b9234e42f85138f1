"""What is told the moment something is noted, because somebody may be hurt by it: fuel, a wait, a torque, an anchor.

The log tells what was done, so it is kept; only while fuel can be smelt nothing is noted as off. Moments are those of
the events: what is noted in the evening is held against when it was done.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from datetime import datetime, timedelta

from trimwright import units
from trimwright.errors import BadInput, Problem
from trimwright.facts.trade import Trade
from trimwright.job.document import Job
from trimwright.job.events import Bag, Event, Find, FixingKnown, Intake, Opened, Tightened
from trimwright.plan.sequence.coming_off import fuel_smelt, holds
from trimwright.plan.sequence.ledger import fixing_torque
from trimwright.plan.sequence.touching import holding

A_DAY = timedelta(days=1)
"""A clock of another zone is ahead by no more."""
NEW_BOLTS = "What is lost or broken there holds people: new, by the car's own book, never from a bag of clips."
SOUND = ("lights, then goes out", "none fitted")
LAMP = "The restraint lamp was not right before the work: let licensed practice read it before the battery comes off."
ANCHOR = "That holds people. If it weakens a belt, a seat or where it is bolted, note it with --must: it is never left."


def refuse_with_fuel(event: Event, before: Job) -> None:
    """BadInput when a step is noted off though fuel can be smelt."""
    smelt = fuel_smelt(before)
    if smelt is not None and isinstance(event, Opened) and not event.back_on:
        raise BadInput([Problem(smelt.where, "", smelt.what, "")])


def warn_of_fuel(job: Job) -> None:
    """Tell it beside whatever leads the hand to the car."""
    smelt = fuel_smelt(job)
    if smelt is not None:
        print(f"! {smelt} Until then nothing comes off.", file=sys.stderr)


def told_at_once(event: Event, before: Job, after: Job, trade: Trade, now: datetime) -> Iterator[str]:
    """What to tell of an event that has been noted at `now`, an aware instant: a line each."""
    if event.at.astimezone() > now + A_DAY:
        yield f"{event.at:%Y-%m-%d %H:%M} lies ahead, and waits are counted from it: was it meant?"
    match event:
        case Opened() if not event.back_on:
            for hold in holds(event.step, before, trade, event.at.astimezone()):
                yield f"{hold}" + (f" Not before {hold.until.astimezone():%H:%M}." if hold.until else "")
        case Intake() if event.restraint_lamp not in SOUND:
            yield LAMP
        case Bag() if event.missing + event.broken and holding(event.step, trade):
            yield NEW_BOLTS
        case Find() if not event.must and _on_what_holds(event, after, trade):
            yield ANCHOR
        case FixingKnown() | Tightened():
            yield from _torque_told(event, after, trade)


def _on_what_holds(event: Find, job: Job, trade: Trade) -> bool:
    """Whether a find lies on a restraint part, or was met at bolts of a belt, a seat or the wheel."""
    kind = next((trade.parts.get(each.kind) for each in job.parts if each.id == event.part), None)
    return (kind is not None and kind.is_restraint) or (event.step is not None and bool(holding(event.step, trade)))


def _torque_told(event: FixingKnown | Tightened, job: Job, trade: Trade) -> Iterator[str]:
    found = fixing_torque(event.step, event.fixing, job, trade)
    if found is None or found.fixing.holds is None:
        return
    if found.doubt:
        yield found.doubt
    if isinstance(event, Tightened) and found.newton_metres is None:
        yield f"What holds a {found.fixing.holds} has no figure of the car's own book yet: enter it, and tighten to it."
    elif isinstance(event, Tightened) and found.is_off_the_figure:
        set_to, book = units.torque(event.newton_metres), units.torque(found.newton_metres or 0)
        yield f"It was tightened to {set_to}; the car's own book says {book}: take it to that, and note it again."
