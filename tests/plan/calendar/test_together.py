"""Several jobs on one bench: nothing is mixed up, each keeps its own end, and a shop of two minds is refused."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from tests.plan.calendar.benches import door_card, in_a_row
from trimwright.errors import BadInput
from trimwright.plan.calendar.kept import check_calendar
from trimwright.plan.calendar.list_order import in_list_order
from trimwright.plan.calendar.schedule import schedule
from trimwright.plan.calendar.together import ends, slots_of, together


def test_every_task_is_there_under_its_job() -> None:
    both = together({"harbour": door_card(), "coupe": door_card()})
    assert len(both.tasks) == 2 * len(door_card().tasks)
    assert {each.task for task in both.tasks for each in task.after} <= both.by_id.keys()
    assert all(each.task.partition("/")[0] == task.id.partition("/")[0] for task in both.tasks for each in task.after)


def test_each_job_has_its_own_end_and_its_own_slots() -> None:
    calendar = in_a_row(together({"harbour": door_card(), "coupe": door_card()}))
    found = ends(calendar)
    assert found["harbour"] < found["coupe"] == calendar.end
    assert {each.task for each in slots_of(calendar, "coupe")} == set(door_card().by_id)


def test_two_jobs_share_hands_and_places_and_neither_is_hurt() -> None:
    """Alone a door card ends on Wednesday at 09:05; both wait for their cures at the same time, so two take no week."""
    alone = schedule(door_card(), seconds=2)
    calendar = schedule(together({"harbour": door_card(), "coupe": door_card()}), seconds=3)
    assert check_calendar(calendar) == ()
    assert all(end >= alone.bound for end in ends(calendar).values())
    assert calendar.end <= alone.end + (alone.end - alone.bench.start)
    assert calendar.end < in_list_order(calendar.bench).end


def test_a_later_job_does_not_begin_before_its_day() -> None:
    late = replace(door_card(), start=door_card().start + timedelta(days=7))
    both = together({"first": door_card(), "late": late})
    assert both.start == door_card().start
    assert {task.not_before for task in both.tasks if task.id.startswith("late/")} == {late.start}


def test_one_shop_has_one_set_of_hands() -> None:
    with pytest.raises(BadInput, match="a number of hands of its own"):
        together({"one": door_card(), "other": replace(door_card(), hands=3)})
    with pytest.raises(BadInput, match="names no job"):
        together({})
