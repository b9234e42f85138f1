"""The strip-down graph of every body, year and equipment: no circle, sides kept apart, nothing missing."""

from __future__ import annotations

from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import get_args

import pytest

from trimwright.errors import BadInput
from trimwright.facts import load
from trimwright.facts.access import cabin_kinds, facing, present, related, removal_steps
from trimwright.facts.trade import Body, Equipment

TRADE = load()
BODIES: tuple[Body, ...] = get_args(Body)
EQUIPMENT: tuple[Equipment, ...] = get_args(Equipment)
YEARS = (1935, 1962, 1974, 1983, 1992, 2004)


@dataclass(frozen=True)
class Known:
    """A car of which all is known: what is not listed is not fitted."""

    fitted: frozenset[Equipment] = frozenset()

    def may_have(self, item: Equipment) -> bool:
        return item in self.fitted


NOTHING = Known()
UNKNOWN = Known(frozenset(EQUIPMENT))


@pytest.mark.parametrize("body", BODIES)
@pytest.mark.parametrize("year", YEARS)
@pytest.mark.parametrize("equipment", [NOTHING, UNKNOWN, Known(frozenset({"driver_airbag"}))])
def test_no_circle_and_nothing_missing(body: Body, year: int, equipment: Known) -> None:
    steps = removal_steps(TRADE, body, year, equipment)
    off: set[str] = set()
    for step_id, step in steps.items():
        assert set(step.requires) <= off, f"{step_id} stands before what it needs"
        off.add(step_id)
    for kind, place in cabin_kinds(TRADE, body, year, equipment):
        assert (f"{kind.id}.{place}" if place else kind.id) in steps


def test_a_circle_is_named() -> None:
    sill = replace(TRADE.parts["sill_plate"], comes_off_after=(("carpet_main",),))
    trade = replace(TRADE, parts=MappingProxyType({**TRADE.parts, "sill_plate": sill}))
    with pytest.raises(BadInput, match=r"sill_plate.*goes round in a circle") as caught:
        removal_steps(trade, "two-door", 1992, NOTHING)
    assert "carpet_main" in caught.value.problems[0].value


def test_a_two_door_of_the_nineties_is_a_list_one_can_walk_round_with() -> None:
    parts = cabin_kinds(TRADE, "two-door", 1992, Known(frozenset({"driver_airbag"})))
    assert 70 <= len(parts) <= 95
    ids = {kind.id for kind, _ in parts}
    assert {"quarter_trim", "wheel_airbag", "headliner_board", "wheel_rim_leather"} <= ids
    assert not ids & {"door_card_r", "seal_door_r", "headliner_bows", "horn_pad", "pass_airbag", "bright_strips"}


@pytest.mark.parametrize(
    ("body", "has", "lacks"),
    [
        ("four-door", {"door_card_r", "parcel_shelf"}, {"quarter_trim", "hood_lining"}),
        ("estate", {"door_card_r", "boot_carpet"}, {"parcel_shelf", "quarter_trim"}),
        ("open", {"hood_lining", "quarter_trim"}, {"headliner_board", "pillar_c", "grab_handle"}),
        ("van", {"cab_back_panel", "load_boards"}, {"rseat_cushion_cover", "parcel_shelf", "boot_carpet"}),
        ("pickup", {"cab_back_panel"}, {"rseat_cushion_cover", "boot_carpet", "load_boards"}),
    ],
)
def test_each_body_has_its_own_parts(body: Body, has: set[str], lacks: set[str]) -> None:
    ids = {kind.id for kind, _ in cabin_kinds(TRADE, body, 1992, NOTHING)}
    assert has <= ids
    assert not lacks & ids


def test_rear_places_are_only_where_there_are_rear_doors_or_seats() -> None:
    insert, mats = TRADE.parts["armrest_door"], TRADE.parts["mats"]
    assert insert.places_on("two-door") == ("driver", "passenger")
    assert insert.places_on("estate") == ("driver", "passenger", "rear_driver", "rear_passenger")
    assert mats.places_on("two-door") == ("driver", "passenger", "rear_driver", "rear_passenger")
    assert mats.places_on("pickup") == ("driver", "passenger")
    assert TRADE.parts["dash_top"].places_on("van") == (None,)
    assert TRADE.parts["parcel_shelf"].places_on("van") == ()


