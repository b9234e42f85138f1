"""What stands in the way of one move on the way back: order, checks, waits, cures, torques, what is not here."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any

import pytest

from tests.plan.happened import AT, happened
from tests.plan.sequence.cabins import TRADE
from tests.plan.sequence.test_closing import check, opened
from tests.plan.small_cabin import CUSHION, KNOB, VISOR, small_job, small_plan
from trimwright.job.document import Job
from trimwright.plan.plan import make_plan
from trimwright.plan.sequence import Sequence, arrange
from trimwright.plan.sequence.going_back import WayBack
from trimwright.plan.sequence.moves import LOOMS, back_id

START = datetime.fromisoformat(AT).astimezone()
LATER = START + timedelta(days=30)
SEAT, BOLTS = "fseat_off.driver", "bolts or nuts to the floor"
VISOR_STEP, COVER = "sun_visor.driver", "fseat_cushion_cover.driver"


def sequence_of(job: Job) -> Sequence:
    plan = small_plan()
    return arrange(job, TRADE, plan.quantities, plan.verdicts)


def told(move: str, *events: dict[str, Any], now: datetime = LATER) -> list[tuple[str, str]]:
    job = happened(small_job(), *events)
    sequence = sequence_of(job)
    return [(each.kind, each.about) for each in WayBack(sequence, job, TRADE, now).holds(sequence[move])]


def course_of(part: str) -> str:
    course = next(each.course for each in small_plan().verdicts.verdicts if each.part == part)
    assert course is not None
    return course.id


def done(part: str) -> dict[str, Any]:
    return {"kind": "done", "part": part, "course": course_of(part)}


def test_what_never_came_off_does_not_go_back() -> None:
    assert ("not off", VISOR_STEP) in told(back_id(VISOR_STEP))


def test_a_part_waits_for_its_cure_to_the_minute_and_says_until_when() -> None:
    """The likely wait of the facts, 12 h after the visor was re-covered; common practice, no source."""
    move, events = back_id(VISOR_STEP), (opened(VISOR_STEP), done(VISOR))
    assert told(move, opened(VISOR_STEP)) == [("not done", VISOR)]
    hours = sequence_of(happened(small_job(), *events))[move].cures[0].hours[1]
    assert hours == 12
    assert told(move, *events, now=START + timedelta(hours=hours, minutes=-1)) == [("curing", VISOR)]
    assert told(move, *events, now=START + timedelta(hours=hours)) == []


def test_cold_air_draws_a_cure_out_and_warm_air_shortens_it() -> None:
    """Ten degrees halve or double a glue's wait: the ten-degree rule, an adhesive maker's note."""
    move, events = back_id(VISOR_STEP), (opened(VISOR_STEP), done(VISOR))
    for degrees, hours in ((10, 24), (20, 12), (30, 6)):
        air = {"kind": "air", "temperature": degrees, "humidity": 50}
        assert told(move, *events, air, now=START + timedelta(hours=hours, minutes=-1)) == [("curing", VISOR)]
        assert told(move, *events, air, now=START + timedelta(hours=hours)) == []


def test_a_cure_is_still_a_hold_when_the_plan_is_made_anew_after_the_work_is_done() -> None:
    """Done work asks for nothing more of the plan, and yet may be wet."""
    job = happened(small_job(), opened(VISOR_STEP), done(VISOR))
    plan = make_plan(job, TRADE)
    sequence = arrange(job, TRADE, plan.quantities, plan.verdicts)
    way = WayBack(sequence, job, TRADE, START + timedelta(hours=1))
    visor = way.standing(sequence[back_id(VISOR_STEP)])
    assert [(each.kind, each.until) for each in visor.holds] == [("curing", START + timedelta(hours=12))]
    assert (visor.state, visor.until) == ("held", START + timedelta(hours=12))


def test_what_lies_inside_goes_back_first() -> None:
    off = [opened("battery_off"), opened(SEAT), opened(COVER)]
    assert ("off", COVER) in told(back_id(SEAT), *off)
    assert ("off", COVER) not in told(back_id(SEAT), *off, opened(COVER, back_on=True))


def test_the_battery_stays_off_and_its_wait_is_kept() -> None:
    move = back_id(COVER)
    assert ("battery on", "battery_off") in told(move, opened(COVER), done(CUSHION))
    events = (opened("battery_off"), opened(COVER), done(CUSHION))
    soon, over = START + timedelta(minutes=29), START + timedelta(minutes=30)
    assert ("wait", COVER) in told(move, *events, now=soon)
    assert ("wait", COVER) not in told(move, *events, now=over)


@pytest.mark.parametrize("what", ["floor dry", "drains tested", "looms tested", "clips in hand"])
def test_nothing_is_covered_before_what_it_covers_is_checked(what: str) -> None:
    move = {"floor dry": "floor", "drains tested": "drains", "looms tested": "looms", "clips in hand": "clips"}[what]
    carpet = (opened("battery_off"), opened("carpet_main"))
    assert ("check", move) in told(back_id("carpet_main"), *carpet)
    assert ("check", move) not in told(back_id("carpet_main"), *carpet, check(what))


def test_looms_are_tested_with_the_battery_off() -> None:
    assert ("battery on", "battery_off") in told(LOOMS)
    assert told(LOOMS, opened("battery_off")) == []


def test_what_is_bought_for_it_is_here_first() -> None:
    move = back_id("knob_gear")
    assert ("not here", KNOB) in told(move, opened("knob_gear"))
    bought = {"kind": "bought", "thing": "part", "part": KNOB, "source": "used", "paid": 2000}
    assert ("not here", KNOB) not in told(move, opened("knob_gear"), bought)
    assert ("not here", KNOB) in told(move, opened("knob_gear"), bought | {"returned": 2000})


def test_a_seat_is_back_when_its_bolts_are_tightened_to_the_cars_own_book() -> None:
    off = (opened("battery_off"), opened(SEAT))
    known = {"kind": "fixing", "step": SEAT, "fixing": BOLTS, "newton_metres": 45}
    tick = {"kind": "tightened", "step": SEAT, "fixing": BOLTS, "newton_metres": 45}
    assert told(back_id(SEAT), *off) == [("no torque", SEAT)]
    assert told(back_id(SEAT), *off, known) == [("not tightened", SEAT)]
    assert told(back_id(SEAT), *off, known, tick | {"newton_metres": 62.4}) == [("other torque", SEAT)]
    assert told(back_id(SEAT), *off, known, tick) == []


def test_the_battery_goes_on_last() -> None:
    assert ("off", VISOR_STEP) in told("battery_on", opened("battery_off"), opened(VISOR_STEP))
    assert told("battery_on", opened("battery_off")) == []


def test_every_move_stands_somewhere_and_the_keys_stand_apart() -> None:
    off = (opened("battery_off"), opened(VISOR_STEP), done(VISOR), opened(SEAT), opened(SEAT, back_on=True))
    job = happened(small_job(), *off, check("floor dry"))
    sequence = sequence_of(job)
    states = {each.move.id: each.state for each in WayBack(sequence, job, TRADE, LATER).moves}
    assert (states[back_id(VISOR_STEP)], states[back_id(SEAT)]) == ("open", "made")
    assert (states["floor"], states["drains"], states["battery_on"]) == ("made", "open", "held")
    assert states[back_id("carpet_main")] == "never off"
    assert not states.keys() & {"lamp", "power", "hand_over"}
