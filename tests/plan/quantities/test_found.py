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
    """A wet carpet and wet footwells point at one leak; two parts may hide it."""
    raw = small_job().model_dump(mode="json")
    raw["parts"] = [each for each in raw["parts"] if each["id"] != "carpet"]
    raw["parts"] += [
        part("carpet", "carpet_main", "Main carpet", "carpet", 3, "K_wet"),
        part("boot", "boot_carpet", "Boot carpet", "carpet", 4, "K_wet"),
    ]
    return Job.from_plain(raw)


def test_what_lies_behind_is_settled_once_the_part_is_off_and_what_lies_in_it_is_not() -> None:
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
    leak = next(each for each in hidden(damp_job()) if each.startswith("live_leak"))
    before = hidden(damp_job())[leak]
    assert before.certain
    carpet = {"kind": "opened", "step": "carpet_main", "minutes": 30}
    boot = {"kind": "opened", "step": "boot_carpet", "minutes": 10}
    assert leak in hidden(happened(damp_job(), carpet))
    assert leak not in hidden(happened(damp_job(), carpet, boot))


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
    leak = next(each for each in hidden(damp_job()) if each.startswith("live_leak"))
    look = {"kind": "look", "find": "live_leak", "there": False}
    assert leak not in hidden(happened(damp_job(), look))


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
