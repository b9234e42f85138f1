from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from tests.plan.calendar.projects import projects
from trimwright.errors import NoTimetable
from trimwright.plan.calendar.network import Network, network_of
from trimwright.plan.calendar.project import Activity, Holds, Project
from trimwright.plan.calendar.rooms import Rooms


def by_counting(network: Network, starts: dict[int, int], activity: int, low: int, high: int) -> list[int]:
    """Every start from low to high that is allowed and fits, counted moment by moment."""
    held: dict[tuple[int, int], int] = {}
    for place, start in starts.items():
        for one in network.held[place]:
            for moment in range(start + one.begins, start + one.begins + one.length):
                held[one.resource, moment] = held.get((one.resource, moment), 0) + one.amount
    return [
        start
        for start in range(low, high + 1)
        if any(first <= start <= last for first, last in network.ranges[activity])
        and all(
            held.get((one.resource, moment), 0) + one.amount <= network.capacity[one.resource]
            for one in network.held[activity]
            for moment in range(start + one.begins, start + one.begins + one.length)
        )
    ]


@settings(max_examples=150, deadline=None)
@given(projects(windows=False, fixed=False), st.data(), st.booleans())
def test_the_first_and_the_last_start_are_those_that_counting_finds(
    project: Project, data: st.DataObject, backwards: bool
) -> None:
    try:
        network = network_of(project)
    except NoTimetable:
        return
    network = network.mirror if backwards else network
    rooms = Rooms(network)
    free, starts = list(rooms.free), dict[int, int]()
    for place in range(len(network.names) - 1):
        fits = by_counting(network, starts, place, 0, network.horizon - network.lengths[place])
        if fits:
            starts[place] = data.draw(st.sampled_from(fits))
            rooms.take(free, place, starts[place])
    activity = len(network.names) - 1
    low = data.draw(st.integers(0, network.horizon))
    high = data.draw(st.integers(low, network.horizon)) - network.lengths[activity]
    fits = by_counting(network, starts, activity, low, high)
    assert rooms.next_start(free, activity, low, high) == (fits[0] if fits else None)
    assert rooms.last_start(free, activity, low, high) == (fits[-1] if fits else None)
    for place, start in starts.items():
        rooms.give(free, place, start)
    assert free == list(rooms.free)


def test_a_gap_weeks_away_is_found_both_ways() -> None:
    """One pair of hands that is busy for a month: what fits into no gap before it comes after it, and the other way."""
    month = 30 * 1440
    project = Project(
        (Activity("long", month, (Holds("hands"),)), Activity("short", 10, (Holds("hands"),))),
        (),
        {"hands": 1},
        2 * month,
    )
    rooms = Rooms(network_of(project))
    free = list(rooms.free)
    rooms.take(free, 0, 5)
    assert rooms.next_start(free, 1, 0, 2 * month) == month + 5
    assert rooms.last_start(free, 1, 0, month + 4) is None
    rooms.give(free, 0, 5)
    rooms.take(free, 0, 15)
    assert rooms.last_start(free, 1, 0, month + 14) == 5


def test_rooms_often_held_together_share_one_number() -> None:
    both = (Holds("hands"), Holds("bench", 2))
    project = Project((Activity("a", 3, both), Activity("b", 2, both)), (), {"hands": 1, "bench": 3}, 10)
    rooms = Rooms(network_of(project))
    assert len(rooms.numbers) == 1
    free = list(rooms.free)
    rooms.take(free, 0, 1)
    assert rooms.next_start(free, 1, 0, 8) == 4
