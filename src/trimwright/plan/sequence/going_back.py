"""What stands in the way of one move on the way back, now: what goes in first, checks, waits, cures, torques.

No reason lifts a hold: it is over when what it waits for is noted, or the time is.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta

from trimwright.facts.trade import Trade
from trimwright.job.document import Job
from trimwright.job.events import Account, Bought, Done
from trimwright.plan.sequence import moves
from trimwright.plan.sequence.curing import cured_at
from trimwright.plan.sequence.holds import CHECKS, Hold, checked_at, is_off, loose
from trimwright.plan.sequence.ledger import torques, touched, when_safe
from trimwright.plan.sequence.moves import Move, Sequence
from trimwright.plan.sequence.touching import BATTERY


def holds(move: Move, sequence: Sequence, job: Job, trade: Trade, now: datetime) -> tuple[Hold, ...]:
    """Everything that keeps the move from being made at `now`, an aware instant."""
    found: list[Hold] = [*_before(move, sequence, job, trade)]
    if move.doing == "back":
        found += [*_not_off(move, job), *_safe(move, sequence, job, now), *_cured(move, job, trade, now)]
        found += [*_in_hand(move, job)]
        found += loose(each for each in torques(sequence, job, trade) if each.step == move.step)
    if move.doing == "looms tested" and moves.BATTERY_OFF in move.after and not is_off(BATTERY, job):
        found.append(_battery_on())
    if move.doing in ("lamp check", "power tests") and is_off(BATTERY, job):
        found.append(Hold("battery off", "The battery's negative", "is still off.", BATTERY))
    return tuple(found)


def _before(move: Move, sequence: Sequence, job: Job, trade: Trade) -> Iterator[Hold]:
    """What goes back first, and the checks before anything is covered."""
    named = touched(sequence, job, trade)
    for each in move.after:
        doing, _, step = each.partition(":")
        if doing == "back" and is_off(step, job):
            yield Hold("off", named.get(step, step), "goes back first.", step)
        if each in CHECKS and checked_at(each, job, trade) is None:
            yield Hold("check", sequence[each].name, "is not noted.", each)


def _not_off(move: Move, job: Job) -> Iterator[Hold]:
    if is_off(move.step or "", job) is None:
        yield Hold("not off", move.name, "is not noted as off.", move.step or "")


def _safe(move: Move, sequence: Sequence, job: Job, now: datetime) -> Iterator[Hold]:
    """The battery off, and the wait over, before anything electric or restrained is touched."""
    if moves.BATTERY_OFF in move.after and not is_off(BATTERY, job):
        yield _battery_on()
    elif moves.WAIT in move.after and sequence.safe_wait and (off := when_safe(sequence, job)):
        until = off.astimezone() + timedelta(minutes=sequence.safe_wait.minutes)
        if now < until:
            yield Hold("wait", "Restraint connectors", "are not safe to touch yet.", move.step or "", until=until)


def _battery_on() -> Hold:
    return Hold("battery on", "The battery's negative", "is not noted as off.", BATTERY)


def _cured(move: Move, job: Job, trade: Trade, now: datetime) -> Iterator[Hold]:
    done = {each.part: each for each in job.events if isinstance(each, Done)}
    for cure in move.cures:
        if cure.part not in done:
            yield Hold("not done", cure.name, "is not noted as done.", cure.part)
        elif (until := cured_at(done[cure.part], trade)) and now < until:
            yield Hold("curing", cure.name, f"has not had its wait ({cure.wait}).", cure.part, until=until)


def _in_hand(move: Move, job: Job) -> Iterator[Hold]:
    """What is bought or sent out for it has come; the owner may bring it."""
    here = {each.part for each in job.events if isinstance(each, Bought) and each.returned is None}
    here |= {each.part for each in job.events if isinstance(each, Account) and each.what == "owner's material"}
    for name in move.in_hand:
        part = next((each.id for each in job.parts if each.name == name), "")
        if part not in here:
            yield Hold("not here", name, "is not noted as here.", part)
