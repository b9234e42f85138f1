"""What keeps a job open: the one place that says whether the car may go back to its owner.

Nothing lifts a hold of safety, a must-do that is not paid, or a test sheet that is not signed; each names its way out.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import datetime

from trimwright.facts.trade import FinalTest, Trade
from trimwright.job.check_events import is_restraint
from trimwright.job.document import Job
from trimwright.job.events import (
    Account,
    Bought,
    Done,
    Event,
    Find,
    Opened,
    RestraintLamp,
    Snag,
    Tested,
)
from trimwright.job.fields import treatments_named
from trimwright.job.milestones import intake_of
from trimwright.plan.quantities.cabin import LEAVE
from trimwright.plan.quantities.safety import may_be_left
from trimwright.plan.quantities.so_far import so_far
from trimwright.plan.quantities.surveyed import survey
from trimwright.plan.sequence import moves
from trimwright.plan.sequence.curing import cured_at
from trimwright.plan.sequence.holds import CHECKS, Hold, Kind, checked_at, is_off, laid_open, loose, may_be_fitted
from trimwright.plan.sequence.ledger import bags, restraint_fitted, torques, touched, undone
from trimwright.plan.sequence.moves import Sequence
from trimwright.plan.sequence.touching import BATTERY, holding, is_restrained
from trimwright.plan.verdicts.verdict import Verdicts

SHEET = "Test sheet"
LAMP = "lamp"
"""The test of the restraint lamp."""


@dataclass(frozen=True, slots=True)
class MustDo:
    """A part that may not be left as it is, and the part whose work settles it: itself, or the whole it belongs to."""

    part: str
    name: str
    by: str


def must_dos(job: Job, trade: Trade, verdicts: Verdicts) -> tuple[MustDo, ...]:
    """What the owner must have, and what must be dealt with on restraint parts."""
    settled = {each.part: each.settled_by or each.part for each in verdicts.verdicts}
    return tuple(
        MustDo(part.id, part.part.name, settled.get(part.id, part.id))
        for part in survey(job, trade)
        if not may_be_left(part, job)
    )


def open_ends(sequence: Sequence, musts: Iterable[MustDo], job: Job, trade: Trade, now: datetime) -> tuple[Hold, ...]:
    """All that has to be done or said before the car goes back, at `now`, an aware instant."""
    apart = undone(job, trade)
    return (
        *_still_off(sequence, job, trade),
        *_open_bags(sequence, job, trade),
        *loose(each for each in torques(sequence, job, trade) if each.step in apart),
        *_unchecked(job, trade),
        *_curing(sequence, job, trade, now),
        *_undone(musts, job, trade),
        *_finds(job),
        *_snags(job, trade),
        *_tests(job, trade),
    )


def _still_off(sequence: Sequence, job: Job, trade: Trade) -> Iterator[Hold]:
    named = touched(sequence, job, trade)
    for step in dict.fromkeys(each.step for each in job.events if isinstance(each, Opened)):
        if is_off(step, job) and step == BATTERY:
            yield Hold("battery off", "The battery's negative", "is off.", BATTERY)
        elif is_off(step, job):
            yield Hold("off", named[step], "is off.", step)


def _open_bags(sequence: Sequence, job: Job, trade: Trade) -> Iterator[Hold]:
    for bag in bags(sequence, job, trade):
        if bag.state == "open":
            yield Hold("bag", f"Bag of {bag.name}", "is open.", bag.step)


def _unchecked(job: Job, trade: Trade) -> Iterator[Hold]:
    """Floor, drains and looms that were laid open, and nobody has tried since."""
    for move, (what, _covered) in CHECKS.items():
        if laid_open(move, job, trade) and checked_at(move, job, trade) is None:
            yield Hold("check", what.capitalize(), "is not noted, and it was laid open.", move)


def _curing(sequence: Sequence, job: Job, trade: Trade, now: datetime) -> Iterator[Hold]:
    """What was done in the car and still hardens or dries."""
    done = {each.part: each for each in job.events if isinstance(each, Done)}
    for cure in sequence[moves.HAND_OVER].cures:
        until = cured_at(done[cure.part], job, trade) if cure.part in done else None
        if until and now < until:
            yield Hold("curing", cure.name, f"has not had its wait ({cure.wait}).", cure.part, until=until)


def _undone(musts: Iterable[MustDo], job: Job, trade: Trade) -> Iterator[Hold]:
    """Must-dos that are not done, or whose new part or work sent out nobody has paid."""
    done = {each.part: each for each in job.events if isinstance(each, Done) and each.course != LEAVE}
    here = {each.part for each in job.events if isinstance(each, Bought) and may_be_fitted(each, job, trade)}
    here |= {each.part for each in job.events if isinstance(each, Account) and each.what == "owner's material"}
    for must in musts:
        work = done.get(must.part) or done.get(must.by)
        if work is None:
            yield Hold("not done", must.name, "must be dealt with and is not noted as done.", must.by)
            continue
        named = (trade.treatments[each] for each in treatments_named(work.course) if each in trade.treatments)
        if any(each.buys for each in named) and work.part not in here:
            yield Hold("not paid", must.name, "must be dealt with and is not noted as paid.", work.part)


def _finds(job: Job) -> Iterator[Hold]:
    waiting = so_far(job).waiting
    for each in job.events:
        if isinstance(each, Find) and each.must and each in waiting:
            yield Hold("find", each.what, "has to be dealt with and is not noted as such.", each.id)


def _snags(job: Job, trade: Trade) -> Iterator[Hold]:
    """Snags that are open; one on what holds people is never left."""
    restraint = {part.id for part in job.parts if is_restraint(part.id, job, trade)}
    for each in job.events:
        if isinstance(each, Snag) and each.state == "open":
            yield Hold("snag", each.what, "is not put right.", each.id)
        elif isinstance(each, Snag) and each.state == "left" and each.part in restraint:
            yield Hold("snag", each.what, "is on what holds people, and can't be left.", each.id)


# ---- the test sheet --------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Line:
    """One test of the sheet as it stands: its last result, who of licensed practice made it, when."""

    test: FinalTest
    result: str
    """"" where nobody has tried it."""
    trained: str
    at: datetime | None
    must_pass: bool
    """Whether it never falls away: it tries what holds people, or is licensed practice's."""

    @property
    def is_settled(self) -> bool:
        """Whether it passed, by licensed practice where it asks for that; or the car has not what it tries."""
        if self.test.trained and not self.trained:
            return False
        return self.result == "passed" or (self.result == "not on this car" and not self.must_pass)


