from __future__ import annotations

from dataclasses import replace

import pytest

from trimwright.plan.calendar.check import Rule, faults
from trimwright.plan.calendar.project import Activity, Holds, Lag, Project, Timetable

COAT = Activity("coat", 2, (Holds("hands"), Holds("rack", 3, after=4)), starts=((0, 3), (10, 13)))
SECOND = Activity("second coat", 2, (Holds("hands"), Holds("rack", 3)), starts=((0, 3), (10, 13)))
STRIP = Activity("strip", 1, (Holds("hands"),), fixed=0)
PROJECT = Project(
    activities=(STRIP, COAT, SECOND),
    lags=(Lag("strip", "coat"), Lag("coat", "second coat", least=4, most=9)),
    capacity={"hands": 1, "rack": 5},
    horizon=20,
)
GOOD = Timetable({"strip": 0, "coat": 3, "second coat": 10}, end=12, bound=12)


def test_a_good_timetable_has_no_fault() -> None:
    assert faults(PROJECT, GOOD) == ()


BROKEN: dict[Rule, Timetable] = {
    "missing": replace(GOOD, starts={"strip": 0, "coat": 3}, end=5, bound=5),
    "unknown": replace(GOOD, starts={**GOOD.starts, "third coat": 13}),
    "moved": replace(GOOD, starts={**GOOD.starts, "strip": 1}),
    "not then": replace(GOOD, starts={**GOOD.starts, "second coat": 9}, end=11, bound=11),
    "too soon": replace(GOOD, starts={"strip": 0, "coat": 10, "second coat": 13}, end=15),
    "too late": replace(GOOD, starts={"strip": 0, "coat": 1, "second coat": 13}, end=15),
    "horizon": replace(GOOD, starts={"strip": -1, "coat": 3, "second coat": 10}),
    "end": replace(GOOD, end=13),
    "bound": replace(GOOD, bound=13),
}


@pytest.mark.parametrize("rule", BROKEN)
def test_each_broken_rule_is_found(rule: Rule) -> None:
    assert rule in {fault.rule for fault in faults(PROJECT, BROKEN[rule])}


def test_two_that_need_the_same_hands_at_once() -> None:
    alone = Project(PROJECT.activities[1:], (), PROJECT.capacity, 20)
    (fault,) = faults(alone, Timetable({"coat": 0, "second coat": 1}, end=3, bound=3))[:1]
    assert fault.rule == "too much"
    assert set(fault.activities) == {"coat", "second coat"}
    assert fault.at == 1


def test_a_rack_is_held_while_the_coat_dries() -> None:
    """Hands are free again at 2, the rack only at 6: 3 and 3 do not go on a rack of 5."""
    alone = Project(PROJECT.activities[1:], (), PROJECT.capacity, 20)
    found = faults(alone, Timetable({"coat": 0, "second coat": 3}, end=5, bound=5))
    assert [fault.rule for fault in found] == ["too much"]
    wider = replace(alone, capacity={"hands": 1, "rack": 6})
    assert faults(wider, Timetable({"coat": 0, "second coat": 3}, end=5, bound=5)) == ()


def test_what_is_given_back_is_free_at_that_moment() -> None:
    alone = Project((replace(COAT, starts=()), replace(SECOND, starts=())), (), PROJECT.capacity, 20)
    assert faults(alone, Timetable({"coat": 0, "second coat": 6}, end=8, bound=8)) == ()


def test_a_fault_says_what_is_wrong() -> None:
    (fault,) = faults(PROJECT, replace(GOOD, starts={"strip": 0, "coat": 1, "second coat": 13}, end=15))
    assert str(fault) == "coat, second coat at 13: waits 10, at most 9 is allowed"
