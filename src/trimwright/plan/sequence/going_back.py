"""What stands in the way of each move on the way back, now: what goes in first, checks, waits, cures, torques.

No reason lifts a hold: it is over when what it waits for is noted, or the time is.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from functools import cached_property
from typing import Literal

from trimwright.facts.trade import Trade
from trimwright.job.document import Job
from trimwright.job.events import Account, Bought, Done
from trimwright.plan.sequence import moves
from trimwright.plan.sequence.coming_off import safe_from
from trimwright.plan.sequence.curing import cured_at
from trimwright.plan.sequence.holds import CHECKS, Hold, checked_at, is_off, laid_open, loose, may_be_fitted
from trimwright.plan.sequence.ledger import Bag, Torque, bags, torques, touched, undone
from trimwright.plan.sequence.moves import Move, Sequence, back_id
from trimwright.plan.sequence.touching import BATTERY

TESTED = ("lamp check", "power tests", "hand over")
"""What is no move of the hands: the test sheet has it, and the hand-over."""
State = Literal["made", "open", "held", "never off"]
"""Made; to be made now; held by something; of a part that was never off."""


@dataclass(frozen=True, slots=True)
class Standing:
    """A move on the way back as it stands."""

    move: Move
    state: State
    holds: tuple[Hold, ...]
    bag: Bag | None
    torques: tuple[Torque, ...]

    @property
    def until(self) -> datetime | None:
        """When its last hold is over by itself; None where something has to be done first."""
        ends = [each.until for each in self.holds]
        return max(each for each in ends if each) if ends and all(ends) else None


@dataclass(frozen=True)
class WayBack:
    """The way back of one job at `now`, an aware instant."""

    sequence: Sequence
    job: Job
    trade: Trade
    now: datetime

    @cached_property
    def moves(self) -> tuple[Standing, ...]:
        """Every move in its order; what was off and the newest plan no longer names stands first.

        The lamp, the power tests and the keys stand on the test sheet and apart.
        """
        planned = [each for each in self.sequence.rebuild if each.doing not in TESTED]
        steps = {each.step for each in planned}
        gone = [
            Move(back_id(step), "back", name, step=step, bag=step)
            for step, name in self._named.items()
            if step not in steps and step in self._undone
        ]
        return tuple(self.standing(each) for each in (*gone, *planned))

    def standing(self, move: Move) -> Standing:
        """One move as it stands."""
        made, held = self.is_made(move), () if self.is_made(move) else self.holds(move)
        never = any(each.kind == "not off" for each in held)
        state: State = "made" if made else "never off" if never else "held" if held else "open"
        bag = next((each for each in self.bags if each.step == move.step), None)
        return Standing(move, state, held, bag, self.torques.get(move.step or "", ()))

    def is_made(self, move: Move) -> bool:
        """Whether it is noted, and nothing has been laid open since."""
        if move.id in CHECKS:
            return checked_at(move.id, self.job, self.trade) is not None
        return move.step in self._undone and not is_off(move.step or "", self.job)

    def holds(self, move: Move) -> tuple[Hold, ...]:
        """Everything that keeps the move from being made now."""
        found = [*self._before(move)]
        if move.doing == "back":
            found = [*self._not_off(move), *found, *self._safe(move), *self._cured(move), *self._in_hand(move)]
            found += loose(self.torques.get(move.step or "", ()))
        if move.doing == "battery on" and is_off(BATTERY, self.job) is None:
            found.append(Hold("not off", move.name, "was never noted as off.", BATTERY))
        if move.doing == "looms tested" and moves.BATTERY_OFF in move.after and not is_off(BATTERY, self.job):
            found.append(_battery_on())
        return tuple(found)

    # ---- read once for all moves -------------------------------------------------------------------------------------

    @cached_property
    def bags(self) -> tuple[Bag, ...]:
        return bags(self.sequence, self.job, self.trade)

    @cached_property
    def torques(self) -> Mapping[str, tuple[Torque, ...]]:
        """Every bolt by its step."""
        found: dict[str, tuple[Torque, ...]] = {}
        for each in torques(self.sequence, self.job, self.trade):
            found[each.step] = (*found.get(each.step, ()), each)
        return found

    @cached_property
    def _named(self) -> Mapping[str, str]:
        return touched(self.sequence, self.job, self.trade)

    @cached_property
    def _undone(self) -> frozenset[str | None]:
        return frozenset(undone(self.job, self.trade))

    @cached_property
    def _done(self) -> Mapping[str, Done]:
        return {each.part: each for each in self.job.events if isinstance(each, Done)}

    @cached_property
    def _here(self) -> frozenset[str | None]:
        """Parts that were bought or sent out and have come; the owner may bring one."""
        events = self.job.events
        bought = {
            each.part for each in events if isinstance(each, Bought) and may_be_fitted(each, self.job, self.trade)
        }
        brought = {each.part for each in events if isinstance(each, Account) and each.what == "owner's material"}
        return frozenset(bought | brought)

    # ---- the holds ---------------------------------------------------------------------------------------------------

    def _before(self, move: Move) -> Iterator[Hold]:
        """What goes back first, and the checks before anything is covered."""
        for each in move.after:
            doing, _, step = each.partition(":")
            if doing == "back" and is_off(step, self.job):
                yield Hold("off", self._named.get(step, step), "goes back first.", step)
            asked = move.doing == "back" or laid_open(each, self.job, self.trade)
            if each in CHECKS and asked and checked_at(each, self.job, self.trade) is None:
                yield Hold("check", self.sequence[each].name, "is not noted.", each)

    def _not_off(self, move: Move) -> Iterator[Hold]:
        if is_off(move.step or "", self.job) is None:
            yield Hold("not off", move.name, "is not noted as off.", move.step or "")

    def _safe(self, move: Move) -> Iterator[Hold]:
        """The battery off, and the wait over, before anything electric or restrained is touched."""
        until = safe_from(self.job, self.trade)
        if moves.BATTERY_OFF in move.after and until is None:
            yield _battery_on()
        elif moves.WAIT in move.after and until and self.now < until:
            yield Hold("wait", "Restraint connectors", "are not safe to touch yet.", move.step or "", until=until)

    def _cured(self, move: Move) -> Iterator[Hold]:
        for cure in move.cures:
            done = self._done.get(cure.part)
            if done is None:
                yield Hold("not done", cure.name, "is not noted as done.", cure.part)
            elif (until := cured_at(done, self.job, self.trade)) and self.now < until:
                yield Hold("curing", cure.name, f"has not had its wait ({cure.wait}).", cure.part, until=until)

    def _in_hand(self, move: Move) -> Iterator[Hold]:
        """What is bought or sent out for it has come."""
        for name in move.in_hand:
            part = next((each.id for each in self.job.parts if each.name == name), "")
            if part not in self._here:
                yield Hold("not here", name, "is not noted as here.", part)


def _battery_on() -> Hold:
    return Hold("battery on", "The battery's negative", "is not noted as off.", BATTERY)
