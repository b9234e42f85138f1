"""An edit made on an older state of a job: it stands beside others' edits, and never overrules one in silence."""

from __future__ import annotations

import pytest
from pydantic import JsonValue

from tests.plan.small_cabin import CUSHION, KNOB, VISOR, small_job
from trimwright.job.document import Job
from trimwright.job.edits import AddEntry, AddPart, Edit, RemoveEntry, RemovePart, SetField, Together, apply
from trimwright.job.merging import ChangedMeanwhile, rebased

JOB = small_job()
LIGHT: dict[str, JsonValue] = {"fault": "L_dirty", "extent": "light", "note": ""}
HEAVY: dict[str, JsonValue] = {**LIGHT, "extent": "heavy"}
TORN: dict[str, JsonValue] = {"fault": "L_torn", "extent": "medium", "note": ""}
FAULTS = ("parts", CUSHION, "faults")
WORN = JOB.part(CUSHION).faults[0].model_dump(mode="json")


def finish(part: str, value: int) -> SetField:
    return SetField(path=("parts", part, "finish_now"), value=value)


def both(theirs: Edit, mine: Edit, job: Job = JOB) -> Job:
    """The job once they and then I have changed it, both having seen `job`."""
    newest = apply(job, theirs)
    carried = rebased(mine, job, newest)
    return newest if carried is None else apply(newest, carried)


def test_different_fields_both_stand() -> None:
    job = both(finish(CUSHION, 2), SetField(path=("parts", CUSHION, "notes"), value="seam open"))
    assert (job.part(CUSHION).finish_now, job.part(CUSHION).notes) == (2, "seam open")


def test_the_same_value_twice_is_nothing_to_ask_about() -> None:
    assert both(finish(CUSHION, 2), finish(CUSHION, 2)).part(CUSHION).finish_now == 2


def test_the_same_field_asks_with_all_three_values() -> None:
    with pytest.raises(ChangedMeanwhile) as caught:
        both(finish(CUSHION, 2), finish(CUSHION, 6))
    (clash,) = caught.value.clashes
    assert (clash.what, clash.seen, clash.theirs, clash.mine) == (
        "Front cushion cover, driver's: finish", "3", "2", "6",
    )  # fmt: skip


def test_every_clash_of_an_edit_is_told_at_once() -> None:
    theirs = Together(edits=(finish(CUSHION, 2), finish(KNOB, 2), finish(VISOR, 2)))
    mine = Together(edits=(finish(CUSHION, 6), finish(KNOB, 6), SetField(path=("money", "sum"), value=1)))
    with pytest.raises(ChangedMeanwhile) as caught:
        both(theirs, mine)
    assert [each.what for each in caught.value.clashes] == [
        "Front cushion cover, driver's: finish",
        "Gear knob: finish",
    ]


def test_two_faults_added_at_once_both_stand() -> None:
    job = both(AddEntry(path=FAULTS, value=LIGHT), AddEntry(path=FAULTS, value=TORN))
    assert [each.fault for each in job.part(CUSHION).faults] == ["L_worn", "L_dirty", "L_torn"]


def test_the_same_fault_added_twice_stands_once() -> None:
    job = both(AddEntry(path=FAULTS, value=LIGHT), AddEntry(path=FAULTS, value=LIGHT))
    assert [each.fault for each in job.part(CUSHION).faults] == ["L_worn", "L_dirty"]


def test_the_same_fault_with_another_extent_asks() -> None:
    with pytest.raises(ChangedMeanwhile):
        both(AddEntry(path=FAULTS, value=LIGHT), AddEntry(path=FAULTS, value=HEAVY))


def test_an_entry_is_found_again_when_others_moved_it() -> None:
    """They take out the first fault; I change how bad the second is, which is the first by then."""
    two = apply(JOB, AddEntry(path=FAULTS, value=LIGHT))
    job = both(RemoveEntry(path=FAULTS, value=WORN), SetField(path=(*FAULTS, 1, "extent"), value="heavy"), two)
    assert [(each.fault, each.extent) for each in job.part(CUSHION).faults] == [("L_dirty", "heavy")]


def test_two_fields_of_one_entry_both_stand() -> None:
    offer = ("parts", KNOB, "offers", 0)
    job = both(SetField(path=(*offer, "days"), value=3), SetField(path=(*offer, "seller"), value="the one in town"))
    assert (job.part(KNOB).offers[0].days, job.part(KNOB).offers[0].seller) == (3, "the one in town")


def test_an_entry_that_is_gone_asks() -> None:
    with pytest.raises(ChangedMeanwhile) as caught:
        both(RemoveEntry(path=FAULTS, value=WORN), SetField(path=(*FAULTS, 0, "extent"), value="heavy"))
    assert caught.value.clashes[0].theirs == "removed"


def test_taking_out_what_is_out_already_is_nothing_to_do() -> None:
    out = RemoveEntry(path=FAULTS, value=WORN)
    assert both(out, out).part(CUSHION).faults == ()


def test_taking_out_what_was_changed_asks() -> None:
    with pytest.raises(ChangedMeanwhile):
        both(SetField(path=(*FAULTS, 0, "extent"), value="heavy"), RemoveEntry(path=FAULTS, value=WORN))


@pytest.mark.parametrize(
    "mine",
    [finish(CUSHION, 6), AddEntry(path=FAULTS, value=LIGHT)],
    ids=["a field", "a list"],
)
def test_a_part_that_was_removed_asks(mine: Edit) -> None:
    with pytest.raises(ChangedMeanwhile):
        both(RemovePart(part=CUSHION), mine)


def test_removing_a_part_that_was_changed_asks_and_one_that_is_gone_does_not() -> None:
    with pytest.raises(ChangedMeanwhile):
        both(finish(CUSHION, 2), RemovePart(part=CUSHION))
    assert len(both(RemovePart(part=CUSHION), RemovePart(part=CUSHION)).parts) == len(JOB.parts) - 1


def test_two_parts_of_one_id_ask_unless_they_are_the_same() -> None:
    part = JOB.part(VISOR).model_copy(update={"id": "another"})
    add = AddPart(part=part, after=CUSHION)
    assert len(both(add, add).parts) == len(JOB.parts) + 1
    with pytest.raises(ChangedMeanwhile):
        both(add, AddPart(part=part.model_copy(update={"finish_now": 1})))


def test_a_part_is_added_though_the_one_before_it_is_gone() -> None:
    part = JOB.part(VISOR).model_copy(update={"id": "another"})
    job = both(RemovePart(part=CUSHION), AddPart(part=part, after=CUSHION))
    assert job.parts[-1].id == "another"


def test_a_part_added_and_filled_in_one_go() -> None:
    part = JOB.part(VISOR).model_copy(update={"id": "another"})
    mine = Together(edits=(AddPart(part=part), finish("another", 4)))
    assert both(finish(CUSHION, 2), mine).part("another").finish_now == 4
