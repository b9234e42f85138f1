"""A bare project as columns of numbers: who waits for whom, from when until when each may start, what belongs together.

An arc (i, j, w) says: j starts at least w after i has started. A wait's least is an arc forwards, its most one back.
A block is what arcs tie together both ways: its activities are placed together or not at all.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections import defaultdict, deque
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from operator import itemgetter

from trimwright.errors import NoTimetable, Problem
from trimwright.plan.calendar.check import of_capacity
from trimwright.plan.calendar.project import Activity, Project

Arcs = tuple[tuple[tuple[int, int], ...], ...]
"""For each activity, pairs of another one and a weight."""
Ranges = tuple[tuple[int, int], ...]
START_OF_RANGE, END_OF_RANGE = itemgetter(0), itemgetter(1)


@dataclass(frozen=True, slots=True)
class Held:
    """So much of a resource, from `begins` past the activity's start, for `length`."""

    resource: int
    amount: int
    begins: int
    length: int


@dataclass(frozen=True)
class Network:
    """The same problem as a `Project`, by numbers instead of names."""

    names: tuple[str, ...]
    lengths: tuple[int, ...]
    held: tuple[tuple[Held, ...], ...]
    ranges: tuple[Ranges, ...]
    """When each may start; one that is fixed has a single range of a single moment."""
    fixed: tuple[bool, ...]
    later: Arcs
    """later[i] holds (j, w): j starts at least w after i's start."""
    capacity: tuple[int, ...]
    horizon: int
    heads: tuple[int, ...]
    """Nothing starts earlier, by waits and allowed starts alone."""
    latest: tuple[int, ...]
    """Nothing starts later, by waits and allowed starts alone."""

    @cached_property
    def earlier(self) -> Arcs:
        """earlier[j] holds (i, w): j starts at least w after i's start."""
        return turned(self.later)

    @cached_property
    def blocks(self) -> tuple[tuple[int, ...], ...]:
        """What must be placed together, in an order in which no block waits for a later one."""
        return blocks_of(self.later)

    @cached_property
    def block_of(self) -> tuple[int, ...]:
        """The number of each activity's block."""
        found = [0] * len(self.names)
        for number, block in enumerate(self.blocks):
            for activity in block:
                found[activity] = number
        return tuple(found)

    def until(self, last: int) -> Network:
        """The same problem when all must end by `last`; raises `NoTimetable` when waits and starts rule that out."""
        ranges = tuple(
            tuple((low, min(high, last - length)) for low, high in each if low <= last - length)
            for each, length in zip(self.ranges, self.lengths, strict=True)
        )
        return windowed(replace(self, ranges=ranges, horizon=last))

    @cached_property
    def mirror(self) -> Network:
        """The same problem with time running backwards from the horizon."""
        last = [self.horizon - length for length in self.lengths]
        return replace(
            self,
            held=tuple(
                tuple(replace(one, begins=length - one.begins - one.length) for one in held)
                for held, length in zip(self.held, self.lengths, strict=True)
            ),
            ranges=tuple(
                tuple((top - high, top - low) for low, high in reversed(each))
                for each, top in zip(self.ranges, last, strict=True)
            ),
            later=tuple(
                tuple((i, w + self.lengths[j] - self.lengths[i]) for i, w in arcs)
                for j, arcs in enumerate(self.earlier)
            ),
            heads=tuple(top - each for top, each in zip(last, self.latest, strict=True)),
            latest=tuple(top - each for top, each in zip(last, self.heads, strict=True)),
        )


def network_of(project: Project) -> Network:
    """The project by numbers; raises `NoTimetable` when waits, starts or sizes alone rule out every timetable."""
    number = {each.id: place for place, each in enumerate(project.activities)}
    rooms = {name: place for place, name in enumerate(project.capacity)}
    names = tuple(number)
    lengths = tuple(each.length for each in project.activities)
    later = arcs_of(project, number)
    no_circle(names, later)
    no_giant(project)
    no_clash(project)
    return windowed(
        Network(
            names=names,
            lengths=lengths,
            held=tuple(held_of(each, rooms) for each in project.activities),
            ranges=tuple(ranges_of(each, project.horizon) for each in project.activities),
            fixed=tuple(each.fixed is not None for each in project.activities),
            later=later,
            capacity=tuple(project.capacity.values()),
            horizon=project.horizon,
            heads=(),
            latest=(),
        )
    )


