"""What keeps a job open: what is off, bags, torques, checks, cures, must-dos, finds, snags, and the test sheet.

The rules are common practice of the trade, no source; torques of belts and seats met in manuals are in the ledger.
"""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any

import pytest

from tests.plan.happened import AT, YES, happened
from tests.plan.sequence.cabins import TRADE, cabin, cabin_of
from tests.plan.small_cabin import BELT, CUSHION, VISOR, small_job, small_plan
from trimwright.job.document import Job
from trimwright.plan.sequence import arrange
from trimwright.plan.sequence.closing import MustDo, asked_tests, must_dos, open_ends, sheet_of_tests, signed
from trimwright.plan.sequence.holds import Hold, checked_at

SEAT, BOLTS = "fseat_off.driver", "bolts or nuts to the floor"
SILL = "sill_plate.driver"
ANCHORED = "belt_front.driver"
"""The step of the small cabin's belt, and the belt of a whole car."""
NOW = datetime.fromisoformat(AT).astimezone() + timedelta(days=30)


def opened(step: str, *, back_on: bool = False) -> dict[str, Any]:
    return {"kind": "opened", "step": step, "back_on": back_on}


def bag(step: str, state: str, **more: Any) -> dict[str, Any]:
    return {"kind": "bag", "step": step, "state": state, **more}


def seat_bolts(**said: Any) -> dict[str, Any]:
    return {"kind": "fixing", "step": SEAT, "fixing": BOLTS, **said}


def check(what: str) -> dict[str, Any]:
    return {"kind": "check", "what": what}


def sheet(job: Job, **more: Any) -> dict[str, Any]:
    """Every test passed, and the sheet signed."""
    results = {each.id: "passed" for each in asked_tests(job, TRADE)} | more
    return {"kind": "tested", "results": results, "trained": "the dealer's workshop", "yes": YES}


def sound(*events: dict[str, Any]) -> Job:
    """A sound two-door to which this happened."""
    return happened(cabin("two-door").job, *events)


def ends(job: Job, musts: tuple[MustDo, ...] = (), now: datetime = NOW) -> tuple[Hold, ...]:
    sequence = cabin_of(job).arranged(["fseat_back_panel.driver", SILL, "dash_top"])
    return open_ends(sequence, musts, job, TRADE, now)


def told(job: Job, musts: tuple[MustDo, ...] = (), now: datetime = NOW) -> list[tuple[str, str]]:
    return [(each.kind, each.about) for each in ends(job, musts, now)]


def small_ends(*events: dict[str, Any], now: datetime = NOW) -> list[tuple[str, str]]:
    """The small cabin, whose belt must be new."""
    plan = small_plan()
    job = happened(small_job(), *events)
    sequence = arrange(job, TRADE, plan.quantities, plan.verdicts)
    musts = must_dos(job, TRADE, plan.verdicts)
    return [(each.kind, each.about) for each in open_ends(sequence, musts, job, TRADE, now)]


def test_a_job_stays_open_until_bags_are_back_and_people_are_held() -> None:
    job = sound(opened("battery_off"), opened(SEAT), bag(SILL, "filled"))
    seat = "front seat out of car, driver side"
    assert {(each.where, each.what) for each in ends(job)} >= {
        ("The battery's negative", "is off."),
        (seat, "is off."),
        (f"Bag of {seat}", "is open."),
        ("Bag of sill plates, driver side", "is open."),
        (f"{seat}: {BOLTS}", "has no torque from the car's own book."),
    }
    closed = happened(
        job,
        seat_bolts(newton_metres=45),
        opened(SEAT, back_on=True),
        {"kind": "tightened", "step": SEAT, "fixing": BOLTS, "newton_metres": 45},
        bag(SEAT, "filled"),
        bag(SEAT, "back"),
        bag(SILL, "written off", note="new screws throughout"),
        opened("battery_off", back_on=True),
        sheet(job),
    )
    assert ends(closed) == ()


def test_a_wrench_set_to_another_figure_never_passes() -> None:
    """46 lbf·ft are 62 N·m."""
    tick = {"kind": "tightened", "step": SEAT, "fixing": BOLTS, "newton_metres": 62.4}
    job = sound(opened(SEAT), seat_bolts(newton_metres=46), opened(SEAT, back_on=True), tick)
    [hold] = [each for each in ends(job) if each.kind == "other torque"]
    assert hold.what == "was tightened to 62.4 N·m (46 lbf·ft); the book says 46 N·m (33.9 lbf·ft)."
    assert (hold.about, hold.fixing) == (SEAT, BOLTS)


