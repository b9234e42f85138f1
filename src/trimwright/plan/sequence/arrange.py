"""arrange(job, trade, quantities, verdicts) → Sequence: the least strip-down the verdicts need, and the way back.

What must come before what is put into each move's `after`, so that whoever orders moves otherwise (a calendar, a
person's wish) can't pass a hold: battery off and insulated, the wait, then restraint connectors; units laid down at
once; looms tested before they are covered, floor dry before carpet; battery on last, then the lamp, then power.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import TypeVar

from trimwright.errors import HoldBroken
from trimwright.facts.access import AccessStep
from trimwright.facts.trade import PartKind, Trade
from trimwright.job.document import EquipmentFitted, Job
from trimwright.job.events import BookWait
from trimwright.plan.quantities.cabin import Course, Hidden, Quantities, Step
from trimwright.plan.quantities.so_far import SoFar, so_far
from trimwright.plan.quantities.strip_down import StripDown, strip_down, through
from trimwright.plan.quantities.surveyed import survey
from trimwright.plan.quantities.whole_job import MAKE_SAFE
from trimwright.plan.sequence import moves
from trimwright.plan.sequence.check import check
from trimwright.plan.sequence.curing import last_wait, waits_of
from trimwright.plan.sequence.moves import Condition, Cure, Finding, Move, SafeWait, Sequence, back_id, off_id, store_id
from trimwright.plan.sequence.order import in_work_order
from trimwright.plan.sequence.touching import (
    BATTERY,
    Covered,
    covers,
    fixings,
    handling,
    is_electric,
    is_restrained,
    is_unit,
    needs_trained_person,
)
from trimwright.plan.verdicts.verdict import Verdicts

Value = TypeVar("Value")

TESTS: Mapping[Covered, str] = {"floor": moves.FLOOR, "drains": moves.DRAINS, "looms": moves.LOOMS}
"""The test before something that covers these goes back."""


@dataclass(frozen=True)
class Bench:
    """All that single moves are made from."""

    trade: Trade
    fitted: EquipmentFitted
    known: SoFar
    access: Mapping[str, AccessStep]
    """The steps the verdicts need, the battery aside, what each requires among them."""
    steps: Mapping[str, Step]
    finds: Mapping[str, tuple[Hidden, ...]]
    cures: Mapping[str, tuple[Cure, ...]]
    """By step; those of parts that stay on the car under ""."""
    in_hand: Mapping[str, tuple[str, ...]]

    @property
    def kinds(self) -> tuple[PartKind, ...]:
        return tuple(each.kind for each in self.access.values())

    @property
    def is_electric(self) -> bool:
        """Whether the battery has to come off, or is off and has to go back on."""
        return BATTERY in self.known.off or any(is_electric(kind, self.fitted) for kind in self.kinds)

    @property
    def is_restrained(self) -> bool:
        """Whether restraint equipment may be met."""
        return any(is_restrained(kind, self.fitted) for kind in self.kinds)


def arrange(
    job: Job, trade: Trade, quantities: Quantities, verdicts: Verdicts, *, first: tuple[str, ...] = ()
) -> Sequence:
    """Every move the verdicts need, in an order that keeps every hold; `first` are steps wanted early.

    It has passed the independent check; HoldBroken, a slip of ours, if it has not.
    """
    bench = bench_of(job, trade, quantities, verdicts)
    order = in_work_order(bench.access, first)
    wait = safe_wait(job, trade) if bench.is_restrained else None
    strip = [*making_safe(bench, wait), *(move for step in order for move in way_in(bench.access[step], bench))]
    rebuild = with_tests([way_back(bench.access[step], bench) for step in reversed(order)], bench)
    sequence = Sequence((*strip, *rebuild, *closing(bench, rebuild)), wait)
    if broken := check(sequence, job, trade, verdicts):
        raise HoldBroken("; ".join(map(str, broken)))
    return sequence


# ---- what is needed --------------------------------------------------------------------------------------------------


def bench_of(job: Job, trade: Trade, quantities: Quantities, verdicts: Verdicts) -> Bench:
    """The chosen courses by the strip-down steps they need."""
    known = so_far(job)
    cabin = strip_down(survey(job, trade), job, trade)
    chosen = {each.part: each.course for each in verdicts.verdicts if each.course and each.settled_by is None}
    needed = through((step for course in chosen.values() for step in course.steps), cabin.steps)
    needed |= through((step for step in known.off if step in cabin.steps), cabin.steps)
    needed.discard(BATTERY)
    access = {
        each.id: replace(each, requires=tuple(step for step in each.requires if step != BATTERY))
        for each in cabin.steps.values()
        if each.id in needed
    }
    names = {part.id: part.name for part in job.parts}
    return Bench(
        trade=trade,
        fitted=job.car.equipment,
        known=known,
        access=access,
        steps=quantities.steps,
        finds=finds_by_step(chosen, quantities, cabin, needed),
        cures=by_step((cure_of(names[part], course, cabin, needed, trade) for part, course in chosen.items())),
        in_hand=by_step(
            (step, names[part])
            for part, course in chosen.items()
            if course.purchases and not course.done
            for step in cabin.own[part]
            if step in needed
        ),
    )


def by_step(found: Iterable[tuple[str, Value] | None]) -> dict[str, tuple[Value, ...]]:
    """Values under their steps."""
    grouped: dict[str, tuple[Value, ...]] = {}
    for each in found:
        if each is not None:
            grouped[each[0]] = (*grouped.get(each[0], ()), each[1])
    return grouped


def finds_by_step(
    chosen: Mapping[str, Course], quantities: Quantities, cabin: StripDown, needed: set[str]
) -> dict[str, tuple[Hidden, ...]]:
    """Each hidden fault under the last of the steps that lay it open, else under the step of the part it is on."""
    order = {step: number for number, step in enumerate(cabin.steps)}
    met: dict[str, str] = {}
    for part, course in chosen.items():
        for find in course.finds:
            met |= dict.fromkeys([find] if needed.issuperset(cabin.own[part]) else [], cabin.own[part][0])
    for step in needed & quantities.steps.keys():
        met |= dict.fromkeys(quantities.steps[step].finds, step)
    for hidden in quantities.hidden.values():
        if hidden.shows_behind and needed.issuperset(hidden.shows_behind):
            met[hidden.id] = max(hidden.shows_behind, key=order.__getitem__)
    return by_step((step, quantities.hidden[find]) for find, step in met.items() if find in quantities.hidden)


def cure_of(name: str, course: Course, cabin: StripDown, needed: set[str], trade: Trade) -> tuple[str, Cure] | None:
    """What has to harden or dry, under the step it holds; under "" where the part hardens in the car.

    A part that is done and back on the car is held by nothing of the bench's any more.
    """
    wait = last_wait(waits_of(course, trade))
    if wait is None:
        return None
    own = [step for step in cabin.own[course.part] if step in needed] if wait.place != "car" else []
    if course.done and wait.place != "car" and not own:
        return None
    return (own[0] if own else "", Cure(course.part, name, wait.name, wait.hours))


def safe_wait(job: Job, trade: Trade) -> SafeWait:
    """The wait of the car's own book; without one the longest in print."""
    own = [each for each in job.events if isinstance(each, BookWait)]
    if own:
        return SafeWait(own[-1].minutes, True, own[-1].page)
    longest = trade.practice["make_safe_wait"]
    return SafeWait(round(longest.value), False, trade.sources[longest.evidence.source].title)


