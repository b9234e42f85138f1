from __future__ import annotations

from itertools import pairwise
from time import monotonic

import pytest
from hypothesis import HealthCheck, given, settings
from random_benches import random_bench

from tests.plan.calendar.projects import best_end, projects
from trimwright.errors import NoTimetable
from trimwright.plan.calendar.check import faults
from trimwright.plan.calendar.project import Activity, Holds, Lag, Project, Timetable
from trimwright.plan.calendar.solve import solve

HANDS = (Holds("hands"),)


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(projects())
def test_small_projects_end_as_early_as_a_time_indexed_programme_says(project: Project) -> None:
    best = best_end(project)
    if best is None:
        with pytest.raises(NoTimetable) as none:
            solve(project, seconds=20)
        assert none.value.proven
        return
    found = solve(project, seconds=20)
    assert faults(project, found) == ()
    assert (found.end, found.bound) == (best, best)


def test_nothing_to_do_ends_at_once() -> None:
    found = solve(Project((), (), {}, 10))
    assert (found.end, found.proven) == (0, True)


def test_a_circle_of_waits_is_named() -> None:
    """A coat must wait two for the next, which closes after one."""
    project = Project(
        (Activity("coat", 1), Activity("flash", 2), Activity("next coat", 1)),
        (Lag("coat", "flash"), Lag("flash", "next coat"), Lag("coat", "next coat", 0, most=1)),
        {},
        20,
    )
    with pytest.raises(NoTimetable, match="waits for itself") as none:
        solve(project)
    circle = ("coat", "flash", "next coat")
    turns = [" → ".join((*circle[at:], *circle[:at], circle[at])) for at in range(3)]
    assert any(turn in str(none.value) for turn in turns)
    assert none.value.proven


def test_the_chain_that_does_not_fit_is_named() -> None:
    project = Project(
        (Activity("strip", 4), Activity("dye", 4), Activity("back", 4)),
        (Lag("strip", "dye"), Lag("dye", "back")),
        {},
        10,
    )
    with pytest.raises(NoTimetable, match="strip → dye → back"):
        solve(project)


def test_one_that_holds_more_than_there_is_is_named() -> None:
    with pytest.raises(NoTimetable, match=r"headlining: '5' of rack"):
        solve(Project((Activity("headlining", 1, (Holds("rack", 5),)),), (), {"rack": 4}, 10))


def test_progress_hears_of_every_better_one_and_stop_ends_it() -> None:
    project, heard = random_bench(1), list[Timetable]()
    found = solve(project, seconds=30, progress=heard.append, stop=lambda: bool(heard))
    assert heard[0].seconds < 5
    assert all(one.end > other.end for one, other in pairwise(heard))
    assert found.end <= heard[-1].end
    assert faults(project, found) == ()


def test_a_cabin_is_close_to_its_bound_in_seconds() -> None:
    project = random_bench(2)
    heard: list[Timetable] = []
    found = solve(project, seconds=60, progress=heard.append, stop=lambda: bool(heard) and close(heard[-1]))
    assert faults(project, found) == ()
    assert close(found)


def close(found: Timetable) -> bool:
    """Whether no more than two in a hundred might be won."""
    return found.end - found.bound <= 0.02 * found.end


def test_half_way_through_what_is_made_stays_and_the_rest_is_planned_again() -> None:
    project = random_bench(3)
    before = solve(project, seconds=2)
    now = before.end // 2
    left = tuple(half_made(each, before.starts[each.id], now) for each in project.activities)
    rest = Project(left, project.lags, project.capacity, project.horizon)
    begun = monotonic()
    again = solve(rest, seconds=2, hint=before)
    assert monotonic() - begun < 10  # two on a machine that does nothing else
    assert faults(rest, again) == ()
    assert again.end <= before.end


def half_made(activity: Activity, start: int, now: int) -> Activity:
    """The activity fixed where it was begun, or kept from starting before now."""
    if start < now:
        return Activity(activity.id, activity.length, activity.holds, (), start)
    later = tuple((max(low, now), high) for low, high in activity.starts or ((0, 10**6),) if high >= now)
    return Activity(activity.id, activity.length, activity.holds, later, None, activity.tied_up, activity.group)


def test_what_was_made_at_once_by_one_pair_of_hands_is_no_timetable() -> None:
    both = (Activity("one", 2, HANDS, fixed=0), Activity("other", 2, HANDS, fixed=1))
    with pytest.raises(
        NoTimetable, match="one, other: '1' 2 of hands would be held, there are 1, and all of them are fixed"
    ):
        solve(Project(both, (), {"hands": 1}, 10))


def test_what_finds_no_room_is_named() -> None:
    """Two coats that must follow two others at once, with one pair of hands."""
    names = ("coat a", "next a", "coat b", "next b")
    project = Project(
        tuple(Activity(name, 2, HANDS, fixed=0 if name == "coat a" else None) for name in names),
        (Lag("coat a", "next a", 0, most=1), Lag("coat a", "next b", 0, most=1)),
        {"hands": 1},
        20,
    )
    with pytest.raises(NoTimetable, match=r"next [ab]: finds no time") as none:
        solve(project)
    assert none.value.proven
