"""Each answer of a change sheet against a plan decided from scratch on the job as that answer makes it."""

from __future__ import annotations

from datetime import UTC, datetime
from functools import cache
from typing import Any

import pytest

from tests.plan.happened import YES, happened, promise
from tests.plan.small_cabin import CUSHION, small_job
from trimwright.errors import BadInput
from trimwright.facts import load
from trimwright.job.document import Job
from trimwright.job.edits import SetField, Together, apply
from trimwright.plan.changes import ChangeSheet, change_sheet, hand_overs
from trimwright.plan.plan import Plan, make_plan
from trimwright.plan.verdicts.verdict import Verdicts

FIND: dict[str, Any] = {"kind": "find", "id": "rust", "step": "carpet_main", "what": "rust in the sill"}
PATIENT = 20.0


def costing(minor: int, **more: Any) -> dict[str, Any]:
    return FIND | {"money": {"low": minor, "likely": minor, "high": minor}} | more


def free_job() -> Job:
    """The small job with nothing pinned but the belt's must."""
    raw = small_job().model_dump(mode="json")
    return Job.from_plain(raw | {"parts": [each | {"pin": None} for each in raw["parts"]]})


@cache
def before() -> Plan:
    return make_plan(free_job(), load())


def promised_job() -> Job:
    return happened(free_job(), promise(before()))


def answered(job: Job, **fields: Any) -> Job:
    """The job with its find answered as `log answer` does it."""
    edits = tuple(SetField(path=("events", "rust", name), value=value) for name, value in fields.items())
    return apply(job, Together(edits=edits))


def sheet_of(job: Job) -> ChangeSheet:
    return change_sheet(job, load(), "rust", seconds=PATIENT)


def courses(verdicts: Verdicts) -> dict[str, str]:
    return {each.part: each.course.id for each in verdicts.verdicts if each.course}


@pytest.mark.parametrize("minor", [2_000, 90_000])
def test_paid_from_the_reserve_it_is_the_promised_plan_with_the_find_in_it(minor: int) -> None:
    job = happened(promised_job(), costing(minor))
    way = sheet_of(job).way("from the reserve")
    assert way is not None
    fresh = make_plan(answered(job, answer="from the reserve"), load()).verdicts
    assert courses(way.verdicts) == courses(fresh) == courses(before().verdicts)
    assert way.changed == ()
    assert (way.verdicts.money.firm, way.verdicts.money.chance) == (fresh.money.firm, fresh.money.chance)
    assert (way.verdicts.money.reserve, way.verdicts.money.left) == (fresh.money.reserve, fresh.money.left)
    assert (way.verdicts.status == "short") == (fresh.status == "short") == (minor == 90_000)
    if way.verdicts.short and fresh.short:
        assert way.verdicts.short.money == fresh.short.money > 0


@pytest.mark.parametrize("minor", [30_000, 60_000])
def test_dropped_for_it_the_plan_is_the_best_that_a_fresh_decision_finds(minor: int) -> None:
    job = happened(promised_job(), costing(minor))
    way = sheet_of(job).way("drop others for it")
    assert way is not None
    drops = list(courses(before().verdicts))
    fresh = make_plan(answered(job, answer="drop others for it", drops=drops), load()).verdicts
    assert way.verdicts.points == fresh.points
    assert way.verdicts.money.expected == fresh.money.expected
    assert way.verdicts.money.chance >= job.money.sure
    assert way.verdicts.status == "optimal"
    assert set(way.lets_go) == {part for part, course in courses(way.verdicts).items()
                                if course != courses(before().verdicts)[part]}  # fmt: skip
    assert way.lets_go


def test_dropping_what_the_sheet_names_gives_the_plan_it_showed() -> None:
    job = happened(promised_job(), costing(60_000))
    way = sheet_of(job).way("drop others for it")
    assert way is not None
    after = make_plan(answered(job, answer="drop others for it", drops=list(way.lets_go), yes=YES), load())
    assert courses(after.verdicts) == courses(way.verdicts)
    assert after.verdicts.money.firm == way.verdicts.money.firm


