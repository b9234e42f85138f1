from __future__ import annotations

from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from pydantic import JsonValue

from trimwright.errors import BadEdit
from trimwright.job.document import Job, Part
from trimwright.job.edits import (
    EDIT,
    AddEntry,
    AddPart,
    Edit,
    RemoveEntry,
    RemovePart,
    SetField,
    Together,
    apply,
    describe,
    read_edit,
)
from trimwright.job.events import Note
from trimwright.job.files import job_bytes, read_job

DRIVER = ("parts", "cushion.driver")
LOOSE: JsonValue = {"fault": "A_loose", "extent": "light"}
KNOB = Part(id="knob-2", kind="knob", name="Another knob", material="wood")


@pytest.mark.parametrize(
    ("edit", "line"),
    [
        (SetField(path=(*DRIVER, "finish_now"), value=2), "Front cushion cover, driver's: finish 0 → 2"),
        (SetField(path=(*DRIVER, "area_mm2"), value=None), "Front cushion cover, driver's: area 0.65 m² → none"),
        (SetField(path=("parts", "knob", "pin"), value="wood_lacquer"), "#REF!: pinned to none → wood_lacquer"),
        (SetField(path=("money", "sum"), value=1_000_000), "Sum: 240.001 KWD → 1,000 KWD"),
        (SetField(path=("car", "equipment", "side_airbag"), value="unknown"), "Equipment side airbag: no → unknown"),
        (SetField(path=("car", "commercial"), value=True), "Commercial: no → yes"),
        (SetField(path=("wishes", "zones", "doors"), value=None), "Zones doors: 2.5 → none"),
        (SetField(path=("wishes", "zones", "roof"), value=2), "Zones roof: none → 2"),
        (SetField(path=("causes", "wear"), value="seen"), "Causes wear: none → seen"),
        (AddEntry(path=(*DRIVER, "bans"), value="leave"),
         "Front cushion cover, driver's: must not have + leave as it is, record it"),
        (RemoveEntry(path=("tools",), value="gun"), "Tools: − gun"),
        (AddEntry(path=("parts", "knob", "faults"), value=LOOSE), "#REF!: faults + A_loose, light"),
        (AddEntry(path=("stock",), value={"material": "dye", "amount": 1.5}), "Stock: + dye"),
        (AddPart(part=KNOB, after="belt.driver"), "Part added: Another knob"),
        (RemovePart(part="cushion.driver"), "Part removed: Front cushion cover, driver's"),
    ],
)  # fmt: skip
def test_a_change_is_applied_and_told(edit: Edit, line: str, job: Job) -> None:
    assert describe(edit, job) == line
    assert apply(job, edit) != job
    assert read_edit(EDIT.dump_json(edit)) == edit


def test_a_field_is_set_and_nothing_else(job: Job) -> None:
    after = apply(job, SetField(path=(*DRIVER, "finish_now"), value=2))
    assert after.part("cushion.driver").finish_now == 2
    assert apply(after, SetField(path=(*DRIVER, "finish_now"), value=0)) == job


def test_a_part_is_added_where_it_belongs(job: Job) -> None:
    after = apply(job, AddPart(part=KNOB, after="belt.driver"))
    assert [part.id for part in after.parts][2:4] == ["belt.driver", "knob-2"]
    assert apply(after, RemovePart(part="knob-2")) == job
    assert apply(job, AddPart(part=KNOB)).parts[-1] == KNOB


def test_a_part_is_replaced_whole(job: Job) -> None:
    value = KNOB.model_dump(mode="json") | {"id": "knob"}
    assert apply(job, SetField(path=("parts", "knob"), value=value)).part("knob").name == "Another knob"


def test_with_a_part_go_the_wishes_about_it_and_not_its_history(job: Job) -> None:
    job = apply(
        job,
        AddEntry(
            path=("events",),
            value={"kind": "note", "id": "n1", "at": "2026-03-02T10:00:00", "part": "knob", "note": "gone"},
        ),
    )
    after = apply(apply(job, RemovePart(part="knob")), RemovePart(part="cushion.driver"))
    assert after.wishes.must_do == ()
    assert after.wishes.floors == {}
    assert after.wishes.sets == ()
    assert isinstance(after.events[-1], Note)
    assert after.events[-1].part == "knob"


def test_changes_that_only_fit_together_go_together(job: Job) -> None:
    covers = RemoveEntry(path=("money", "covers"), value="labour")
    rate = SetField(path=("money", "labour_rate"), value=0)
    with pytest.raises(BadEdit):
        apply(job, rate)
    after = apply(job, Together(edits=(rate, covers)))
    assert after.money.covers == {"parts"}
    assert describe(Together(edits=(rate, covers)), job) == "Labour rate: 12.345 KWD → 0 KWD; Covers: − labour"


