"""What if strip-down finds …: the plan lived through many times, each with other hidden faults, and decided again.

In each replay strip-down has shown which of the plan's hidden faults are there and what they take; the steps opened are
spent, everything else is open again, and the plan with most points is chosen for what is left, at the z of the decided
plan for what is still unsure. A verdict is only changed where that gains something. How often each verdict survives
says what may be ordered now and what waits for strip-down.

A replay does not depend on the one before it: the same seed gives the same answer whoever shares the work.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from time import monotonic
from typing import Literal

from trimwright.plan.quantities.cabin import LEAVE, Quantities
from trimwright.plan.verdicts import charges
from trimwright.plan.verdicts.asking import WORKERS, Answered, Asking, Held, ask_all
from trimwright.plan.verdicts.program import INF
from trimwright.plan.verdicts.recount import leaving, recount
from trimwright.plan.verdicts.reserve import draw_finds
from trimwright.plan.verdicts.search import WHOLE_UNIT
from trimwright.plan.verdicts.verdict import Verdicts

REPLAYS = 300
ORDER_NOW = 0.95
"""A verdict that survives in so many replays may be ordered for before strip-down."""
GAP = 0.01
"""A replay need not be closer to its best plan than this share of the points gained."""
LONGEST = 20.0
"""Seconds for one replay, where a cabin is that hard."""

Order = Literal["now", "hold"]


@dataclass(frozen=True, slots=True)
class Found:
    """What a hidden fault takes in one replay: money [minor], minutes; nothing of either where it is not there."""

    money: int
    minutes: float


@dataclass(frozen=True, slots=True)
class Lived:
    """One replay, decided again."""

    holds: bool
    """Whether a plan keeps inside the sum and the hours, with a reserve for what is still open."""
    finish: int
    courses: Mapping[str, str]
    """Course id by part."""
    packs: Mapping[tuple[str, str], int]


@dataclass(frozen=True, slots=True)
class Survival:
    """How often a part's verdict was the same after strip-down."""

    part: str
    name: str
    course: str
    treatment: str
    """The leading treatment of the course."""
    course_name: str
    survives: float

    @property
    def order(self) -> Order:
        """Whether what it needs may be ordered now or waits for strip-down."""
        return "now" if self.survives >= ORDER_NOW else "hold"


@dataclass(frozen=True, slots=True)
class PackSurvival:
    """How often at least as many of a pack were still wanted."""

    material: str
    pack_id: str
    survives: float

    @property
    def order(self) -> Order:
        """Whether it may be ordered now or waits for strip-down."""
        return "now" if self.survives >= ORDER_NOW else "hold"


@dataclass(frozen=True)
class Replay:
    """What `n` replays came to; fewer than were asked for when somebody stopped them."""

    n: int
    asked: int
    seed: int
    holds: float
    """Share in which the sum and the hours hold."""
    finish: tuple[int, int, int]
    """The cabin's finish: a tenth of the replays end under the first, half under the second, nine tenths the third."""
    parts: tuple[Survival, ...]
    packs: tuple[PackSurvival, ...]
    seconds: float


def replay(
    quantities: Quantities,
    verdicts: Verdicts,
    *,
    n: int = REPLAYS,
    seed: int = 1,
    workers: int = WORKERS,
    answered: Answered | None = None,
) -> Replay:
    """Live through the plan `n` times. Interrupted, it tells of the replays there are."""
    started = monotonic()
    askers = [Asking(quantities, verdicts) for _ in range(workers)]
    worlds = drawn_worlds(quantities, askers[0].plan.count.hidden, n, seed)
    for asker in askers:  # every entry is there before the first replay, so that none is solved in another order
        with shown(asker, worlds[0]):
            pass
    lived = ask_all(askers, worlds, live, answered)
    return summed_up(quantities, askers[0], lived, n, seed, monotonic() - started)


