"""An event in one line of the history, as people tell it."""

from __future__ import annotations

from collections.abc import Iterator

from pydantic import JsonValue, ValidationError

from trimwright import units
from trimwright.facts import load
from trimwright.job.document import Job
from trimwright.job.events import (
    EVENT,
    Account,
    Air,
    Bag,
    BookWait,
    Bought,
    Check,
    Disposed,
    Done,
    Event,
    Find,
    FixingKnown,
    HandedOver,
    Intake,
    Look,
    Note,
    OfAThing,
    Opened,
    Ordered,
    OwnersBook,
    Pair,
    Payment,
    Promised,
    Range,
    Released,
    Snag,
    Spent,
    Tested,
    Tightened,
    Visited,
    Worked,
)
from trimwright.job.fields import treatments_named
from trimwright.job.refusals import shortened


def told(raw: JsonValue, job: Job) -> str:
    """The line for an event that stands in plain data, right or not.

    Such as "Find on Main carpet: floor soft, 80.00 to 200.00, must be dealt with".
    """
    try:
        event = EVENT.validate_python(raw)
    except ValidationError:
        return f"Event: {shortened(raw) or 'an entry'}"
    return ", ".join(each for each in _words(event, job) if each)


def _words(event: Event, job: Job) -> Iterator[str]:
    match event:
        case Note():
            yield f"Note{_on(event.part, job)}: {shortened(event.note)}"
        case Intake():
            yield f"Taken in: restraint lamp {event.restraint_lamp}"
            yield "fuel can be smelt" if event.fuel_smell else ""
            yield f"{len(event.faults)} faults from before" if event.faults else ""
            yield f"signed by {event.yes.name} ({event.yes.how})" if event.yes else ""
        case Look():
            yield f"Look taken for {event.find}{_on(event.part, job)}: {'there' if event.there else 'not there'}"
        case Find():
            yield f"Find{_on(event.part or event.step, job)}: {event.what}"
            yield _range_of_money(event.money, job)
            yield _range_of_minutes(event.minutes)
            yield "must be dealt with" if event.must else ""
            yield event.answer if event.answer != "undecided" else ""
            yield f"drops {_names(event.drops, job)}" if event.drops else ""
        case Opened():
            yield f"Opened: {_step(event.step, job)}"
            yield "and back on" if event.back_on else ""
            yield _time(event.minutes)
        case Ordered():
            yield f"Ordered: {_thing(event, job)}"
            yield f"from {event.seller}" if event.seller else ""
            yield "no longer waited for" if event.off else ""
        case Bought():
            yield f"Bought: {_thing(event, job)} for {_money(event.paid, job)}"
            yield f"gone back for {_money(event.returned, job)}" if event.returned else ""
            yield "gone, and nothing came back" if event.returned == 0 else ""
        case Done():
            yield f"Done: {_name(event.part, job)}, {' + '.join(treatments_named(event.course))}"
            yield f"finish {event.finish}" if event.finish is not None else ""
            yield f"done again {event.redone} times" if event.redone else ""
            yield _time(event.minutes)
        case Spent():
            yield f"Spent{_on(event.part, job)}: {event.what}"
            yield _money(event.money, job) if event.money else ""
            yield _time(event.minutes)
        case Promised():
            yield f"Promised for {_money(event.sum, job)}: {len(event.verdicts)} parts"
            yield f"yes by {event.yes.name} ({event.yes.how})"
        case Released():
            yield f"Released: {_names(event.parts, job)}"
        case Payment():
            yield f"The owner's account: {event.what}, {_money(event.money, job)}"
            yield event.how
        case Account():
            yield f"Beside the sum{_on(event.part, job)}: {event.what}, {event.name}"
            yield _money(event.money, job) if event.money else ""
            yield f"came to {_money(event.came, job)}" if event.came is not None else ""
        case _:
            yield from _words_of_fixings(event, job)


