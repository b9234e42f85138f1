"""Many ways a calendar may go, lived through side by side: every draw keeps its order and takes what time it takes.

Conventions, said once. Time is whole minutes from the bench's start; a row is a draw, a column a task, in the order of
the calendar. Whoever has a free hand takes the first task in that order that can be begun and, as far as anybody
knows beforehand, is over before the shop closes. What takes longer is finished the next morning. A coat whose window
would close in the night is not begun; a window missed all the same is scuffed and begun again.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, TypeAlias

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Flags = NDArray[np.bool_]

Ints: TypeAlias = "NDArray[np.integer[Any]]"

NEVER = 2**30
"""Later than anything [min]."""
HOLDERS = 8
"""So many hold a place at a time, to begin with."""
GRID = 5
"""When a coat may be begun is known to so many minutes."""


@dataclass(frozen=True, eq=False)
class Link:
    """One task after another: columns, and the wait between in every draw."""

    before: int
    after: int
    wait: Ints
    likely: int
    closes: int | None


@dataclass(frozen=True, eq=False)
class Lives:
    """What is lived through."""

    spans: Sequence[tuple[int, int]]
    """When the shop is open, rising and apart."""
    hands: int
    capacity: Sequence[int]
    """Of each place that has an end."""
    likely: Ints
    """What each task is planned to take."""
    careful: Ints
    """What a careful person reckons each with where a window waits behind it."""
    drawn: Ints
    """Draws × tasks: what it takes."""
    people: Ints
    place: Ints
    """Index of its place; -1 = one without an end."""
    room: Ints
    keeps: Ints
    """For so long it holds its place after its end."""
    rest: Ints
    """Index of the place where it rests afterwards; -1 = none with an end. There is room there when it is begun."""
    rest_room: Ints
    rest_keeps: Ints
    not_before: Ints
    not_after: Ints
    """When a window that is open already closes; `NEVER` where none is."""
    links: Sequence[Link]


@dataclass(frozen=True, eq=False)
class Lived:
    """How it went: when each task was begun and ended [min], and how many windows were missed, by draw."""

    starts: Ints
    ends: Ints
    missed: Ints


def live(lives: Lives) -> Lived:
    """All draws, each to its end."""
    run = _Run(lives)
    while run.left.any():
        run.step()
    return Lived(run.starts, run.ends, run.missed)


class Open:
    """The shop's open hours as arrays: where a minute lies, and where work begun then is at its end."""

    def __init__(self, spans: Sequence[tuple[int, int]]) -> None:
        import numpy as np

        last = spans[-1][1] if spans else 0  # past what is told, the shop never closes: every draw comes to its end
        self.opens = np.array([*(each[0] for each in spans), last], dtype=np.int32)
        self.closes = np.array([*(each[1] for each in spans), NEVER], dtype=np.int32)
        self.before = np.concatenate([[0], np.cumsum(self.closes - self.opens)])
        """Open minutes before each span."""

    def at(self, minute: Ints) -> Ints:
        """The span each minute lies in, or the next to come."""
        import numpy as np

        found: Ints = np.searchsorted(self.closes, minute, side="right")
        return found

    def worked(self, start: Ints, minutes: Ints) -> Ints:
        """When so many open minutes have passed since each start."""
        import numpy as np

        span = self.at(start)
        done = self.before[span] + np.maximum(0, start - self.opens[span]) + minutes
        last = np.maximum(span, np.searchsorted(self.before[1:], done, side="left"))
        ended: Ints = np.where(minutes > 0, self.opens[last] + done - self.before[last], start)
        return ended


