"""Laying along a roll: the shortest length of cloth or vinyl that holds all pieces.

Plain rolls go to the strip packer `spyrrow`; the shortest of its layouts that passes the exact check is kept. A roll
with a repeat is laid on squares instead, where a piece can be held to the repeat.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from time import monotonic, sleep

from trimwright.errors import BadInput, Problem
from trimwright.geometry.nest.asked import ToLay
from trimwright.geometry.nest.hide import Clearances, Hide
from trimwright.geometry.nest.layout import Layout, Placed, faults
from trimwright.geometry.nest.packer import LOOKS_S, Found, Packer, Strip
from trimwright.geometry.nest.search import WORKERS, Cost, Effort, Search, Watch
from trimwright.geometry.pattern import Polyline, signed_area_mm2, turned

CURVE_MM = 0.1
"""How far a curve's widened outline may stand off when its points are thinned out."""
LONGEST_MM = 100_000.0


@dataclass(frozen=True, slots=True)
class Roll:
    """So wide, edge to edge [mm]; a repeat > 0 is the length after which a pattern comes again."""

    wide_mm: float
    repeat_mm: float = 0.0

    def __post_init__(self) -> None:
        problems = []
        if not 50 <= self.wide_mm <= 5000:
            said = f"{self.wide_mm:g}"
            problems.append(Problem("roll", said, "is not between 50 and 5000 mm wide.", "1370 and 1400 are usual."))
        if not 0 <= self.repeat_mm <= 2000:
            problems.append(Problem("repeat", f"{self.repeat_mm:g}", "is not between 0 and 2000 mm.", "0 = none."))
        if problems:
            raise BadInput(problems)


def lay_on_roll(
    roll: Roll,
    asked: Sequence[ToLay],
    clear: Clearances | None = None,
    effort: Effort | None = None,
    watch: Watch | None = None,
) -> Layout:
    """All pieces along the roll; the layout's one hide is the length that is cut off.

    BadInput when a piece is wider than the roll in every turn allowed. Stopped early, it is the best so far.
    """
    clear, effort = clear or Clearances(margin_mm=0.0), effort or Effort()
    _each_is_narrow_enough(roll, asked, clear)
    if roll.repeat_mm:
        return _by_the_repeat(roll, asked, clear, effort, watch)
    return _Run(roll, tuple(asked), clear, effort).best(watch)


def length_mm(layout: Layout) -> float:
    """What is cut off the roll."""
    xs = [x for x, _ in layout.hides[0].outline]
    return max(xs) - min(xs)


def density(layout: Layout) -> float:
    """The pieces' share of what is cut off."""
    return layout.laid_mm2 / signed_area_mm2(layout.hides[0].outline)


def _each_is_narrow_enough(roll: Roll, asked: Sequence[ToLay], clear: Clearances) -> None:
    wrong = {}
    room = roll.wide_mm - 2 * clear.margin_mm
    for each in asked:
        boxes = [turned(each.piece, turn).box for turn in each.turns]
        least = min(top - bottom for _, bottom, _, top in boxes)
        if least > room - 1e-6:  # the packer panics on a piece as high as its strip
            what = f"is not narrower than the {room:.0f} mm that the roll has room for."
            way_out = "Check the unit, cut the piece in two, or let it be turned another way."
            where = f"piece {each.piece.name!r}"
            wrong[each.piece.name] = Problem(where, f"{least:.0f} mm", what, way_out)
    if wrong:
        raise BadInput(list(wrong.values()))


def _cut_off(roll: Roll, length: float) -> Hide:
    return Hide("roll", ((0.0, 0.0), (length, 0.0), (length, roll.wide_mm), (0.0, roll.wide_mm)))


# ---- plain rolls -----------------------------------------------------------------------------------------------------


