"""How early everything could end at best, without a solver: by waits and allowed starts, and by the work in the rooms.

An end is ruled out when its waits leave some activity no start, or when what must be done between two moments is more
work than the open time of a room holds. Closed hours need no mention in the project: a room is shut whenever no
activity that holds it may.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Sequence
from itertools import accumulate

from trimwright.errors import NoTimetable
from trimwright.plan.calendar.network import Network

Spans = list[tuple[int, int]]


def least_end(network: Network, known: int, end: int, stop: Callable[[], bool]) -> int:
    """The best bound found between `known`, before which nothing ends, and `end`, at which something does."""
    low, high = known, end
    while low < high and not stop():
        middle = (low + high) // 2
        if ruled_out(network, middle):
            low = middle + 1
        else:
            high = middle
    return low


def ruled_out(network: Network, end: int) -> bool:
    """Whether waits, starts or work show that not everything ends by then."""
    try:
        cut = network.until(end)
    except NoTimetable:
        return True
    shut = closed(cut)
    return any(too_much(cut, resource, spans) for resource, spans in shut.items())


def closed(network: Network) -> dict[int, Spans]:
    """For each resource that is held at all, the times at which no activity's allowed starts let it be held."""
    spans: dict[int, Spans] = {}
    for place, held in enumerate(network.held):
        for one in held:
            mine = spans.setdefault(one.resource, [])
            for low, high in network.ranges[place]:
                low, high = max(low, network.heads[place]), min(high, network.latest[place])
                if low <= high:
                    mine.append((low + one.begins, high + one.begins + one.length))
    return {resource: between(each, network.horizon) for resource, each in spans.items()}


def between(spans: Spans, last: int) -> Spans:
    """What lies between the spans, from 0 to `last`."""
    found, at = [], 0
    for start, end in sorted(spans):
        if start > at:
            found.append((at, min(start, last)))
        at = max(at, end)
    found.append((at, last))
    return [(start, end) for start, end in found if start < end]


def too_much(network: Network, resource: int, shut: Spans) -> bool:
    """Whether some stretch of time holds less of the room than must be done in it."""
    capacity = network.capacity[resource]
    tasks = sorted(
        (
            network.latest[place] + one.begins + one.length,
            network.heads[place] + one.begins,
            one.amount * one.length,
        )
        for place, held in enumerate(network.held)
        for one in held
        if one.resource == resource
    )
    if sum(work for _, _, work in tasks) <= 0:
        return False
    opened = Opened(shut)
    until = [opened(due) * capacity for due, _, _ in tasks]
    for head in sorted({head for _, head, _ in tasks}):
        already = opened(head) * capacity
        works = accumulate(work if mine >= head else 0 for _, mine, work in tasks)
        if any(work > room - already for work, room in zip(works, until, strict=True) if work):
            return True
    return False


class Opened:
    """How much time before a moment a room is open."""

    def __init__(self, shut: Sequence[tuple[int, int]]) -> None:
        self.shut = shut
        self.starts = [start for start, _ in shut]
        self.sums = [0, *accumulate(end - start for start, end in shut)]

    def __call__(self, moment: int) -> int:
        """Open time from 0 to the moment."""
        place = bisect_right(self.starts, moment)
        past = self.sums[place]
        if place:
            past -= max(0, self.shut[place - 1][1] - moment)
        return moment - past