def test_what_covers_looms_asks_that_they_are_tested_and_so_each_time() -> None:
    off_and_back = (opened(SILL), opened(SILL, back_on=True))
    assert ("check", "looms") in told(sound(*off_and_back))
    tested = sound(opened(SILL), check("looms tested"), opened(SILL, back_on=True))
    assert ("check", "looms") not in told(tested)
    assert ("check", "floor") not in told(tested)
    assert ("check", "looms") in told(happened(tested, *off_and_back))
    assert checked_at("looms", tested, TRADE) is not None


def test_a_must_do_is_done_and_paid_or_the_car_stays() -> None:
    """A belt frayed at its edge is replaced new and nothing else: a used one pays nothing off."""
    assert ("not done", BELT) in small_ends()
    done = {"kind": "done", "part": BELT, "course": "belt_replace"}
    assert ("not paid", BELT) in small_ends(done)
    bought = {"kind": "bought", "thing": "part", "part": BELT, "source": "new", "paid": 18000}
    assert not {kind for kind, _ in small_ends(done, bought)} & {"not done", "not paid"}
    assert ("not paid", BELT) in small_ends(done, bought | {"returned": 18000})
    assert ("not paid", BELT) in small_ends(done, bought | {"source": "used"})
    brought = {"kind": "account", "what": "owner's material", "name": "a new belt", "part": BELT}
    assert ("not paid", BELT) not in small_ends(done, brought)
    assert ("not done", BELT) in small_ends({"kind": "done", "part": BELT, "course": "leave"})


def test_a_belt_fitted_new_is_tightened_to_the_book_though_nobody_noted_the_old_one_off() -> None:
    done = {"kind": "done", "part": BELT, "course": "belt_replace"}
    assert ("no torque", ANCHORED) not in small_ends()
    assert ("no torque", ANCHORED) in small_ends(done)
    assert ("no torque", ANCHORED) not in small_ends(done | {"course": "belt_wash"})
    figure = {"kind": "fixing", "step": ANCHORED, "fixing": "anchor bolts", "newton_metres": 45}
    assert ("not tightened", ANCHORED) in small_ends(done, figure)
    tick = {"kind": "tightened", "step": ANCHORED, "fixing": "anchor bolts", "newton_metres": 45}
    assert not {("no torque", ANCHORED), ("not tightened", ANCHORED)} & set(small_ends(done, figure, tick))


def test_what_the_owner_must_have_counts_like_what_holds_people() -> None:
    job = small_job(wishes={"must_do": [VISOR]})
    plan = small_plan()
    assert {each.part for each in must_dos(job, TRADE, plan.verdicts)} == {BELT, VISOR}


def test_a_find_that_must_be_dealt_with_keeps_it_open_until_it_is() -> None:
    find = {"kind": "find", "id": "rust", "part": CUSHION, "what": "rust at an anchor", "must": True}
    assert ("find", "rust") in small_ends(find)
    assert ("find", "rust") not in small_ends(find, {"kind": "spent", "what": "welded", "find": "rust"})
    assert ("find", "rust") not in small_ends(find | {"must": False})


@pytest.mark.parametrize(
    ("snag", "stays"),
    [
        ({}, True),
        ({"state": "put right", "minutes": 20}, False),
        ({"state": "left", "note": "the owner takes it so"}, False),
        ({"state": "left", "note": "the owner takes it so", "part": BELT}, True),
    ],
)
def test_a_snag_is_put_right_or_left_with_a_reason_but_never_on_what_holds_people(
    snag: dict[str, Any], stays: bool
) -> None:
    raised = {"kind": "snag", "id": "squeak", "what": "squeaks", "part": VISOR}
    assert (("snag", "squeak") in small_ends(raised | snag)) is stays


def test_what_still_dries_in_the_car_holds_the_keys() -> None:
    """The carpet's dye has its likely wait, 24 h, from when it was done."""
    plan = small_plan()
    course = next(each.course for each in plan.verdicts.verdicts if each.part == "carpet")
    assert course is not None
    done = {"kind": "done", "part": "carpet", "course": course.id}
    wait = max(each.hours[1] for each in course.waits)
    at = datetime.fromisoformat(AT).astimezone()
    assert ("curing", "carpet") in small_ends(done, now=at + timedelta(hours=wait - 0.1))
    assert ("curing", "carpet") not in small_ends(done, now=at + timedelta(hours=wait + 0.1))


# ---- the test sheet --------------------------------------------------------------------------------------------------


