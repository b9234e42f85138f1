from __future__ import annotations

import json
from dataclasses import replace
from types import MappingProxyType
from typing import Any

import pytest

from trimwright.errors import Problem, UnreadableFile
from trimwright.facts.trade import Material, Trade
from trimwright.job.check_events import event_problems, event_remarks
from trimwright.job.document import Job
from trimwright.job.edits import AddEntry, RemoveEntry, SetField, apply, describe
from trimwright.job.files import read_job

AT = {"at": "2026-03-05T10:00:00"}
YES = {"at": "2026-03-05T09:00:00", "name": "Kim", "how": "message"}
FIND = AT | {"kind": "find", "id": "f", "what": "rust"}
BOUGHT = AT | {"kind": "bought", "id": "b", "paid": 100}


def with_event(raw: dict[str, Any], event: dict[str, Any]) -> dict[str, Any]:
    return raw | {"events": [event]}


def refused(raw: dict[str, Any]) -> tuple[Problem, ...]:
    with pytest.raises(UnreadableFile) as caught:
        read_job(json.dumps(raw).encode())
    return caught.value.problems


@pytest.mark.parametrize(
    ("event", "where", "what"),
    [
        (AT | {"id": "a"}, "events › 1 (a)", "what kind it is"),
        (AT | {"id": "a", "kind": "rumour"}, "events › 1 (a)", "no kind"),
        (AT | {"id": "a", "kind": "note", "note": ""}, "events › 1 (a) › note", "empty"),
        (FIND, "events › 1 (f)", "neither"),
        (FIND | {"part": "knob", "step": "knob"}, "events › 1 (f)", "a part and a step"),
        (FIND | {"part": "knob", "money": {"low": 3, "likely": 2, "high": 4}}, "events › 1 (f) › money", "not fall"),
        (FIND | {"part": "knob", "must": True, "answer": "leave and record"}, "events › 1 (f)", "dealt with"),
        (FIND | {"part": "knob", "must": True, "left_finish": 3}, "events › 1 (f)", "left_finish"),
        (FIND | {"step": "knob", "left_finish": 3}, "events › 1 (f)", "left_finish"),
        (FIND | {"part": "knob", "drops": ["belt.driver"]}, "events › 1 (f)", "nothing is dropped"),
        (FIND | {"part": "knob", "yes": YES | {"how": "telepathy"}}, "events › 1 (f) › yes › how", "is not"),
        (BOUGHT | {"thing": "part", "part": "knob"}, "events › 1 (b)", "part and source"),
        (BOUGHT | {"thing": "material", "material": "dye"}, "events › 1 (b)", "which pack"),
        (BOUGHT | {"thing": "carriage", "tool": "gun"}, "events › 1 (b)", "nothing of"),
        (AT | {"kind": "ordered", "id": "o", "thing": "material", "material": "dye"}, "events › 1 (o)", "which pack"),
        (AT | {"kind": "ordered", "id": "o", "thing": "part", "part": "knob"}, "events › 1 (o)", "part and source"),
        (AT | {"kind": "payment", "id": "m", "what": "tip", "money": 5}, "events › 1 (m) › what", "is not"),
        (AT | {"kind": "bag", "id": "g", "step": "knob", "state": "written off"}, "events › 1 (g)", "without a reason"),
        (AT | {"kind": "bag", "id": "g", "step": "knob", "state": "lost"}, "events › 1 (g) › state", "is not"),
        (AT | {"kind": "fixing", "id": "x", "step": "knob", "fixing": "bolt"}, "events › 1 (x)", "tells nothing"),
        (
            AT | {"kind": "fixing", "id": "x", "step": "knob", "fixing": "bolt", "thread": "8mm"},
            "events › 1 (x) › thread",
            "no metric thread",
        ),
        (
            AT | {"kind": "tightened", "id": "t", "step": "knob", "fixing": "bolt", "newton_metres": 0},
            "events › 1 (t) › newton_metres",
            "not more than 0",
        ),
        (AT | {"kind": "book_wait", "id": "w", "minutes": 0, "page": "4"}, "events › 1 (w) › minutes", "less than 1"),
        (AT | {"kind": "check", "id": "c", "what": "floor wet"}, "events › 1 (c) › what", "is not"),
        (AT | {"kind": "snag", "id": "n", "what": "squeak", "state": "left"}, "events › 1 (n)", "without a reason"),
        (AT | {"kind": "tested", "id": "y"}, "events › 1 (y)", "tells nothing"),
        (BOUGHT | {"thing": "carriage", "returned": 101}, "events › 1 (b)", "more than was paid"),
        (AT | {"id": "s", "kind": "spent", "what": "hours", "find": "ghost"}, "events › s › find", "no find"),
        (
            AT | {"id": "p", "kind": "promised", "sum": 3, "yes": YES, "verdicts": {}},
            "events › 1 (p) › verdicts",
            "few",
        ),
    ],
)
def test_an_event_that_cannot_be_is_refused_by_place(
    event: dict[str, Any], where: str, what: str, raw: dict[str, Any]
) -> None:
    [problem] = refused(with_event(raw, event))
    assert problem.where == where
    assert what in f"{problem.what} {problem.way_out}"


