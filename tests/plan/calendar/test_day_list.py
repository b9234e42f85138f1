"""A day's list: what is on the bench, which window closes first, what is cured, what a long wait follows."""

from __future__ import annotations

from datetime import timedelta

from tests.plan.calendar.benches import MONDAY, door_card_laid
from trimwright.plan.calendar.day_list import day_list


def test_monday() -> None:
    found = day_list(door_card_laid(), MONDAY)
    assert [each.task.id for each in found.on_the_bench] == ["battery", "off", "clean", "coat1", "coat2", "seat"]
    (window,) = found.windows
    assert (window.after.id, f"{window.opens:%H:%M}", f"{window.closes:%H:%M}") == ("coat2", "11:00", "14:30")
    assert [each.over.strftime("%H:%M") for each in found.cures] == ["10:00", "11:00"]
    assert [(each.task.id, each.minutes) for each in found.long_waits] == [("coat2", 2160)]
    assert [each.task.id for each in found.to_order] == ["knob"]
    assert found.gaps[-1][0].minutes == 150


def test_what_is_over_is_not_told_again() -> None:
    found = day_list(door_card_laid(), MONDAY + timedelta(hours=3, minutes=10))
    assert [each.task.id for each in found.on_the_bench] == ["coat2", "seat"]
    assert found.cures == ()


def test_a_cure_is_told_on_the_day_it_is_over() -> None:
    found = day_list(door_card_laid(), MONDAY + timedelta(days=1))
    assert [(each.before.id, each.after.id) for each in found.cures] == [("coat2", "back")]
    assert found.on_the_bench == ()


def test_a_delivery_is_told_on_its_day() -> None:
    found = day_list(door_card_laid(), MONDAY + timedelta(days=2))
    assert [each.task.id for each in found.arriving] == ["knob"]


def test_a_day_off_is_quiet() -> None:
    found = day_list(door_card_laid(), MONDAY + timedelta(days=5))
    assert (found.on_the_bench, found.gaps, found.cures, found.windows) == ((), (), (), ())
