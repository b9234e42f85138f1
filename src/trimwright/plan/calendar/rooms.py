"""How much of each resource is free at every moment, in long whole numbers: one subtraction takes a whole interval.

A moment is a field of bits for each resource, a guard bit above each. With the guards set, taking a demand away from
every moment at once leaves a guard standing exactly where the demand still fits. Python's whole numbers do that at the
speed of memory, so a minute grid of weeks costs microseconds and no list of intervals has to be kept.

Resources that are often held together share one number; the others have one each, which is shorter.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from trimwright.plan.calendar.network import Held, Network, last_until, range_from

LOOK = 2880
"""Starts that are looked at in one go: two days of minutes."""
TOGETHER = 24_000
"""Bits of a number up to which sharing it costs less than asking once for each resource."""


@dataclass(frozen=True, slots=True)
class Ask:
    """What one activity takes from one number."""

    number: int
    look: int
    """Ones over the moments that are looked at in one go: so many starts, and its length."""
    everywhere: int
    """Its demand at each of those moments."""
    marks: int
    """The lowest guard of each of those moments, where all of a moment's guards are gathered."""
    top: int
    """The last start from which as many moments lie ahead."""
    block: int
    """Its demand over its length, from moment 0."""
    begins: int
    """Where that begins past the activity's start, the margin added."""
    halvings: tuple[int, ...]
    """Shifts that leave a mark only where as many moments as it is long are marked in a row."""


@dataclass(frozen=True, slots=True)
class Number:
    """How one long number is laid out."""

    resources: tuple[int, ...]
    width: int
    """Bits of a resource's field, its guard among them."""
    stride: int
    """Bits of a moment."""
    gather: tuple[int, ...]
    free: int
    """Everything free."""


