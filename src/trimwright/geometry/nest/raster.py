"""Pieces laid on squares: where each fits is one correlation by fast Fourier transform, whatever the shapes.

A square counts as taken when a piece, drawn wider by half the gap, touches it, and as free when it lies wholly on
usable leather. So what fits on squares fits exactly; what is lost is at most a square's width at a contact, which
finer squares win back.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from math import ceil, hypot
from typing import TYPE_CHECKING, Any

from trimwright.geometry.nest.asked import ToLay
from trimwright.geometry.nest.hide import Clearances, Hide, room_for_wider
from trimwright.geometry.nest.layout import Placed
from trimwright.geometry.pattern import turned

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray
    from shapely import Polygon

    Squares = NDArray[np.bool_]
    Grid = NDArray[np.float32]
    Wave = NDArray[np.complexfloating[Any, Any]]

MOST_SQUARES = 4_000_000


@dataclass(frozen=True, slots=True)
class Rule:
    """How a layout is laid: pieces in an order, each as far to one side as it goes, or where it touches most.

    `towards` is the way pieces are drawn to; `contact` weighs touching against it, 0 = not at all.
    """

    order: tuple[int, ...]
    towards: tuple[float, float] = (-1.0, -0.001)
    contact: float = 0.0


@dataclass(frozen=True)
class Stamp:
    """A piece in one turn as squares, and what correlates with it: squares it takes, less those it would touch."""

    turn: float
    taken: Squares
    left: float
    bottom: float
    wave: Wave
    overlap: float
    ring: int


class Ground:
    """One hide on squares of a size, with every piece's stamps; read-only once made, so threads may share it."""

    def __init__(self, hide: Hide, asked: Sequence[ToLay], clear: Clearances, cell: float, step: float = 0.0) -> None:
        """`step` > 0 lets pieces lie only at multiples of it along x, as a repeat wants."""
        import numpy as np
        from scipy.fft import next_fast_len

        self.cell = step / ceil(step / cell) if step else cell
        self.every = round(step / self.cell) if step else 1
        xs, ys = zip(*hide.outline, strict=True)
        self.left, self.bottom = min(xs) - self.cell, min(ys) - self.cell
        self.columns, self.rows = (ceil((max(each) - min(each)) / self.cell) + 2 for each in (xs, ys))
        self.size = (next_fast_len(self.rows, real=True), next_fast_len(self.columns, real=True))
        self.keep_outs = sorted({each.keep_out for each in asked}, key=sorted)
        self._blocked = [self._squares_off(hide, each, clear) for each in self.keep_outs]
        self._made: dict[tuple[object, ...], tuple[Stamp, ...]] = {}
        self.stamps = tuple(self._stamps(each, clear) for each in asked)
        self.zone_of = tuple(self.keep_outs.index(each.keep_out) for each in asked)
        self.areas = np.array([stamps[0].taken.sum() if stamps else 0 for stamps in self.stamps])

    def _squares_off(self, hide: Hide, keep_out: frozenset[str], clear: Clearances) -> Squares:
        import shapely

        room = room_for_wider(hide, keep_out, clear)
        shapely.prepare(room)
        off: Squares = ~shapely.covers(room, self._boxes(self.left, self.bottom, self.rows, self.columns))
        return off

    def _boxes(self, left: float, bottom: float, rows: int, columns: int) -> Any:
        import shapely

        right, up = self._corners(left, bottom, rows, columns)
        return shapely.box(right, up, right + self.cell, up + self.cell)

    def _corners(self, left: float, bottom: float, rows: int, columns: int) -> Any:
        import numpy as np

        return np.meshgrid(left + self.cell * np.arange(columns), bottom + self.cell * np.arange(rows))

    def _touched(self, shape: Polygon, left: float, bottom: float, rows: int, columns: int) -> Squares:
        """The squares that a shape touches; boxes are made only of those none of whose corners lies in it."""
        import shapely

        inside = shapely.contains_xy(shape, *self._corners(left, bottom, rows + 1, columns + 1))
        found: Squares = inside[:-1, :-1] | inside[1:, :-1] | inside[:-1, 1:] | inside[1:, 1:]
        right, up = (each[~found] for each in self._corners(left, bottom, rows, columns))
        found[~found] = shapely.intersects(shape, shapely.box(right, up, right + self.cell, up + self.cell))
        return found

    def _stamps(self, asked: ToLay, clear: Clearances) -> tuple[Stamp, ...]:
        """One for each turn; pieces that are alike share them."""
        key = (asked.piece.outline, asked.turns)
        if key not in self._made:
            self._made[key] = tuple(self._stamp(asked, turn, clear) for turn in asked.turns)
        return self._made[key]

    def _stamp(self, asked: ToLay, turn: float, clear: Clearances) -> Stamp:
        import numpy as np
        import shapely
        from scipy.fft import rfft2
        from scipy.ndimage import binary_dilation

        wider = shapely.Polygon(turned(asked.piece, turn).outline).buffer(clear.gap_mm / 2 - 1e-6, quad_segs=4)
        shapely.prepare(wider)
        left, bottom, right, top = wider.bounds
        left, bottom = left - 1e-6, bottom - 1e-6
        rows, columns = ceil((top - bottom) / self.cell), ceil((right - left) / self.cell)
        taken = self._touched(wider, left, bottom, rows, columns)
        padded = np.pad(taken, 1)
        ring = binary_dilation(padded) & ~padded
        touched = int(ring.sum())
        kernel = np.zeros(self.size, dtype=np.float32)
        high, wide = min(rows + 2, self.size[0]), min(columns + 2, self.size[1])
        kernel[:high, :wide] = (2.0 * touched * padded - ring)[:high, :wide]
        wave = np.conj(rfft2(kernel))
        return Stamp(turn, taken, left, bottom, wave, 2.0 * touched, touched)

    @cached_property
    def off(self) -> tuple[Wave, ...]:
        """What can't be cut, for every set of zones kept out of, as it correlates."""
        from scipy.fft import rfft2

        return tuple(rfft2(each.astype("float32"), s=self.size) for each in self._blocked)

    def place(self, number: int, taken: Wave, rule: Rule) -> tuple[Stamp, int, int] | None:
        """The best place of a piece by the rule: its stamp, row and column; None where it fits nowhere."""
        best: tuple[float, Stamp, int, int] | None = None
        there = taken + self.off[self.zone_of[number]]
        for stamp in self.stamps[number]:
            found = self._best(stamp, there, rule)
            if found is not None and (best is None or found[0] > best[0]):
                best = (found[0], stamp, found[1], found[2])
        return best[1:] if best else None

    def _best(self, stamp: Stamp, there: Wave, rule: Rule) -> tuple[float, int, int] | None:
        import numpy as np
        from scipy.fft import irfft2

        high, wide = stamp.taken.shape
        rows, columns = self.rows - high - 1, self.columns - wide - 1
        if rows < 1 or columns < 1:
            return None
        met = irfft2(there * stamp.wave, s=self.size)[:rows, : columns : self.every]
        free = met < stamp.overlap / 4
        ups, rights = np.nonzero(free)
        if not len(ups):
            return None
        rights = rights * self.every
        reach = hypot(self.rows, self.columns)
        score = (rule.towards[0] * (rights + wide / 2) + rule.towards[1] * (ups + high / 2)) / reach
        if rule.contact:
            score = score - rule.contact * met[free] / stamp.ring
        at = int(np.argmax(score))
        return float(score[at]), int(ups[at]) + 1, int(rights[at]) + 1