def sheet_of_tests(job: Job, trade: Trade) -> tuple[Line, ...]:
    """Every test of what this car may have, with what has come of it.

    What was tried before restraint equipment was last laid open tells nothing any more, no more than belts and seats
    tried before their bolts were last undone, and no lamp lights while the battery is off.
    """
    found = blank = {
        each.id: Line(each, "", "", None, _must_pass(each, job, trade)) for each in asked_tests(job, trade)
    }
    battery_off = False
    for event in job.events:
        if isinstance(event, Opened) and event.step == BATTERY:
            battery_off = not event.back_on
        if isinstance(event, Opened) and not event.back_on and _is_restrained(event.step, job, trade):
            found = blank
        elif _undoes_what_holds(event, job, trade):
            found = found | {test: line for test, line in blank.items() if line.must_pass}
        if isinstance(event, Tested):
            told = {test: result for test, result in event.results.items() if test in found}
            found = found | {
                test: replace(found[test], result=result, trained=event.trained, at=event.at)
                for test, result in told.items()
                if not (battery_off and found[test].test.trained)
            }
    return tuple(found.values())


def signed(job: Job, trade: Trade) -> Tested | None:
    """The signature under the sheet; None where a test is not settled, or anything was off then or since."""
    last: Tested | None = None
    off: set[str] = set()
    for event in job.events:
        if isinstance(event, Opened) and not event.back_on:
            off.add(event.step)
            last = None
        elif isinstance(event, Opened):
            off.discard(event.step)
        if isinstance(event, Tested):
            last = event if event.yes is not None and not off else None
    return last if last and all(each.is_settled for each in sheet_of_tests(job, trade)) else None


def _must_pass(test: FinalTest, job: Job, trade: Trade) -> bool:
    """Every car has seats; one without belts has none in its survey."""
    belts = test.subject == "belts" and any(is_restraint(each.id, job, trade) for each in job.parts)
    return test.trained or test.subject == "seats" or belts


def _is_restrained(step: str, job: Job, trade: Trade) -> bool:
    kind = trade.parts.get(step.partition(".")[0])
    return kind is None or is_restrained(kind, job.car.equipment)


def _undoes_what_holds(event: Event, job: Job, trade: Trade) -> bool:
    """Whether a bolt of a belt or a seat was undone: what bears it came off, or a restraint part was fitted new."""
    if not isinstance(event, Opened) or event.back_on:
        return restraint_fitted(event, job, trade) is not None
    return bool(holding(event.step, trade))


def asked_tests(job: Job, trade: Trade) -> tuple[FinalTest, ...]:
    """The tests of what this car may have."""
    fitted = job.car.equipment
    return tuple(
        each
        for each in trade.final_tests.values()
        if (fitted.may_have(each.fitted) if each.fitted else not each.trained or fitted.any_restraint_electrics)
    )


def _tests(job: Job, trade: Trade) -> Iterator[Hold]:
    sheet = sheet_of_tests(job, trade)
    untried = [each for each in sheet if not each.result]
    if untried:
        yield Hold("not tried", SHEET, f"lacks {len(untried)} of {len(sheet)} tests.", untried[0].test.id)
    for each in sheet:
        if each.result == "failed":
            what = "failed." if each.test.id != LAMP else f"failed. {lamp_compared(job)}".strip()
            yield Hold("failed", f"{SHEET}: {each.test.text}", what, each.test.id)
        elif each.result and not each.is_settled:
            what = "is not noted by licensed practice." if each.test.trained else "is never left out: it holds people."
            kind: Kind = "not licensed" if each.test.trained else "not tried"
            yield Hold(kind, f"{SHEET}: {each.test.text}", what, each.test.id)
    if signed(job, trade) is None:
        yield Hold("not signed", SHEET, "is not signed.")


def lamp_at_intake(job: Job) -> RestraintLamp | None:
    """What the restraint lamp did when the car came in; None where nobody noted it."""
    noted = intake_of(job)
    return noted.restraint_lamp if noted else None


def lamp_compared(job: Job) -> str:
    """What the lamp was at intake, for whoever looks at it at the end: a lamp that was right then is held to it."""
    before = lamp_at_intake(job)
    if before is None:
        return ""
    if before == "lights, then goes out":
        return "At intake it lit and went out: what is wrong now came with the work."
    return f"At intake: {before}. It was wrong before the work, and has to be put right all the same."
