"""The strip-down and the way back: no more than the verdicts need, like work together, and no hold ever passed.

The holds are those of workshop manuals: battery first, the wait, units cover up, nobody inside, licensed practice.
"""

from __future__ import annotations

from typing import get_args

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.plan.happened import happened
from tests.plan.sequence.cabins import TRADE, Cabin, Said, cabin, cabin_of
from tests.plan.small_cabin import small_plan
from trimwright.facts.trade import EQUIPMENT_NAMES, Body, Equipment, Wait
from trimwright.job.check_events import steps_known
from trimwright.job.document import Job
from trimwright.plan.sequence import arrange
from trimwright.plan.sequence.check import check
from trimwright.plan.sequence.moves import Sequence, back_id, off_id, store_id
from trimwright.plan.sequence.order import changes

BODIES: tuple[Body, ...] = get_args(Body)
ITEMS: tuple[Equipment, ...] = tuple(EQUIPMENT_NAMES)
NONE: Said = tuple((item, "no") for item in ITEMS)
ALL: Said = tuple((item, "yes") for item in ITEMS)
CURE = Wait("cure", (12, 24, 48), "rack")


def only(item: Equipment) -> Said:
    return tuple((each, "yes" if each == item else "no") for each in ITEMS)


SAID = [(), NONE, ALL, only("driver_airbag"), only("pretensioner"), only("side_airbag")]


def at(sequence: Sequence, move: str) -> int:
    return [each.id for each in sequence.moves].index(move)


def everything(of: Cabin) -> list[str]:
    return [part.id for part in of.job.parts]


def test_new_clips_are_counted_once_what_they_hold_is_off() -> None:
    of = cabin("two-door", ALL)
    sequence = of.arranged(everything(of))
    needing = {off_id(each.step) for each in sequence.rebuild if each.new_fixings and each.step}
    assert needing
    assert needing == set(sequence["clips"].after)


@given(data=st.data())
@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_no_sequence_breaks_a_hold(data: st.DataObject) -> None:
    """Any verdicts, any equipment, any wishes for what is opened first, on all six bodies."""
    of = cabin(data.draw(st.sampled_from(BODIES)), data.draw(st.sampled_from(SAID)))
    parts = everything(of)
    off = data.draw(st.lists(st.sampled_from(parts), unique=True, max_size=25))
    first = data.draw(st.lists(st.sampled_from(sorted(of.quantities.steps)), unique=True, max_size=4))
    waits = (CURE,) if data.draw(st.booleans()) else ()
    sequence = of.arranged(off, waits, tuple(first))
    assert check(sequence, of.job, TRADE, of.verdicts(off, waits)) == ()
    for move in sequence.moves:  # whoever orders by `after` alone keeps them too
        assert all(at(sequence, each) < at(sequence, move.id) for each in move.after), move.id


@pytest.mark.parametrize("body", BODIES)
def test_a_whole_cabin_comes_apart_and_goes_back(body: Body) -> None:
    of = cabin(body)
    sequence = of.arranged(everything(of))
    off = [move.step for move in sequence.moves if move.doing == "off"]
    back = [move.step for move in sequence.moves if move.doing == "back"]
    assert back == off[::-1]
    assert set(off) >= {step for steps in of.own.values() for step in steps} - {"battery_off"}
    assert not any(move.doing == "back" for move in sequence.strip)
    assert not any(move.doing == "off" for move in sequence.rebuild)
    assert len(sequence.by_id) == len(sequence.moves)


@pytest.mark.parametrize("body", BODIES)
def test_like_work_stays_together(body: Body) -> None:
    """Fewer changes of zone than the access graph's own order."""
    of = cabin(body)
    off = [move.step for move in of.arranged(everything(of)).moves if move.doing == "off" and move.step]
    from trimwright.plan.quantities.strip_down import strip_down
    from trimwright.plan.quantities.surveyed import survey

    steps = strip_down(survey(of.job, TRADE), of.job, TRADE).steps
    assert changes(off, steps) < changes([each for each in steps if each in set(off)], steps)


def test_the_strip_down_is_the_one_the_plan_pays_for() -> None:
    plan = small_plan()
    sequence = arrange(plan.job, plan.trade, plan.quantities, plan.verdicts)
    assert {move.step for move in sequence.moves if move.step} >= set(plan.verdicts.steps)
    touched = [move for move in sequence.moves if move.doing in ("off", "back")]
    priced = sum(plan.quantities.steps[each].minutes for each in plan.verdicts.steps if each != "battery_off")
    assert sum(move.minutes for move in touched) == priced


def test_nothing_comes_off_where_nothing_has_to() -> None:
    of = cabin("two-door")
    assert [move.doing for move in of.arranged([]).moves] == ["hand over"]
    mats = of.arranged([each for each in everything(of) if each.startswith("mats")])
    assert {move.doing for move in mats.moves} == {"record", "off", "back", "hand over"}
    assert mats.safe_wait is None


# ---- by the equipment fitted -----------------------------------------------------------------------------------------


def test_unknown_counts_as_fitted() -> None:
    of, fitted = cabin("two-door"), cabin("two-door", ALL)
    assert of.arranged(["wheel_airbag"]) == fitted.arranged(["wheel_airbag"])


