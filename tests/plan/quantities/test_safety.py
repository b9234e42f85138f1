"""What is never offered, over all bodies and equipment: told here by name, apart from the flags the program reads."""

from __future__ import annotations

from itertools import islice
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.plan.quantities.cabins import NOTHING_FITTED, TRADE, job_of, option, part, quantities_of
from trimwright.errors import BadInput
from trimwright.facts.access import present
from trimwright.facts.trade import Body, PartKind, Place
from trimwright.job.document import EquipmentFitted, Job
from trimwright.plan.quantities.cabin import LEAVE, Quantities
from trimwright.plan.quantities.measure import measure

BODIES: tuple[Body, ...] = ("two-door", "four-door", "open", "estate", "van", "pickup")
ON_RESTRAINTS = {"belt_replace", "belt_wash", "airbag_replace", "airbag_wipe", "sensor_reset"}
TWO_PACK = {"wood_strip_2k", "wood_reveneer", "wheel_hard_fix"}
OVER_BAGS = {"clean", "fit new"}
SOAKING = {"cloth_extract", "carpet_extract", "carpet_wash"}
equipment = st.fixed_dictionaries({item: st.sampled_from(("yes", "no", "unknown")) for item in NOTHING_FITTED})


def everything_wrong(kind: PartKind, place: Place | None, material: str, extent: str) -> dict[str, Any]:
    """A part of this kind with every fault its material can have and nothing stopping it."""
    faults = [
        f"{fault.id} {extent}" for fault in TRADE.faults.values() if material in fault.materials and not fault.stops
    ]
    named = f"{kind.id}.{place or 'none'}.{material}"
    return part(kind.id, material, 2, *faults, id=named, place=place, name=named)


def wrecked_cabin(body: Body, year: int, fitted: dict[str, str], extent: str, commercial: bool, capable: bool) -> Job:
    """Every part such a car may have, in every material, with everything wrong."""
    there = present(TRADE, body, year, EquipmentFitted.model_validate(fitted))
    parts = [
        everything_wrong(TRADE.parts[kind], place, material, extent)
        for kind, places in there.items()
        if not TRADE.parts[kind].is_step and fitted.get(TRADE.parts[kind].without_equipment or "", "no") == "no"
        for place in islice(places, 1)
        for material in TRADE.parts[kind].materials
    ]
    return job_of(
        *parts,
        car={"body": body, "year": year, "equipment": fitted, "commercial": commercial},
        capabilities=["air_fed_mask", "booth"] if capable else ["booth"],
    )


@settings(max_examples=15, deadline=None)
@given(
    body=st.sampled_from(BODIES),
    year=st.integers(1960, 2010),
    fitted=equipment,
    extent=st.sampled_from(("light", "medium", "heavy")),
    commercial=st.booleans(),
    capable=st.booleans(),
)
def test_nothing_forbidden_is_ever_offered(
    body: Body, year: int, fitted: dict[str, str], extent: str, commercial: bool, capable: bool
) -> None:
    job = wrecked_cabin(body, year, fitted, extent, commercial, capable)
    quantities = measure(job, TRADE)
    assert len(quantities.parts) == len(job.parts)
    for options in quantities.parts:
        kind = TRADE.parts[job.part(options.part).kind]
        behind = {item for item in kind.airbag_behind if fitted[item] != "no"}
        offered = {each for course in options.courses for each in course.treatments}
        if kind.is_restraint:
            assert offered <= ON_RESTRAINTS
            assert not any(each.source != "new" for course in options.courses for each in course.purchases)
        if behind:
            assert {TRADE.treatments[each].kind for each in offered} <= OVER_BAGS | {"mend", "refinish"}
        if behind - {"seat_sensor"}:
            assert {TRADE.treatments[each].kind for each in offered} <= OVER_BAGS
            assert all(
                TRADE.treatments[each].buys == "new" for each in offered if TRADE.treatments[each].kind == "fit new"
            )
        if "seat_sensor" in behind:
            assert not offered & SOAKING
            assert not any(TRADE.treatments[each].kind in ("re-cover", "fit used") for each in offered)
            assert not any("foam" in each or "heater" in each or "panel" in each for each in offered)
        if not capable:
            assert not offered & TWO_PACK
        assert "headliner_pin" not in offered
        if kind.head_impact:
            assert "headliner_board_fix" not in offered
            assert "tab_rebuild" not in offered