def test_adding_what_a_set_has_changes_nothing(job: Job) -> None:
    assert apply(job, AddEntry(path=("tools",), value="gun")) == job


@pytest.mark.parametrize(
    ("edit", "where"),
    [
        (SetField(path=("parts", "ghost", "finish_now"), value=1), "parts › ghost"),
        (SetField(path=("parts", 77), value=None), "parts › 77"),
        (SetField(path=("parts", -1, "name"), value="x"), "parts › -1"),
        (SetField(path=(*DRIVER, "finish"), value=1), "parts › cushion.driver › finish"),
        (SetField(path=(*DRIVER, "finish_now"), value=11), "parts › 1 (cushion.driver) › finish_now"),
        (SetField(path=(*DRIVER, "finish_now"), value="4"), "parts › 1 (cushion.driver) › finish_now"),
        (SetField(path=(*DRIVER, "name", "deeper"), value=1), "parts › cushion.driver › name › deeper"),
        (SetField(path=(*DRIVER, "area_mm2"), value=4_000_000_000), "parts › 1 (cushion.driver) › area_mm2"),
        (SetField(path=("format",), value=1), "format"),
        (SetField(path=(*DRIVER, "id"), value="knob"), "parts"),
        (AddEntry(path=("money",), value=1), "money"),
        (RemoveEntry(path=("tools",), value="hammer"), "tools"),
        (AddPart(part=KNOB, after="ghost"), "parts › ghost"),
        (AddPart(part=KNOB.model_copy(update={"id": "knob"})), "parts"),
        (RemovePart(part="ghost"), "parts › ghost"),
        (Together(edits=(SetField(path=("wishes",), value=3), RemovePart(part="knob"))), "wishes › sets"),
        (Together(edits=(SetField(path=("parts",), value=3), AddPart(part=KNOB))), "parts"),
    ],
)  # fmt: skip
def test_a_change_that_does_not_fit_is_refused_by_place(edit: Edit, where: str, job: Job) -> None:
    with pytest.raises(BadEdit) as caught:
        apply(job, edit)
    assert caught.value.problems[0].where == where


def test_a_near_miss_is_answered_with_what_was_meant(job: Job) -> None:
    with pytest.raises(BadEdit) as caught:
        apply(job, SetField(path=(*DRIVER, "finish"), value=1))
    assert "'finish_now'" in caught.value.problems[0].way_out


@pytest.mark.parametrize(
    "text", ["", "{", '{"do": "explode"}', '{"path": []}', '{"do": "set", "path": [], "value": 1}']
)
def test_what_is_no_edit_is_refused(text: str) -> None:
    with pytest.raises(BadEdit):
        read_edit(text)


VALUES = st.recursive(
    st.none() | st.booleans() | st.integers(-5, 10**7) | st.floats() | st.text(max_size=12)
    | st.sampled_from(["leather", "knob", "seen", "light", "L_torn", "2026-01-01", "labour"]),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(
        st.sampled_from(["fault", "extent", "id", "name", "kind", "material", "amount", "low", "parts"]), inner,
        max_size=4),
    max_leaves=6,
)  # fmt: skip
STEPS = st.sampled_from(
    ["parts", "cushion.driver", "knob", "finish_now", "faults", "bans", "area_mm2", "offers", "name", "id", "own",
     "wishes", "zones", "floors", "must_do", "sets", "money", "sum", "covers", "rates", "causes", "sun", "tools",
     "stock", "events",
     "car", "equipment", "time", "week", "format", "ghost"]
) | st.integers(-1, 6)  # fmt: skip
PATHS = st.lists(STEPS, min_size=1, max_size=4).map(tuple)
PARTS = st.builds(
    Part,
    id=st.sampled_from(["knob", "new", "other"]),
    kind=st.just("knob"),
    name=st.just("N"),
    material=st.just("wood"),
)
SINGLE = (
    st.builds(SetField, path=PATHS, value=VALUES)
    | st.builds(AddEntry, path=PATHS, value=VALUES)
    | st.builds(RemoveEntry, path=PATHS, value=VALUES)
    | st.builds(AddPart, part=PARTS, after=st.sampled_from([None, "knob", "ghost"]))
    | st.builds(RemovePart, part=st.sampled_from(["knob", "cushion.driver", "ghost"]))
)
EDITS: st.SearchStrategy[Any] = SINGLE | st.lists(SINGLE, min_size=1, max_size=4).map(
    lambda edits: Together(edits=tuple(edits))
)


@settings(max_examples=400, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(edit=EDITS)
def test_whatever_is_changed_a_right_job_comes_out_or_a_refusal(edit: Edit, job: Job) -> None:
    try:
        after = apply(job, edit)
    except BadEdit:
        return
    assert read_job(job_bytes(after)) == after
