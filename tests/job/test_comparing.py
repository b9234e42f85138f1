"""Two states of a job compared, and the edit that leads from one to the other."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import JsonValue

from tests.plan.small_cabin import CUSHION, KNOB, VISOR, small_job
from trimwright.job.comparing import differences, edit_between
from trimwright.job.document import Job
from trimwright.job.edits import AddEntry, AddPart, Edit, RemoveEntry, RemovePart, SetField, Together, apply

JOB = small_job()
FAULT: JsonValue = {"fault": "L_dirty", "extent": "light", "note": ""}
EDITS: list[Edit] = [
    SetField(path=("money", "sum"), value=200_000),
    SetField(path=("car", "equipment", "driver_airbag"), value="no"),
    SetField(path=("wishes", "zones", "dash"), value=2.0),
    SetField(path=("wishes", "zones", "roof"), value=0.5),
    SetField(path=("wishes", "zones", "dash"), value=None),
    SetField(path=("wishes", "floors", VISOR), value=7),
    SetField(path=("wishes", "must_do"), value=[CUSHION, VISOR]),
    SetField(path=("wishes", "sets"), value=[{"name": "fronts", "parts": [CUSHION, VISOR, KNOB], "within": 1}]),
    SetField(path=("parts", CUSHION, "finish_now"), value=1),
    SetField(path=("parts", KNOB, "notes"), value="lost its badge"),
    SetField(path=("parts", KNOB, "offers", 0, "likely"), value=2500),
    AddEntry(path=("parts", CUSHION, "faults"), value=FAULT),
    RemoveEntry(path=("parts", CUSHION, "faults"), value=JOB.part(CUSHION).faults[0].model_dump(mode="json")),
    RemovePart(part=CUSHION),
    RemovePart(part=VISOR),
    RemovePart(part=KNOB),
    AddPart(part=JOB.part(VISOR).model_copy(update={"id": "second"}), after=KNOB),
    AddPart(part=JOB.part(VISOR).model_copy(update={"id": "first"}), before=CUSHION),
]


def after(job: Job, edits: list[Edit]) -> Job:
    """The job after those of the edits that fit."""
    from trimwright.errors import BadEdit

    for edit in edits:
        try:
            job = apply(job, edit)
        except BadEdit:
            continue
    return job


@settings(max_examples=200, deadline=None)
@given(st.lists(st.sampled_from(EDITS), max_size=8), st.lists(st.sampled_from(EDITS), max_size=8))
def test_the_edit_between_two_states_leads_from_one_to_the_other(one: list[Edit], other: list[Edit]) -> None:
    old, new = after(JOB, one), after(JOB, other)
    edit = edit_between(old, new)
    if edit is None:
        assert old == new
    else:
        assert sorted(apply(old, edit).parts, key=lambda each: each.id) == sorted(new.parts, key=lambda each: each.id)
        assert apply(old, edit).model_copy(update={"parts": ()}) == new.model_copy(update={"parts": ()})


@settings(max_examples=100, deadline=None)
@given(st.lists(st.sampled_from(EDITS), min_size=1, max_size=8))
def test_back_again_is_the_very_job(edits: list[Edit]) -> None:
    """What undo and restore do: parts come back to their places, wishes with them."""
    changed = after(JOB, edits)
    back = edit_between(changed, JOB)
    assert back is None or apply(changed, back) == JOB


def test_a_removed_part_comes_back_with_its_wishes() -> None:
    floored = apply(JOB, SetField(path=("wishes", "floors", CUSHION), value=6))
    gone = apply(floored, RemovePart(part=CUSHION))
    assert not gone.wishes.floors
    back = edit_between(gone, floored)
    assert back is not None
    assert apply(gone, back) == floored


def test_a_fault_added_is_told_as_an_entry_so_that_others_may_add_theirs() -> None:
    faulted = apply(JOB, AddEntry(path=("parts", CUSHION, "faults"), value=FAULT))
    assert edit_between(JOB, faulted) == AddEntry(path=("parts", CUSHION, "faults"), value=FAULT)
    assert edit_between(faulted, JOB) == RemoveEntry(path=("parts", CUSHION, "faults"), value=FAULT)


def test_differences_are_told_field_by_field_in_words() -> None:
    edits: tuple[Edit, ...] = (
        SetField(path=("money", "sum"), value=200_000),
        SetField(path=("parts", CUSHION, "finish_now"), value=1),
        RemovePart(part=KNOB),
    )
    told = [(each.what, each.before, each.after) for each in differences(JOB, apply(JOB, Together(edits=edits)))]
    assert told == [
        ("Sum:", "1,550 EUR", "2,000 EUR"),
        ("Front cushion cover, driver's: finish", "3", "1"),
        ("Gear knob", "there", "removed"),
    ]