def test_a_car_of_before_airbags_has_a_horn_pad_though_nobody_has_said_so() -> None:
    """Bags from 1985 on count as fitted unless it is known that they are not."""
    old = {kind.id for kind, _ in cabin_kinds(TRADE, "two-door", 1974, UNKNOWN)}
    new = {kind.id for kind, _ in cabin_kinds(TRADE, "two-door", 1992, UNKNOWN)}
    assert "horn_pad" in old
    assert "wheel_airbag" not in old
    assert "horn_pad" not in new
    assert "wheel_airbag" in new


def test_sides() -> None:
    assert facing("driver", ("driver", "passenger")) == ("driver",)
    assert facing("rear_driver", ("driver", "passenger", "rear_driver")) == ("rear_driver",)
    assert facing("driver", (None,)) == (None,)
    assert facing("driver", ("passenger",)) == ("passenger",)
    assert facing(None, ()) == ()


def test_who_belongs_to_whom() -> None:
    there = present(TRADE, "four-door", 1992, NOTHING)
    parts = TRADE.parts
    assert parts["fseat_bolster_outer"].part_of == "fseat_back_cover"
    assert related("driver", ("fseat_back_cover",), there) == ("fseat_back_cover.driver",)
    assert related("passenger", parts["fseat_cushion_cover"].rests_on, there) == ("fseat_foam_c.passenger",)
    assert related(None, parts["headliner_board"].rests_on, there) == ("headliner_base",)
    assert related("rear_driver", parts["door_card_r"].rests_on, there) == (
        "door_board.rear_driver",
        "water_sheet.rear_driver",
    )
    beside = related("rear_driver", parts["armrest_door"].touches, there)
    assert "door_card_r.rear_driver" in beside
    assert "door_card_r.rear_passenger" not in beside
    assert related(None, ("sun_visor",), there) == ("sun_visor.driver", "sun_visor.passenger")


def test_the_order_of_the_manuals() -> None:
    """Workshop manuals: seats, console, sills and lower belt bolts before the carpet; trims before the headliner."""
    steps = removal_steps(TRADE, "two-door", 1992, Known(frozenset({"driver_airbag"})))

    def before(step: str) -> set[str]:
        found: set[str] = set()
        waiting = list(steps[step].requires)
        while waiting:
            each = waiting.pop()
            if each not in found:
                found.add(each)
                waiting += steps[each].requires
        return found

    assert {"fseat_off.driver", "fseat_off.passenger", "console_body", "sill_plate.driver", "battery_off"} <= before(
        "carpet_main"
    )
    assert {"pillar_a.driver", "pillar_c.passenger", "rseat_back_off", "sun_visor.driver"} <= before("headliner_board")
    assert {"wheel_airbag", "battery_off"} <= before("wheel_off")
    assert "wheel_off" in before("wheel_rim_leather")
    assert before("door_card_f.driver") & {"armrest_door.driver", "armrest_door.passenger"} == {"armrest_door.driver"}


def test_a_front_door_is_laid_open_without_touching_the_rear_one() -> None:
    """Common practice, no source: the board, sheet and strips of a door lie under that door's own card."""
    steps = removal_steps(TRADE, "four-door", 2004, NOTHING)
    for kind in ("door_board", "water_sheet", "wiper_strip"):
        assert {each for each in steps[f"{kind}.driver"].requires if "card" in each} == {"door_card_f.driver"}
        rear = {each for each in steps[f"{kind}.rear_driver"].requires if "card" in each}
        assert rear == {"door_card_r.rear_driver"}


def test_what_the_survey_adds_has_its_step() -> None:
    steps = removal_steps(TRADE, "van", 1992, NOTHING, found=[("parcel_shelf", None), ("wheel_rim_hard", None)])
    assert "parcel_shelf" in steps
    assert "wheel_off" in steps["wheel_rim_hard"].requires