class Rooms:
    """The layout for a network, with what each activity asks of it."""

    def __init__(self, network: Network) -> None:
        self.network = network
        spans = list(spans_of(network))
        self.margin = max((-one.begins for one, _ in spans if one.begins < 0), default=0)
        past = max((one.begins + one.length - length for one, length in spans), default=0)
        self.moments = network.horizon + self.margin + max(0, past) + 1
        self.numbers = tuple(self.laid_out(group) for group in self.groups())
        self.free = tuple(number.free for number in self.numbers)
        place = {resource: at for at, number in enumerate(self.numbers) for resource in number.resources}
        self.asks = tuple(tuple(self.asked(each, place)) for each in network.held)

    def groups(self) -> list[tuple[int, ...]]:
        """Which resources share a number."""
        network, spans = self.network, list(spans_of(self.network))
        used = sorted({one.resource for one, _ in spans})
        plain = all(one.begins == 0 and one.length == length for one, length in spans)
        width = max((network.capacity[each].bit_length() for each in used), default=0) + 1
        short = width * len(used) * self.moments <= TOGETHER
        several = len(spans) >= 2 * sum(1 for each in network.held if each)
        return [tuple(used)] if used and plain and short and several else [(each,) for each in used]

    def laid_out(self, resources: tuple[int, ...]) -> Number:
        """The layout of one number."""
        capacity = [self.network.capacity[each] for each in resources]
        width = max(each.bit_length() for each in capacity) + 1
        stride = width * len(resources)
        every = repeated(self.moments, stride)
        guard = sum(1 << (width * (place + 1) - 1) for place in range(len(resources)))
        full = sum(each << (width * place) for place, each in enumerate(capacity))
        return Number(
            resources=resources,
            width=width,
            stride=stride,
            gather=halvings(len(resources), width),
            free=every * (full | guard),
        )

    def asked(self, held: tuple[Held, ...], place: dict[int, int]) -> list[Ask]:
        """What an activity asks: once of each number it needs, for each stretch of time."""
        wanted: dict[tuple[int, int, int], int] = {}
        for one in held:
            number = self.numbers[place[one.resource]]
            demand = one.amount << (number.width * number.resources.index(one.resource))
            key = place[one.resource], one.begins, one.length
            wanted[key] = wanted.get(key, 0) + demand
        found = []
        for (at, begins, length), demand in wanted.items():
            number, far = self.numbers[at], begins + self.margin
            span = min(self.moments - far, LOOK + length)
            every = repeated(span, number.stride)
            found.append(
                Ask(
                    number=at,
                    look=(1 << span * number.stride) - 1,
                    everywhere=every * demand,
                    marks=every << (number.width - 1),
                    top=self.moments - far - span,
                    block=repeated(length, number.stride) * demand,
                    begins=far,
                    halvings=halvings(length, number.stride),
                )
            )
        return found

    def next_start(self, free: list[int], activity: int, start: int, last: int) -> int | None:
        """The first start from `start` to `last` that is allowed and at which everything it holds is free."""
        ranges, asks = self.network.ranges[activity], self.asks[activity]
        seen = [(0, 0, 0)] * len(asks)  # marks, the start they count from, and the start from which to look anew
        until = -1
        while start <= last:
            if start > until:
                allowed = range_from(ranges, start)
                if allowed is None or allowed[0] > last:
                    return None
                start, until = max(start, allowed[0]), min(last, allowed[1])
            for place, ask in enumerate(asks):
                fit, base, anew = seen[place]
                if start >= anew:
                    base = min(start, ask.top)
                    fit, anew = self.fit(free, ask, base), base + LOOK if base < ask.top else self.moments
                    seen[place] = fit, base, anew
                number = self.numbers[ask.number]
                rest = fit >> (start - base) * number.stride + number.width - 1
                if not rest & 1:
                    start = start + ((rest & -rest).bit_length() - 1) // number.stride if rest else anew
                    break
            else:
                return start
        return None

    def last_start(self, free: list[int], activity: int, start: int, last: int) -> int | None:
        """The last start from `start` to `last` that is allowed and at which everything it holds is free."""
        ranges, asks = self.network.ranges[activity], self.asks[activity]
        while last >= start:
            allowed = last_until(ranges, last)
            if allowed is None or allowed < start:
                return None
            last = allowed
            for ask in asks:
                number = self.numbers[ask.number]
                base = max(0, min(last - LOOK + 1, ask.top))
                fit = self.fit(free, ask, base) & (1 << (last - base + 1) * number.stride) - 1
                found = base + (fit.bit_length() - 1) // number.stride if fit else base - 1
                if found < last:
                    last = found
                    break
            else:
                return last
        return None

    def fit(self, free: list[int], ask: Ask, base: int) -> int:
        """A mark at each start from `base` on, of those looked at, where what is asked is free for its whole length."""
        number = self.numbers[ask.number]
        fit = (free[ask.number] >> (base + ask.begins) * number.stride & ask.look) - ask.everywhere
        for shift in number.gather:
            fit &= fit >> shift
        fit &= ask.marks
        for shift in ask.halvings:
            fit &= fit >> shift
        return fit

    def take(self, free: list[int], activity: int, start: int) -> None:
        """Hold what the activity holds, from `start`."""
        for ask in self.asks[activity]:
            free[ask.number] -= ask.block << (start + ask.begins) * self.numbers[ask.number].stride

    def give(self, free: list[int], activity: int, start: int) -> None:
        """Let go what the activity has held since `start`."""
        for ask in self.asks[activity]:
            free[ask.number] += ask.block << (start + ask.begins) * self.numbers[ask.number].stride


def spans_of(network: Network) -> Iterator[tuple[Held, int]]:
    """Everything that is held, with the length of the activity that holds it."""
    for held, length in zip(network.held, network.lengths, strict=True):
        for one in held:
            yield one, length


def repeated(times: int, stride: int) -> int:
    """A one at every `stride` bits, so many times."""
    found, have = (1, 1) if times else (0, 0)
    while have < times:
        more = min(have, times - have)
        found |= (found & ((1 << more * stride) - 1)) << have * stride
        have += more
    return found


def halvings(length: int, stride: int) -> tuple[int, ...]:
    """Shifts whose ands leave a mark only where `length` marks in a row begin, `stride` bits apart."""
    found, have = [], 1
    while have < length:
        step = min(have, length - have)
        found.append(step * stride)
        have += step
    return tuple(found)