def test_left_and_recorded_it_costs_nothing_and_holds_the_finish() -> None:
    job = happened(promised_job(), costing(30_000) | {"step": None, "part": CUSHION, "left_finish": 4})
    sheet = sheet_of(job)
    way = sheet.way("leave and record")
    assert way is not None
    fresh = make_plan(answered(job, answer="leave and record"), load()).verdicts
    assert (way.verdicts.money.firm, way.verdicts.money.chance) == (fresh.money.firm, fresh.money.chance)
    assert way.verdicts.finish_after == fresh.finish_after < before().verdicts.finish_after
    [changed] = [each for each in way.changed if each.before.part == CUSHION]
    assert changed.same_course
    assert changed.after.finish_after == 4
    assert way.lets_go == ()


def test_what_must_be_dealt_with_may_not_be_left() -> None:
    assert sheet_of(happened(promised_job(), costing(1_000, must=True))).way("leave and record") is None


def test_without_a_promise_the_plan_before_is_decided_first() -> None:
    sheet = sheet_of(happened(free_job(), costing(60_000)))
    assert courses(sheet.before) == courses(before().verdicts)
    assert all(way.lets_go == () for way in sheet.ways)
    given = change_sheet(
        happened(free_job(), costing(60_000)), load(), "rust", before=before().verdicts, seconds=PATIENT
    )
    assert [courses(way.verdicts) for way in given.ways] == [courses(way.verdicts) for way in sheet.ways]


def test_hours_are_freed_as_well_as_money() -> None:
    """The find eats the hours on hand; something that takes time has to go."""
    hours = before().verdicts.minutes / 60 + 1
    raw = free_job().model_dump(mode="json")
    job = Job.from_plain(raw | {"time": raw["time"] | {"hours": hours}})
    find = costing(0, minutes={"low": 600, "likely": 600, "high": 600})
    sheet = change_sheet(happened(job, find), load(), "rust", before=before().verdicts, seconds=PATIENT)
    stands, dropped = sheet.way("from the reserve"), sheet.way("drop others for it")
    assert stands is not None
    assert stands.verdicts.short is not None
    assert stands.verdicts.short.minutes > 0
    assert dropped is not None
    assert dropped.verdicts.minutes <= hours * 60


def test_what_is_done_is_never_dropped() -> None:
    """The dearest thing of the plan is done: however dear the find, it stays."""
    done = {"kind": "done", "part": "carpet", "course": courses(before().verdicts)["carpet"], "minutes": 300}
    job = happened(promised_job(), done, costing(80_000))
    way = sheet_of(job).way("drop others for it")
    assert way is not None
    assert "carpet" not in way.lets_go
    assert courses(way.verdicts)["carpet"] == courses(before().verdicts)["carpet"]


def test_a_find_that_is_not_there_is_refused_with_those_that_are() -> None:
    with pytest.raises(BadInput, match="Did you mean 'rust'"):
        change_sheet(happened(free_job(), costing(1_000)), load(), "rst")
    with pytest.raises(BadInput, match="is no find"):
        change_sheet(free_job(), load(), "rust")


def test_a_find_that_takes_time_moves_the_hand_over_and_one_that_is_left_does_not() -> None:
    """A parcel holds this job for weeks: an hour fits beside it, two hundred hours at four a day do not."""
    short, long = (
        hand_overs(
            sheet_of(happened(promised_job(), costing(2_000, minutes=dict.fromkeys(("low", "likely", "high"), each)))),
            load(),
            start=datetime(2026, 3, 6, 9, 0, tzinfo=UTC),
            seconds=1,
        )
        for each in (60, 12_000)
    )
    assert short.days_later("from the reserve") < 1
    assert 7 < long.days_later("from the reserve") < 120
    assert long.days_later("leave and record") == 0