class _Run:
    """The draws side by side, each at a moment of its own."""

    def __init__(self, lives: Lives) -> None:
        import numpy as np

        self.lives, self.hours = lives, Open(lives.spans)
        draws, tasks = lives.drawn.shape
        self.rows = np.arange(draws)
        self.now = np.zeros(draws, dtype=np.int32)
        self.waiting = np.ones((draws, tasks), dtype=bool)
        self.left = np.full(draws, tasks)
        self.ready = np.tile(lives.not_before, (draws, 1))
        self.deadline = np.tile(lives.not_after, (draws, 1))
        self.pending = np.zeros((draws, tasks), dtype=np.int32)
        self.starts = np.zeros((draws, tasks), dtype=np.int32)
        self.ends = np.zeros((draws, tasks), dtype=np.int32)
        self.missed = np.zeros(draws, dtype=np.int32)
        self.free_from = np.zeros((draws, lives.hands), dtype=np.int32)
        self.needs = np.where(lives.people > 0, np.maximum(1, lives.likely), 0)
        self._follow_links()
        self._share_places()
        self._guard_windows()
        self.can = self.waiting & (self.pending == 0)

    def _follow_links(self) -> None:
        """Links sorted by the task they start from, to be looked up for many at once."""
        import numpy as np

        lives = self.lives
        tasks = lives.drawn.shape[1]
        links = sorted(lives.links, key=lambda each: each.before)
        self.link_after = np.array([each.after for each in links], dtype=np.int32)
        self.link_wait = (
            np.stack([each.wait for each in links], axis=1) if links else np.zeros((len(self.rows), 0), dtype=np.int32)
        )
        self.link_closes = np.full(self.link_wait.shape, NEVER, dtype=np.int32)
        for number, each in enumerate(links):  # what dries slower can be painted over for longer
            if each.closes is not None:
                slower = np.maximum(1.0, each.wait / max(1, each.likely))
                self.link_closes[:, number] = np.rint(each.closes * slower)
        self.links_of = np.bincount([each.before for each in links], minlength=tasks).astype(np.int32)
        self.first_link = np.concatenate([[0], np.cumsum(self.links_of)])[:-1]
        self.pending += np.bincount([each.after for each in links], minlength=tasks).astype(np.int32)
        self.redo = np.zeros(tasks, dtype=np.int32)  # scuffed, put on again, and waited for again
        for each in links:
            if each.closes is not None:
                self.redo[each.after] = max(self.redo[each.after], int(lives.likely[each.before]))

    def _share_places(self) -> None:
        """Who holds what of a place with an end: so many at a time, in every draw."""
        import numpy as np

        shape = (len(self.rows), HOLDERS)
        self.held_until = np.zeros(shape, dtype=np.int32)
        self.held_place, self.held_room = np.zeros(shape, dtype=np.int32), np.zeros(shape, dtype=np.int32)
        self.capacity = np.array(self.lives.capacity, dtype=np.int32)

    def _hold(self, rows: Ints, places: Ints, room: Ints, until: Ints) -> None:
        """Places taken by what is begun, in the stead of what has left."""
        import numpy as np

        at = self.held_until[rows].argmin(axis=1)
        if (self.held_until[rows, at] > self.now[rows]).any():
            self.held_until, self.held_place, self.held_room = (
                np.concatenate([each, np.zeros_like(each)], axis=1)
                for each in (self.held_until, self.held_place, self.held_room)
            )
            at = self.held_until[rows].argmin(axis=1)
        self.held_until[rows, at] = until
        self.held_place[rows, at], self.held_room[rows, at] = places, room

    def _room(self) -> Ints:
        """How much of each place is free now."""
        import numpy as np

        holds = np.where(self.held_until > self.now[:, None], self.held_room, 0)
        taken = [np.where(self.held_place == place, holds, 0).sum(axis=1) for place in range(len(self.capacity))]
        free: Ints = self.capacity - np.stack(taken, axis=1)
        return free

    def _guard_windows(self) -> None:
        """When a task that opens a window may be begun: so that what must follow can be begun before it closes."""
        import numpy as np

        guard = may_begin(self.lives)
        self.guard_at = np.full(len(self.lives.likely), -1, dtype=np.int32)
        self.guard_at[sorted(guard)] = np.arange(len(guard))
        self.may = np.stack([guard[each] for each in sorted(guard)]) if guard else np.zeros((0, 1), dtype=bool)
        cells = self.may.shape[1]
        after = np.where(self.may, np.arange(cells, dtype=np.int32), np.int32(2**31 - 1))
        self.may_next = np.minimum.accumulate(after[:, ::-1], axis=1)[:, ::-1]

    def step(self) -> None:
        """Each draw begins the first task that can be begun, or goes on to where something changes."""
        import numpy as np

        active = np.flatnonzero(self.can.any(axis=0))
        startable = self._startable(active)
        chosen = startable.argmax(axis=1)
        begins = startable[self.rows, chosen]
        rows = self.rows[begins]
        if len(rows):
            self._begin(rows, active[chosen[begins]])
        stuck = self.rows[~begins & (self.left > 0)]
        if len(stuck):
            self.now[stuck] = self._next_change(stuck, active)

    def _startable(self, active: Ints) -> Flags:
        """Of the active columns, which each draw could begin now."""
        import numpy as np

        lives, now = self.lives, self.now
        span = self.hours.at(now)
        rest = np.where(self.hours.opens[span] <= now, self.hours.closes[span] - now, 0)
        free = (self.free_from <= now[:, None]).sum(axis=1)
        can: Flags = self.can[:, active] & (self.ready[:, active] <= now[:, None])
        can &= self.needs[active] <= rest[:, None]
        can &= lives.people[active] <= free[:, None]
        there = self._room() if len(self.capacity) else None
        for places, room in ((lives.place, lives.room), (lives.rest, lives.rest_room)):
            placed = np.flatnonzero(places[active] >= 0)
            if there is not None and len(placed):
                columns = active[placed]
                can[:, placed] &= room[columns] <= there[:, places[columns]]
        guarded = np.flatnonzero(self.guard_at[active] >= 0)
        if len(guarded):
            can[:, guarded] &= self._may_now(active[guarded], now)
        self._leave_hands_for_windows(can, active, free)
        return can

    def _leave_hands_for_windows(self, can: Flags, active: Ints, free: Ints) -> None:
        """With a window open, the last free hands begin nothing that may run past it, and open no other."""
        import numpy as np

        closing = active[self.redo[active] > 0]
        if not len(closing):
            return
        until = np.where(self.can[:, closing], self.deadline[:, closing], NEVER)
        until = np.where(until >= self.now[:, None], until, NEVER).min(axis=1)
        late = self.now[:, None] + self.lives.careful[active] > until[:, None]
        late |= (self.guard_at[active] >= 0) & (until < NEVER)[:, None]
        late &= (free <= 1)[:, None]
        can &= ~late | (self.redo[active] > 0) | (self.lives.people[active] == 0)

    def _may_now(self, columns: Ints, now: Ints) -> Flags:
        """Whether what opens a window may be begun now."""
        import numpy as np

        cell = np.minimum(now // GRID, self.may.shape[1] - 1)
        may: Flags = self.may[self.guard_at[columns][:, None], cell].T
        return may

    def _begin(self, rows: Ints, tasks: Ints) -> None:
        import numpy as np

        lives, start = self.lives, self.now[rows]
        takes = lives.drawn[rows, tasks]
        late = start > self.deadline[rows, tasks]
        self.missed[rows] += late
        takes = takes + np.where(late, self.redo[tasks], 0)
        end = np.where(lives.people[tasks] > 0, self.hours.worked(start, takes), start + takes)
        self.starts[rows, tasks], self.ends[rows, tasks] = start, end
        self.waiting[rows, tasks] = self.can[rows, tasks] = False
        self.left[rows] -= 1
        wanted = lives.people[tasks].copy()
        for hand in range(lives.hands):
            taken = (wanted > 0) & (self.free_from[rows, hand] <= start)
            self.free_from[rows[taken], hand] = end[taken]
            wanted -= taken
        for places, room, keeps in (
            (lives.place, lives.room, lives.keeps), (lives.rest, lives.rest_room, lives.rest_keeps),
        ):  # fmt: skip
            at = places[tasks] >= 0
            if at.any():
                self._hold(rows[at], places[tasks[at]], room[tasks[at]], (end + keeps[tasks])[at])
        self._release(rows, tasks, end)

    def _release(self, rows: Ints, tasks: Ints, end: Ints) -> None:
        """What comes after what has been begun is ready once its wait has run."""
        import numpy as np

        many = self.links_of[tasks]
        row, until = np.repeat(rows, many), np.repeat(end, many)
        first = np.repeat(self.first_link[tasks] - np.concatenate([[0], np.cumsum(many)])[:-1], many)
        link = first + np.arange(len(row))
        after = self.link_after[link]
        self.ready[row, after] = np.maximum(self.ready[row, after], until + self.link_wait[row, link])
        self.deadline[row, after] = np.minimum(self.deadline[row, after], until + self.link_closes[row, link])
        np.subtract.at(self.pending, (row, after), 1)
        self.can[row, after] = (self.pending[row, after] == 0) & self.waiting[row, after]

    def _next_change(self, rows: Ints, active: Ints) -> Ints:
        """When a task gets ready, a hand or a place free, a window shuts, the shop opens, or a coat may be begun."""
        import numpy as np

        now = self.now[rows][:, None]
        span = self.hours.at(now[:, 0])
        following = self.hours.opens[np.minimum(span + 1, len(self.hours.opens) - 1)]
        opening = np.where(self.hours.opens[span] > now[:, 0], self.hours.opens[span], following)
        can, ready = self.can[np.ix_(rows, active)], self.ready[np.ix_(rows, active)]
        ready = np.where(can, ready, NEVER)
        shut = np.where(can, self.deadline[np.ix_(rows, active)], NEVER) + 1
        later = [opening[:, None], ready, shut, self.free_from[rows], self.held_until[rows]]
        guarded = np.flatnonzero(self.guard_at[active] >= 0)
        if len(guarded):
            columns = active[guarded]
            cell = np.minimum(now[:, 0] // GRID, self.may.shape[1] - 1)
            held_back = can[:, guarded] & ~self._may_now(columns, now[:, 0])
            later.append(np.where(held_back, self.may_next[self.guard_at[columns][:, None], cell].T * GRID, NEVER))
        changes = np.concatenate(later, axis=1)
        change: Ints = np.where(changes > now, changes, NEVER).min(axis=1)
        return change


def may_begin(lives: Lives) -> dict[int, Flags]:
    """By task that opens a window: for every five minutes, whether what must follow could be begun in time.

    By careful times and the shop's hours alone, or by the planned ones where careful ones leave no time at all. A task
    that could never be begun is not held back: its window is missed, and that is told.
    """
    import numpy as np

    cells = (lives.spans[-1][1] if lives.spans else 0) // GRID + 1
    minute = np.arange(cells) * GRID
    hours = Open(lives.spans)
    span = hours.at(minute)
    rest = np.where(hours.opens[span] <= minute, hours.closes[span] - minute, 0)
    closing = [each for each in lives.links if each.closes is not None]
    found: dict[int, Flags] = {}

    def may(task: int) -> Flags:
        if task not in found:
            reckoned = (reckon(task, lengths) for lengths in (lives.careful, lives.likely))
            found[task] = next((each for each in reckoned if each[: cells // 2].any()), np.ones(cells, dtype=bool))
        return found[task]

    def reckon(task: int, lengths: Ints) -> Flags:
        allowed: Flags = rest >= lengths[task] if lives.people[task] else np.ones(cells, dtype=bool)
        for link in closing:
            if link.before == task and link.closes is not None:
                reached = np.concatenate([[0], np.cumsum(may(link.after))])
                since = minute + lengths[task]
                earliest = np.minimum((since + link.likely) // GRID, cells)
                latest = np.minimum((since + link.closes) // GRID + 1, cells)
                allowed = allowed & ((reached[np.maximum(latest, earliest)] > reached[earliest]) | (latest >= cells))
        return allowed

    return {task: may(task) for task in sorted({each.before for each in closing})}
