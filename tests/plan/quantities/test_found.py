from __future__ import annotations

from typing import Any

import pytest

from tests.plan.happened import happened, work
from tests.plan.small_cabin import CUSHION, part, small_job, small_plan
from trimwright.facts import load
from trimwright.job.document import Job
from trimwright.plan.quantities.cabin import Course, Hidden, Quantities
from trimwright.plan.quantities.measure import measure

WIRE = "wire_rubbing@front_seats.driver"
"""Suspected behind the worn cushion cover."""
PILE = "pile_cut@floor"
"""Suspected in the surface of the dirty carpet."""
MOULD = "mould_under"
"""Suspected below both mouldy seats of the damp job."""
OPEN: dict[str, Any] = {"kind": "opened", "step": "fseat_cushion_cover.driver", "minutes": 30}
FIND: dict[str, Any] = {"kind": "find", "id": "found", "part": CUSHION, "what": "wire through the hessian",
                        "find": "wire_rubbing", "money": {"low": 1_000, "likely": 2_000, "high": 4_500},
                        "minutes": {"low": 30, "likely": 60, "high": 90}}  # fmt: skip


def hidden(job: Job) -> dict[str, Hidden]:
    return dict(measure(job, load()).hidden)


def course(quantities: Quantities, part_id: str, course_id: str) -> Course:
    [found] = [each for each in quantities.parts if each.part == part_id]
    return next(each for each in found.courses if each.id == course_id)


def damp_job() -> Job:
    """Two mouldy seats point at one mould below and at one leak."""
    raw = small_job().model_dump(mode="json")
    raw["parts"] += [
        part("front", "fseat_cushion_cover", "Front cushion", "cloth", 3, "C_mould", place="passenger"),
        part("rear", "rseat_cushion_cover", "Rear cushion", "cloth", 3, "C_mould"),
    ]
    return Job.from_plain(raw)


def test_what_shows_once_the_part_is_off_is_settled_then_and_what_lies_in_its_surface_is_not() -> None:
    assert {WIRE, PILE} <= hidden(small_job()).keys()
    carpet_off = {"kind": "opened", "step": "carpet_main", "minutes": 30}
    after = measure(happened(small_job(), OPEN, carpet_off), load())
    assert WIRE not in after.hidden
    assert PILE in after.hidden  # only the hand that works on the pile can tell
    assert any("wire or frame edge" in note for note in after.notes)
    assert not any(WIRE in each.finds for option in after.parts for each in option.courses)


def test_what_a_course_would_have_met_is_settled_once_it_is_done() -> None:
    assert PILE not in hidden(happened(small_job(), work(small_plan(), "carpet")))
    assert WIRE not in hidden(happened(small_job(), work(small_plan(), CUSHION)))


def test_wiping_where_it_is_settles_nothing() -> None:
    wiped = {"kind": "done", "part": CUSHION, "course": "leather_clean", "minutes": 20}
    assert WIRE in hidden(happened(small_job(), wiped))


def test_one_fault_of_the_whole_cabin_is_settled_only_when_every_part_was_opened() -> None:
    """Mould below the covers is seen when they are off; whether water still comes in is not."""
    assert hidden(damp_job())["live_leak"].certain
    front = {"kind": "opened", "step": "fseat_cushion_cover.passenger", "minutes": 30}
    rear = {"kind": "opened", "step": "rseat_cushion_cover", "minutes": 10}
    assert {MOULD, "live_leak"} <= hidden(happened(damp_job(), front)).keys()
    assert {MOULD, "live_leak"} & hidden(happened(damp_job(), front, rear)).keys() == {"live_leak"}


def test_nothing_restrained_or_deadly_is_ever_taken_as_not_there_for_being_open() -> None:
    for find in load().finds.values():
        if find.seen_off:
            assert not any(load().parts[each].is_restraint for each in find.only_parts), find.id
            assert find.lies_in != "surface", find.id
    unseen = {"live_leak", "asbestos_removal", "floor_holes", "earlier_fault", "belts_condemned", "hub_cracks"}
    assert not any(load().finds[each].seen_off for each in unseen)


def test_a_look_settles_a_suspicion_without_opening() -> None:
    look = {"kind": "look", "find": "wire_rubbing", "part": CUSHION}
    assert WIRE not in hidden(happened(small_job(), look | {"there": False}))
    seen = hidden(happened(small_job(), look | {"there": True}))[WIRE]
    before = hidden(small_job())[WIRE]
    assert (seen.chance, seen.loading, seen.certain) == (1.0, 0.0, False)
    assert (seen.money, seen.minutes) == (before.money, before.minutes)
    assert hidden(happened(small_job(), look | {"there": True}, OPEN))[WIRE].chance == 1.0
    assert WIRE in hidden(happened(small_job(), look | {"there": False}, look | {"there": True}))


def test_a_look_at_the_whole_cabin_settles_the_fault_everywhere() -> None:
    look = {"kind": "look", "find": "live_leak", "there": False}
    assert "live_leak" not in hidden(happened(damp_job(), look))


def test_a_find_is_in_the_money_for_certain_at_its_own_figures() -> None:
    after = hidden(happened(small_job(), OPEN, FIND))
    assert WIRE not in after
    [found] = [each for each in after.values() if each.name == FIND["what"]]
    assert (found.chance, found.loading, found.certain, found.must_deal) == (1.0, 0.0, True, False)
    assert (found.money.low, found.money.likely, found.money.high) == (1_000, 2_000, 4_500)
    assert found.minutes.mean == 60


def test_a_find_in_words_only_is_one_of_its_own() -> None:
    rust = {"kind": "find", "id": "rust", "step": "carpet_main", "what": "rust in the sill", "must": True}
    after = hidden(happened(small_job(), rust))
    assert after.keys() - hidden(small_job()).keys() == {"found:rust"}
    assert after["found:rust"].must_deal


def test_a_find_dealt_with_asks_no_more() -> None:
    paid = {"kind": "spent", "what": "wire padded", "money": 1_800, "minutes": 50, "find": "found"}
    quantities = measure(happened(small_job(), OPEN, FIND, paid), load())
    assert not any(each.startswith(("found:", "wire")) for each in quantities.hidden)
    assert (quantities.spent.money, quantities.spent.minutes) == (1_800, 80)


@pytest.mark.parametrize("left_finish", [4, None])
def test_a_find_left_costs_nothing_and_holds_the_finish_of_what_does_not_take_it_along(left_finish: int | None) -> None:
    answer = {"answer": "leave and record", "left_finish": left_finish}
    offered = [{"source": "used", "low": 9_000, "likely": 9_000, "high": 9_000}]
    job = small_job(parts=[each | ({"pin": None, "offers": offered} if each["id"] == CUSHION else {})
                           for each in small_job().model_dump(mode="json")["parts"]])  # fmt: skip
    before, after = measure(job, load()), measure(happened(job, FIND | answer), load())
    assert not any(each.startswith(("found:", "wire")) for each in after.hidden)
    held = course(after, CUSHION, "leather_recover").finish_at
    assert held == tuple(
        min(each, 4 if left_finish else 10) for each in course(before, CUSHION, "leather_recover").finish_at
    )
    another = next(each.id for each in before.parts[0].courses if each.purchases)
    assert course(after, CUSHION, another).finish_at == course(before, CUSHION, another).finish_at
    assert any("left and recorded: wire through the hessian" in note for note in after.notes)
