"""A calendar kept and read again is the same, over a change of the clocks too; notes move only what they are of."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from tests.plan.small_cabin import small_plan
from trimwright.job.events import Worked
from trimwright.plan.calendar.kept import check_calendar
from trimwright.plan.calendar.remembered import as_noted, of_plain, to_plain
from trimwright.plan.calendar.schedule import schedule
from trimwright.plan.calendar.tasks import Calendar
from trimwright.plan.plan import bench_of

ZONE = ZoneInfo("Europe/London")


@pytest.fixture(scope="module")
def calendar() -> Calendar:
    """Some weeks around 29 March 2026, when clocks in London go on by an hour."""
    bench = bench_of(small_plan(), start=datetime(2026, 3, 20, 9, tzinfo=ZONE))
    bench = replace(bench, hours=replace(bench.hours, zone=ZONE))
    return schedule(bench, seconds=1)


def test_it_is_the_same_once_json_has_carried_it(calendar: Calendar) -> None:
    again = of_plain(json.loads(json.dumps(to_plain(calendar))))
    assert again == calendar
    assert not check_calendar(again)
    assert {slot.start.utcoffset() for slot in again.slots} == {timedelta(0), timedelta(hours=1)}


def test_what_was_noted_stands_where_it_was_and_the_rest_where_it_is(calendar: Calendar) -> None:
    one, other = [each.id for each in calendar.bench.tasks if each.kind == "bench" and each.people][:2]
    at = datetime(2026, 3, 20, 11, tzinfo=UTC)
    events = [
        Worked(id="a", at=at, task=one, state="begun"),
        Worked(id="b", at=at + timedelta(minutes=40), task=one, state="finished", minutes=40),
        Worked(id="c", at=at, task=other, state="begun"),
        Worked(id="d", at=at, task="no/such/task", state="begun"),
    ]
    noted = as_noted(calendar, events)
    assert noted.bench.by_id[one].done == at + timedelta(minutes=40)
    assert (noted.by_task[one].start, noted.by_task[one].end) == (at, at + timedelta(minutes=40))
    assert noted.bench.by_id[other].begun == at
    rest = {slot for slot in calendar.slots if slot.task not in (one, other)}
    assert rest <= set(noted.slots)
    assert len(noted.slots) == len(calendar.slots)
