"""The calendar for the phone against RFC 5545, its bytes and what another program reads from them."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from itertools import pairwise
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from icalendar import Calendar

from tests.plan.calendar.benches import MONDAY, WEEK, bench, door_card_laid, even, laid
from trimwright.papers.ical import calendar_file
from trimwright.plan.calendar.tasks import Calendar as Laid
from trimwright.plan.calendar.tasks import Task

MADE = datetime(2026, 2, 27, 12, 30, tzinfo=UTC)
NAMES = {"card": "Door card, driver’s side; behind it the speaker, and a very long name indeed – ünïcode 座席 " * 2}


def file(calendar: Laid | None = None, made: datetime = MADE) -> bytes:
    return calendar_file(calendar or door_card_laid(), "harbour", "Harbour, two-door", NAMES, made)


def read(told: bytes) -> Any:
    return Calendar.from_ical(told)


def events(told: bytes) -> list[Any]:
    return list(read(told).walk("VEVENT"))


def test_lines_end_in_crlf_and_are_folded_at_75_octets() -> None:
    """RFC 5545, 3.1."""
    told = file()
    assert told.endswith(b"\r\n")
    lines = told.split(b"\r\n")
    assert not any(b"\n" in line or b"\r" in line for line in lines)
    assert max(len(line) for line in lines) <= 75
    for line in lines:
        line.decode("utf-8")  # no character is cut in two
    assert any(line.startswith(b" ") for line in lines)


def test_the_file_has_what_a_calendar_must_have() -> None:
    """RFC 5545, 3.6 and 3.7: VERSION and PRODID once; 3.6.1: UID and DTSTAMP once in every event, DTSTAMP in UTC."""
    told = read(file())
    assert str(told["VERSION"]) == "2.0"
    assert str(told["PRODID"]).startswith("-//Trimwright//")
    found = events(file())
    assert max(Counter(str(each["UID"]) for each in found).values()) == 1
    for each in found:
        assert each["DTSTAMP"].dt == MADE
        assert each["DTSTART"].dt < each["DTEND"].dt


def test_every_zone_that_is_named_is_defined() -> None:
    """RFC 5545, 3.2.19: a VTIMEZONE for each TZID; its offsets are those the zone has in that half-year."""
    told = read(file())
    named = {each["DTSTART"].params.get("TZID") for each in told.walk("VEVENT")} - {None}
    assert named == {str(each["TZID"]) for each in told.walk("VTIMEZONE")} == {"Europe/Lisbon"}
    offsets = (
        {each["TZOFFSETTO"].td for each in told.walk("STANDARD")},
        {each["TZOFFSETTO"].td for each in told.walk("DAYLIGHT")},
    )
    zone = ZoneInfo("Europe/Lisbon")
    winter, summer = datetime(2026, 1, 10, tzinfo=zone), datetime(2026, 7, 10, tzinfo=zone)
    assert offsets == ({winter.utcoffset()}, {summer.utcoffset()})


def test_read_again_it_says_when_work_begins() -> None:
    found = {str(each["UID"]): each for each in events(file())}
    coats = found["clean.harbour@trimwright.invalid"]
    assert coats["DTSTART"].dt == MONDAY + timedelta(minutes=50)
    assert coats["DTEND"].dt == MONDAY + timedelta(hours=3, minutes=30)
    assert str(coats["SUMMARY"]).startswith("Door card, driver’s side; behind it")
    assert "11:00 second coat (begin by Mon 14:30: the window closes)" in str(coats["DESCRIPTION"])
    assert found["hand-over.harbour@trimwright.invalid"]["DTSTART"].dt == door_card_laid().end


def test_a_window_that_closes_rings_before_it_does() -> None:
    """RFC 5545, 3.8.6.3: an absolute trigger is in UTC. Lisbon keeps UTC in March until the last Sunday."""
    (alarm,) = read(file()).walk("VALARM")
    assert str(alarm["ACTION"]) == "DISPLAY"
    assert alarm["TRIGGER"].dt == datetime(2026, 3, 2, 14, 0, tzinfo=UTC)
    assert b"TRIGGER;VALUE=DATE-TIME:20260302T140000Z" in file()


def test_what_is_on_its_way_is_a_day() -> None:
    found = {str(each["SUMMARY"]): each["DTSTART"].dt for each in events(file()) if str(each.get("TRANSP", ""))}
    assert found == {"Order: gear knob": date(2026, 3, 2), "Should be here: gear knob": date(2026, 3, 4)}


def test_a_calendar_made_again_moves_what_is_there() -> None:
    calendar = door_card_laid()
    later = replace(
        calendar,
        slots=tuple(
            replace(each, start=each.start + timedelta(days=7), end=each.end + timedelta(days=7))
            for each in calendar.slots
        ),
        end=calendar.end + timedelta(days=7),
    )
    before, after = ({str(each["UID"]) for each in events(file(each))} for each in (calendar, later))
    assert before == after
    assert file() == file()


@pytest.mark.parametrize("day", [date(2026, 3, 29), date(2026, 10, 25)])
def test_the_day_the_clocks_change(day: date) -> None:
    """European Union, Directive 2000/84/EC: last Sunday of March and of October, 01:00 UTC."""
    sunday = replace(WEEK, week=(480,) * 7)
    start = datetime(day.year, day.month, day.day, 8, tzinfo=sunday.zone)
    night = bench(Task("work", "bench", "work", minutes=even(60)), hours=sunday, start=start - timedelta(days=1))
    calendar = laid(night, {"work": "1 08:00"})
    (work, _) = events(file(calendar))
    assert work["DTSTART"].dt == start
    assert work["DTSTART"].dt.astimezone(UTC).hour == 7 if day.month == 3 else 8


def test_short_steps_share_an_event_and_nothing_is_lost() -> None:
    tasks = [Task(f"t{number}", "bench", f"dust {number}", f"part{number}", minutes=even(5)) for number in range(30)]
    calendar = laid(
        bench(*tasks), {f"t{number}": f"0 {8 + number // 12:02d}:{number % 12 * 5:02d}" for number in range(30)}
    )
    found = [each for each in events(file(calendar)) if "ust " in str(each.get("DESCRIPTION", ""))]
    assert len(found) < 6
    assert sum(str(each["DESCRIPTION"]).count("ust ") for each in found) == 30
    assert all(before["DTEND"].dt <= after["DTSTART"].dt for before, after in pairwise(found))
