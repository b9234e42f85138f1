"""Laying on hides: plain bottom-left first, then better orders and sides for as long as is allowed.

No layout is proven the best. Each stage takes finer squares than the last and begins with the best order so far; two
threads search by themselves from different seeds. Once all pieces lie on the fewest hides, the time left goes into
leaving one large offcut rather than many small ones. With a count of tries instead of seconds the answer is the same
every time.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from math import cos, pi, sin
from random import Random
from threading import Lock
from time import monotonic

from trimwright.errors import BadInput, Problem
from trimwright.geometry.nest.asked import ToLay
from trimwright.geometry.nest.hide import Clearances, Hide, checked, usable
from trimwright.geometry.nest.layout import Layout, Placed, largest_offcut_mm2
from trimwright.geometry.nest.raster import MOST_SQUARES, Ground, Rule, lay
from trimwright.geometry.pattern import signed_area_mm2, turned

STAGES = ((8.0, 0.4), (5.0, 1.0))
"""Width of the squares [mm] and the share of the time that is over when its stage ends."""
WORKERS = 2

Watch = Callable[[int, float], bool]
"""Told how many layouts were tried and what share of the pieces' area lies; it answers whether to go on."""
Cost = tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Effort:
    """How long to search: seconds, or so many tries of every thread in every stage; whichever is over first."""

    seconds: float = 30.0
    tries: int | None = None
    seed: int = 1


def lay_on_hides(
    hides: Sequence[Hide],
    asked: Sequence[ToLay],
    clear: Clearances | None = None,
    effort: Effort | None = None,
    watch: Watch | None = None,
) -> Layout:
    """Pieces on hides, the first hide filled first. What finds no room is in the layout's `left_over`.

    BadInput when there is no hide, a hide's line crosses itself, or a piece is too large for every hide by itself.
    """
    clear, effort = clear or Clearances(), effort or Effort()
    if not hides:
        raise BadInput(Problem("hides", "", "are none.", "Give a file of a hide's outline, or a roll's width."))
    for each in hides:
        checked(each)
    _each_fits_somewhere(hides, asked, clear)
    return Search(tuple(hides), tuple(asked), clear, effort, watch).run()


def plain_layout(
    hides: Sequence[Hide], asked: Sequence[ToLay], clear: Clearances | None = None, cell: float = STAGES[-1][0]
) -> Layout:
    """Plain bottom-left: the largest piece first, each as far left as it goes, then as low."""
    clear = clear or Clearances()
    grounds = [Ground(each, asked, clear, cell) for each in hides]
    return Layout(tuple(hides), tuple(asked), lay(grounds, _plain(asked)), clear, 1)


def _plain(asked: Sequence[ToLay]) -> Rule:
    areas = [signed_area_mm2(each.piece.outline) for each in asked]
    return Rule(tuple(sorted(range(len(asked)), key=lambda number: -areas[number])))


def _each_fits_somewhere(hides: Sequence[Hide], asked: Sequence[ToLay], clear: Clearances) -> None:
    """Refuse pieces that no hide holds: by area, or longer than it is in every turn."""
    rooms = [(usable(each, frozenset(), clear).area, _extent(each)) for each in hides]
    room, (wide, high) = max(rooms)
    largest = f"{wide:.0f} × {high:.0f} mm over all, with {room / 1e6:.2f} m² to be used"
    wrong = {}
    for each in asked:
        area = signed_area_mm2(each.piece.outline)
        boxes = [turned(each.piece, turn).box for turn in each.turns]
        if not any(
            area <= room and any(right - left <= wide and top - bottom <= high for left, bottom, right, top in boxes)
            for room, (wide, high) in rooms
        ):
            left, bottom, right, top = each.piece.box
            said = f"{right - left:.0f} × {top - bottom:.0f} mm"
            what = f"is larger than any hide: {largest}."
            way_out = "Check the unit, cut the piece in two, or let it be turned another way."
            wrong[each.piece.name] = Problem(f"piece {each.piece.name!r}", said, what, way_out)
    if wrong:
        raise BadInput(list(wrong.values()))


def _extent(hide: Hide) -> tuple[float, float]:
    xs, ys = zip(*hide.outline, strict=True)
    if (max(xs) - min(xs)) * (max(ys) - min(ys)) / STAGES[-1][0] ** 2 > MOST_SQUARES:
        what = "is larger than a hide can be."
        raise BadInput(Problem(f"hide {hide.name!r}", "", what, "Check the unit: lengths are millimetres."))
    return max(xs) - min(xs), max(ys) - min(ys)