@pytest.mark.parametrize("commercial", [True, False])
def test_new_cover_material_asks_for_its_burn_rate_statement(commercial: bool) -> None:
    wrecked = wrecked_cabin("four-door", 1990, NOTHING_FITTED, "heavy", commercial, True)
    quantities = measure(wrecked, TRADE)
    covers = [
        course
        for options in quantities.parts
        if TRADE.parts[wrecked.part(options.part).kind].burn_rate
        for course in options.courses
        if course.kind == "re-cover"
    ]
    assert covers
    assert all("burn_rate" in course.cautions for course in covers)
    assert commercial == any("burn-rate" in note for note in quantities.notes)


def test_a_frayed_belt_has_no_leave_and_a_pin_does_not_give_it_one() -> None:
    belt = part("belt_front", "webbing", 3, "B_frayed light", place="driver")
    offered = option(quantities_of(belt), "belt_front").courses
    assert {course.id for course in offered} == {"belt_replace"}
    with pytest.raises(BadInput, match="may not be left") as refused:
        quantities_of(belt | {"pin": LEAVE})
    assert "belt_replace" in refused.value.problems[0].way_out


def test_a_frayed_belt_can_not_be_left_alone() -> None:
    belt = part("belt_front", "webbing", 3, "B_frayed light", place="driver")
    with pytest.raises(BadInput, match="may not be left"):
        quantities_of(belt, wishes={"leave_alone": ["belt_front"]})


def test_a_pin_never_beats_a_ban_of_safety() -> None:
    pinned = part("fseat_back_cover", "leather", 3, "L_worn heavy", place="driver", pin="leather_recover")
    fitted = NOTHING_FITTED | {"side_airbag": "unknown"}
    with pytest.raises(BadInput) as refused:
        quantities_of(pinned, car={"equipment": fitted, "year": 2000})
    (problem,) = refused.value.problems
    assert problem.where == "parts › fseat_back_cover › pin"
    assert "side airbag" in problem.what
    assert "counted as fitted" in problem.what
    without = option(quantities_of(pinned, car={"year": 2000}), "fseat_back_cover").courses
    assert [each.id for each in without if each.pinned] == ["leather_recover"]


@pytest.mark.parametrize("pin", ["used_fit", "cloth_dye", "leather_restitch", "vinyl_recolour"])
def test_a_pin_on_a_belt_is_refused_by_the_rule_and_not_by_its_price_or_material(pin: str) -> None:
    belt = part("belt_front", "webbing", 4, "B_dirty light", place="driver", pin=pin)
    with pytest.raises(BadInput) as refused:
        quantities_of(belt)
    (problem,) = refused.value.problems
    assert "A restraint part is replaced new by licensed practice" in problem.what
    assert "offer" not in problem.way_out


def test_a_stopped_part_is_dealt_with_or_left() -> None:
    pan = part("floor_metal", "floor-steel", 3, "X_anchor medium", "M_rust medium")
    quantities = quantities_of(pan)
    assert all(
        course.id == LEAVE or "anchor_weld" in course.treatments for course in option(quantities, "floor_metal").courses
    )
    assert any("stopped" in note for note in quantities.notes)


@given(fitted=equipment)
@settings(max_examples=30, deadline=None)
def test_an_own_part_over_an_airbag_is_treated_like_any_other(fitted: dict[str, str]) -> None:
    own = {"zone": "dash", "airbag_behind": ["passenger_airbag"]}
    lid = part("own", "vinyl", 3, "V_cracked medium", own=own, area_mm2=50_000, id="lid")
    quantities: Quantities = quantities_of(lid, car={"equipment": fitted, "year": 2000})
    offered = {
        TRADE.treatments[each].kind for course in option(quantities, "lid").courses for each in course.treatments
    }
    if fitted["passenger_airbag"] == "no":
        assert {"mend"} <= offered
    else:
        assert not offered & {"mend", "refinish", "re-cover", "fit used"}