def test_two_events_do_not_share_an_id(raw: dict[str, Any]) -> None:
    note = AT | {"kind": "note", "id": "n", "note": "x"}
    [problem] = refused(raw | {"events": [note, note]})
    assert (problem.where, problem.value) == ("events", "n")


@pytest.mark.parametrize(
    ("event", "line"),
    [
        ({"kind": "note", "part": "cushion.driver", "note": "rang"}, "Note on Front cushion cover, driver's: rang"),
        ({"kind": "look", "find": "leak", "there": False}, "Look taken for leak: not there"),
        (
            {"kind": "find", "part": "cushion.driver", "what": "foam gone", "must": True,
             "money": {"low": 5000, "likely": 9500, "high": 12000}, "minutes": {"low": 30, "likely": 30, "high": 30}},
            "Find on Front cushion cover, driver's: foam gone, 5 to 12 KWD, 0 h 30, must be dealt with",
        ),
        ({"kind": "opened", "step": "own:shelf", "minutes": 95}, "Opened: own:shelf, 1 h 35"),
        (
            {"kind": "bought", "thing": "material", "material": "dye", "colour": "red", "pack": "dye-1", "count": 2,
             "paid": 4500},
            "Bought: 2 × dye, red (dye-1) for 4.500 KWD",
        ),
        ({"kind": "done", "part": "shelf", "course": "a+b", "finish": 7, "redone": 2},
         "Done: '=shelf, a + b, finish 7, done again 2 times"),
        ({"kind": "spent", "what": "a wrong part", "money": 1000}, "Spent: a wrong part, 1 KWD"),
        ({"kind": "promised", "verdicts": {"shelf": "a"}, "sum": 1000, "yes": YES},
         "Promised for 1 KWD: 1 parts, yes by Kim (message)"),
        (
            {"kind": "ordered", "thing": "material", "material": "dye", "colour": "red", "pack": "dye-1", "count": 2,
             "seller": "the dyer"},
            "Ordered: 2 × dye, red (dye-1), from the dyer",
        ),
        ({"kind": "payment", "what": "deposit", "money": 2500, "how": "transfer"},
         "The owner's account: deposit, 2.500 KWD, transfer"),
        ({"kind": "account", "what": "core", "part": "shelf", "name": "old shelf", "money": 4000, "came": 3500},
         "Beside the sum on '=shelf: core, old shelf, 4 KWD, came to 3.500 KWD"),
        ({"kind": "released", "parts": ["shelf", "gone"]}, "Released: gone; '=shelf"),
        ({"kind": "intake", "restraint_lamp": "stays on", "faults": ["a", "b"], "fuel_smell": True, "yes": YES},
         "Taken in: restraint lamp stays on, fuel can be smelt, 2 faults from before, signed by Kim (message)"),
        ({"kind": "bag", "step": "carpet_main", "state": "filled", "missing": 2, "broken": 1, "counted": 9},
         "Bag filled: main carpet, 2 missing, 1 broken, 9 counted"),
        ({"kind": "bag", "step": "carpet_main", "state": "written off", "note": "stolen"},
         "Bag written off: main carpet, stolen"),
        ({"kind": "fixing", "step": "fseat_off.driver", "fixing": "bolts", "thread": "M8", "grade": "8.8",
          "newton_metres": 46, "page": "seats, 3"},
         ("Fixing of front seat out of car, driver side: bolts, M8, class 8.8, 46 N·m (33.9 lbf·ft) by the car's own "
          "book, seats, 3")),
        ({"kind": "tightened", "step": "fseat_off.driver", "fixing": "bolts", "newton_metres": 46},
         "Tightened on front seat out of car, driver side: bolts to 46 N·m (33.9 lbf·ft)"),
        ({"kind": "check", "what": "floor dry"}, "Floor dry"),
        ({"kind": "snag", "what": "squeak", "state": "put right", "minutes": 20}, "Snag: squeak, put right, 0 h 20"),
        ({"kind": "tested", "results": {"horn": "passed", "lamp": "failed"}, "trained": "R. Osei"},
         "Tested: 1 passed; lamp failed, by R. Osei, of licensed practice"),
        ({"kind": "tested", "yes": YES}, "Test sheet signed by Kim (message)"),
        ({"kind": "bought", "thing": "carriage", "paid": 900, "returned": 0},
         "Bought: carriage for 0.900 KWD, gone, and nothing came back"),
        ({"kind": "book_wait", "minutes": 3, "page": "4"},
         "Wait after the battery is off, by the car's own book: 3 min, 4"),
        ({"kind": "handed_over", "yes": YES}, "Handed over, to Kim (message)"),
    ],
)  # fmt: skip
def test_the_history_tells_an_event_in_a_line(event: dict[str, Any], line: str, job: Job) -> None:
    value = AT | {"id": "x"} | event
    assert describe(AddEntry(path=("events",), value=value), job) == line
    assert describe(RemoveEntry(path=("events",), value=value), job) == f"Taken back: {line}"


