"""Fill-in work: what fits a gap fits it without breaking a rule, and the end stays where it is."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta

from tests.plan.calendar.benches import MONDAY, bench, door_card_laid, even, laid
from trimwright.plan.calendar.gaps import FillIn, fill_ins, gaps
from trimwright.plan.calendar.tasks import After, Calendar, Task


def day(calendar: Calendar, number: int) -> tuple[datetime, datetime]:
    start = calendar.bench.start + timedelta(days=number)
    return start, start + timedelta(hours=12)


def names(found: tuple[FillIn, ...]) -> set[str]:
    return {each.task.id for each in found}


def test_gaps_are_open_hours_without_work() -> None:
    found = gaps(door_card_laid(), *day(door_card_laid(), 0))
    assert [(f"{each.start:%H:%M}", f"{each.end:%H:%M}") for each in found] == [
        ("09:30", "10:00"),
        ("10:30", "11:00"),
        ("11:30", "12:00"),
        ("13:30", "16:00"),
    ]


def test_a_night_is_no_gap_and_a_day_off_has_none() -> None:
    calendar = door_card_laid()
    assert gaps(calendar, *day(calendar, 5)) == ()
    (whole,) = gaps(calendar, *day(calendar, 1))
    assert whole.minutes == 480


def test_the_seat_fits_a_gap_of_ninety_only() -> None:
    calendar = door_card_laid()
    first = gaps(calendar, *day(calendar, 0))[0]
    assert {least: names(found) for least, found in fill_ins(calendar, first).items()} == {10: set(), 30: set()}
    shorter = replace(
        calendar.bench,
        tasks=tuple(replace(each, minutes=even(25)) if each.id == "seat" else each for each in calendar.bench.tasks),
    )
    begins = {slot.task: f"{(slot.start.date() - MONDAY.date()).days} {slot.start:%H:%M}" for slot in calendar.slots}
    again = laid(shorter, begins)
    assert {least: names(found) for least, found in fill_ins(again, first).items()} == {10: set(), 30: {"seat"}}


def test_nothing_is_pulled_into_a_gap_before_its_wait_has_run() -> None:
    calendar = door_card_laid()
    (whole,) = gaps(calendar, *day(calendar, 1))
    assert (
        names(fill_ins(calendar, whole)[90]) == set()
    )  # the door card cures till the evening, the knob is in the post


def test_a_window_is_not_opened_before_what_follows_can_keep_it() -> None:
    calendar = laid(
        bench(
            Task("coat", "bench", "coat", minutes=even(20)),
            Task("next", "bench", "next coat", minutes=even(20), after=(After("coat", even(30), closes=120),)),
            Task("long", "bench", "long", minutes=even(240)),
        ),
        {"long": "0 08:30", "coat": "0 13:00", "next": "0 14:00"},
    )
    first = gaps(calendar, *day(calendar, 0))[0]
    assert first.minutes == 30
    assert names(fill_ins(calendar, first)[30]) == set()


def test_a_full_place_takes_nothing_more() -> None:
    tasks = (
        Task("first", "bench", "spray", place="spray spot", minutes=even(60), keeps_place=120),
        Task("next", "bench", "spray too", place="spray spot", minutes=even(30)),
    )
    calendar = laid(bench(*tasks), {"first": "0 08:00", "next": "0 14:00"})
    first = gaps(calendar, *day(calendar, 0))[0]
    assert f"{first.start:%H:%M}" == "09:00"
    assert names(fill_ins(calendar, first)[90]) == set()
    free = laid(bench(replace(tasks[0], keeps_place=0), tasks[1]), {"first": "0 08:00", "next": "0 14:00"})
    assert names(fill_ins(free, first)[90]) == {"next"}


def test_two_pairs_of_hands_leave_one_free() -> None:
    calendar = laid(bench(Task("work", "bench", "work", minutes=even(120)), hands=2), {"work": "0 08:00"})
    found = gaps(calendar, *day(calendar, 0))
    assert [(each.hands, each.minutes) for each in found] == [(1, 120), (2, 360)]