def windowed(network: Network) -> Network:
    """The network with its heads and latest starts worked out; raises `NoTimetable` where there are none."""
    heads = earliest_starts(network.names, network.lengths, network.later, network.ranges, network.horizon)
    # The heads are times that satisfy every wait and start, so the same waits backwards leave room as well.
    back = replace(network, heads=heads, latest=heads).mirror
    tails = earliest_starts(back.names, back.lengths, back.later, back.ranges, back.horizon)
    latest = tuple(network.horizon - length - tail for length, tail in zip(network.lengths, tails, strict=True))
    return replace(network, heads=heads, latest=latest)


def arcs_of(project: Project, number: dict[str, int]) -> Arcs:
    """Every wait as arcs from start to start, the tightest of each pair."""
    tightest: dict[tuple[int, int], int] = {}
    for lag in project.lags:
        before, after = number[lag.before], number[lag.after]
        length = project.activities[before].length
        forwards = (before, after)
        tightest[forwards] = max(length + lag.least, tightest.get(forwards, length + lag.least))
        if lag.most is not None:
            backwards = (after, before)
            tightest[backwards] = max(-length - lag.most, tightest.get(backwards, -length - lag.most))
    found: list[list[tuple[int, int]]] = [[] for _ in number]
    for (one, other), weight in tightest.items():
        found[one].append((other, weight))
    return tuple(tuple(each) for each in found)


def turned(arcs: Arcs) -> Arcs:
    """The same arcs, kept with the activity they lead to."""
    found: list[list[tuple[int, int]]] = [[] for _ in arcs]
    for one, others in enumerate(arcs):
        for other, weight in others:
            found[other].append((one, weight))
    return tuple(tuple(each) for each in found)


def ranges_of(activity: Activity, horizon: int) -> Ranges:
    """When it may start, cut to the project's time."""
    if activity.fixed is not None:
        return ((activity.fixed, activity.fixed),)
    last = horizon - activity.length
    whole = activity.starts or ((0, last),)
    cut = ((max(0, low), min(high, last)) for low, high in whole)
    return tuple((low, high) for low, high in cut if low <= high)


def held_of(activity: Activity, rooms: dict[str, int]) -> tuple[Held, ...]:
    """What it holds and for how long, the holds of one resource added up where they overlap."""
    ends: dict[int, list[tuple[int, int]]] = defaultdict(list)
    for hold in activity.holds:
        if hold.amount and activity.length + hold.after > 0:
            ends[rooms[hold.resource]].append((activity.length + hold.after, hold.amount))
    found = []
    for resource, steps in ends.items():
        left, begins = sum(amount for _, amount in steps), 0
        for until, amount in sorted(steps):
            if until > begins:
                found.append(Held(resource, left, begins, until - begins))
            left, begins = left - amount, until
    return tuple(found)


def range_from(ranges: Ranges, moment: int) -> tuple[int, int] | None:
    """The first range that ends at or after the moment."""
    place = bisect_left(ranges, moment, key=END_OF_RANGE)
    return ranges[place] if place < len(ranges) else None


def last_until(ranges: Ranges, moment: int) -> int | None:
    """The last allowed start at or before the moment."""
    place = bisect_right(ranges, moment, key=START_OF_RANGE) - 1
    return min(moment, ranges[place][1]) if place >= 0 else None


