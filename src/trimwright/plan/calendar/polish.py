"""What is better under the same end: windows used little, money bound late, few changes; in this order.

A local search: one activity is moved while all others stay, or two neighbouring runs of like work on the hands change
places, and what serves better is kept. So it finds what is near and proves nothing; the end never moves.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from itertools import groupby

from trimwright.plan.calendar.greedy import Placer, Starts, end_of
from trimwright.plan.calendar.network import Network
from trimwright.plan.calendar.project import Project

WHOLE = 1000
"""A window used up to its end, in the sum of windows used."""
ROUNDS = 20
UNPLACED = -1


class Merits:
    """How good the starts are in the three ways that come after the end."""

    def __init__(self, project: Project) -> None:
        number = {each.id: place for place, each in enumerate(project.activities)}
        self.windows = tuple(
            (number[lag.before], number[lag.after], project.activities[number[lag.before]].length + lag.least, width)
            for lag in project.lags
            if lag.most is not None and (width := lag.most - lag.least) > 0
        )
        """Before, after, the least from start to start, and how long it stays open after that."""
        self.money = {place: each.tied_up for place, each in enumerate(project.activities) if each.tied_up}
        self.groups = tuple(each.group for each in project.activities)
        self.lane = hands_of(project)

    def __call__(self, starts: Sequence[int]) -> tuple[int, int, int]:
        """Windows used [thousandths, summed], money bound [minor units × time, negative], changes: less is better."""
        used = sum(
            WHOLE * (starts[after] - starts[before] - least) // width for before, after, least, width in self.windows
        )
        bound = -sum(money * starts[place] for place, money in self.money.items())
        return used, bound, len(self.runs(starts)) - 1

    def runs(self, starts: Sequence[int]) -> list[list[int]]:
        """What the hands do, in its order, cut where the group changes."""
        row = sorted(self.lane, key=starts.__getitem__)
        return [list(run) for _, run in groupby(row, key=self.groups.__getitem__)]

    @property
    def wishes(self) -> bool:
        """Whether there is anything to be better at."""
        return bool(self.movable or self.lane)

    @property
    def movable(self) -> list[int]:
        """What windows or money have a wish for."""
        return sorted({*self.money, *(place for window in self.windows for place in window[:2])})


def hands_of(project: Project) -> tuple[int, ...]:
    """The activities with a group that hold what most of those hold: one pair of hands, as a rule."""
    grouped = [(place, each) for place, each in enumerate(project.activities) if each.group]
    held = Counter(resource for _, each in grouped for resource in sorted({hold.resource for hold in each.holds}))
    if not held:
        return ()
    (hands, _), *_ = held.most_common(1)
    return tuple(place for place, each in grouped if any(hold.resource == hands for hold in each.holds))


def polished(project: Project, network: Network, starts: Sequence[int], stop: Callable[[], bool]) -> Starts:
    """The starts made better under the same end, until nothing near is better or told to stop."""
    merits = Merits(project)
    moving = Moving(network.until(end_of(network, starts)), starts, merits)
    for _ in range(ROUNDS):
        moved = sum(moving.settle(place) for place in merits.movable if not stop())
        for at in range(len(merits.runs(moving.starts)) - 1):
            runs = merits.runs(moving.starts)[at : at + 2]
            if len(runs) == 2 and not stop():
                moved += moving.exchange(*runs)
        if not moved or stop():
            break
    return moving.starts


class Moving:
    """A timetable in which activities are moved."""

    def __init__(self, network: Network, starts: Sequence[int], merits: Merits) -> None:
        self.network, self.merits = network, merits
        self.rooms = Placer(network).rooms
        self.starts: Starts = list(starts)
        self.free = list(self.rooms.free)
        for place, start in enumerate(self.starts):
            self.rooms.take(self.free, place, start)
        self.merit = merits(self.starts)

    def settle(self, place: int) -> bool:
        """Put one as early or as late as the others let it, where that is better."""
        if self.network.fixed[place]:
            return False
        was = self.starts[place]
        self.rooms.give(self.free, place, was)
        low, high = self.leeway(place)
        ends = (self.rooms.next_start(self.free, place, low, high), self.rooms.last_start(self.free, place, low, high))
        best = was
        for start in ends:
            if start is not None:
                self.starts[place] = start
                merit = self.merits(self.starts)
                if merit < self.merit:
                    self.merit, best = merit, start
        self.starts[place] = best
        self.rooms.take(self.free, place, best)
        return best != was

    def exchange(self, one: Sequence[int], other: Sequence[int]) -> bool:
        """Do the second run before the first, where that is better."""
        both = (*other, *one)
        if any(self.network.fixed[place] for place in both):
            return False
        was = [self.starts[place] for place in both]
        self.lift(both)
        if self.put_in_order(both, min(was)) and (merit := self.merits(self.starts)) < self.merit:
            self.merit = merit
            return True
        self.lift([place for place in both if self.starts[place] != UNPLACED])
        for place, start in zip(both, was, strict=True):
            self.starts[place] = start
            self.rooms.take(self.free, place, start)
        return False

    def lift(self, places: Sequence[int]) -> None:
        """Take some out."""
        for place in places:
            self.rooms.give(self.free, place, self.starts[place])
            self.starts[place] = UNPLACED

    def put_in_order(self, places: Sequence[int], start: int) -> bool:
        """Put them back one after the other from `start`; False when one does not fit."""
        for place in places:
            low, high = self.leeway(place)
            found = self.rooms.next_start(self.free, place, max(low, start), high)
            if found is None:
                return False
            self.starts[place] = found
            self.rooms.take(self.free, place, found)
        return True

    def leeway(self, place: int) -> tuple[int, int]:
        """The soonest and the latest start that the others allow by their waits."""
        low = max(self.network.heads[place], *self.waited(self.network.earlier[place], 1), 0)
        high = min(self.network.latest[place], *self.waited(self.network.later[place], -1), self.network.horizon)
        return low, high

    def waited(self, arcs: Sequence[tuple[int, int]], sign: int) -> Iterator[int]:
        """What each of the others that has a start asks for."""
        for other, weight in arcs:
            if self.starts[other] != UNPLACED:
                yield self.starts[other] + sign * weight