class _Run:
    """One run of the packer with all threads; every layout that it tells of is checked.

    Several runs from other seeds, a thread each, fill less in the same time: `benchmarks/nesting.py --apart`.
    """

    def __init__(self, roll: Roll, asked: tuple[ToLay, ...], clear: Clearances, effort: Effort) -> None:
        self.roll, self.asked, self.clear, self.effort = roll, asked, clear, effort
        self.found: list[Layout] = []
        self.faults: list[str] = []

    def best(self, watch: Watch | None) -> Layout:
        """The shortest layout of all that are right."""
        began = monotonic()
        told = 0
        with Packer(self._strip()) as packer:
            over = False
            while not over:
                sleep(LOOKS_S)
                over = packer.is_over
                for each in packer.news():
                    told += each.count
                    self._keep(each)
                share = min(1.0, (monotonic() - began) / self.effort.seconds)
                if watch is not None and not watch(told, share) and self.found:
                    break
        if not self.found:
            said = "; ".join(self.faults[:3])
            raise BadInput(Problem("pieces", said, "can't be laid by the packer.", "Look for slivers in an outline."))
        return min(self.found, key=length_mm)

    def _strip(self) -> Strip:
        room = self.roll.wide_mm - 2 * self.clear.margin_mm + self.clear.gap_mm
        return Strip(
            [_widened(each.piece.outline, self.clear.gap_mm) for each in self.asked],
            [each.turns for each in self.asked],
            room, self.effort.seconds, self.effort.seed, WORKERS,
        )  # fmt: skip

    def _keep(self, new: Found) -> None:
        """A layout of the packer as ours: shifted in by the margin, as long as its pieces reach, checked."""
        if new.fault:
            self.faults.append(new.fault)
            return
        aside = self.clear.margin_mm - self.clear.gap_mm / 2
        placed = []
        for number, turned_by, right, up in new.lie:
            turn = min(self.asked[number].turns, key=lambda turn: abs((turn - turned_by + 180) % 360 - 180))
            placed.append(Placed(number, 0, turn, right + aside, up + aside))
        reach = max(each.laid(self.asked[each.number]).box[2] for each in placed) + self.clear.margin_mm
        layout = Layout((_cut_off(self.roll, reach),), self.asked, tuple(placed), self.clear, 1)
        if self.found and length_mm(layout) >= min(map(length_mm, self.found)):
            return
        if wrong := faults(layout):
            self.faults += wrong
        else:
            self.found.append(layout)


def _widened(outline: Polyline, gap_mm: float) -> Polyline:
    """The outline half a gap wider, its curves thinned out on the outer side; as drawn without a gap."""
    from shapely import Polygon

    if gap_mm == 0:
        return outline
    wider = Polygon(outline).buffer(gap_mm / 2 + CURVE_MM, join_style="mitre", mitre_limit=2.0)
    return tuple((float(x), float(y)) for x, y in wider.exterior.simplify(CURVE_MM).coords[:-1])


# ---- with a repeat ---------------------------------------------------------------------------------------------------


class _Along(Search):
    """The search on squares, for the shortest reach along x."""

    def _cost(self, placed: Sequence[Placed]) -> Cost:
        unlaid = len(self.asked) - len(placed)
        return (float(unlaid), max((each.laid(self.asked[each.number]).box[2] for each in placed), default=0.0))

    def _can_not_be_better(self, cost: Cost) -> bool:
        return cost[0] == 0 and cost[1] * self.hides[0].outline[2][1] <= self.total


def _by_the_repeat(
    roll: Roll, asked: Sequence[ToLay], clear: Clearances, effort: Effort, watch: Watch | None
) -> Layout:
    """Every piece begins at the same place of the pattern."""
    widest = [max(right - left for left, _, right, _ in (turned(e.piece, t).box for t in e.turns)) for e in asked]
    steps = [roll.repeat_mm * (1 + (wide + clear.gap_mm) // roll.repeat_mm) for wide in widest]
    enough = min(sum(steps), 4 * sum(signed_area_mm2(e.piece.outline) for e in asked) / roll.wide_mm + 2 * max(steps))
    enough += 2 * clear.margin_mm
    if enough > LONGEST_MM:
        raise BadInput(Problem("pieces", f"{enough / 1000:.0f} m", "would take that much of the roll.", "Lay fewer."))
    found = _Along((_cut_off(roll, enough),), tuple(asked), clear, effort, watch, step=roll.repeat_mm).run()
    reach = max((each.laid(asked[each.number]).box[2] for each in found.placed), default=0.0) + clear.margin_mm
    return Layout((_cut_off(roll, reach),), found.asked, found.placed, clear, found.tries)