# ---- the way in ------------------------------------------------------------------------------------------------------


def making_safe(bench: Bench, wait: SafeWait | None) -> Iterator[Move]:
    """The record before work, the car made ready, the battery, the wait."""
    if not bench.access:
        return
    done = MAKE_SAFE in bench.known.lines
    spent = round(bench.trade.practice["make_safe_minutes"].value) if wait and not done else 0
    yield Move(
        moves.RECORD, "record", "Record what is there: faults, lamps, codes, photographs", minutes=spent, done=done
    )
    if not bench.is_electric:
        return
    yield Move(
        moves.READY, "make ready", "Seats where every bolt shows, windows down a little, wheels straight, key out",
        after=(moves.RECORD,), done=BATTERY in bench.known.off,
    )  # fmt: skip
    yield Move(
        moves.BATTERY_OFF, "battery off", "Battery negative off, lug insulated", step=BATTERY,
        minutes=half(bench.trade.parts[BATTERY].off_min), after=(moves.RECORD, moves.READY),
        conditions=frozenset({"lug insulated"}), cautions=("make_safe",) if wait else (),
        how=("look for a second battery or a stand-by supply",), done=BATTERY in bench.known.off,
    )  # fmt: skip
    if wait is not None:
        yield Move(
            moves.WAIT, "wait", "Wait before any restraint connector", wait_minutes=wait.minutes,
            after=(moves.BATTERY_OFF,), conditions=frozenset({"battery stays off"}),
        )  # fmt: skip


