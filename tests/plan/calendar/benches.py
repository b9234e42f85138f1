"""Benches made by hand: a door card that is dyed while a knob is on its way, and single chains for closed forms."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, time, timedelta
from zoneinfo import ZoneInfo

from trimwright.plan.calendar.tasks import After, Air, Bench, Calendar, Hours, Slot, Task

ZONE = ZoneInfo("Europe/Lisbon")
MONDAY = datetime(2026, 3, 2, 8, 0, tzinfo=ZONE)
WEEK = Hours(zone=ZONE, week=(480, 480, 480, 480, 480, 0, 0), opens=time(8))
ALWAYS = Hours(zone=ZoneInfo("UTC"), week=(1440,) * 7, opens=time(0))
"""A shop that never closes, for closed forms."""


def even(minutes: int) -> tuple[int, int, int]:
    """A figure without spread."""
    return minutes, minutes, minutes


def bench(*tasks: Task, hours: Hours = WEEK, start: datetime = MONDAY, **changed: object) -> Bench:
    """A bench of these tasks, one pair of hands, a spray spot and a rack of 2 m²."""
    plain = Bench(
        start=start,
        tasks=tasks,
        hours=hours,
        hands=1,
        places={"spray spot": 1, "press": 1, "rack": 2_000_000},
        air=Air(20.0, 50.0),
    )
    return replace(plain, **changed)  # type: ignore[arg-type]


def door_card() -> Bench:
    """A door card off, cleaned, dyed in two coats with a window, cured two nights, and back; a knob in the post."""
    return bench(
        Task("battery", "strip-down", "battery off", place="car", minutes=even(10)),
        Task("off", "strip-down", "door card off", "card", place="car", minutes=even(40), after=(After("battery"),)),
        Task("clean", "bench", "clean", "card", minutes=(30, 40, 80), after=(After("off"),), treatment="vinyl_clean"),
        Task(
            "coat1", "bench", "first coat", "card", place="spray spot", treatment="vinyl_dye", colour="grey",
            minutes=even(30), after=(After("clean", (20, 30, 60), why="dry"),),
        ),
        Task(
            "coat2", "bench", "second coat", "card", place="spray spot", treatment="vinyl_dye", colour="grey",
            minutes=even(30), after=(After("coat1", even(30), closes=240, why="flash", cures=True),),
        ),
        Task(
            "knob", "delivery", "gear knob", "knob", place="away", people=0, minutes=(1440, 2880, 7200), money=2000,
        ),
        Task(
            "seat", "bench", "clean the seat", "seat", minutes=(60, 90, 200), after=(After("battery"),),
            treatment="cloth_clean",
        ),
        Task(
            "back", "rebuild", "door card back", "card", place="car", minutes=even(40),
            after=(After("coat2", (1440, 2160, 2880), why="cure", cures=True),),
        ),
        Task(
            "fit", "rebuild", "knob on", "knob", place="car", minutes=even(10), after=(After("knob"), After("battery")),
        ),
        Task(
            "lamp", "check", "lamp check", place="car", minutes=even(15),
            after=(After("back"), After("fit"), After("seat")),
        ),
    )  # fmt: skip


def laid(bench: Bench, begins: dict[str, str]) -> Calendar:
    """A calendar from the starts of its tasks, "day hour:minute" from the bench's first day on."""
    slots = []
    for task in bench.tasks:
        day, _, clock = begins[task.id].partition(" ")
        hour, minute = map(int, clock.split(":"))
        start = bench.start.replace(hour=hour, minute=minute) + timedelta(days=int(day))
        end = (start.astimezone(UTC) + timedelta(minutes=task.minutes[1])).astimezone(bench.hours.zone)
        slots.append(Slot(task.id, start, end))
    slots.sort(key=lambda slot: slot.start)
    end = max(slot.end for slot in slots)
    return Calendar(bench, tuple(slots), end, bench.start, 0.0)


def door_card_laid() -> Calendar:
    """The door card as a careful person would lay it: coats in one go on Monday, hands on the seat while it dries."""
    return laid(
        door_card(),
        {
            "battery": "0 08:00", "knob": "0 08:00", "off": "0 08:10", "clean": "0 08:50", "coat1": "0 10:00",
            "coat2": "0 11:00", "seat": "0 12:00", "back": "2 08:00", "fit": "2 08:40", "lamp": "2 08:50",
        },
    )  # fmt: skip


def chain(*minutes: tuple[int, int, int]) -> Calendar:
    """One task after another in a shop that never closes."""
    tasks = [
        Task(f"t{number}", "bench", f"step {number}", minutes=each, after=(After(f"t{number - 1}"),) if number else ())
        for number, each in enumerate(minutes)
    ]
    start = datetime(2026, 3, 2, tzinfo=ZoneInfo("UTC"))
    return in_a_row(bench(*tasks, hours=ALWAYS, start=start))


def in_a_row(bench: Bench) -> Calendar:
    """Tasks laid one after the other as if the shop never closed."""
    slots, now = [], bench.start
    for task in bench.tasks:
        end = now + timedelta(minutes=task.minutes[1])
        slots.append(Slot(task.id, now, end))
        now = end
    return Calendar(bench, tuple(slots), now, now, 0.0)