class Search:
    """One run of the search: the best rule and layout so far, shared by its threads under a lock."""

    def __init__(
        self,
        hides: tuple[Hide, ...],
        asked: tuple[ToLay, ...],
        clear: Clearances,
        effort: Effort,
        watch: Watch | None,
        *,
        step: float = 0.0,
    ) -> None:
        self.hides, self.asked, self.clear, self.effort, self.watch = hides, asked, clear, effort, watch
        self.areas = [signed_area_mm2(each.piece.outline) for each in asked]
        self.total = sum(self.areas)
        self.step = step
        rooms = [usable(each, frozenset(), clear).area for each in hides]
        self.rooms_before = [sum(rooms[:last]) for last in range(len(rooms))]
        self.began = monotonic()
        self.tried = 0
        self.stopped = False
        self.lock = Lock()

    def run(self) -> Layout:
        """Stage after stage; the best layout of all."""
        rule = _plain(self.asked)
        best: tuple[Cost, tuple[Placed, ...]] | None = None
        for stage, (cell, share) in enumerate(STAGES):
            grounds = [Ground(each, self.asked, self.clear, cell, self.step) for each in self.hides]
            until = self.began + self.effort.seconds * share
            with ThreadPoolExecutor(WORKERS) as pool:
                runs = [
                    pool.submit(self._worker, grounds, rule, until, self.effort.seed * 1000 + stage * 10 + worker)
                    for worker in range(WORKERS)
                ]
                cost, rule, placed = min((each.result() for each in runs), key=lambda found: found[0])
            if best is None or cost < best[0]:
                best = (cost, placed)
            if self.stopped or self._can_not_be_better(best[0]):
                break
        assert best is not None
        return Layout(self.hides, self.asked, best[1], self.clear, self.tried)

    def _worker(
        self, grounds: Sequence[Ground], start: Rule, until: float, seed: int
    ) -> tuple[Cost, Rule, tuple[Placed, ...]]:
        """The best rule that one thread finds: from what it starts with, each step keeps what is no worse."""
        chance = Random(seed)
        best = held = self._tried(grounds, _plain(self.asked))
        begin, count = [start, *_sides(start.order, seed % 2)], 1
        while not (self.stopped or self._can_not_be_better(best[0]) or monotonic() > until):
            if self.effort.tries is not None and count >= self.effort.tries:
                break
            rule = begin.pop(0) if begin else self._another(held[1], held[2], chance)
            found = self._tried(grounds, rule)
            count += 1
            if found[0] <= held[0] or chance.random() < 0.02:
                held = found
            if found[0] < best[0]:
                best = found
        return best

    def _tried(self, grounds: Sequence[Ground], rule: Rule) -> tuple[Cost, Rule, tuple[Placed, ...]]:
        placed = lay(grounds, rule)
        cost = self._cost(placed)
        with self.lock:
            self.tried += 1
            laid = sum(self.areas[each.number] for each in placed)
            if self.watch is not None and not self.watch(self.tried, laid / self.total):
                self.stopped = True
        return cost, rule, placed

    def _cost(self, placed: Sequence[Placed]) -> Cost:
        """What a layout is worse by, most first: area that found no room, hides begun, what lies on the last of them.

        What lies on the last hide counts only while fewer might do; behind it, the largest offcut counts for it.
        """
        laid = sum(self.areas[each.number] for each in placed)
        used = max((each.on for each in placed), default=0)
        unlaid = max(0.0, round(self.total - laid, 3))
        on_last = sum(self.areas[e.number] for e in placed if e.on == used) if self._fewer_may_do(used) else 0.0
        if unlaid:
            return (unlaid, used, on_last, 0.0)
        layout = Layout(self.hides, self.asked, tuple(placed), self.clear)
        return (unlaid, used, on_last, -max(largest_offcut_mm2(layout, on) for on in range(used + 1)))

    def _fewer_may_do(self, last: int) -> bool:
        """Whether the hides before this one have area enough for all pieces."""
        return self.rooms_before[last] >= self.total

    def _can_not_be_better(self, cost: Cost) -> bool:  # noqa: ARG002 -- of a roll it depends on the cost
        """Never so of hides: the offcut may always be larger."""
        return False

    def _another(self, rule: Rule, placed: Sequence[Placed], chance: Random) -> Rule:
        """A rule like this one: pieces that found no room earlier, two changed about, or another side to draw to."""
        order = list(rule.order)
        kind = chance.random()
        there = {each.number for each in placed}
        left = [number for number in order if number not in there]
        if left and kind < 0.35:
            moved = chance.choice(left)
            order.remove(moved)
            order.insert(chance.randrange(max(1, len(order) // 2)), moved)
        elif kind < 0.75:
            for _ in range(chance.choice((1, 1, 2, 3))):
                one, other = chance.randrange(len(order)), chance.randrange(len(order))
                order[one], order[other] = order[other], order[one]
        else:
            return replace(rule, towards=_towards(chance.uniform(0, 2 * pi)), contact=chance.choice((0.0, 0.3, 1, 3)))
        if chance.random() < 0.3:
            return Rule(tuple(order), _towards(chance.uniform(0, 2 * pi)), chance.choice((0.0, 0.3, 1.0, 3.0)))
        return replace(rule, order=tuple(order))


def _towards(turn: float) -> tuple[float, float]:
    return cos(turn), sin(turn)


def _sides(order: tuple[int, ...], which: int) -> list[Rule]:
    """The same order drawn to four sides, half of the eight for each thread, by touch and without."""
    turns = [pi / 4 * step + 0.02 for step in range(which, 8, 2)]
    return [Rule(order, _towards(turn), contact) for contact in (1.0, 0.0) for turn in turns]