def test_the_sheet_asks_what_this_car_may_have() -> None:
    assert "seat_zero" in {each.id for each in asked_tests(sound(), TRADE)}
    none = dict.fromkeys(
        ("driver_airbag", "passenger_airbag", "side_airbag", "curtain_airbag", "knee_airbag", "seat_sensor",
         "pretensioner"), "no",
    )  # fmt: skip
    bare = sound().model_dump(mode="json")
    bare["car"]["equipment"] = none
    assert not any(each.trained for each in asked_tests(Job.from_plain(bare), TRADE))


def test_an_unsigned_sheet_and_a_test_not_tried_keep_it_open() -> None:
    assert {kind for kind, _ in told(sound())} == {"not tried", "not signed"}
    job = sound()
    assert told(happened(job, sheet(job))) == []
    without = sheet(job)
    del without["results"]["horn"]
    assert set(told(happened(job, without))) == {("not tried", "horn"), ("not signed", "")}
    assert set(told(happened(job, sheet(job, horn="failed")))) == {("failed", "horn"), ("not signed", "")}
    assert told(happened(job, sheet(job, drains="not on this car"))) == []
    for holds_people in ("belt_pull", "seat_locks"):
        found = told(happened(job, sheet(job, **{holds_people: "not on this car"})))
        assert set(found) == {("not tried", holds_people), ("not signed", "")}


def test_the_restraint_lamp_is_passed_by_licensed_practice_and_by_nothing_else() -> None:
    job = sound()
    nobody = sheet(job) | {"trained": ""}
    assert ("not licensed", "lamp") in told(happened(job, nobody))
    assert ("not licensed", "lamp") in told(happened(job, sheet(job, lamp="not on this car")))
    assert ("failed", "lamp") in told(happened(job, sheet(job, lamp="failed")))


def test_a_signature_falls_when_anything_is_tried_or_off_again() -> None:
    job = sound()
    done = happened(job, sheet(job))
    assert signed(done, TRADE) is not None
    again = happened(done, {"kind": "tested", "results": {"horn": "failed"}})
    assert signed(again, TRADE) is None
    mended = happened(again, {"kind": "tested", "results": {"horn": "passed"}})
    assert {kind for kind, _ in told(mended)} == {"not signed"}
    mats = happened(done, opened("mats.driver"), opened("mats.driver", back_on=True))
    assert signed(mats, TRADE) is None
    assert all(each.result == "passed" for each in sheet_of_tests(mats, TRADE))


def test_what_was_tried_before_restraint_equipment_was_open_tells_nothing() -> None:
    job = sound()
    seat = happened(job, sheet(job), opened(SEAT), opened(SEAT, back_on=True))
    assert not any(each.result for each in sheet_of_tests(seat, TRADE))


def test_seats_and_belts_are_tried_anew_once_their_bolts_were_undone_in_a_car_without_restraint_electrics() -> None:
    plain = sound().model_dump(mode="json")
    plain["car"]["equipment"] = dict.fromkeys(plain["car"]["equipment"], "no")
    job = Job.from_plain(plain)
    tried = happened(job, sheet(job))
    assert all(each.result for each in sheet_of_tests(tried, TRADE))
    for undone in (opened(SEAT), {"kind": "done", "part": ANCHORED, "course": "belt_replace"}):
        left = {each.test.id for each in sheet_of_tests(happened(tried, undone), TRADE) if not each.result}
        assert {"belt_pull", "seat_locks"} <= left
        assert "horn" not in left


@pytest.mark.parametrize(
    ("before", "told"),
    [
        (None, "failed."),
        ("lights, then goes out", "failed. At intake it lit and went out: what is wrong now came with the work."),
        ("stays on",
         "failed. At intake: stays on. It was wrong before the work, and has to be put right all the same."),
    ],
)  # fmt: skip
def test_the_lamp_at_the_end_is_held_against_that_at_intake(before: str | None, told: str) -> None:
    intake = [{"kind": "intake", "restraint_lamp": before}] if before else []
    job = sound(*intake)
    [hold] = [each for each in ends(happened(job, sheet(job, lamp="failed"))) if each.kind == "failed"]
    assert hold.what == told


def test_nothing_is_signed_while_something_is_off_and_no_lamp_lights_without_the_battery() -> None:
    off = sound(opened("battery_off"))
    early = happened(off, sheet(off))
    assert not next(each for each in sheet_of_tests(early, TRADE) if each.test.id == "lamp").result
    on = happened(early, opened("battery_off", back_on=True))
    assert signed(on, TRADE) is None
    assert ("not signed", "") in told(on)
    assert told(happened(on, sheet(on))) == []
