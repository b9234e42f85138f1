from __future__ import annotations

import pytest
from hypothesis import given, settings
from random_benches import random_bench

from tests.plan.calendar.projects import projects
from trimwright.errors import NoTimetable
from trimwright.plan.calendar.check import faults
from trimwright.plan.calendar.greedy import Placer, by_rules, end_of
from trimwright.plan.calendar.network import network_of
from trimwright.plan.calendar.polish import Merits, polished
from trimwright.plan.calendar.project import Activity, Holds, Lag, Project, Timetable

HANDS = (Holds("hands"),)


def never() -> bool:
    return False


@settings(max_examples=100, deadline=None)
@given(projects())
def test_polishing_breaks_no_rule_and_worsens_nothing(project: Project) -> None:
    try:
        network = network_of(project)
    except NoTimetable:
        return
    found: list[list[int]] = []
    by_rules(Placer(network), found.append, never)
    merits = Merits(project)
    for starts in found:
        better = polished(project, network, starts, never)
        end = end_of(network, better)
        assert end <= end_of(network, starts)
        assert merits(better) <= merits(starts)
        assert faults(project, Timetable(dict(zip(network.names, better, strict=True)), end, 0)) == ()


def test_money_is_bound_as_late_as_the_end_allows() -> None:
    project = Project(
        (Activity("work", 10, HANDS), Activity("delivery", 3, tied_up=100), Activity("fit", 2, HANDS)),
        (Lag("work", "fit"), Lag("delivery", "fit")),
        {"hands": 1},
        30,
    )
    assert polished(project, network_of(project), [0, 0, 10], never) == [0, 7, 10]


def test_a_window_is_used_as_little_as_the_end_allows() -> None:
    """Both coats can be made anywhere before the end at 20; the second follows as soon as it may."""
    project = Project(
        (Activity("coat", 1, HANDS), Activity("next coat", 1, HANDS), Activity("delivery", 20)),
        (Lag("coat", "next coat", least=2, most=12),),
        {"hands": 1},
        30,
    )
    coat, second, _ = polished(project, network_of(project), [0, 9, 0], never)
    assert second - coat == 3


def test_like_work_is_done_in_a_row() -> None:
    names = ("car", "bench", "car", "bench")
    project = Project(
        tuple(Activity(f"{group} {at}", 2, HANDS, group=group) for at, group in enumerate(names)), (), {"hands": 1}, 8
    )
    merits = Merits(project)
    starts = [0, 2, 4, 6]
    assert merits(starts)[2] == 3
    assert merits(polished(project, network_of(project), starts, never))[2] == 1


@pytest.mark.parametrize("seed", [1, 2])
def test_a_cabin_gains_in_every_way(seed: int) -> None:
    project = random_bench(seed)
    network = network_of(project)
    found: list[list[int]] = []
    by_rules(Placer(network), found.append, never)
    starts = min(found, key=lambda each: end_of(network, each))
    merits = Merits(project)
    before, after = merits(starts), merits(polished(project, network, starts, never))
    assert all(one < other for one, other in zip(after, before, strict=True))
