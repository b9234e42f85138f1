"""Strip-down: which steps to open first, and what could be done while it is apart.

**Open first**: of what comes off anyway, the steps in the order in which they settle most of the reserve a minute. A
step settles what the simulation holds for the hidden faults that anybody sees once it is off; what the steps before it
have settled counts no more.

**While it is apart**: parts that are left or only cleaned, and whose better course needs at most ten minutes of
strip-down beyond the plan's. Each is priced twice: now, all other verdicts kept, and later on its own, with what is
left over then on the shelf. Money in minor units.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from math import ceil
from time import monotonic

from trimwright.plan.quantities.cabin import Course, PartOptions, Quantities, Spent
from trimwright.plan.quantities.whole_job import MAKE_SAFE
from trimwright.plan.verdicts.asking import WORKERS, Answered, Asking, ask_all, time_for
from trimwright.plan.verdicts.model import offered
from trimwright.plan.verdicts.program import INF
from trimwright.plan.verdicts.recount import Outcome, pack_offer
from trimwright.plan.verdicts.reserve import DRAWS, draw_costs, quantile_at
from trimwright.plan.verdicts.search import WHOLE_UNIT, Candidate, Search
from trimwright.plan.verdicts.staircase import used
from trimwright.plan.verdicts.verdict import Verdicts

REACH_MINUTES = 10
"""Strip-down beyond the plan's that still counts as reached on the way."""
LIGHT = frozenset({"leave", "clean"})
ALONE_SECONDS = 5.0


# ---- open first ------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Opening:
    """One thing to open: the steps in the order they come off, as far as nothing before has opened them."""

    steps: tuple[str, ...]
    minutes: int
    """Off and back on."""
    shows: tuple[str, ...]
    """Ids of the hidden faults that are settled then."""
    settles: int
    """Of the reserve."""

    @property
    def per_minute(self) -> float:
        """Reserve settled for each minute."""
        return self.settles / max(1, self.minutes)


def open_first(quantities: Quantities, plan: Candidate, *, draws: int = DRAWS, seed: int = 1) -> tuple[Opening, ...]:
    """What to open in which order; the same seed gives the same."""
    import numpy as np

    drawn = draw_costs(quantities, plan.count, plan.packs, draws=draws, rng=np.random.default_rng(seed))
    sure = quantities.terms.sure
    off = {step.id for step in quantities.steps.values() if step.off}
    unsettled, held = list(drawn.found), quantile_at(sure, drawn.total())
    openings: list[Opening] = []
    while True:
        candidates = []
        for steps in ways_to_show(quantities, plan, unsettled, off):
            shows = tuple(each for each in unsettled if is_shown(quantities, each, off | set(steps)))
            still_held = quantile_at(sure, drawn.total(found=[each for each in unsettled if each not in shows]))
            minutes = sum(quantities.steps[step].minutes for step in steps)
            candidates.append(Opening(steps, minutes, shows, held - still_held))
        if not candidates:
            return tuple(openings)
        best = max(candidates, key=lambda each: (each.per_minute, each.steps))
        openings.append(best)
        off |= set(best.steps)
        unsettled = [each for each in unsettled if each not in best.shows]
        held -= best.settles


def ways_to_show(
    quantities: Quantities, plan: Candidate, unsettled: Iterable[str], off: set[str]
) -> Iterable[tuple[str, ...]]:
    """The steps that show one or another of the unsettled faults, among those that the plan opens anyway."""
    ways: dict[tuple[str, ...], None] = {}
    for each in unsettled:
        behind = quantities.hidden[each].shows_behind
        open_question = 0 < quantities.hidden[each].chance < 1
        if open_question and behind and set(behind) <= set(plan.count.steps):
            ways[tuple(step for step in through(quantities, behind) if step not in off)] = None
    return ways


def is_shown(quantities: Quantities, hidden: str, off: set[str]) -> bool:
    """Whether anybody sees it with these steps off."""
    behind = quantities.hidden[hidden].shows_behind
    return bool(behind) and set(behind) <= off


def through(quantities: Quantities, steps: Iterable[str]) -> tuple[str, ...]:
    """The steps and all that must come off before them, in the order they come off."""
    reached: set[str] = set()
    waiting = list(steps)
    while waiting:
        step = waiting.pop()
        if step not in reached:
            reached.add(step)
            waiting += quantities.steps[step].requires
    return tuple(each for each in quantities.steps if each in reached)


# ---- while it is apart -----------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Price:
    """What a course asks for: expected money, the sum it takes to be as sure as asked, minutes on the clock."""

    money: int
    sum: int
    minutes: int


@dataclass(frozen=True, slots=True)
class WhileApart:
    """An offer for one part that the plan leaves or only cleans."""

    part: str
    name: str
    course: Course
    before: int
    """The finish the plan leaves it with."""
    after: int
    reach_minutes: int
    """Strip-down beyond the plan's."""
    now: Price
    later: Price
    """On its own, once everything is back together."""
    points: int
    """Gained by the cabin."""


