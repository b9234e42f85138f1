"""Looks worth taking and restraint equipment in one cabin: what there is to look at, and what an answer changes."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from trimwright.facts import load
from trimwright.facts.trade import EQUIPMENT_NAMES, Cause
from trimwright.job.check import checked
from trimwright.job.document import CauseSeen, Job
from trimwright.job.edits import apply
from trimwright.job.equipping import equipment_edit
from trimwright.job.events import Look, Note
from trimwright.job.looking import look_edit, looks_here
from trimwright.job.starting import started

TRADE = load()
AT = datetime(2026, 11, 20, 14, 2, tzinfo=UTC)
CAR = {"text": "a plain car", "year": 1994, "body": "four-door"}
NOTHING_FITTED = dict.fromkeys(EQUIPMENT_NAMES, "no")


def job(**car: object) -> Job:
    return started(TRADE, car={**CAR, **car}, money={"currency": "EUR", "sum": 200_000})


def look(job: Job, name: str, *, causes: dict[Cause, CauseSeen], finds: dict[str, bool], note: str = "") -> Job:
    (here,) = (each for each in looks_here(job, TRADE) if each.glance.id == name)
    edit = look_edit(
        job, TRADE, here, here.spots[0], causes=causes, finds=finds, note=note, at=AT, by="phone", stamp="ab12"
    )
    return apply(job, edit)


def test_the_four_looks_that_matter_are_asked_for_and_the_roof() -> None:
    assert [each.glance.id for each in looks_here(job(), TRADE)] == [
        "carpet_edge", "door_sheet", "rear_cushion", "seat_base", "roof_edge",
    ]  # fmt: skip


def test_a_van_has_no_rear_cushion_to_lift() -> None:
    assert "rear_cushion" not in {each.glance.id for each in looks_here(job(body="van"), TRADE)}


def test_unknown_equipment_counts_as_fitted() -> None:
    assert all(each.make_safe_first for each in looks_here(job(), TRADE))
    assert not any(each.make_safe_first for each in looks_here(job(equipment=NOTHING_FITTED), TRADE))
    only = {**NOTHING_FITTED, "curtain_airbag": "unknown"}
    waiting = [each.glance.id for each in looks_here(job(equipment=only), TRADE) if each.make_safe_first]
    assert waiting == ["roof_edge"]


def test_an_answer_tells_the_causes_and_each_find_as_an_event() -> None:
    told = look(job(), "carpet_edge", causes={"damp": "seen", "sun": "unknown"}, finds={"wet_underlay": True})
    assert told.causes == {"damp": "seen"}
    (event,) = told.events
    assert isinstance(event, Look)
    assert (event.find, event.part, event.there, event.by) == ("wet_underlay", "carpet_main", True, "phone")
    assert looks_here(told, TRADE)[0].taken == (event.id,)
    assert not checked(told, TRADE).problems


def test_an_answer_is_about_the_parts_that_point_at_the_find() -> None:
    raw = job().model_dump(mode="json")
    for part in raw["parts"]:
        if part["kind"] == "underlay":
            part["faults"] = [{"fault": "K_smell", "extent": "medium", "note": ""}]
    told = look(Job.from_plain(raw), "carpet_edge", causes={}, finds={"wet_underlay": False})
    assert [(each.part, each.there) for each in told.events if isinstance(each, Look)] == [("underlay", False)]


def test_what_one_look_has_seen_another_does_not_undo() -> None:
    seen = look(job(), "carpet_edge", causes={"damp": "seen"}, finds={})
    assert look(seen, "rear_cushion", causes={"damp": "none seen"}, finds={}).causes == {"damp": "seen"}
    unseen = look(job(), "carpet_edge", causes={"damp": "none seen"}, finds={})
    assert look(unseen, "rear_cushion", causes={"damp": "seen"}, finds={}).causes == {"damp": "seen"}


def test_a_look_that_told_nothing_is_taken_all_the_same() -> None:
    told = look(job(), "seat_base", causes={"wear": "unknown"}, finds={})
    (event,) = told.events
    assert isinstance(event, Note)
    assert event.note == "Looked under one front seat."
    assert [each.glance.id for each in looks_here(told, TRADE) if each.taken] == ["seat_base"]


# Equipment.


def test_what_is_not_fitted_takes_its_parts_along_and_brings_what_is_there_instead() -> None:
    before = job()
    edit = equipment_edit(before, TRADE, {"driver_airbag": "no", "passenger_airbag": "no"})
    assert edit is not None
    after = apply(before, edit)
    gone = {part.kind for part in before.parts} - {part.kind for part in after.parts}
    come = {part.kind for part in after.parts} - {part.kind for part in before.parts}
    assert gone == {"wheel_airbag", "pass_airbag", "restraint_system"}
    assert come == {"horn_pad"}
    steering = [part.kind for part in after.parts if TRADE.parts[part.kind].zone == "steering"]
    at = [part.kind for part in after.parts].index("horn_pad")
    assert after.parts[at - 1].kind in steering


def test_a_part_of_which_something_was_said_stays() -> None:
    raw = job().model_dump(mode="json")
    next(part for part in raw["parts"] if part["kind"] == "wheel_airbag")["finish_now"] = 0
    before = Job.from_plain(raw)
    edit = equipment_edit(before, TRADE, {"driver_airbag": "no"})
    assert edit is not None
    assert "wheel_airbag" in {part.kind for part in apply(before, edit).parts}


def test_an_answer_that_stands_is_no_edit() -> None:
    assert equipment_edit(job(), TRADE, {"seat_sensor": "unknown"}) is None


@pytest.mark.parametrize("answer", ["yes", "no"])
def test_an_answer_can_be_taken_back(answer: str) -> None:
    before = job()
    there = equipment_edit(before, TRADE, {"seat_sensor": answer})  # type: ignore[dict-item]
    assert there is not None
    after = apply(before, there)
    back = equipment_edit(after, TRADE, {"seat_sensor": "unknown"})
    assert back is not None
    assert {part.id for part in apply(after, back).parts} == {part.id for part in before.parts}
