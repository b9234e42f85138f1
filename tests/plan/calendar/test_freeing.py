"""What would free the date: every change is measured by solving again, and never makes the hand-over later."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

from tests.plan.calendar.benches import MONDAY, bench, door_card, even
from trimwright.plan.calendar.freeing import changes, freeing, without
from trimwright.plan.calendar.holding import holding
from trimwright.plan.calendar.list_order import in_list_order
from trimwright.plan.calendar.schedule import schedule
from trimwright.plan.calendar.tasks import After, Bench, Task

NAMES = {"card": "Door card", "vinyl_dye": "vinyl dye", "knob": "Gear knob"}


def freed(bench: Bench) -> dict[str, float]:
    calendar = schedule(bench, seconds=2)
    return {each.change.way: each.days for each in freeing(calendar, holding(calendar), NAMES, seconds=1)}


def test_another_pair_of_hands_halves_a_week_of_work() -> None:
    """By hand: ten tasks of four hours are five days for one, two and a half for two."""
    won = freed(bench(*(Task(f"t{number}", "bench", f"work {number}", minutes=even(240)) for number in range(10))))
    assert won["hands"] == 2 + 4 / 24  # Friday 16:00 becomes Wednesday 12:00
    assert won["spray spot"] == 0


def test_a_saturday_saves_the_weekend() -> None:
    """By hand: six days of work end on Monday at 16:00, with Saturdays on Saturday at 16:00."""
    won = freed(bench(*(Task(f"t{number}", "bench", f"work {number}", minutes=even(480)) for number in range(6))))
    assert won["day"] == 2


def test_a_second_spray_spot_lets_two_dry_at_once() -> None:
    """By hand: two coats that keep the spot for a day: Tuesday instead of Monday for the second."""
    coat = Task("first", "bench", "coat", place="spray spot", minutes=even(60), keeps_place=1380)
    won = freed(bench(coat, replace(coat, id="second")))
    assert won["spray spot"] == 1 - 1 / 24


def test_an_order_sooner_saves_its_days() -> None:
    """By hand: five days in the post end on Saturday, so the knob goes on on Monday; here at once, on the first day."""
    tasks = (
        Task("knob", "delivery", "gear knob", "knob", place="away", people=0, minutes=even(5 * 1440)),
        Task("fit", "rebuild", "knob on", "knob", minutes=even(10), after=(After("knob"),)),
    )
    assert freed(bench(*tasks))["order"] == 7


def test_the_slow_treatment_is_the_one_that_holds_the_chain() -> None:
    calendar = schedule(door_card(), seconds=2)
    found = {each.way: each for each in changes(calendar, holding(calendar), NAMES)}
    slow = found["treatment"]
    assert (slow.part, slow.treatment, slow.name) == ("card", "vinyl_dye", "Door card: another course than vinyl dye")
    assert freed(door_card())["treatment"] > 0


def test_without_some_tasks_the_rest_keeps_its_order() -> None:
    left = without(door_card(), {"coat1", "coat2"})
    assert {each.task for each in left.by_id["back"].after} == {"clean"}
    assert left.by_id["back"].after[0].wait == (0, 0, 0)
    assert all(each.task in left.by_id for task in left.tasks for each in task.after)


def test_the_day_it_is_wanted_by_is_met_or_not() -> None:
    wanted = replace(door_card(), wanted_by=date(2026, 3, 2))
    calendar = schedule(wanted, seconds=2)
    found = {each.change.way: each.in_time for each in freeing(calendar, holding(calendar), NAMES, seconds=1)}
    assert found["hands"] is False


def test_a_calendar_is_never_worse_than_the_plain_list() -> None:
    for each in (door_card(), replace(door_card(), hands=2), replace(door_card(), start=MONDAY + timedelta(days=3))):
        assert schedule(each, seconds=2).end <= in_list_order(each).end