def while_apart(
    quantities: Quantities,
    verdicts: Verdicts,
    *,
    seconds: float | None = None,
    workers: int = WORKERS,
    answered: Answered | None = None,
) -> tuple[WhileApart, ...]:
    """One offer a part, the most points for its sum first. What is not priced within `seconds` is left out."""
    ends = monotonic() + (seconds or time_for(quantities))
    askers = [Asking(quantities, verdicts) for _ in range(workers)]
    in_reach = list(reachable(quantities, askers[0].plan))

    def ask(asker: Asking, question: tuple[PartOptions, Course]) -> WhileApart | None:
        return offer_for(asker, *question) if monotonic() < ends else None

    priced = (each for each in ask_all(askers, in_reach, ask, answered) if each is not None and each.points > 0)
    best: dict[str, WhileApart] = {}
    for each in sorted(priced, key=for_money, reverse=True):
        best.setdefault(each.part, each)
    return tuple(best.values())


def for_money(offer: WhileApart) -> float:
    """Points for each minor unit of the sum it takes."""
    return offer.points / max(1, offer.now.sum)


def reachable(quantities: Quantities, plan: Candidate) -> Iterator[tuple[PartOptions, Course]]:
    """Parts left or cleaned with the courses to which the plan's strip-down leads, or nearly."""
    opened = set(plan.count.steps)
    for part in quantities.parts:
        outcome = plan.count.outcomes[part.part]
        if outcome.settled_by is not None or outcome.course.kind not in LIGHT:
            continue
        for course in offered(part):
            way = through(quantities, course.steps)
            if (
                course.kind not in LIGHT
                and not course.settles
                and course.finish_at[0] > outcome.finish
                and not opened.isdisjoint(way)
                and reach(quantities, way, opened) <= REACH_MINUTES
            ):
                yield part, course


def reach(quantities: Quantities, way: Iterable[str], opened: set[str]) -> int:
    """Minutes of the steps on the way that are not opened anyway."""
    return sum(quantities.steps[step].minutes for step in way if step not in opened)


def offer_for(asker: Asking, part: PartOptions, course: Course) -> WhileApart:
    """The course priced beside the plan, and on its own."""
    quantities, plan = asker.quantities, asker.plan
    beside = asker.bought_for({**plan.chosen, part.part: course}.values())
    outcome = beside.count.outcomes[part.part]
    return WhileApart(
        part=part.part,
        name=part.name,
        course=course,
        before=plan.count.outcomes[part.part].finish,
        after=outcome.finish,
        reach_minutes=reach(quantities, through(quantities, course.steps), set(plan.count.steps)),
        now=Price(
            money=beside.count.expected - plan.count.expected,
            sum=ceil(used(asker, "money", beside)) - ceil(used(asker, "money", plan)),
            minutes=beside.count.minutes - plan.count.minutes,
        ),
        later=price_alone(on_its_own(quantities, plan, part, outcome), asker.z),
        points=beside.count.points - plan.count.points,
    )


def on_its_own(quantities: Quantities, plan: Candidate, part: PartOptions, outcome: Outcome) -> Quantities:
    """The cabin as it stands after the plan, and this one course to do; the plan's tools and finds are paid."""
    course, level = outcome.course, outcome.level
    alone = replace(
        course,
        finish_at=(outcome.finish,),
        points_at=(course.points_at[level],),
        redo_at=(course.redo_at[level],),
        once=tuple(each for each in course.once if not has_tool(quantities, plan, each)),
        finds=tuple(each for each in course.finds if each not in plan.count.hidden),
    )
    steps = {each: replace(quantities.steps[each], finds=()) for each in through(quantities, course.steps)}
    safe = any(step.hold for step in steps.values())
    return replace(
        quantities,
        parts=(replace(part, courses=(alone,), child_of=None, rests_on=(), bearings=(10,)),),
        steps=steps,
        hidden={each: quantities.hidden[each] for each in alone.finds},
        materials={
            key: replace(offer, stock_milli=left_over(quantities, plan, key))
            for key, offer in quantities.materials.items()
        },
        lines=tuple(line for line in quantities.lines if safe and line.id == MAKE_SAFE),
        sets=(),
        neighbours=(),
        spent=Spent(),
    )


def has_tool(quantities: Quantities, plan: Candidate, item: str) -> bool:
    """Whether it is a tool that the plan buys anyway; batches and visits are paid again."""
    return item in plan.count.shared and quantities.shared[item].what == "tool"


def left_over(quantities: Quantities, plan: Candidate, key: str) -> int:
    """Thousandths of a material on the shelf after the plan."""
    bought = sum(
        number * pack_offer(quantities, pack).size_milli for pack, number in plan.packs.items() if pack[0] == key
    )
    return max(0, quantities.materials[key].stock_milli + bought - plan.count.used_milli.get(key, 0))


def price_alone(quantities: Quantities, z: float) -> Price:
    """The one plan there is, with packs bought for the least money."""
    search = Search(quantities, seconds=INF, draws=DRAWS, seed=1, progress=None, threads=1)
    search.model.money_limit = search.model.minutes_limit = INF
    search.ask_at(z)
    search.release()
    found = search.solver.improve(search.model.costs("money"), None, seconds=ALONE_SECONDS, absolute_gap=WHOLE_UNIT)
    alone = search.candidate(z, found, None)
    return Price(alone.count.expected, alone.odds.quantile, alone.count.minutes)