def no_circle(names: Sequence[str], later: Arcs) -> None:
    """Raise `NoTimetable` with the chain when waits run in a circle that no time satisfies."""
    reach, because = [0] * len(names), [-1] * len(names)
    moved: list[int] = list(range(len(names)))
    for _ in range(len(names) + 1):
        now, moved = moved, []
        for one in now:
            for other, weight in later[one]:
                if reach[one] + weight > reach[other]:
                    reach[other], because[other] = reach[one] + weight, one
                    moved.append(other)
        if not moved:
            return
    at = moved[0]
    for _ in names:
        at = because[at]
    chain = [at]
    while because[chain[-1]] != at:
        chain.append(because[chain[-1]])
    said = " → ".join(names[each] for each in [at, *reversed(chain)])
    raise NoTimetable(
        Problem(names[at], "", f"waits for itself: {said}.", "Make a least wait shorter, or a most wait longer.")
    )


def no_giant(project: Project) -> None:
    """Raise `NoTimetable` when an activity alone holds more than there is."""
    found = [
        Problem(each.id, str(hold.amount), f"of {hold.resource} is held, there are {project.capacity[hold.resource]}.")
        for each in project.activities
        for hold in each.holds
        if hold.amount > project.capacity[hold.resource]
    ]
    if found:
        raise NoTimetable(found)


def no_clash(project: Project) -> None:
    """Raise `NoTimetable` when what is fixed holds more at a moment than there is."""
    fixed = {each.id: each for each in project.activities if each.fixed is not None}
    starts = {name: each.fixed for name, each in fixed.items() if each.fixed is not None}
    found = [
        Problem(", ".join(fault.activities), str(fault.at), f"{fault.said}, and all of them are fixed.")
        for fault in of_capacity(project, fixed, starts)
    ]
    if found:
        raise NoTimetable(found)


def earliest_starts(
    names: Sequence[str], lengths: Sequence[int], later: Arcs, ranges: Sequence[Ranges], horizon: int
) -> tuple[int, ...]:
    """The earliest start of each by waits and allowed starts; raises `NoTimetable` with the chain that is too long."""
    heads = [0] * len(names)
    because = [-1] * len(names)
    waiting, queued = deque(range(len(names))), [True] * len(names)
    while waiting:
        at = waiting.popleft()
        queued[at] = False
        allowed = range_from(ranges[at], heads[at])
        if allowed is None:
            raise NoTimetable(no_room(names, because, at, heads[at] + lengths[at], horizon))
        heads[at] = start = max(heads[at], allowed[0])
        for other, weight in later[at]:
            if start + weight > heads[other]:
                heads[other], because[other] = start + weight, at
                if not queued[other]:
                    queued[other] = True
                    waiting.append(other)
    return tuple(heads)


def no_room(names: Sequence[str], because: Sequence[int], at: int, end: int, horizon: int) -> Problem:
    """What to say of an activity that no allowed start is left for: the chain of waits that pushes it out."""
    chain = [at]
    while because[chain[-1]] >= 0 and because[chain[-1]] not in chain:
        chain.append(because[chain[-1]])
    said = " → ".join(names[each] for each in reversed(chain))
    over = f"ends at {end} or later, past {horizon}" if end > horizon else "finds no allowed start"
    return Problem(names[at], "", f"{over}, by the waits {said}.", "Allow more time, or take a wait out.")


def blocks_of(later: Arcs) -> tuple[tuple[int, ...], ...]:
    """Groups tied both ways, in topological order (Tarjan's algorithm, without recursion)."""
    index, low = [-1] * len(later), [0] * len(later)
    on_stack, stack, found = [False] * len(later), list[int](), list[tuple[int, ...]]()
    count = 0
    for root in range(len(later)):
        if index[root] >= 0:
            continue
        work = [(root, 0)]
        while work:
            at, step = work.pop()
            if step == 0:
                index[at] = low[at] = count
                count += 1
                stack.append(at)
                on_stack[at] = True
            else:
                low[at] = min(low[at], low[later[at][step - 1][0]])
            for place in range(step, len(later[at])):
                other = later[at][place][0]
                if index[other] < 0:
                    work += [(at, place + 1), (other, 0)]
                    break
                if on_stack[other]:
                    low[at] = min(low[at], index[other])
            else:
                if low[at] == index[at]:
                    cut = stack.index(at)
                    for one in stack[cut:]:
                        on_stack[one] = False
                    found.append(tuple(sorted(stack[cut:])))
                    del stack[cut:]
    return tuple(reversed(found))
