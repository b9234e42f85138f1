"""A timetable at once: blocks in a priority order, each at the first time that its waits and the rooms allow.

What one window ties together (a coat and the next one) is placed as a block; where it does not fit, the activity that
held it too early is moved later and the block begun again (the unscheduling step of Franck, Neumann and Schwindt 2001).
"""

from __future__ import annotations

import heapq
from collections.abc import Callable, Sequence
from functools import cached_property

from trimwright.plan.calendar.network import Network
from trimwright.plan.calendar.rooms import Rooms

Starts = list[int]
Keys = Sequence[float]
TRIES = 400
"""How often a block is begun again before the order is given up."""
URGED = 30
"""How often the whole is begun again with what did not fit put first."""


class Placer:
    """Places a network's activities in any order; keeps what does not change between orders."""

    def __init__(self, network: Network) -> None:
        self.network = network
        self.rooms = Rooms(network)
        self.tied = [len(block) > 1 for block in network.blocks]
        self.stuck = -1
        """The activity for which the last order found no room."""

    @cached_property
    def between(self) -> dict[int, dict[int, int]]:
        """The longest path between any two of a block: between[i][j] is how much later j starts than i, at least."""
        found: dict[int, dict[int, int]] = {}
        for block, tied in zip(self.network.blocks, self.tied, strict=True):
            if tied:
                found.update(longest_paths(self.network, block))
        return found

    @cached_property
    def apart(self) -> tuple[tuple[int, ...], ...]:
        """The blocks that each block waits for, by number."""
        block_of = self.network.block_of
        found: list[set[int]] = [set() for _ in self.network.blocks]
        for one, others in enumerate(self.network.later):
            for other, _ in others:
                if block_of[one] != block_of[other]:
                    found[block_of[other]].add(block_of[one])
        return tuple(tuple(each) for each in found)

    @cached_property
    def followers(self) -> tuple[tuple[int, ...], ...]:
        """The blocks that wait for each block, by number."""
        found: list[list[int]] = [[] for _ in self.apart]
        for block, before in enumerate(self.apart):
            for each in before:
                found[each].append(block)
        return tuple(tuple(each) for each in found)

    @cached_property
    def held_first(self) -> tuple[int, ...]:
        """What is fixed."""
        return tuple(place for place, fixed in enumerate(self.network.fixed) if fixed)

    def order_by(self, keys: Keys) -> list[int]:
        """The blocks by their smallest key, none before one that it waits for."""
        smallest = [min(keys[each] for each in block) for block in self.network.blocks]
        left = [len(each) for each in self.apart]
        ready = [(smallest[block], block) for block, count in enumerate(left) if not count]
        heapq.heapify(ready)
        order = []
        while ready:
            _, block = heapq.heappop(ready)
            order.append(block)
            for other in self.followers[block]:
                left[other] -= 1
                if not left[other]:
                    heapq.heappush(ready, (smallest[other], other))
        return order

    @cached_property
    def steps(self) -> bool:
        """Whether nothing starts before what it waits for, so that an order in time keeps every wait."""
        return not any(self.tied) and all(weight >= 0 for arcs in self.network.later for _, weight in arcs)

    def order_in_time(self, starts: Sequence[float]) -> list[int]:
        """The blocks as a timetable has them."""
        if not self.steps:
            return self.order_by(starts)
        first = [starts[block[0]] for block in self.network.blocks]
        return sorted(range(len(first)), key=first.__getitem__)  # what starts at once stays in the blocks' order

    def place(
        self, order: Sequence[int], keys: Keys | None = None, *, start: int = 0, last: int | None = None
    ) -> Starts | None:
        """A start for every activity, or nothing when one finds no room by `last`; then `stuck` names it.

        `start` is a time before which nothing that is not fixed starts; `last` the latest end allowed.
        """
        network, rooms = self.network, self.rooms
        free, starts = list(rooms.free), [-1] * len(network.names)
        for each in self.held_first:
            if rooms.next_start(free, each, network.ranges[each][0][0], network.ranges[each][0][0]) is None:
                self.stuck = each
                return None
            rooms.take(free, each, network.ranges[each][0][0])
            starts[each] = network.ranges[each][0][0]
        last = network.horizon if last is None else last
        heads, latest, lengths = network.heads, network.latest, network.lengths
        earlier, later = network.earlier, network.later
        next_start, take, tied, blocks = rooms.next_start, rooms.take, self.tied, network.blocks
        check_later = bool(self.held_first)
        for number in order:
            if tied[number]:
                if not self.place_block(blocks[number], keys, free, starts, start, last):
                    return None
                continue
            activity = blocks[number][0]
            if starts[activity] >= 0:
                continue
            soonest, must = heads[activity], min(latest[activity], last - lengths[activity])
            soonest = max(soonest, start)
            for before, weight in earlier[activity]:
                soonest = max(soonest, starts[before] + weight)
            if check_later:
                for after, weight in later[activity]:
                    if starts[after] >= 0 and starts[after] - weight < must:
                        must = starts[after] - weight
            found = next_start(free, activity, soonest, must)
            if found is None:
                self.stuck = activity
                return None
            take(free, activity, found)
            starts[activity] = found
        return starts

    def place_block(
        self, block: Sequence[int], keys: Keys | None, free: list[int], starts: Starts, start: int, last: int
    ) -> bool:
        """Place what is tied together; False when it does not fit."""
        network, inside = self.network, set(block)
        floor, ceiling = dict[int, int](), dict[int, int]()
        for each in block:
            if starts[each] >= 0:
                continue
            before = [starts[one] + weight for one, weight in network.earlier[each] if one not in inside]
            after = [
                starts[one] - weight for one, weight in network.later[each] if one not in inside and starts[one] >= 0
            ]
            floor[each] = max([start, network.heads[each], *before])
            ceiling[each] = min([network.latest[each], last - network.lengths[each], *after])
        for _ in range(TRIES):
            too_soon = self.tried(block, keys, free, starts, floor, ceiling)
            if too_soon is None:
                return True
            for each in floor:
                if starts[each] >= 0:
                    self.rooms.give(free, each, starts[each])
                    starts[each] = -1
            if not too_soon:
                return False
            floor.update(too_soon)
        return False

    def tried(
        self,
        block: Sequence[int],
        keys: Keys | None,
        free: list[int],
        starts: Starts,
        floor: dict[int, int],
        ceiling: dict[int, int],
    ) -> dict[int, int] | None:
        """One go at a block: nothing when it is placed, else what must start later, and how much; empty = hopeless."""
        between, rooms = self.between, self.rooms
        soonest, must = dict(floor), dict(ceiling)
        for one in block:
            if starts[one] >= 0:
                tighten(between, one, starts[one], soonest, must)
        waiting = set(floor)
        while waiting:
            each = min(waiting, key=lambda one: (soonest[one], keys[one] if keys else one))
            found = rooms.next_start(free, each, soonest[each], must[each])
            if found is None:
                self.stuck = each
                found = rooms.next_start(free, each, soonest[each], ceiling[each])
                if found is None:
                    return {}
                lags = between[each]
                return {one: found + lags[one] for one in floor if one in lags and 0 <= starts[one] < found + lags[one]}
            waiting.discard(each)
            rooms.take(free, each, found)
            starts[each] = found
            tighten(between, each, found, soonest, must)
        return None


