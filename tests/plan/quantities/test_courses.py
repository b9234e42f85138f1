"""Courses: closed under what they need first, in order; mends together, one refinish; nothing that no plan needs."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.plan.quantities.cabins import TRADE, course, option, part, quantities_of
from trimwright.errors import BadInput
from trimwright.plan.quantities.cabin import LEAVE, Course
from trimwright.plan.quantities.dominance import beats, undominated

LEATHER = sorted(fault.id for fault in TRADE.faults.values() if "leather" in fault.materials and not fault.stops)
leather_faults = st.lists(st.sampled_from(LEATHER), min_size=1, max_size=5, unique=True)


@settings(max_examples=40, deadline=None)
@given(faults=leather_faults, extent=st.sampled_from(("light", "medium", "heavy")))
def test_every_course_is_closed_ordered_and_has_one_refinish(faults: list[str], extent: str) -> None:
    seat = part("rseat_cushion_cover", "leather", 3, *(f"{each} {extent}" for each in faults), colour="red")
    options = option(quantities_of(seat), "rseat_cushion_cover")
    assert options.courses[0].id == LEAVE
    assert len({each.id for each in options.courses}) == len(options.courses)
    for each in options.courses:
        assert each.id.split("~")[0] == ("+".join(each.treatments) or LEAVE)
        for at, treatment in enumerate(each.treatments):
            for first in TRADE.treatments[treatment].first:
                if first.if_fault in (None, *faults) and first.if_material in (None, "leather"):
                    assert first.treatment in each.treatments[:at]
        kinds = [TRADE.treatments[treatment].kind for treatment in each.treatments]
        assert sum(kind in ("refinish", "re-cover", "fit used", "fit new", "send out") for kind in kinds) <= 1


@settings(max_examples=25, deadline=None)
@given(faults=leather_faults)
def test_what_is_left_is_not_beaten(faults: list[str]) -> None:
    seat = part("rseat_cushion_cover", "leather", 3, *(f"{each} medium" for each in faults), colour="red")
    courses = option(quantities_of(seat), "rseat_cushion_cover").courses[1:]
    assert not [(one.id, other.id) for one in courses for other in courses if one is not other and beats(one, other)]


def _course(**changes: object) -> Course:
    plain = Course(
        id="a", part="p", name="a", kind="mend", treatments=("a",), finish_at=(6,), points_at=(600,), redo_at=(0.1,),
        bears=10, life_years=2, kept=0.9, look="original", minutes=60,
    )  # fmt: skip
    return replace(plain, **changes)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    "better",
    [
        {"minutes": 61}, {"finish_at": (7,)}, {"look": "recoloured"}, {"points_at": (599,)}, {"redo_at": (0.2,)},
        {"kept": 0.8}, {"once": ("tool:x",)}, {"steps": ("s",)}, {"finds": ("f",)}, {"redo_money": 1},
        {"life_years": 1},
    ],
)  # fmt: skip
def test_needing_more_of_one_thing_saves_the_other_course(better: dict[str, object]) -> None:
    """`one` is worse in one respect (or different in finish or look), so it does not beat the plain course."""
    assert beats(_course(), _course(id="b"))
    assert not beats(_course(**better), _course(id="b"))


def test_pinned_courses_and_leaving_are_never_dropped() -> None:
    leave, worse = _course(id=LEAVE, minutes=0), _course(id="b", minutes=90)
    assert [each.id for each in undominated([leave, _course(), worse])] == [LEAVE]
    assert [each.id for each in undominated([leave, _course(), replace(worse, pinned=True)])] == [LEAVE, "b"]


def test_a_whole_settles_its_children_only_when_it_replaces_them() -> None:
    """A new cover of the backrest has a new bolster; colour on the backrest leaves the bolster to itself."""
    back = part("fseat_back_cover", "leather", 4, "L_faded heavy", place="driver", colour="red")
    bolster = part("fseat_bolster_outer", "leather", 3, "L_worn medium", place="driver", colour="red")
    quantities = quantities_of(back, bolster)
    assert option(quantities, "fseat_bolster_outer").child_of == "fseat_back_cover"
    recovered = course(quantities, "fseat_back_cover", "leather_recover")
    assert recovered.settles == {"fseat_bolster_outer": 9}
    assert not course(quantities, "fseat_back_cover", "leather_recolour").settles
    alone = course(quantities_of(back), "fseat_back_cover", "leather_recover")
    assert recovered.points_at[0] > alone.points_at[0]
    assert recovered.needs == alone.needs
    kept_as_it_is = quantities_of(back, bolster, wishes={"leave_alone": ["fseat_bolster_outer"]})
    assert not any(each.settles for each in option(kept_as_it_is, "fseat_back_cover").courses)


def test_leave_alone_and_must_do() -> None:
    shelf = part("glovebox", "plastic", 4, "P_tab medium")
    left = option(quantities_of(shelf, wishes={"leave_alone": ["glovebox"]}), "glovebox").courses
    assert [each.id for each in left] == [LEAVE]
    done = option(quantities_of(shelf, wishes={"must_do": ["glovebox"]}), "glovebox").courses
    assert done
    assert all(each.id != LEAVE for each in done)


def test_bans_take_courses_away_and_pins_mark_them() -> None:
    seat = part("rseat_cushion_cover", "leather", 4, "L_faded medium", "L_cracked light", colour="red")
    banned = option(quantities_of(seat | {"bans": ["leather_recolour"]}), "rseat_cushion_cover").courses
    assert not any("leather_recolour" in each.treatments for each in banned)
    pinned = option(quantities_of(seat | {"pin": "leather_recover"}), "rseat_cushion_cover").courses
    assert [each.id for each in pinned if each.pinned] == ["leather_recover"]
    exact = next(each.id for each in pinned if each.id.endswith("leather_recolour"))
    by_id = option(quantities_of(seat | {"pin": exact}), "rseat_cushion_cover").courses
    assert [each.id for each in by_id if each.pinned] == [exact]


def test_a_pin_that_means_no_course_lists_those_there_are() -> None:
    seat = part("rseat_cushion_cover", "leather", 4, "L_faded medium", colour="red", pin="carpet_wash")
    with pytest.raises(BadInput) as refused:
        quantities_of(seat, part("glovebox", "plastic", 4, "P_tab medium", pin="wood_polish"))
    assert [each.where for each in refused.value.problems] == [
        "parts › rseat_cushion_cover › pin",
        "parts › glovebox › pin",
    ]
    assert "leather_recover" in refused.value.problems[0].way_out


def test_another_part_is_looked_for_only_when_this_one_is_worn_out() -> None:
    """Common practice, no source: nobody buys a door card for a few marks; an offer says somebody looked."""
    fair = part("glovebox", "plastic", 6, "P_scratch medium")
    bought = {"fit used", "fit new"}
    assert not any(each.kind in bought for each in option(quantities_of(fair), "glovebox").courses)
    offer = {"source": "used", "low": 1000, "likely": 2000, "high": 3000}
    offered = option(quantities_of(fair | {"offers": [offer]}), "glovebox").courses
    assert {each.kind for each in offered} & bought == {"fit used"}
    worn = part("glovebox", "plastic", 3, "P_scratch heavy")
    assert any(each.kind == "fit new" for each in option(quantities_of(worn), "glovebox").courses)
