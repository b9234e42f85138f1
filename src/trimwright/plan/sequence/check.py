"""The independent check: a sequence held against the car and the facts, without anything that arranged it.

It looks at the order alone and at what each move says must hold, never at `after`. A sequence that is shown has
passed it; one that a person or a solver has ordered anew has to pass it too.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property

from trimwright.facts.access import AccessStep, part_id, removal_steps
from trimwright.facts.trade import PartKind, Trade
from trimwright.job.document import Job
from trimwright.job.events import BookWait, Opened
from trimwright.plan.quantities.surveyed import own_kind
from trimwright.plan.sequence.moves import Condition, Move, Sequence
from trimwright.plan.verdicts.verdict import Verdicts


@dataclass(frozen=True, slots=True)
class Broken:
    """A rule that a sequence breaks, and how."""

    rule: str
    move: str
    what: str

    def __str__(self) -> str:
        return f"{self.rule}: {self.move} {self.what}"


def check(sequence: Sequence, job: Job, trade: Trade, verdicts: Verdicts) -> tuple[Broken, ...]:
    """Every rule the sequence breaks; nothing for a sound one."""
    seen = _Seen(sequence, job, trade, verdicts)
    return tuple(Broken(rule.__name__.replace("_", " "), move, what) for rule in RULES for move, what in rule(seen))


# ---- the car again, from the facts alone -----------------------------------------------------------------------------


@dataclass(frozen=True)
class _Seen:
    sequence: Sequence
    job: Job
    trade: Trade
    verdicts: Verdicts

    @cached_property
    def at(self) -> Mapping[str, int]:
        """Where each move stands."""
        return {move.id: number for number, move in enumerate(self.sequence.moves)}

    @cached_property
    def steps(self) -> Mapping[str, AccessStep]:
        """Every strip-down step of the car."""
        car = self.job.car
        listed = [(part.kind, part.place) for part in self.job.parts if part.own is None]
        steps = removal_steps(self.trade, car.body, car.year, car.equipment, listed)
        for part in self.job.parts:
            if part.own is not None:
                step = part_id(f"own:{part.id}", part.place)
                steps[step] = AccessStep(step, own_kind(part, part.own), part.place, ())
        return steps

    @cached_property
    def needed(self) -> frozenset[str]:
        """What the chosen courses need off, and what is off already, through and through; the battery aside."""
        off = {each.step: not each.back_on for each in self.job.events if isinstance(each, Opened)}
        waiting = [step for step, is_off in off.items() if is_off and step in self.steps]
        for verdict in self.verdicts.verdicts:
            if verdict.course is not None and verdict.settled_by is None:
                waiting += verdict.course.steps
        reached: set[str] = set()
        while waiting:
            step = waiting.pop()
            if step not in reached:
                reached.add(step)
                waiting += self.steps[step].requires
        return frozenset(reached - {"battery_off"})

    def kind(self, move: Move) -> PartKind:
        assert move.step is not None
        return self.steps[move.step].kind

    def all(self, doing: str) -> tuple[Move, ...]:
        return tuple(move for move in self.sequence.moves if move.doing == doing)

    def first(self, doing: str) -> int | None:
        """Where the first move of this doing stands."""
        return next((number for number, move in enumerate(self.sequence.moves) if move.doing == doing), None)

    # the same words as the trade's: what may be fitted is fitted

    def fires(self, kind: PartKind) -> bool:
        """Whether the kind itself may fire, or nobody knows what the owner's own part is."""
        stored = [each for each in kind.handling if each.doing == "store"]
        may = any(each.fitted is None or self.job.car.equipment.may_have(each.fitted) for each in stored)
        return may or (kind.is_restraint and kind.id.startswith("own:"))

    def live_plugs(self, kind: PartKind) -> bool:
        fitted = self.job.car.equipment
        return any(each.fires is not None and fitted.may_have(each.fires) for each in kind.fixings)

    def restrained(self, kind: PartKind) -> bool:
        fitted = self.job.car.equipment
        behind = any(fitted.may_have(each) for each in kind.airbag_behind)
        held = (kind.needs_hold or kind.is_restraint) and fitted.any_restraint_electrics
        return behind or held or self.fires(kind) or self.live_plugs(kind)

    def electric(self, kind: PartKind) -> bool:
        plugs = [each for each in kind.fixings if each.form == "plug"]
        ordinary = any(each.fires is None for each in plugs)
        after_battery = any("battery_off" in entry for entry in kind.comes_off_after)
        return ordinary or after_battery or self.restrained(kind)