def lay(grounds: Sequence[Ground], rule: Rule) -> tuple[Placed, ...]:
    """A layout by one rule: each piece on the first hide that has room for it."""
    return tuple(_laid(grounds, rule))


def _laid(grounds: Sequence[Ground], rule: Rule) -> Iterator[Placed]:
    import numpy as np
    from scipy.fft import rfft2

    taken = [np.zeros((each.rows, each.columns), dtype=np.float32) for each in grounds]
    waves: list[Wave] = [rfft2(each, s=ground.size) for each, ground in zip(taken, grounds, strict=True)]
    full: set[tuple[object, ...]] = set()  # what has found no room on a hide finds none later
    for number in rule.order:
        for on, ground in enumerate(grounds):
            alike = (on, id(ground.stamps[number]), ground.zone_of[number])
            if alike in full:
                continue
            found = ground.place(number, waves[on], rule)
            if found is None:
                full.add(alike)
                continue
            stamp, row, column = found
            high, wide = stamp.taken.shape
            taken[on][row : row + high, column : column + wide] += stamp.taken
            waves[on] = rfft2(taken[on], s=ground.size)
            right = ground.left + column * ground.cell - stamp.left
            up = ground.bottom + row * ground.cell - stamp.bottom
            yield Placed(number, on, stamp.turn, right, up)
            break
