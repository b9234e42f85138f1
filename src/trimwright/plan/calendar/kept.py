"""check_calendar(calendar): every rule of the bench recounted from its slots, without the solver or its project.

A rule is a function that yields what breaks it, in words. What is done was as it was: it is held against nothing but
itself.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from datetime import UTC, datetime, timedelta

from trimwright.plan.calendar.shop_air import breaks
from trimwright.plan.calendar.tasks import Bench, Calendar, Slot, Task
from trimwright.plan.sequence.moves import BATTERY_OFF, WAIT, Sequence

Wrongs = Iterator[str]


def check_calendar(calendar: Calendar, sequence: Sequence | None = None) -> tuple[str, ...]:
    """Everything that is wrong with a calendar, in words; nothing when it may be worked to.

    With the `sequence` the moves on the car are held against that too, and not only against the tasks.
    """
    if missing := tuple(every_task_once(calendar)):
        return missing
    found = [each for rule in RULES for each in rule(calendar)]
    if sequence is not None:
        found += in_the_sequence(calendar, sequence)
    return tuple(found)


def every_task_once(calendar: Calendar) -> Wrongs:
    """Each task has one slot, and nothing else has."""
    slots = Counter(slot.task for slot in calendar.slots)
    for task in calendar.bench.by_id.keys() - slots.keys():
        yield f"{task} has no slot"
    for task in slots.keys() - calendar.bench.by_id.keys():
        yield f"{task} is no task"
    for task, count in slots.items():
        if count > 1:
            yield f"{task} has {count} slots"


def long_enough(calendar: Calendar) -> Wrongs:
    """A task has the minutes it takes; of one under way, those that are left."""
    for task, slot in open_slots(calendar):
        wanted: float = task.minutes[1]
        if task.begun is not None and task.people:
            wanted = max(0.0, wanted - (at(calendar.bench.start) - at(task.begun)))
        if abs(at(slot.end) - at(slot.start) - wanted) >= 1:
            yield f"{task.id} has {at(slot.end) - at(slot.start):g} min and takes {wanted:g}"


def frozen(calendar: Calendar) -> Wrongs:
    """What is done is where it was; what is on its way goes on from when it was ordered."""
    slots = calendar.by_task
    for task in calendar.bench.tasks:
        slot = slots[task.id]
        if task.done is not None and abs(at(slot.end) - at(task.done)) >= 1:
            yield f"{task.id} was done at {task.done:%Y-%m-%d %H:%M} and is moved"
        if (
            task.done is None
            and task.begun is not None
            and not task.people
            and abs(at(slot.start) - at(task.begun)) >= 1
        ):
            yield f"{task.id} is on its way since {task.begun:%Y-%m-%d %H:%M} and is moved"


def not_in_the_past(calendar: Calendar) -> Wrongs:
    """Nothing that is still to be made starts before the plan does."""
    for task, slot in open_slots(calendar):
        if at(slot.start) < at(calendar.bench.start) and (task.people or task.begun is None):
            yield f"{task.id} starts before the plan"


def pins_kept(calendar: Calendar) -> Wrongs:
    """Nothing starts before its own date, or ends after it."""
    for task, slot in open_slots(calendar):
        if task.not_before is not None and at(slot.start) < at(task.not_before):
            yield f"{task.id} starts before {task.not_before:%Y-%m-%d %H:%M}"
        if task.not_after is not None and at(slot.end) > at(task.not_after):
            yield f"{task.id} ends after {task.not_after:%Y-%m-%d %H:%M}"


def what_comes_before(calendar: Calendar) -> Wrongs:
    """What comes before a task is over, and its wait, by the clock, with it."""
    slots = calendar.by_task
    for task, slot in to_begin(calendar):
        for each in task.after:
            if at(slot.start) - at(slots[each.task].end) < each.wait[1]:
                yield f"{task.id} starts too soon after {each.task}"


def windows_open(calendar: Calendar) -> Wrongs:
    """No window has closed before the task that it is for starts."""
    slots = calendar.by_task
    for task, slot in to_begin(calendar):
        for each in task.after:
            if each.closes is not None and at(slot.start) - at(slots[each.task].end) > each.closes:
                yield f"{task.id} starts when the window after {each.task} is closed"


def hands_enough(calendar: Calendar) -> Wrongs:
    """No more people are at work than there are."""
    taken = [(at(slot.start), at(slot.end), task.people) for task, slot in open_slots(calendar) if task.people]
    yield from (f"{used} people at {told(since)}" for since, used in over(taken, calendar.bench.hands))


def places_enough(calendar: Calendar) -> Wrongs:
    """No place holds more than it has room for, pieces that lie there after the work among them."""
    for place, room in calendar.bench.places.items():
        taken = []
        for task, slot in open_slots(calendar):
            if task.place == place:
                taken.append((at(slot.start), at(slot.end) + task.keeps_place, task.room))
            if task.rests == place and task.rests_minutes:
                taken.append((at(slot.end), at(slot.end) + task.rests_minutes, task.rests_room))
        yield from (f"{place} holds {used} of {room} at {told(since)}" for since, used in over(taken, room))


def over(taken: Iterable[tuple[float, float, int]], room: int) -> Iterator[tuple[float, int]]:
    """Every moment at which more than there is is taken; what ends then is gone."""
    taken = list(taken)
    for moment in sorted({since for since, _, _ in taken}):
        used = sum(amount for since, until, amount in taken if since <= moment < until)
        if used > room:
            yield moment, used


def in_open_hours(calendar: Calendar) -> Wrongs:
    """Nobody works while the shop is closed, on a day off, or through the night."""
    for task, slot in open_slots(calendar):
        if task.people and not is_open(slot, calendar.bench):
            yield f"{task.id} is made while the shop is closed, {slot.start:%Y-%m-%d %H:%M} to {slot.end:%H:%M}"


def is_open(slot: Slot, bench: Bench) -> bool:
    """Whether a slot lies inside one open day, which may reach past midnight by the wall's clock where that changes."""
    hours = bench.hours
    for back in (0, 1):
        day = slot.start.astimezone(hours.zone).date() - timedelta(days=back)
        minutes = 0 if day in hours.days_off else hours.week[day.weekday()]
        opening = datetime.combine(day, hours.opens, hours.zone)
        if minutes and at(opening) <= at(slot.start) and at(slot.end) <= at(opening) + minutes:
            return True
    # days without a break between them are one
    return all(each == 24 * 60 for each in hours.week) and not hours.days_off


