"""Better timetables by breeding: two are crossed where one of them is busy, and every child is pushed right and left.

Pushing all as late as it goes and then as early as it goes closes gaps (forward-backward justification: Li and Willis
1992, Tormos and Lova 2001). The crossing keeps together what one parent packs tightly and takes the rest in the other's
order (after the peak crossover of Valls, Ballestín and Quintanilla 2008).
"""

from __future__ import annotations

from bisect import insort
from collections.abc import Callable, Sequence
from random import Random
from time import monotonic

from trimwright.plan.calendar.greedy import Keys, Placer, Starts, end_of, rules
from trimwright.plan.calendar.network import Network

HERD = 60
"""Timetables kept."""
FIRST_SHARE = 0.25
"""Share of the time in which the first ones are drawn, at most."""
SPREAD = 0.08
"""How far the first ones stray from the rule of the latest start, as a share of the whole."""
STRAY = 0.02
"""Share of a child's activities that are put somewhere near instead."""
ROOM = 1.15
"""How much longer than the best a timetable may be to take part."""
SEED = 1


def improve(
    network: Network,
    starts: Sequence[int],
    *,
    seconds: float,
    found: Callable[[Starts], None],
    stop: Callable[[], bool],
) -> None:
    """Breed from a timetable for so many seconds or until told to stop; tell of every better one."""
    end = end_of(network, starts)
    cut = network.until(min(network.horizon, int(end * ROOM)))
    herd = Herd(cut, Random(SEED), found)
    herd.add(list(starts))
    until, begun = monotonic() + seconds, monotonic()

    def over() -> bool:
        return monotonic() >= until or stop()

    for keys in rules(cut).values():
        if not over():
            herd.born(keys)
    while len(herd.kept) < HERD and monotonic() - begun < FIRST_SHARE * seconds and not over():
        herd.born([latest + herd.random.gauss(0, SPREAD) * end for latest in cut.latest])
    while len(herd.kept) > 1 and not over():
        herd.born(herd.crossed())


class Herd:
    """The timetables that are bred from, the best first."""

    def __init__(self, network: Network, random: Random, found: Callable[[Starts], None]) -> None:
        self.network, self.random, self.found = network, random, found
        self.forwards, self.backwards = Placer(network), Placer(network.mirror)
        self.kept: list[tuple[int, Starts]] = []
        self.seen: set[tuple[int, ...]] = set()
        self.load = [sum(one.amount / network.capacity[one.resource] for one in held) for held in network.held]
        """How much of the rooms each activity takes at once."""

    def born(self, keys: Keys) -> None:
        """Place by the keys, push right and left, and keep what is good enough."""
        child = self.forwards.place(self.forwards.order_by(keys), keys)
        if child is not None:
            self.add(self.justified(child))

    def add(self, child: Starts) -> None:
        """Keep the child in place of one that is no better, and tell when it is the best."""
        end, mark = end_of(self.network, child), tuple(child)
        if mark in self.seen:
            return
        if not self.kept or end < self.kept[0][0]:
            self.found(child)
        if len(self.kept) >= HERD:
            worse = max(self.random.randrange(HERD) for _ in range(3))
            if self.kept[worse][0] < end:
                return
            del self.kept[worse]
        self.seen.add(mark)
        insort(self.kept, (end, child), key=lambda each: each[0])

    def justified(self, starts: Starts) -> Starts:
        """Everything as late as it goes under the same end, then as early as it goes; the same when that is longer."""
        network, mirror = self.network, self.backwards.network
        end = end_of(network, starts)
        ends = [-float(start + length) for start, length in zip(starts, network.lengths, strict=True)]
        late = self.backwards.place(self.backwards.order_in_time(ends), ends, start=mirror.horizon - end)
        if late is None:
            return starts
        keys = [float(mirror.horizon - each - length) for each, length in zip(late, network.lengths, strict=True)]
        early = self.forwards.place(self.forwards.order_in_time(keys), keys, last=end)
        return starts if early is None else early

    def crossed(self) -> Keys:
        """The order of one parent, except that what the other packs tightly stays together."""
        (end, mother), (_, father) = self.parent(), self.parent()
        place = sorted(range(len(father)), key=father.__getitem__)
        keys = [0.0] * len(father)
        for at, activity in enumerate(place):
            keys[activity] = float(at)
        for together in self.busy(mother):
            middle = sum(keys[each] for each in together) / len(together)
            first = min(mother[each] for each in together)
            for each in together:
                keys[each] = middle + (mother[each] - first) / (end + 1)
        far = len(keys) / 6
        return [key + self.random.uniform(-far, far) if self.random.random() < STRAY else key for key in keys]

    def parent(self) -> tuple[int, Starts]:
        """The better of two that are drawn."""
        return self.kept[min(self.random.randrange(len(self.kept)) for _ in range(2))]

    def busy(self, starts: Starts) -> list[list[int]]:
        """The activities of each stretch in which more of the rooms is taken than at most other times."""
        lengths = self.network.lengths
        moments = sorted({0, *starts, *(start + length for start, length in zip(starts, lengths, strict=True))})
        change = dict.fromkeys(moments, 0.0)
        for start, length, load in zip(starts, lengths, self.load, strict=True):
            change[start] += load
            change[start + length] -= load
        levels, level = list[float](), 0.0
        for moment in moments:
            level += change[moment]
            levels.append(level)
        bar = sorted(levels)[int(len(levels) * self.random.uniform(0.3, 0.8))]
        stretch, stretches = 0, dict[int, int]()
        for moment, height in zip(moments, levels, strict=True):
            stretch += height < bar
            stretches[moment] = stretch if height >= bar else -1
        found: dict[int, list[int]] = {}
        for activity, start in enumerate(starts):
            if stretches[start] >= 0:
                found.setdefault(stretches[start], []).append(activity)
        return [each for each in found.values() if len(each) > 1]
