"""The fixings ledger: bags out and back, torques by the car's own book or marked general."""

from __future__ import annotations

from typing import Any

import pytest

from tests.plan.happened import happened
from tests.plan.sequence.cabins import TRADE, cabin, cabin_of
from trimwright.job.document import Job
from trimwright.plan.sequence.ledger import Bag, Torque, bags, torques

SEAT, BOLTS = "fseat_off.driver", "bolts or nuts to the floor"
SILL = "sill_plate.driver"
PARTS = ["fseat_back_panel.driver", SILL, "dash_top"]


def noted(*events: dict[str, Any]) -> Job:
    return happened(cabin("two-door").job, *events)


def sequence_of(job: Job) -> Any:
    return cabin_of(job).arranged(PARTS)


def bag_of(job: Job, step: str) -> Bag:
    return next(each for each in bags(sequence_of(job), job, TRADE) if each.step == step)


def torque_of(job: Job, step: str, fixing: str) -> Torque:
    found = torques(sequence_of(job), job, TRADE)
    return next(each for each in found if (each.step, each.fixing.name) == (step, fixing))


def bag(state: str, **more: Any) -> dict[str, Any]:
    return {"kind": "bag", "step": SILL, "state": state, **more}


def opened(step: str, *, back_on: bool = False) -> dict[str, Any]:
    return {"kind": "opened", "step": step, "back_on": back_on}


def seat_bolts(**said: Any) -> dict[str, Any]:
    return {"kind": "fixing", "step": SEAT, "fixing": BOLTS, **said}


@pytest.mark.parametrize(
    ("events", "state"),
    [
        ([], "to fill"),
        ([opened(SILL)], "open"),
        ([opened(SILL), bag("filled")], "open"),
        ([opened(SILL), bag("filled"), opened(SILL, back_on=True)], "open"),
        ([opened(SILL), bag("filled"), opened(SILL, back_on=True), bag("back")], "back"),
        ([opened(SILL), opened(SILL, back_on=True)], "back"),
        ([opened(SILL), bag("written off", note="replaced by new ones")], "written off"),
    ],
)
def test_every_fixing_taken_off_is_in_a_bag_until_it_comes_back(events: list[dict[str, Any]], state: str) -> None:
    found = bag_of(noted(*events), SILL)
    assert found.state == state
    assert [each.form for each in found.contents] == ["screw", "clip"]


def test_bags_hold_what_goes_back_and_nothing_else() -> None:
    for each in bags(sequence_of(noted()), noted(), TRADE):
        assert {fixing.form for fixing in each.contents} <= {"bolt", "screw", "clip"}


def test_what_holds_people_has_no_figure_but_the_cars_own() -> None:
    """Not even where size and class are known."""
    blank = torque_of(noted(seat_bolts(thread="M8", grade="8.8")), SEAT, BOLTS)
    assert (blank.newton_metres, blank.basis, blank.is_gate) == (None, "", True)
    own = torque_of(noted(seat_bolts(newton_metres=45, page="seats, 3")), SEAT, BOLTS)
    assert (own.newton_metres, own.basis, own.source, own.is_gate) == (45, "the car's own book", "seats, 3", False)
    for each in torques(sequence_of(noted()), noted(), TRADE):
        assert each.newton_metres is None
        assert each.is_gate is (each.fixing.holds is not None)


def test_elsewhere_a_general_figure_by_size_and_class_says_so() -> None:
    job = noted(opened("dash_whole"), {"kind": "fixing", "step": "dash_whole", "fixing": "bolts", "thread": "M8"},
                {"kind": "fixing", "step": "dash_whole", "fixing": "bolts", "grade": "8.8"})  # fmt: skip
    found = torque_of(job, "dash_whole", "bolts")
    assert found.basis == "general, check the book"
    assert found.newton_metres == pytest.approx(0.17 * 0.008 * 0.75 * 36.609 * 580, rel=1e-3)
    assert found.worked is not None
    own = happened(job, {"kind": "fixing", "step": "dash_whole", "fixing": "bolts", "newton_metres": 20})
    assert torque_of(own, "dash_whole", "bolts").newton_metres == 20


def test_a_tick_has_a_value_and_a_time_and_ends_when_it_comes_off_again() -> None:
    tick = {"kind": "tightened", "step": SEAT, "fixing": BOLTS, "newton_metres": 45}
    job = noted(opened(SEAT), opened(SEAT, back_on=True), tick)
    found = torque_of(job, SEAT, BOLTS).tightened
    assert found is not None
    assert (found.newton_metres, found.at.isoformat()) == (45, "2026-03-05T10:00:00")
    assert torque_of(happened(job, opened(SEAT)), SEAT, BOLTS).tightened is None


def test_a_slip_of_the_unit_is_doubted() -> None:
    """46 lbf·ft are 62 N·m."""
    assert "N·m, or lbf·ft?" in torque_of(noted(seat_bolts(newton_metres=62.4)), SEAT, BOLTS).doubt
    assert torque_of(noted(seat_bolts(newton_metres=46)), SEAT, BOLTS).doubt == ""


def test_a_fixing_this_car_has_not_asks_for_nothing() -> None:
    job = noted(opened("rseat_cushion_off"), {"kind": "fixing", "step": "rseat_cushion_off",
                                              "fixing": "spring catches or bolts", "there": False})  # fmt: skip
    assert "rseat_cushion_off" not in {each.step for each in torques(sequence_of(job), job, TRADE)}