def way_in(step: AccessStep, bench: Bench) -> Iterator[Move]:
    """One step off; a unit that can fire is laid down at once."""
    kind, fitted = step.kind, bench.fitted
    trained: set[Condition] = {"trained person"} if needs_trained_person(kind, fitted) else set()
    safe: set[Condition] = {"battery stays off"} if is_electric(kind, fitted) else set()
    done = step.id in bench.known.off
    held = fixings(kind, fitted)
    yield Move(
        id=off_id(step.id),
        doing="off",
        name=named(step),
        zone=kind.zone,
        step=step.id,
        place=step.place,
        minutes=half(kind.off_min),
        after=(moves.RECORD, *map(off_id, step.requires), *safe_first(kind, fitted)),
        conditions=frozenset(trained | safe),
        fixings=held,
        clips=kind.clips,
        bag=step.id if any(each.bagged for each in held) else None,
        marks=texts(kind, "off", "mark", fitted),
        photos=texts(kind, "off", "photo", fitted),
        how=texts(kind, "off", "how", fitted),
        cautions=texts(kind, "off", "caution", fitted),
        may_find=tuple(
            Finding(each.id, each.name, each.chance, each.must_deal) for each in bench.finds.get(step.id, ())
        ),
        done=done,
    )
    if is_unit(kind, fitted):
        how = texts(kind, "off", "store", fitted) or ("apart, cool, where nobody handles it",)
        yield Move(
            store_id(step.id), "store", f"Lay down: {named(step)}", kind.zone, step.id, step.place,
            after=(off_id(step.id),), conditions=frozenset({"cover up, apart", "trained person"}),
            how=how, cautions=("stored_units",), done=done,
        )  # fmt: skip


def safe_first(kind: PartKind, fitted: EquipmentFitted) -> Iterator[str]:
    """The holds before it is touched, on the way in and on the way back."""
    if is_electric(kind, fitted):
        yield moves.BATTERY_OFF
    if is_restrained(kind, fitted):
        yield moves.WAIT


# ---- the way back ----------------------------------------------------------------------------------------------------


