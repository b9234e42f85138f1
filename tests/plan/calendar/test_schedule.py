"""From tasks to a bare project and back: windows, holds, what is done; calendars that pass every rule."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.plan.calendar.benches import MONDAY, bench, door_card, even
from tests.plan.calendar.shops import LISBON, WEEK, demo, drawn, small, stages
from tests.plan.happened import happened
from tests.plan.small_cabin import small_job
from trimwright.errors import BadInput
from trimwright.plan.calendar.kept import check_calendar
from trimwright.plan.calendar.project import Holds
from trimwright.plan.calendar.schedule import Grid, schedule, to_project
from trimwright.plan.calendar.tasks import After, Calendar, Hours, Task
from trimwright.plan.sequence.moves import BATTERY_OFF, WAIT

EVEN_WEEK = Hours(ZoneInfo("Europe/Berlin"), (480,) * 7, time(9))


def test_the_bench_is_a_project_of_minutes_from_the_first_midnight() -> None:
    project = to_project(door_card())
    off, knob = project.by_id["off"], project.by_id["knob"]
    assert off.length == 40
    assert off.starts[0] == (8 * 60, 16 * 60 - 40)
    assert off.starts[1] == (32 * 60, 40 * 60 - 40)
    assert Holds("hands", 1) in off.holds
    assert (knob.length, knob.holds, knob.tied_up) == (2880, (), 2000)
    [coats] = [lag for lag in project.lags if (lag.before, lag.after) == ("coat1", "coat2")]
    assert (coats.least, coats.most) == (30, 240)
    assert project.capacity == {"hands": 1, "spray spot": 1, "press": 1, "rack": 2_000_000}


def test_a_calendar_of_the_door_card_is_proven_and_passes() -> None:
    calendar = schedule(door_card(), seconds=5)
    assert check_calendar(calendar) == ()
    assert calendar.gap == 0
    assert calendar.end == datetime(2026, 3, 4, 9, 5, tzinfo=ZoneInfo("Europe/Lisbon"))  # by hand, as in benches.py


def test_a_piece_keeps_its_place_or_lies_on_the_rack() -> None:
    press = Task("glue", "bench", "glue", place="press", minutes=even(20), keeps_place=300)
    rack = Task("coat", "bench", "coat", place="spray spot", minutes=even(20), rests="rack", rests_room=900_000,
                rests_minutes=600)  # fmt: skip
    project = to_project(bench(press, rack))
    assert project.by_id["glue"].holds == (Holds("hands", 1), Holds("press", 1, 300))
    assert project.by_id["coat"].holds == (Holds("hands", 1), Holds("spray spot", 1), Holds("rack", 900_000, 600))


def test_pieces_share_the_rack_by_area() -> None:
    """Three pieces of 0.9 m² on 2 m² of rack, ten hours each: the third waits for the first to come off."""
    lying = [
        Task(
            f"p{number}",
            "bench",
            "coat",
            place="bench",
            minutes=even(10),
            rests="rack",
            rests_room=900_000,
            rests_minutes=600,
        )
        for number in range(3)
    ]
    calendar = schedule(bench(*lying), seconds=1)
    begun = sorted(slot.start for slot in calendar.slots)
    assert begun[1] == begun[0] + timedelta(minutes=10)
    assert begun[2] >= begun[0] + timedelta(minutes=600)


@pytest.mark.parametrize(("day", "ready"), [(date(2026, 3, 28), 10), (date(2026, 10, 24), 9), (date(2026, 6, 6), 9)])
def test_a_night_is_as_long_as_it_is(day: date, ready: int) -> None:
    """Sixteen hours from 17:00: 09:00, but 10:00 in the night that is an hour short; the autumn night has one more."""
    start = datetime(day.year, day.month, day.day, 16, 50, tzinfo=EVEN_WEEK.zone)
    tasks = (
        Task("coat", "bench", "coat", minutes=even(10)),
        Task("next", "bench", "next", minutes=even(10), after=(After("coat", even(16 * 60)),)),
    )
    calendar = schedule(bench(*tasks, hours=EVEN_WEEK, start=start), seconds=2)
    assert calendar.by_task["next"].start.hour == ready
    assert calendar.by_task["next"].start.minute == 0


def test_what_is_done_stays_and_what_is_on_its_way_goes_on() -> None:
    before = door_card()
    now = MONDAY + timedelta(days=1, hours=2)
    tasks = tuple(
        replace(task, done=MONDAY + timedelta(minutes=10)) if task.id == "battery"
        else replace(task, done=MONDAY + timedelta(hours=1)) if task.id == "off"
        else replace(task, begun=MONDAY - timedelta(days=1)) if task.id == "knob"
        else task
        for task in before.tasks
    )  # fmt: skip
    bench_now = replace(before, start=now, tasks=tasks)
    calendar = schedule(bench_now, seconds=3, before=schedule(before, seconds=1))
    assert check_calendar(calendar) == ()
    assert calendar.by_task["off"].end == MONDAY + timedelta(hours=1)
    assert calendar.by_task["knob"].start == MONDAY - timedelta(days=1)
    assert min(slot.start for slot in calendar.slots if slot.task not in ("battery", "off", "knob")) >= now


def test_done_work_that_overlaps_harms_nobody() -> None:
    """Two people were there once; one is now."""
    tasks = [
        Task("a", "bench", "a", minutes=even(60), done=MONDAY + timedelta(hours=1)),
        Task("b", "bench", "b", minutes=even(60), done=MONDAY + timedelta(hours=1)),
        Task("c", "bench", "c", minutes=even(60), after=(After("a"), After("b"))),
    ]
    calendar = schedule(bench(*tasks, start=MONDAY + timedelta(hours=2)), seconds=1)
    assert calendar.by_task["c"].start == MONDAY + timedelta(hours=2)


def test_a_task_under_way_has_only_the_rest_to_do() -> None:
    """Twenty minutes of sixty are behind it."""
    task = Task("sew", "bench", "sew", minutes=even(60), begun=MONDAY)
    calendar = schedule(bench(task, start=MONDAY + timedelta(minutes=20)), seconds=1)
    assert calendar.end == MONDAY + timedelta(minutes=60)
    assert check_calendar(calendar) == ()


def test_pins_are_kept_and_one_that_leaves_no_room_is_told() -> None:
    task = Task("sew", "bench", "sew", minutes=even(60), not_before=MONDAY + timedelta(days=2, hours=3))
    assert schedule(bench(task), seconds=1).by_task["sew"].start == MONDAY + timedelta(days=2, hours=3)
    night = replace(task, not_before=MONDAY.replace(hour=20), not_after=MONDAY.replace(hour=22))
    with pytest.raises(BadInput) as refused:
        schedule(bench(night), seconds=1)
    [problem] = refused.value.problems
    assert (problem.where, problem.value) == ("time › pins", "sew")


def test_a_pin_passes_no_hold() -> None:
    """Put before the battery's wait is over, a connector has no calendar at all."""
    tasks = (
        Task(BATTERY_OFF, "strip-down", "battery off", place="car", minutes=even(10)),
        Task("off:seat", "strip-down", "seat off", place="car", minutes=even(30),
             after=(After(BATTERY_OFF, even(30), why="battery's wait"),), not_after=MONDAY + timedelta(minutes=60)),
    )  # fmt: skip
    with pytest.raises(BadInput):
        schedule(bench(*tasks), seconds=2)


