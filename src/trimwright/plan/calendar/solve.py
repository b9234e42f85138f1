"""The bare problem solved: a timetable at once, made better, then proven as far as the seconds go; each one checked."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor, wait
from threading import Lock
from time import monotonic

from trimwright.errors import NoTimetable, Problem, RecountDiffers
from trimwright.plan.calendar.bound import least_end
from trimwright.plan.calendar.check import faults
from trimwright.plan.calendar.greedy import Placer, by_rules, end_of
from trimwright.plan.calendar.improve import improve
from trimwright.plan.calendar.model import Asked, ask
from trimwright.plan.calendar.network import Network, network_of
from trimwright.plan.calendar.polish import Merits, polished
from trimwright.plan.calendar.project import Project, Timetable

Progress = Callable[[Timetable], None]
Stop = Callable[[], bool]
CLOSE = 0.01
"""Gap, as a share of the end, from which on the model alone gets further than breeding."""
HEAD_START = 0.1
"""Share of the model's seconds after which breeding begins beside it: much is proven sooner."""
BREEDING, BREEDING_SECONDS = 0.4, 12
"""Share of the model's seconds in which timetables are bred beside it, and the most seconds of it."""
POLISHING = 0.1
"""Share of the seconds kept for what comes after the end."""


def solve(
    project: Project,
    *,
    seconds: float = 15.0,
    hint: Timetable | None = None,
    progress: Progress | None = None,
    stop: Stop | None = None,
) -> Timetable:
    """The earliest end found in about `seconds`, with the best bound on it.

    `hint` is an older timetable of much the same project; `progress` is told of every better one, the first within a
    second; `stop` is asked now and then and ends the search early. Raises `NoTimetable`, proven or not.
    """
    return Search(project, seconds, progress, stop).run(hint)


class Search:
    """One search: the best timetable so far, the bound, and the clock."""

    def __init__(self, project: Project, seconds: float, progress: Progress | None, stop: Stop | None) -> None:
        self.project, self.progress, self.asked_to_stop = project, progress, stop
        self.begun = monotonic()
        self.seconds = seconds
        self.until = self.begun + seconds * (1 - POLISHING * Merits(project).wishes)
        self.network: Network = network_of(project)
        self.placer = Placer(self.network)
        self.best: list[int] | None = None
        self.bred = self.overtaken = False
        """Whether the best comes from breeding, and whether the model that runs is therefore stopped."""
        self.one_at_a_time = Lock()
        self.end = project.horizon + 1
        self.bound = max(
            (head + length for head, length in zip(self.network.heads, self.network.lengths, strict=True)), default=0
        )

    def run(self, hint: Timetable | None) -> Timetable:
        """A timetable at once, a bound, the model with breeding beside it; then what is better still."""
        placer = self.placer
        self.again(placer, hint)
        by_rules(placer, self.take, lambda: self.proven or self.over())
        self.own_bound()
        self.search()
        if self.best is None:
            raise NoTimetable(
                Problem(
                    self.network.names[self.placer.stuck],
                    "",
                    "found no time among the others in the seconds given.",
                    "Give more seconds.",
                ),
                proven=False,
            )
        until = monotonic() + POLISHING * self.seconds
        self.best = polished(self.project, self.network, self.best, lambda: monotonic() > until or self.told_to_stop())
        return self.timetable()

    @property
    def proven(self) -> bool:
        """Whether nothing can end earlier."""
        return self.best is not None and self.end <= self.bound

    @property
    def left(self) -> float:
        """Seconds left."""
        return self.until - monotonic()

    def over(self) -> bool:
        """Whether the time is up, or the caller has had enough."""
        return self.left <= 0 or self.told_to_stop()

    def told_to_stop(self) -> bool:
        """Whether the caller has had enough."""
        return self.asked_to_stop is not None and self.asked_to_stop()

    def again(self, placer: Placer, hint: Timetable | None) -> None:
        """The old timetable's order, placed anew."""
        if hint is not None:
            late = self.project.horizon
            keys = [float(hint.starts.get(name, late)) for name in self.network.names]
            starts = placer.place(placer.order_by(keys), keys)
            if starts is not None:
                self.take(starts)

    def own_bound(self) -> None:
        """The bound that needs no solver."""
        if self.best is not None:
            self.bound = least_end(self.network, self.bound, self.end, self.over)

    def search(self) -> None:
        """The model for the rest of the time; beside it breeding, and the model anew if that has overtaken it."""
        close = self.end - self.bound <= CLOSE * self.end
        if self.best is None or close or self.one_by_one:
            self.ask_model(self.best if close else None)
            return
        with ThreadPoolExecutor(1) as beside:
            first = beside.submit(self.ask_model, None)
            try:
                wait([first], timeout=HEAD_START * self.left)
                self.breed(self.best, min(BREEDING * self.left, BREEDING_SECONDS), lambda: first.done() or self.over())
                self.overtaken = self.bred
            except BaseException:
                self.overtaken = True
                raise
        if self.overtaken:
            self.overtaken = False
            self.ask_model(self.best)

    @property
    def one_by_one(self) -> bool:
        """Whether every room takes one at a time: pure questions of order, which the model settles sooner alone."""
        return max((self.network.capacity[one.resource] for held in self.network.held for one in held), default=1) == 1

    def breed(self, starts: Sequence[int], seconds: float, stop: Stop) -> None:
        """Better timetables from this one."""

        def found(better: list[int]) -> None:
            if self.take(better):
                self.bred = True

        improve(self.network, starts, seconds=seconds, found=found, stop=stop)

    def take(self, starts: Sequence[int], bound: int = 0) -> bool:
        """Keep a timetable if it ends earlier, once it has been checked, and tell of it."""
        with self.one_at_a_time:
            self.bound = max(self.bound, bound)
            end = end_of(self.network, starts)
            if self.best is not None and end >= self.end:
                return False
            self.best, self.end = list(starts), end
            checked = self.timetable()
            if self.progress is not None:
                self.progress(checked)
            return True

    def timetable(self) -> Timetable:
        """The best so far; raises `RecountDiffers` when the independent check finds a fault in it."""
        assert self.best is not None
        starts = dict(zip(self.network.names, self.best, strict=True))
        found = Timetable(starts, self.end, min(self.bound, self.end), monotonic() - self.begun)
        wrong = faults(self.project, found)
        if wrong:
            raise RecountDiffers("; ".join(str(each) for each in wrong))
        return found

    def ask_model(self, start: list[int] | None) -> None:
        """A better one, and the proof, from the model; a start far from the best misleads it more than it helps."""
        if self.proven or self.over():
            return

        def found(better: list[int], bound: int) -> None:
            if self.take(better, bound):
                self.bred = False

        network = self.network if start is None else self.network.until(end_of(self.network, start))
        asked = Asked(self.left, self.bound, start)
        answer = ask(network, asked, found=found, stop=lambda: self.overtaken or self.told_to_stop())
        if answer.outcome == "none there" and self.best is None:
            raise NoTimetable(
                Problem(
                    self.network.names[self.placer.stuck],
                    "",
                    "finds no time: waits, allowed starts and room rule each other out.",
                    "Let a wait close later, or make more room.",
                )
            )
        if answer.starts is not None:
            found(answer.starts, 0)
        self.bound = max(self.bound, min(answer.bound, self.end))
