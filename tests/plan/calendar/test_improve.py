from __future__ import annotations

from itertools import count

from hypothesis import given, settings
from random_benches import random_bench

from tests.plan.calendar.projects import projects
from trimwright.errors import NoTimetable
from trimwright.plan.calendar.check import faults
from trimwright.plan.calendar.greedy import Placer, by_rules, end_of
from trimwright.plan.calendar.improve import improve
from trimwright.plan.calendar.network import network_of
from trimwright.plan.calendar.project import Project, Timetable


def bred(project: Project, births: int) -> list[list[int]]:
    """The first start by rule, and what so many births make better."""
    network = network_of(project)
    found: list[list[int]] = []
    by_rules(Placer(network), found.append, lambda: False)
    if found:
        ticks = count()
        better = [found[-1]]
        improve(network, found[-1], seconds=60, found=better.append, stop=lambda: next(ticks) > births)
        return better
    return []


@settings(max_examples=60, deadline=None)
@given(projects())
def test_what_is_bred_keeps_every_rule_and_ends_earlier_each_time(project: Project) -> None:
    try:
        network = network_of(project)
    except NoTimetable:
        return
    ends = []
    for starts in bred(project, 40):
        ends.append(end_of(network, starts))
        assert faults(project, Timetable(dict(zip(network.names, starts, strict=True)), ends[-1], 0)) == ()
    assert ends[1:] == sorted(set(ends[1:]), reverse=True)


def test_the_same_births_breed_the_same_timetables() -> None:
    project = random_bench(7, parts=12)
    assert bred(project, 60) == bred(project, 60)