@pytest.mark.parametrize("part", ["horn_pad", "lens", "buttons"])
def test_without_restraint_electrics_the_battery_is_still_off(part: str) -> None:
    sequence = cabin("two-door", NONE).arranged([part])
    electric = {"horn_pad": "horn_pad", "lens": "cluster", "buttons": "buttons"}[part]
    assert at(sequence, "battery_off") < at(sequence, off_id(electric)) < at(sequence, "battery_on")
    assert "wait" not in sequence.by_id
    assert "lamp" not in sequence.by_id
    assert sequence.moves[-2].doing == "power tests"


def test_a_unit_is_laid_down_before_anything_else_is_touched() -> None:
    sequence = cabin("two-door", only("driver_airbag")).arranged(["wheel_airbag", "wheel_rim_leather"])
    assert at(sequence, store_id("wheel_airbag")) == at(sequence, off_id("wheel_airbag")) + 1
    assert "cover up" in sequence[store_id("wheel_airbag")].how[0]
    assert sequence[off_id("wheel_off")].marks[0].startswith("index mark")
    assert sequence[back_id("wheel_off")].marks == sequence[off_id("wheel_off")].marks


def test_the_wait_is_the_longest_in_print_until_the_cars_own_book_is_entered() -> None:
    of = cabin("two-door")
    wait = of.arranged(["pillar_a.driver"]).safe_wait
    assert wait is not None
    assert (wait.minutes, wait.own) == (30, False)
    assert wait.source == TRADE.sources["workshop-manuals"].title
    own = cabin_of(happened(of.job, {"kind": "book_wait", "minutes": 3, "page": "restraints, page 4"}))
    sequence = own.arranged(["pillar_a.driver"])
    assert sequence["wait"].wait_minutes == 3
    assert sequence.safe_wait is not None
    assert sequence.safe_wait.source == "restraints, page 4"


@pytest.mark.parametrize(("place", "step"), [(None, "own:harness"), ("driver", "own:harness.driver")])
def test_an_own_restraint_part_waits_though_the_car_is_said_to_have_none(place: str | None, step: str) -> None:
    raw = cabin("two-door", NONE).job.model_dump(mode="json")
    raw["parts"] = [
        {"id": "harness", "kind": "own", "name": "harness", "place": place, "material": "webbing", "area_mm2": 1000,
         "own": {"zone": "belts", "is_restraint": True, "off_minutes": 10, "back_minutes": 10}},
    ]  # fmt: skip
    job = Job.from_plain(raw)
    sequence = cabin_of(job).arranged(["harness"])
    assert step in steps_known(job, TRADE)
    assert at(sequence, "wait") < at(sequence, off_id(step))
    assert "trained person" in sequence[off_id(step)].conditions


# ---- what a move tells -----------------------------------------------------------------------------------------------


def test_a_wish_is_heeded_as_far_as_access_lets_it() -> None:
    of = cabin("four-door")
    sequence = of.arranged(everything(of), first=("carpet_main",))
    before = [move.step for move in sequence.moves if move.doing == "off"]
    carpet = before.index("carpet_main")
    needed = {each.removeprefix("off:") for each in sequence["off:carpet_main"].after if each.startswith("off:")}
    assert needed <= set(before[:carpet])
    assert carpet < [move.step for move in of.arranged(everything(of)).moves if move.doing == "off"].index(
        "carpet_main"
    )


def test_a_cure_holds_its_part_or_the_keys() -> None:
    of = cabin("two-door")
    sequence = of.arranged(["headliner_board"], (CURE,))
    (cure,) = sequence[back_id("headliner_board")].cures
    assert (cure.wait, cure.hours) == ("cure", (12, 24, 48))
    in_car = of.arranged(["headliner_board"], (Wait("full", (24, 48, 96), "car"),))
    assert in_car[back_id("headliner_board")].cures == ()
    assert [each.part for each in in_car["hand_over"].cures] == ["headliner_board"]


def test_what_is_off_already_only_goes_back() -> None:
    of = cabin("two-door")
    job = happened(of.job, {"kind": "opened", "step": "battery_off"}, {"kind": "opened", "step": "sill_plate.driver"})
    sequence = cabin_of(job).arranged([])
    assert sequence["off:sill_plate.driver"].done
    assert sequence["battery_off"].done
    assert at(sequence, "battery_on") > at(sequence, "back:sill_plate.driver")
    assert not sequence["back:sill_plate.driver"].done


def test_what_a_bag_lacks_is_counted_and_bought() -> None:
    of = cabin("two-door")
    bag = {"kind": "bag", "step": "sill_plate.driver", "state": "filled", "missing": 2, "broken": 1}
    opened = {"kind": "opened", "step": "sill_plate.driver"}
    job = happened(of.job, opened, bag)
    from trimwright.plan.quantities.measure import measure

    step = measure(job, TRADE).steps["sill_plate.driver"]
    assert [need.milli for need in step.needs] == [3000]
    sequence = arrange(job, TRADE, measure(job, TRADE), of.verdicts([]))
    assert sequence["back:sill_plate.driver"].new_fixings == 3
    assert sequence["clips"].new_fixings == 3