def tighten(
    between: dict[int, dict[int, int]], one: int, start: int, soonest: dict[int, int], must: dict[int, int]
) -> None:
    """What a start of one of a block means for the others."""
    for other, weight in between[one].items():
        if other in soonest and start + weight > soonest[other]:
            soonest[other] = start + weight
    for other in soonest:
        lag = between[other].get(one)
        if lag is not None and start - lag < must[other]:
            must[other] = start - lag


def longest_paths(network: Network, block: Sequence[int]) -> dict[int, dict[int, int]]:
    """The longest path between any two activities of a block (Floyd and Warshall)."""
    inside = set(block)
    found = {one: {other: weight for other, weight in network.later[one] if other in inside} for one in block}
    for middle in block:
        onward = found[middle]
        for one in block:
            first = found[one].get(middle)
            if one == middle or first is None:
                continue
            row = found[one]
            for other, weight in onward.items():
                if other != one and first + weight > row.get(other, first + weight - 1):
                    row[other] = first + weight
    return found


def rules(network: Network) -> dict[str, list[float]]:
    """The priority rules by name: the smaller an activity's key, the sooner it is placed."""
    count = len(network.names)
    work = [
        network.lengths[place] * sum(one.amount / network.capacity[one.resource] for one in network.held[place])
        for place in range(count)
    ]
    after = list(work)
    for block in reversed(network.blocks):
        for one in block:
            after[one] = work[one] + sum(after[other] for other, weight in network.later[one] if weight > 0)
    return {
        "latest start": [float(each) for each in network.latest],
        "latest end": [float(start + length) for start, length in zip(network.latest, network.lengths, strict=True)],
        "most work after it": [-each for each in after],
        "least slack": [float(late - head) for late, head in zip(network.latest, network.heads, strict=True)],
        "most that wait for it": [-float(sum(weight > 0 for _, weight in each)) for each in network.later],
        "list": [float(each) for each in range(count)],
    }


def end_of(network: Network, starts: Sequence[int]) -> int:
    """When the last activity ends."""
    return max((start + length for start, length in zip(starts, network.lengths, strict=True)), default=0)


def by_rules(placer: Placer, found: Callable[[Starts], object], stop: Callable[[], bool]) -> None:
    """Tell of a timetable for every rule; when none fits, what was stuck is urged forward and all is begun again."""
    any_fits = False
    for keys in rules(placer.network).values():
        starts = placer.place(placer.order_by(keys), keys)
        if starts is not None:
            found(starts)
            any_fits = True
        if any_fits and stop():
            return
    if not any_fits and (starts := urged(placer, stop)) is not None:
        found(starts)


def urged(placer: Placer, stop: Callable[[], bool]) -> Starts | None:
    """Begin again and again, each time with what was stuck, and what it waits for, further in front."""
    network = placer.network
    keys = [float(each) for each in network.latest]
    span = max(1.0, max(keys, default=0.0) / 10)
    for _ in range(URGED):
        found = placer.place(placer.order_by(keys), keys)
        if found is not None or stop():
            return found
        front = {placer.stuck}
        waiting = [placer.stuck]
        while waiting:
            for before, weight in network.earlier[waiting.pop()]:
                if before not in front and weight > 0:
                    front.add(before)
                    waiting.append(before)
        for each in front:
            keys[each] -= span
    return None