# ---- the rules -------------------------------------------------------------------------------------------------------

Wrongs = Iterator[tuple[str, str]]


def battery_first(seen: _Seen) -> Wrongs:
    """Battery negative off, the lug insulated, before anything electric is touched, off or back."""
    at = seen.first("battery off")
    for move in (*seen.all("off"), *seen.all("back")):
        if seen.electric(seen.kind(move)) and (at is None or seen.at[move.id] < at):
            yield move.id, "is touched with the battery on"
    if at is not None and "lug insulated" not in seen.sequence.moves[at].conditions:
        yield seen.sequence.moves[at].id, "leaves the lug bare"
    if seen.all("battery off") and len(seen.all("battery off")) > 1:
        yield "battery_off", "is done twice"


def wait_long_enough(seen: _Seen) -> Wrongs:
    """As long as the car's own book says, else as the longest in print, between the battery and any restraint."""
    battery, at = seen.first("battery off"), seen.first("wait")
    touched = [move for move in (*seen.all("off"), *seen.all("back")) if seen.restrained(seen.kind(move))]
    for move in touched:
        if at is None or seen.at[move.id] < at:
            yield move.id, "does not wait"
    if at is None:
        return
    if battery is None or at < battery:
        yield seen.sequence.moves[at].id, "waits before the battery is off"
    own = [each.minutes for each in seen.job.events if isinstance(each, BookWait)]
    least = own[-1] if own else seen.trade.practice["make_safe_wait"].value
    if seen.sequence.moves[at].wait_minutes < least:
        yield seen.sequence.moves[at].id, f"is shorter than {least:g} min"


def nothing_in_the_way(seen: _Seen) -> Wrongs:
    """Each thing off after all that must be off before it."""
    off = {move.step: seen.at[move.id] for move in seen.all("off")}
    for move in seen.all("off"):
        for step in seen.steps[move.step or ""].requires:
            if step != "battery_off" and off.get(step, len(seen.at)) > seen.at[move.id]:
                yield move.id, f"comes off before {step}"


def no_more_than_needed(seen: _Seen) -> Wrongs:
    """All that the verdicts need, and nothing else."""
    off = Counter(move.step for move in seen.all("off"))
    for step in sorted(seen.needed - off.keys()):
        yield f"off:{step}", "is needed and does not come off"
    for taken, times in off.items():
        if taken not in seen.needed or times > 1:
            yield f"off:{taken}", "comes off for nothing"


def units_laid_down(seen: _Seen) -> Wrongs:
    """What may fire is laid down at once, cover up and apart."""
    for move in seen.all("off"):
        if not seen.fires(seen.kind(move)):
            continue
        following = seen.sequence.moves[seen.at[move.id] + 1 :][:1]
        if not following or (following[0].doing, following[0].step) != ("store", move.step):
            yield move.id, "is not laid down at once"
        elif "cover up, apart" not in following[0].conditions:
            yield following[0].id, "is laid down anyhow"


def opened_by_a_trained_person(seen: _Seen) -> Wrongs:
    """Restraint parts and their connectors, off and back, by somebody trained for it."""
    for move in (*seen.all("off"), *seen.all("back")):
        kind = seen.kind(move)
        trained = kind.is_restraint or seen.fires(kind) or seen.live_plugs(kind)
        if trained and "trained person" not in move.conditions:
            yield move.id, "is opened by anybody"


def everything_goes_back(seen: _Seen) -> Wrongs:
    """Once each, after it came off, and after all that lies inside it."""
    back = {move.step: seen.at[move.id] for move in seen.all("back")}
    counted = Counter(move.step for move in seen.all("back"))
    for move in seen.all("off"):
        if counted[move.step] != 1 or back[move.step] < seen.at[move.id]:
            yield move.id, "does not go back once, after it came off"
    for move in seen.all("back"):
        for inner in seen.steps[move.step or ""].requires:
            if inner in back and back[inner] < seen.at[move.id]:
                yield move.id, f"goes back after {inner}, which shuts it out"


def tested_before_covered(seen: _Seen) -> Wrongs:
    """Floor dry, drains tried and looms tested before they are covered, and after they were laid open."""
    for what, doing in (("floor", "floor dry"), ("drains", "drains tested"), ("looms", "looms tested")):
        at = seen.first(doing)
        for move in (*seen.all("off"), *seen.all("back")):
            if any((each.doing, each.text) == ("covers", what) for each in seen.kind(move).handling):
                late = move.doing == "back" and (at is None or seen.at[move.id] < at)
                early = move.doing == "off" and at is not None and at < seen.at[move.id]
                if late or early:
                    yield move.id, f"and {doing} stand the wrong way round"


