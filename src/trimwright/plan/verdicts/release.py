"""The reserve while the work goes on: what is given up when finds eat more than it, and when it is let go.

The **drop list** goes down from the plan: each drop is the plan with least points lost that asks for so much less of
the sum at the decided plan's z, by taking lesser verdicts for parts that are neither done nor pinned, and none that is
better. What was dropped stays dropped. What is promised may be dropped with the owner's yes alone, and says so.

The **release plan** splits the reserve by what it is held for: hidden faults, which strip-down shows; doing again what
is mended, coloured or covered; and hours, prices and the rest, which only the rebuild settles. What is held for after a
point is the simulated quantile of what is then still open. Money in minor units.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from math import ceil, floor
from time import monotonic

from trimwright.plan.quantities.cabin import Course, PartOptions, Quantities
from trimwright.plan.verdicts.asking import Asking, Held, courses_of, time_for
from trimwright.plan.verdicts.recount import Outcome
from trimwright.plan.verdicts.reserve import DRAWS, draw_costs, quantile_at
from trimwright.plan.verdicts.search import WHOLE_UNIT, Candidate
from trimwright.plan.verdicts.staircase import Change, changes_between, used
from trimwright.plan.verdicts.verdict import Verdicts

DROPS = 8
SHARE_FREED = 0.1
"""Of the reserve, what one drop asks less."""
MADE_AT_THE_BENCH = frozenset({"mend", "refinish", "re-cover"})
"""Kinds of work that have shown by the end of colour and sewing whether they must be done again."""


@dataclass(frozen=True, slots=True)
class Drop:
    """One step down from the plan before it."""

    changes: tuple[Change, ...]
    frees: int
    """Of the sum, its share of the reserve inside, as the model wants it or the simulation where that is more."""
    minutes: int
    """Set free."""
    points: int
    """Lost."""
    finish: int
    """The cabin's then."""
    promised: tuple[str, ...]
    """Parts among them that are promised: the owner has to let go of them."""


@dataclass(frozen=True, slots=True)
class Release:
    """What may be let go of the reserve, as far as nothing has eaten it; the three add up to it."""

    after_strip_down: int
    """Held for hidden faults."""
    after_colour_and_sewing: int
    """Held for doing again what is mended, coloured and covered."""
    after_rebuild: int
    """Held for hours, prices and the rest."""


# ---- the drop list ---------------------------------------------------------------------------------------------


def drop_list(
    quantities: Quantities,
    verdicts: Verdicts,
    *,
    drops: int = DROPS,
    at_least: int | None = None,
    seconds: float | None = None,
) -> tuple[Drop, ...]:
    """The drops in order, each asking `at_least` [minor] less than the one before, until nothing is left to drop."""
    ends = monotonic() + (seconds or time_for(quantities))
    asker = Asking(replace(quantities, parts=tuple(map(let_go, quantities.parts))), verdicts)
    promised = {each.part for each in courses_of(verdicts) if each.promised}
    wanted = max(1, round(verdicts.money.reserve * SHARE_FREED)) if at_least is None else at_least
    found: list[Drop] = []
    above = asker.plan
    for number in range(drops):
        left = max(0.0, ends - monotonic()) / (drops - number)
        below = next_below(asker, above, floor(asker.need(above)) - wanted, left)
        if below is None:
            break
        found.append(drop_between(asker, above, below, promised))
        above = below
    return tuple(found)


def let_go(part: PartOptions) -> PartOptions:
    """The part with nothing promised about it."""
    return replace(part, courses=tuple(replace(course, promised=False) for course in part.courses))


def next_below(asker: Asking, plan: Candidate, money: float, seconds: float) -> Candidate | None:
    """The plan with most points for so much money, no verdict better than in `plan`; None when there is none."""
    held = Held(ban=tuple(better_than(asker.quantities, plan)), money=money)
    found = asker.most_points(held, plan.values, seconds=seconds, gap=WHOLE_UNIT)
    return None if found is None else asker.bought_for(found.chosen.values())


def better_than(quantities: Quantities, plan: Candidate) -> Iterator[Course]:
    """Every course that would do a part better than the plan does."""
    for part in quantities.parts:
        outcome = plan.count.outcomes[part.part]
        yield from (course for course in part.courses if betters(course, outcome))


def betters(course: Course, outcome: Outcome) -> bool:
    """Whether a course does more for its part than the plan; a part that goes with its whole is judged by finish."""
    if outcome.settled_by is not None:
        return course.finish_at[0] > outcome.finish
    return course.id != outcome.course.id and course.points_at[0] >= outcome.course.points_at[outcome.level]


def drop_between(asker: Asking, above: Candidate, below: Candidate, promised: Iterable[str]) -> Drop:
    """What the one plan gives up against the other."""
    changes = tuple(changes_between(asker.quantities, above, below))
    changed = {each.part for each in changes}
    return Drop(
        changes=changes,
        frees=ceil(used(asker, "money", above)) - ceil(used(asker, "money", below)),
        minutes=above.count.minutes - below.count.minutes,
        points=above.count.points - below.count.points,
        finish=below.count.finish_after,
        promised=tuple(part for part in promised if part in changed),
    )


# ---- the release plan ------------------------------------------------------------------------------------------


def release_plan(
    quantities: Quantities, verdicts: Verdicts, plan: Candidate, *, draws: int = DRAWS, seed: int = 1
) -> Release:
    """When the reserve of the decided plan may be let go, `plan` being that plan; the same seed gives the same."""
    import numpy as np

    drawn = draw_costs(quantities, plan.count, plan.packs, draws=draws, rng=np.random.default_rng(seed))
    later = [part for part in drawn.redo if plan.count.outcomes[part].course.kind not in MADE_AT_THE_BENCH]
    sure, held = quantities.terms.sure, verdicts.money.reserve
    after_strip_down = min(held, max(0, quantile_at(sure, drawn.total(found=())) - drawn.firm))
    bench_done = quantile_at(sure, drawn.total(redo=later, found=())) - drawn.firm
    after_bench = min(after_strip_down, max(0, bench_done))
    return Release(held - after_strip_down, after_strip_down - after_bench, after_bench)
