from __future__ import annotations

import pytest
from hypothesis import given, settings
from random_benches import random_bench

from tests.plan.calendar.projects import projects
from trimwright.errors import NoTimetable
from trimwright.plan.calendar.bound import least_end
from trimwright.plan.calendar.check import faults
from trimwright.plan.calendar.greedy import Placer, by_rules, end_of, rules
from trimwright.plan.calendar.network import network_of
from trimwright.plan.calendar.project import Activity, Holds, Lag, Project, Timetable


def never() -> bool:
    return False


def timetable(project: Project, starts: list[int]) -> Timetable:
    """The starts under their names."""
    network = network_of(project)
    return Timetable(dict(zip(network.names, starts, strict=True)), end_of(network, starts), 0)


@settings(max_examples=150, deadline=None)
@given(projects())
def test_what_is_placed_keeps_every_rule(project: Project) -> None:
    try:
        network = network_of(project)
    except NoTimetable:
        return
    found: list[list[int]] = []
    by_rules(Placer(network), found.append, never)
    assert all(faults(project, timetable(project, starts)) == () for starts in found)


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_every_rule_places_a_whole_cabin(seed: int) -> None:
    project = random_bench(seed)
    network = network_of(project)
    placer = Placer(network)
    for keys in rules(network).values():
        starts = placer.place(placer.order_by(keys), keys)
        assert starts is not None
        assert faults(project, timetable(project, starts)) == ()


def test_a_coat_waits_for_the_morning_when_the_next_one_would_miss_its_window() -> None:
    """Open from 0 to 8: a coat at 6 would have its next one between 9 and 11, when the shop is shut."""
    day = ((0, 7), (24, 31))
    hands = (Holds("hands"),)
    project = Project(
        (Activity("strip", 6, hands), Activity("coat", 1, hands, day), Activity("next coat", 1, hands, day)),
        (Lag("strip", "coat"), Lag("coat", "next coat", least=2, most=4)),
        {"hands": 1},
        48,
    )
    network = network_of(project)
    placer = Placer(network)
    keys = rules(network)["list"]
    assert placer.place(placer.order_by(keys), keys) == [0, 24, 27]


def test_the_mirror_of_a_mirror_is_the_project() -> None:
    network = network_of(random_bench(4, parts=8))
    twice = network.mirror.mirror
    assert (twice.held, twice.ranges, twice.heads, twice.latest) == (
        network.held,
        network.ranges,
        network.heads,
        network.latest,
    )
    assert [sorted(arcs) for arcs in twice.later] == [sorted(arcs) for arcs in network.later]


@settings(max_examples=100, deadline=None)
@given(projects())
def test_our_own_bound_is_never_above_what_can_be_placed(project: Project) -> None:
    try:
        network = network_of(project)
    except NoTimetable:
        return
    found: list[list[int]] = []
    by_rules(Placer(network), found.append, never)
    if found:
        best = min(end_of(network, starts) for starts in found)
        assert least_end(network, 0, best, never) <= best