def air_right(calendar: Calendar) -> Wrongs:
    """Nothing is coated in air that it may not be coated in: the shop's own, or what it is brought to first."""
    for task, _ in open_slots(calendar):
        air = task.air or calendar.bench.air
        for each in breaks(task.limits, air):
            yield f"{task.id} asks for {each} and is made in {air.temperature:g} °C and {air.humidity:g} %"


def in_the_sequence(calendar: Calendar, sequence: Sequence) -> Wrongs:
    """The moves keep the order of the sequence; restraint connectors wait the whole wait after the battery is off."""
    slots, done = calendar.by_task, {task.id for task in calendar.bench.tasks if task.done is not None}
    for move in sequence.moves:
        if move.id == WAIT or move.id in done:
            continue
        for before in move.after:
            if before == WAIT:
                assert sequence.safe_wait is not None
                if at(slots[move.id].start) < at(slots[BATTERY_OFF].end) + sequence.safe_wait.minutes:
                    yield f"{move.id} starts before the battery has been off for {sequence.safe_wait.minutes} min"
            elif at(slots[move.id].start) < at(slots[before].end):
                yield f"{move.id} starts before {before} is over"


def at(instant: datetime) -> float:
    """An instant in minutes that pass, whatever the clocks do."""
    return instant.timestamp() / 60


def told(minutes: float) -> str:
    """Such an instant in words."""
    return f"{datetime.fromtimestamp(minutes * 60, UTC):%Y-%m-%d %H:%M} UTC"


def open_slots(calendar: Calendar) -> Iterator[tuple[Task, Slot]]:
    """Tasks that are not done, with their slots."""
    slots = calendar.by_task
    yield from ((task, slots[task.id]) for task in calendar.bench.tasks if task.done is None)


def to_begin(calendar: Calendar) -> Iterator[tuple[Task, Slot]]:
    """Those that are not under way either."""
    yield from ((task, slot) for task, slot in open_slots(calendar) if task.begun is None)


RULES: tuple[Callable[[Calendar], Wrongs], ...] = (
    long_enough, frozen, not_in_the_past, pins_kept, what_comes_before, windows_open, hands_enough, places_enough,
    in_open_hours, air_right,
)  # fmt: skip
