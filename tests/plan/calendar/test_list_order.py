"""The plain day plan: each part finished before the next, every wait sat out."""

from __future__ import annotations

from datetime import timedelta

from tests.plan.calendar.benches import MONDAY, bench, door_card, door_card_laid, even
from trimwright.plan.calendar.list_order import in_list_order, part_by_part
from trimwright.plan.calendar.tasks import After, Task


def test_a_part_is_finished_before_the_next_is_begun() -> None:
    order = [task.part for task in part_by_part(door_card()) if task.kind == "bench"]
    assert order == ["card", "card", "card", "seat"]


def test_what_comes_first_stands_before_what_follows() -> None:
    seen: set[str] = set()
    for task in part_by_part(door_card()):
        assert {each.task for each in task.after} <= seen
        seen.add(task.id)


def test_the_waits_are_sat_out() -> None:
    """By hand: battery and door card 08:50, clean 09:30, dry to 10:00, coats 10:30 and 11:30, seat 13:00, cured
    Tuesday 23:30; on Wednesday back 08:40, knob 08:50, lamp 09:05."""
    plain = in_list_order(door_card())
    assert plain.end == MONDAY + timedelta(days=2, hours=1, minutes=5)
    assert plain.missed == 0
    assert plain.days_won(door_card_laid().end) == 0


def test_two_parts_that_dry_in_turn_take_twice_as_long() -> None:
    """By hand: left covered on Tuesday 09:00, so right is glued at 10:00 and covered on Wednesday at 11:00."""
    tasks = [
        task
        for part in ("left", "right")
        for task in (
            Task(f"{part}1", "bench", "glue", part=part, minutes=even(60)),
            Task(f"{part}2", "bench", "cover", part=part, minutes=even(60), after=(After(f"{part}1", even(1440)),)),
        )
    ]
    assert in_list_order(bench(*tasks)).end == MONDAY + timedelta(days=2, hours=4)