def drawn_worlds(quantities: Quantities, ids: Sequence[str], n: int, seed: int) -> list[dict[str, Found]]:
    """What each hidden fault takes, in each of `n` replays."""
    import numpy as np

    worlds: list[dict[str, Found]] = [{} for _ in range(n)]
    for drawn in draw_finds(quantities, ids, draws=n, rng=np.random.default_rng(seed)):
        for world, there, money, minutes in zip(worlds, drawn.there, drawn.money, drawn.minutes, strict=True):
            world[drawn.id] = Found(round(float(money)), float(minutes)) if there else Found(0, 0.0)
    return worlds


def live(asker: Asking, world: Mapping[str, Found]) -> Lived:
    """Decide again in one world."""
    search, plan = asker.search, asker.plan
    gap = max(WHOLE_UNIT, GAP * (plan.count.points - leaving(asker.quantities)))
    with asker.holding(Held()), shown(asker, world):
        search.solver.forget()
        search.narrow(None, passes=1)
        costs = search.model.costs("points")
        costs[kept_columns(asker)] -= WHOLE_UNIT / (2 * len(asker.quantities.parts))
        values = search.nearby(plan.values, costs, LONGEST)
        if values is not plan.values:
            search.narrow(search.model.points_of(values), passes=1)
        found = search.solver.improve(costs, values, seconds=LONGEST, absolute_gap=gap)
        holds = found.status != "infeasible"
    if not holds:
        with asker.holding(Held(money=INF, minutes=INF)), shown(asker, world):
            found = search.solver.improve(search.model.costs("money"), None, seconds=LONGEST, absolute_gap=gap)
    chosen, packs = search.model.chosen(found.values), search.model.bought(found.values)
    count = recount(asker.quantities, chosen, packs)
    courses = {part: outcome.course.id for part, outcome in count.outcomes.items()}
    return Lived(holds, count.finish_after, courses, packs)


def kept_columns(asker: Asking) -> list[int]:
    """The columns of the plan's own courses: of two equal plans the one that keeps more of them is taken."""
    return [column for column in asker.search.courses if asker.plan.values[column] > WHOLE_UNIT]


@contextmanager
def shown(asker: Asking, world: Mapping[str, Found]) -> Iterator[None]:
    """The model after strip-down: hidden faults there or not at a known cost, the plan's steps open."""
    model, solver = asker.search.model, asker.search.solver
    for step in asker.plan.count.steps:
        solver.bound_column(model.steps[step], 1.0, 1.0)
    try:
        with asker.finding({each: known_figures(asker.quantities, found) for each, found in world.items()}):
            yield
    finally:
        for step in asker.plan.count.steps:
            column = model.steps[step]
            solver.bound_column(column, model.program.lower[column], model.program.upper[column])


def known_figures(quantities: Quantities, found: Found) -> dict[str, float]:
    """What a hidden fault adds once it is known."""
    terms = quantities.terms
    return {
        "expected": found.money + charges.labour(terms, found.minutes, terms.hours_factor),
        "minutes": charges.planned_minutes(terms, found.minutes),
        "variance": 0.0,
        "swing": 0.0,
    }


def summed_up(
    quantities: Quantities, asker: Asking, lived: Sequence[Lived], asked: int, seed: int, seconds: float
) -> Replay:
    """Shares and spreads over the replays there are."""
    import numpy as np

    n = len(lived)
    plan = asker.plan
    finishes = [each.finish for each in lived] or [plan.count.finish_after]
    low, middle, high = (int(each) for each in np.quantile(finishes, (0.1, 0.5, 0.9), method="nearest"))

    def share(kept: int) -> float:
        return kept / n if n else 0.0

    return Replay(
        n=n,
        asked=asked,
        seed=seed,
        holds=share(sum(each.holds for each in lived)),
        finish=(low, middle, high),
        parts=tuple(
            Survival(
                part=part.part,
                name=part.name,
                course=(course := plan.count.outcomes[part.part].course).id,
                treatment=course.treatments[-1] if course.treatments else LEAVE,
                course_name=course.name,
                survives=share(sum(each.courses[part.part] == course.id for each in lived)),
            )
            for part in quantities.parts
        ),
        packs=tuple(
            PackSurvival(*pack, share(sum(each.packs.get(pack, 0) >= count for each in lived)))
            for pack, count in plan.packs.items()
        ),
        seconds=round(seconds, 3),
    )