def _words_of_fixings(event: Event, job: Job) -> Iterator[str]:
    match event:
        case Bag():
            yield f"Bag {event.state}: {_step(event.step, job)}"
            yield f"{event.missing} missing" if event.missing else ""
            yield f"{event.broken} broken" if event.broken else ""
            yield f"{event.counted} counted" if event.counted is not None else ""
            yield shortened(event.note) if event.state == "written off" else ""
        case FixingKnown():
            yield f"Fixing of {_step(event.step, job)}: {event.fixing}"
            yield "" if event.there else "not on this car"
            yield event.thread or ""
            yield f"class {event.grade}" if event.grade else ""
            yield f"{units.torque(event.newton_metres)} by the car's own book" if event.newton_metres else ""
            yield event.page
        case Tightened():
            yield f"Tightened on {_step(event.step, job)}: {event.fixing} to {units.torque(event.newton_metres)}"
        case BookWait():
            yield f"Wait after the battery is off, by the car's own book: {event.minutes} min"
            yield event.page
        case Check():
            yield event.what.capitalize()
        case Snag():
            yield f"Snag{_on(event.part, job)}: {event.what}"
            yield event.state if event.state != "open" else ""
            yield _time(event.minutes)
        case Tested():
            yield f"Tested: {_results(event)}" if event.results else ""
            yield f"by {event.trained}, of licensed practice" if event.trained else ""
            yield f"Test sheet signed by {event.yes.name} ({event.yes.how})" if event.yes else ""
        case Worked():
            yield f"{event.state.capitalize()}: {_task(event.task, job)}"
            yield f"done again {event.redone} times" if event.redone else ""
            yield _time(event.minutes)
        case Air():
            yield f"Air: {units.temperature(event.temperature, job.car.units)}, {event.humidity:g} % humidity"
        case HandedOver():
            yield "Handed over"
            yield f"to {event.yes.name} ({event.yes.how})" if event.yes else ""
        case _:
            yield from _words_of_the_book(event, job)


def _words_of_the_book(event: Event, job: Job) -> Iterator[str]:
    match event:
        case Pair():
            yield f"Before and after{_on(event.part, job)}: a pair of photos"
        case Disposed():
            yield f"Disposed of: {event.what}"
            yield event.amount
            yield event.how
        case OwnersBook():
            yield "Hand-over book"
            yield "warranty" if event.warranty else ""
            yield "care" if event.care else ""
            yield f"to be seen again {', '.join(map(str, event.follow_ups))}" if event.follow_ups else ""
            yield "with the money" if event.shows_money else ""
            yield f"signed by {event.yes.name} ({event.yes.how})" if event.yes else ""
        case Visited():
            yield f"Looked at again: {_name(event.part, job)}, {'it has held' if event.held else 'it has not held'}"
            yield f"finish {event.finish}" if event.finish is not None else ""
            yield event.moved
            yield "stitching gone over" if event.stitched else ""
            yield event.wear
            yield _time(event.minutes)


def _results(event: Tested) -> str:
    """How many passed, and which did not."""
    passed = sum(each == "passed" for each in event.results.values())
    others = [f"{test} {result}" for test, result in event.results.items() if result != "passed"]
    return "; ".join([*([f"{passed} passed"] if passed else []), *others])


def _thing(event: OfAThing, job: Job) -> str:
    if event.material is not None:
        material = ", ".join(each for each in (event.material, event.colour) if each)
        if isinstance(event, Bought) and event.amount is not None:
            return f"{event.amount:g} of {material}"
        return f"{event.count} × {material} ({event.pack})"
    if event.part is not None:
        return f"{_name(event.part, job)}, {event.source}"
    return event.tool or event.thing


def _on(place: str | None, job: Job) -> str:
    return f" on {_name(place, job)}" if place else ""


def _name(part_or_step: str, job: Job) -> str:
    return next((each.name for each in job.parts if each.id == part_or_step), part_or_step)


def _step(step: str, job: Job) -> str:
    """What a step takes off, with its side; its id where the trade knows none such."""
    kind, _, place = step.partition(".")
    if step in {each.id for each in job.parts} or kind not in load().parts:
        return _name(step, job)
    side = f", {place.replace('_', ' ')} side" if place else ""
    return f"{load().parts[kind].name}{side}"


def _task(task: str, job: Job) -> str:
    """What a task of the calendar works on: a step off or back, a find, a treatment of a part; else its id."""
    moved, _, step = task.partition(":")
    if moved in ("off", "back"):
        return f"{_step(step, job)} {moved}"
    if moved == "find":
        return next((each.what for each in job.events if isinstance(each, Find) and each.id == step), task)
    part, _, doing = task.partition("/")
    course, _, number = doing.rpartition("/")
    treatments = treatments_named(course)
    if not all(each in load().treatments for each in treatments):
        return task
    return f"{_name(part, job)}, {' + '.join(load().treatments[each].name for each in treatments)}, {number}"


def _names(parts: tuple[str, ...], job: Job) -> str:
    return "; ".join(_name(each, job) for each in parts)


def _money(minor: int, job: Job) -> str:
    return units.money(minor, job.money.currency, code=True)


def _time(minutes: int) -> str:
    return units.hours(minutes) if minutes else ""


def _range_of_money(each: Range, job: Job) -> str:
    if not each.high:
        return ""
    ends = dict.fromkeys(units.money(value, job.money.currency) for value in (each.low, each.high))
    return f"{' to '.join(ends)} {job.money.currency}"


def _range_of_minutes(each: Range) -> str:
    return " to ".join(dict.fromkeys(units.hours(value) for value in (each.low, each.high))) if each.high else ""