def looms_by_meter(seen: _Seen) -> Wrongs:
    """Looms with a meter or an isolated feed, never a restraint circuit, and with the battery off."""
    wanted: set[Condition] = {"meter or isolated feed", "never a restraint circuit"}
    battery, on = seen.first("battery off"), seen.first("battery on")
    for move in seen.all("looms tested"):
        if not wanted <= move.conditions:
            yield move.id, "are tested anyhow"
        if (battery is not None and seen.at[move.id] < battery) or (on is not None and seen.at[move.id] > on):
            yield move.id, "are tested with the battery on"


def battery_on_last(seen: _Seen) -> Wrongs:
    """On once, when everything is home, nobody in the car."""
    on = seen.all("battery on")
    if len(on) != len(seen.all("battery off")):
        yield "battery_on", "and battery off do not go together"
    for move in on:
        if "nobody in the car" not in move.conditions:
            yield move.id, "goes on with somebody in the car"
        for other in (*seen.all("off"), *seen.all("back"), *seen.all("battery off")):
            if seen.at[other.id] > seen.at[move.id]:
                yield other.id, "comes after the battery is on"


def lamp_by_licensed_practice(seen: _Seen) -> Wrongs:
    """The warning lamp and stored faults, once the battery is on, by licensed practice."""
    touched = any(seen.restrained(seen.kind(move)) for move in seen.all("off"))
    if touched and not seen.all("lamp check"):
        yield "lamp", "is not looked at"
    for move in seen.all("lamp check"):
        if "trained person" not in move.conditions:
            yield move.id, "is looked at by anybody"
        if (seen.first("battery on") or 0) > seen.at[move.id]:
            yield move.id, "is looked at with the battery off"


def power_tests_last(seen: _Seen) -> Wrongs:
    """After the battery and the lamp; only the keys come after them."""
    if seen.all("battery on") and not seen.all("power tests"):
        yield "power", "are not made"
    for move in seen.all("power tests"):
        after = {each.doing for each in seen.sequence.moves[seen.at[move.id] + 1 :]}
        if after - {"hand over"}:
            yield move.id, "are made too early"
    if [move.doing for move in seen.sequence.moves[-1:]] != ["hand over"]:
        yield "hand_over", "is not the last"


def marks_kept(seen: _Seen) -> Wrongs:
    """What is marked on the way off is matched on the way back: a wheel on its spline above all."""
    marked = {move.step: move.marks for move in seen.all("off")}
    for move in seen.all("off"):
        asked = [each for each in seen.kind(move).handling if each.doing == "mark"]
        if any(each.fitted is None and each.text not in move.marks for each in asked):
            yield move.id, "goes off unmarked"
    for move in seen.all("back"):
        if move.marks != marked.get(move.step, ()):
            yield move.id, "does not match its marks"


def bags_come_back(seen: _Seen) -> Wrongs:
    """Every fixing taken off is bagged under its step, and the bag comes back with it."""
    for move in (*seen.all("off"), *seen.all("back")):
        bagged = any(each.form in ("bolt", "screw", "clip") for each in seen.kind(move).fixings)
        if (move.bag is not None) != bagged or (bagged and move.bag != move.step):
            yield move.id, "has no bag of its own"


def clips_in_hand(seen: _Seen) -> Wrongs:
    """New clips and fixings are here before anything that needs them goes back."""
    at = seen.first("clips in hand")
    for move in seen.all("back"):
        if move.new_fixings and (at is None or at > seen.at[move.id]):
            yield move.id, "goes back before its new fixings are here"


def cured(seen: _Seen) -> Wrongs:
    """Every course that hardens or dries for an hour or more holds something back: its part, or the keys."""
    held = {cure.part for move in seen.sequence.moves for cure in move.cures}
    for verdict in seen.verdicts.verdicts:
        course = verdict.course
        if course is None or verdict.settled_by is not None or verdict.part in held:
            continue
        if any(wait.hours[1] >= 1 and wait.place != "away" for wait in course.waits):
            yield verdict.part, "is handled before it has cured"


RULES = (
    battery_first, wait_long_enough, nothing_in_the_way, no_more_than_needed, units_laid_down,
    opened_by_a_trained_person, everything_goes_back, tested_before_covered, looms_by_meter, battery_on_last,
    lamp_by_licensed_practice, power_tests_last, marks_kept, bags_come_back, clips_in_hand, cured,
)  # fmt: skip