def way_back(step: AccessStep, bench: Bench) -> Move:
    """One step back on, after everything that lies on it came off before it."""
    kind, fitted = step.kind, bench.fitted
    trained: set[Condition] = {"trained person"} if needs_trained_person(kind, fitted) else set()
    safe: set[Condition] = {"battery stays off"} if is_electric(kind, fitted) else set()
    priced = bench.steps[step.id]
    inside = [each.id for each in bench.access.values() if step.id in each.requires]
    new = -sum(-need.milli // 1000 for need in priced.needs)
    held = fixings(kind, fitted)
    return Move(
        id=back_id(step.id),
        doing="back",
        name=named(step),
        zone=kind.zone,
        step=step.id,
        place=step.place,
        minutes=priced.minutes - (0 if priced.off else half(kind.off_min)),
        after=(
            off_id(step.id),
            *map(back_id, inside),
            *safe_first(kind, fitted),
            *(test for what, test in TESTS.items() if covers(kind, what)),
            *((moves.CLIPS,) if new else ()),
        ),
        conditions=frozenset(trained | safe),
        fixings=held,
        clips=kind.clips,
        new_fixings=new,
        bag=step.id if any(each.bagged for each in held) else None,
        marks=texts(kind, "off", "mark", fitted),
        how=texts(kind, "back", "how", fitted),
        cautions=texts(kind, "back", "caution", fitted),
        cures=bench.cures.get(step.id, ()),
        in_hand=bench.in_hand.get(step.id, ()),
    )


def with_tests(back: Iterable[Move], bench: Bench) -> list[Move]:
    """Each test right before the first move that would cover what it tests; new fixings in hand before all."""
    back = tuple(back)
    tests = {each.id: each for each in tests_of(bench, back)}
    arranged: list[Move] = []
    for move in back:
        arranged += [tests.pop(each) for each in move.after if each in tests]
        arranged.append(move)
    return arranged


def tests_of(bench: Bench, back: Iterable[Move]) -> Iterator[Move]:
    """The tests before anything is covered, and what has to be in hand."""

    def open_to(what: Covered) -> tuple[str, ...]:
        return tuple(off_id(each.id) for each in bench.access.values() if covers(each.kind, what))

    back = tuple(back)
    new = sum(move.new_fixings for move in back)
    battery = (moves.BATTERY_OFF,) if bench.is_electric else ()
    off: set[Condition] = {"battery stays off"} if battery else set()
    if new:
        shown = tuple(off_id(move.step) for move in back if move.new_fixings and move.step)
        yield Move(moves.CLIPS, "clips in hand", "New clips and fixings in hand", after=shown, new_fixings=new)
    yield Move(moves.FLOOR, "floor dry", "Floor dry, anchors clean, threads bright", after=open_to("floor"))
    yield Move(moves.DRAINS, "drains tested", "Drains and screens tested with water", after=open_to("drains"))
    yield Move(
        moves.LOOMS, "looms tested", "Looms tested", after=(*open_to("looms"), *battery),
        conditions=frozenset({"meter or isolated feed", "never a restraint circuit", *off}),
    )  # fmt: skip


def closing(bench: Bench, back: Iterable[Move]) -> Iterator[Move]:
    """Battery on when everything is home, the lamp by licensed practice, power tests last, then the keys."""
    home = tuple(move.id for move in back)
    last = home
    if bench.is_electric:
        kind = bench.trade.parts[BATTERY]
        yield Move(
            moves.BATTERY_ON, "battery on", "Battery negative on, key as the car's book says", step=BATTERY,
            minutes=half(kind.back_min), after=(moves.BATTERY_OFF, *home),
            conditions=frozenset({"nobody in the car"}), cautions=("batteries",),
        )  # fmt: skip
        last = (moves.BATTERY_ON,)
        if bench.is_restrained:
            yield Move(
                moves.LAMP, "lamp check", "Warning lamp and stored faults looked at, by licensed practice",
                after=last, conditions=frozenset({"trained person"}),
            )  # fmt: skip
            last = (moves.BATTERY_ON, moves.LAMP)
        yield Move(moves.POWER, "power tests", "Power tests: horn, lamps, windows, locks, heaters, radio", after=last)
        last = (moves.POWER,)
    yield Move(moves.HAND_OVER, "hand over", "Keys back", after=last, cures=bench.cures.get("", ()))


# ---- in words --------------------------------------------------------------------------------------------------------


def named(step: AccessStep) -> str:
    """What it takes off, with its side."""
    side = f", {step.place.replace('_', ' ')} side" if step.place else ""
    return f"{step.kind.name}{side}"


def texts(kind: PartKind, when: str, doing: str, fitted: EquipmentFitted) -> tuple[str, ...]:
    """What the trade says of it."""
    return tuple(each.text for each in handling(kind, when, doing, fitted))  # type: ignore[arg-type]


def half(minutes: tuple[int, int]) -> int:
    """The mean of low and high [min]."""
    return round(sum(minutes) / 2)
