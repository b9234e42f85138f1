"""The independent check of a calendar: a careful one passes, and one broken by hand is rejected for what is broken."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from tests.plan.calendar.benches import MONDAY, bench, door_card_laid, even, laid
from tests.plan.calendar.shops import demo
from trimwright.plan.calendar.kept import RULES, check_calendar
from trimwright.plan.calendar.schedule import schedule
from trimwright.plan.calendar.tasks import After, Air, Calendar, Hours, Limits, Slot, Task
from trimwright.plan.sequence.moves import BATTERY_OFF, WAIT

HOUR = timedelta(hours=1)


def moved(calendar: Calendar, task: str, by: timedelta) -> Calendar:
    """The calendar with one task at another time."""
    slots = tuple(
        replace(slot, start=slot.start + by, end=slot.end + by) if slot.task == task else slot
        for slot in calendar.slots
    )
    return replace(calendar, slots=slots)


def changed(calendar: Calendar, task: str, **values: Any) -> Calendar:
    """The calendar with one task that is otherwise, at the same time."""
    tasks = tuple(replace(each, **values) if each.id == task else each for each in calendar.bench.tasks)
    return replace(calendar, bench=replace(calendar.bench, tasks=tasks))


def test_a_careful_calendar_passes() -> None:
    assert check_calendar(door_card_laid()) == ()


def _second_hand(calendar: Calendar) -> Calendar:
    return moved(calendar, "seat", timedelta(hours=-1))


def _spray_spot(calendar: Calendar) -> Calendar:
    both = changed(calendar, "seat", place="spray spot")
    return replace(moved(both, "seat", -HOUR), bench=replace(both.bench, hands=2))


def _left_in_the_press(calendar: Calendar) -> Calendar:
    return changed(changed(calendar, "clean", place="spray spot", keeps_place=60), "coat1", place="spray spot")


def _rack_too_small(calendar: Calendar) -> Calendar:
    lying = {"rests": "rack", "rests_room": 1_500_000, "rests_minutes": 2000}
    return changed(changed(calendar, "coat2", **lying), "seat", **lying)


BROKEN: dict[str, tuple[Callable[[Calendar], Calendar], str]] = {
    "no slot": (lambda all_: replace(all_, slots=all_.slots[1:]), "battery has no slot"),
    "twice": (lambda all_: replace(all_, slots=(*all_.slots, all_.slots[0])), "battery has 2 slots"),
    "unknown": (lambda all_: replace(all_, slots=(*all_.slots, Slot("x", MONDAY, MONDAY))), "x is no task"),
    "too short": (lambda all_: changed(all_, "clean", minutes=even(50)), "clean has 40 min and takes 50"),
    "too soon": (lambda all_: moved(all_, "off", timedelta(minutes=-5)), "off starts too soon after battery"),
    "not dry": (lambda all_: moved(all_, "coat1", timedelta(minutes=-10)), "coat1 starts too soon after clean"),
    "uncured": (lambda all_: moved(all_, "back", timedelta(days=-1)), "back starts too soon after coat2"),
    "part in the post": (lambda all_: moved(all_, "fit", timedelta(days=-1)), "fit starts too soon after knob"),
    "window": (
        lambda all_: moved(moved(all_, "coat2", 4 * HOUR), "seat", -HOUR),
        "coat2 starts when the window after coat1 is closed",
    ),
    "hands": (_second_hand, "2 people at 2026-03-02 11:00 UTC"),
    "place": (_spray_spot, "spray spot holds 2 of 1"),
    "place kept": (_left_in_the_press, "spray spot holds 2 of 1"),
    "rack": (_rack_too_small, "rack holds 3000000 of 2000000"),
    "night": (lambda all_: moved(all_, "lamp", 10 * HOUR), "lamp is made while the shop is closed"),
    "weekend": (lambda all_: moved(all_, "lamp", timedelta(days=3)), "lamp is made while the shop is closed"),
    "past": (lambda all_: moved(all_, "battery", -HOUR), "battery starts before the plan"),
    "not before": (
        lambda all_: changed(all_, "seat", not_before=MONDAY + timedelta(days=1)),
        "seat starts before 2026-03-03",
    ),
    "not after": (lambda all_: changed(all_, "seat", not_after=MONDAY + HOUR), "seat ends after 2026-03-02"),
    "cold": (
        lambda all_: replace(changed(all_, "coat1", limits=Limits(least_c=15)), bench=replace(
            changed(all_, "coat1", limits=Limits(least_c=15)).bench, air=Air(12, 50))),
        "coat1 asks for not under 15 °C",
    ),
    "damp": (
        lambda all_: changed(all_, "coat1", limits=Limits(most_rh=65), air=Air(20, 70)),
        "coat1 asks for air not damper than 65 %",
    ),
    "dew": (
        lambda all_: changed(all_, "coat1", limits=Limits(dew_margin=True), air=Air(20, 90)),
        "coat1 asks for surface 3 °C above the dew point",
    ),
    "frozen": (
        lambda all_: changed(all_, "battery", done=MONDAY + HOUR),
        "battery was done at 2026-03-02 09:00 and is moved",
    ),
    "under way": (
        lambda all_: changed(all_, "knob", begun=MONDAY - HOUR),
        "knob is on its way since 2026-03-02 07:00 and is moved",
    ),
}  # fmt: skip


@pytest.mark.parametrize("broken", BROKEN)
def test_a_calendar_broken_by_hand_is_rejected(broken: str) -> None:
    make, told = BROKEN[broken]
    found = check_calendar(make(door_card_laid()))
    assert any(each.startswith(told) for each in found), found


def test_every_rule_rejects_something() -> None:
    for rule in RULES:
        assert any(list(rule(make(door_card_laid()))) for make, told in BROKEN.values() if "slot" not in told), rule


def test_a_day_off_is_closed() -> None:
    calendar = door_card_laid()
    hours = replace(calendar.bench.hours, days_off=frozenset({MONDAY.date()}))
    found = check_calendar(replace(calendar, bench=replace(calendar.bench, hours=hours)))
    assert any("battery is made while the shop is closed" in each for each in found)


def test_a_night_s_wait_is_counted_by_the_time_that_passes() -> None:
    """The clocks of the European Union go forward on 29 March 2026: that night is an hour short."""
    zone = ZoneInfo("Europe/Berlin")
    saturday = datetime(2026, 3, 28, 17, tzinfo=zone)
    daily = Hours(zone, (480,) * 7, saturday.timetz().replace(hour=9, tzinfo=None))
    tasks = (
        Task("coat", "bench", "coat", minutes=even(0)),
        Task("next", "bench", "next", minutes=even(10), after=(After("coat", even(16 * 60)),)),
    )
    short = laid(bench(*tasks, hours=daily, start=saturday), {"coat": "0 17:00", "next": "1 09:00"})
    assert check_calendar(short) == ("next starts too soon after coat",)
    enough = laid(bench(*tasks, hours=daily, start=saturday), {"coat": "0 17:00", "next": "1 10:00"})
    assert check_calendar(enough) == ()


def test_a_connector_touched_too_soon_is_rejected_whatever_the_tasks_say() -> None:
    """The tasks are stripped of the hold; the sequence still knows it."""
    cabin = demo()
    found = schedule(cabin.bench(), seconds=1)
    assert check_calendar(found, cabin.sequence) == ()
    move = next(each for each in cabin.sequence.moves if WAIT in each.after)
    loose = changed(found, move.id, after=())
    early = replace(
        loose,
        slots=tuple(
            replace(
                slot, start=found.by_task[BATTERY_OFF].end, end=found.by_task[BATTERY_OFF].end + (slot.end - slot.start)
            )
            if slot.task == move.id
            else slot
            for slot in loose.slots
        ),
    )
    told = f"{move.id} starts before the battery has been off for 30 min"
    assert told in check_calendar(early, cabin.sequence)