def test_tasks_in_a_circle_are_told() -> None:
    tasks = (
        Task("a", "bench", "a", minutes=even(5), after=(After("b"),)),
        Task("b", "bench", "b", minutes=even(5), after=(After("a"),)),
    )
    with pytest.raises(BadInput, match="wait for each other in a circle"):
        to_project(bench(*tasks))


def test_a_whole_cabin_has_a_calendar_and_a_better_one_is_told() -> None:
    told: list[Calendar] = []
    calendar = schedule(demo().bench(), seconds=3, progress=told.append)
    assert told
    assert check_calendar(calendar, demo().sequence) == ()
    assert calendar.bound <= calendar.end
    assert calendar.end == max(slot.end for slot in calendar.slots)


def test_in_the_middle_of_a_job_the_rest_is_planned_from_now() -> None:
    job = small_job(time=WEEK)
    first = schedule(small().bench(), seconds=1)
    now = datetime(2026, 3, 4, 10, tzinfo=LISBON)
    job = happened(
        job,
        {"kind": "opened", "step": "sun_visor.driver", "minutes": 10, "at": "2026-03-03T09:00:00+00:00"},
        {"kind": "worked", "task": "carpet/clean_dry/1", "state": "finished", "at": "2026-03-03T10:00:00+00:00"},
    )
    bench_now = stages(job).bench(now)
    calendar = schedule(bench_now, seconds=1, before=first)
    assert check_calendar(calendar) == ()
    done = {task.id for task in bench_now.tasks if task.done}
    assert "off:sun_visor.driver" in done
    assert all(slot.start >= now for slot in calendar.slots if slot.task not in done)


@given(data=st.data())
@settings(max_examples=6, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_no_calendar_touches_a_connector_before_the_battery_has_been_off_for_the_wait(data: st.DataObject) -> None:
    """Any verdicts, and any dates a person may pin: the wait is whole, by the time that passes."""
    cabin = drawn(small(), lambda courses: data.draw(st.sampled_from(courses)))
    found = cabin.bench()
    pinned = data.draw(st.sampled_from([task.id for task in found.tasks if task.people]))
    later = MONDAY + timedelta(days=data.draw(st.integers(0, 5)))
    tasks = tuple(replace(task, not_before=later) if task.id == pinned else task for task in found.tasks)
    calendar = schedule(replace(found, tasks=tasks), seconds=0.5)
    assert check_calendar(calendar, cabin.sequence) == ()
    slots = calendar.by_task
    for move in cabin.sequence.moves:
        if WAIT in move.after:
            assert cabin.sequence.safe_wait is not None
            passed = slots[move.id].start.astimezone(UTC) - slots[BATTERY_OFF].end.astimezone(UTC)
            assert passed >= timedelta(minutes=cabin.sequence.safe_wait.minutes)


def test_a_grid_gives_back_the_instants_it_was_given() -> None:
    grid = Grid(door_card())
    for minute in (0, 1, 1439, 50_000):
        assert grid.minute(grid.instant(minute)) == minute