def test_an_answer_is_told_with_its_find(job: Job) -> None:
    edit = SetField(path=("events", "e7", "answer"), value="from the reserve")
    assert describe(edit, job) == (
        "Find on door_card_f.driver: rust, must be dealt with: answer undecided → from the reserve"
    )
    assert apply(job, edit).find("e7").answer == "from the reserve"


def test_names_that_are_gone_are_remarks_and_told_by_place(job: Job, trade: Trade) -> None:
    trade = replace(trade, materials=MappingProxyType({"dye": Material("dye", "dye", "L", True, True, 0, 1, "", ())}))
    found = {each.where: each for each in event_remarks(job, trade)}
    assert list(event_problems(job, trade)) == []
    assert set(found) == {
        "events › e1 › part", "events › e3 › find", "events › e4 › sum", "events › e6 › find", "events › e9 › pack",
    }  # fmt: skip
    assert "only its money and time count" in found["events › e9 › pack"].what


def test_a_bag_that_comes_back_twice_or_was_never_filled_is_told(job: Job, trade: Trade) -> None:
    def bag(event_id: str, state: str, step: str = "knob_gear") -> dict[str, Any]:
        return AT | {"kind": "bag", "id": event_id, "step": step, "state": state}

    raw = job.model_dump(mode="json")
    raw["events"] = [bag("a", "filled"), bag("b", "back"), bag("c", "back"), bag("d", "back", "mats.driver")]
    found = {each.where: each.what for each in event_remarks(Job.from_plain(raw), trade) if "state" in each.where}
    assert found == {
        "events › c › state": "is no state for a bag that is back already.",
        "events › d › state": "is no state for a bag that was never filled.",
    }


def test_an_unknown_treatment_done_is_a_problem(job: Job, trade: Trade) -> None:
    value: dict[str, Any] = AT | {"kind": "done", "id": "d", "part": "knob", "course": "wood_laquer"}
    [problem] = event_problems(apply(job, AddEntry(path=("events",), value=value)), trade)
    assert problem.where == "events › d › course"
    assert problem.way_out == "Did you mean 'wood_lacquer'?"
