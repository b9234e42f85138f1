"""Looks worth taking before anything is quoted: what each is worth to the plan.

A look shows hidden faults to be there or not. For everything it may show, with its chance, the plan is decided again
at the decided plan's z: the points then, less the points now, are what it gains. Where the fault is there that is a
loss, and on average it may be one: a promise is made with open eyes. What a look takes off the reserve is told of the
decided plan as it stands, by simulation with the same draws. Money in minor units.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from time import monotonic

from trimwright.plan.quantities.cabin import LookAt, Quantities
from trimwright.plan.verdicts import charges
from trimwright.plan.verdicts.asking import WORKERS, Answered, Asking, Held, ask_all, time_for
from trimwright.plan.verdicts.reserve import DRAWS, simulate
from trimwright.plan.verdicts.search import WHOLE_UNIT
from trimwright.plan.verdicts.seeing import Seen, may_be_seen
from trimwright.plan.verdicts.verdict import Verdicts

MOST_AT_ONCE = 3
"""So many faults of one look are taken as seen: those that leave most open. The rest stay suspected, so that a look
that shows more is worth rather more than is told."""
LEAST_SECONDS = 0.5
"""Time for one decision, however many there are."""


@dataclass(frozen=True, slots=True)
class Answer:
    """One thing a look may show, and the plan then."""

    there: tuple[str, ...]
    """Ids of the hidden faults that are there."""
    chance: float
    points: int | None
    """The best plan's; None when nothing fits."""
    reserve: int
    """What the decided plan would have to hold."""


@dataclass(frozen=True)
class LookWorth:
    """What a look is worth on average, before anybody knows what it shows."""

    look: LookAt
    answers: tuple[Answer, ...]
    points: float
    """Points gained."""
    reserve: float
    """Taken off the decided plan's reserve."""
    on_suspicion: int
    """Money in the sum, opened or not, for what it settles and would have to be dealt with."""

    @property
    def minutes(self) -> int:
        """Hands on and waiting."""
        return self.look.minutes + self.look.wait_minutes

    @property
    def points_per_minute(self) -> float:
        """Points gained for each minute it takes."""
        return self.points / self.minutes

    @property
    def reserve_per_minute(self) -> float:
        """Reserve set free for each minute it takes."""
        return self.reserve / self.minutes


def worth_taking(
    quantities: Quantities,
    verdicts: Verdicts,
    *,
    seconds: float | None = None,
    workers: int = WORKERS,
    draws: int = DRAWS,
    seed: int = 1,
    answered: Answered | None = None,
) -> tuple[LookWorth, ...]:
    """Every look with what it is worth, the most reserve set free a minute first; `seconds` is shared out."""
    if not quantities.looks:
        return ()
    ends = monotonic() + (seconds or time_for(quantities))
    askers = [Asking(quantities, verdicts, draws=draws, seed=seed) for _ in range(workers)]
    shows = [(look, seen) for look in quantities.looks for seen in may_be_seen(quantities, most_open(quantities, look))]
    left = len(shows)

    def ask(asker: Asking, question: tuple[LookAt, Seen]) -> Answer:
        nonlocal left
        share, left = (ends - monotonic()) * workers / left, left - 1
        return answer(asker, question[1], max(LEAST_SECONDS, share), draws=draws, seed=seed)

    answers = list(zip(shows, ask_all(askers, shows, ask, answered), strict=False))
    found = [worth_of(askers[0], look, [told for (of, _), told in answers if of is look]) for look in quantities.looks]
    return tuple(sorted(found, key=lambda each: (-each.reserve_per_minute, -each.points_per_minute)))


def most_open(quantities: Quantities, look: LookAt) -> tuple[str, ...]:
    """The faults of a look whose being there or not moves the money most."""

    def open_money(each: str) -> float:
        hidden = quantities.hidden[each]
        return hidden.chance * (1 - hidden.chance) * charges.find_cost(quantities.terms, hidden) ** 2

    dearest = set(sorted(look.settles, key=open_money, reverse=True)[:MOST_AT_ONCE])
    return tuple(each for each in look.settles if each in dearest)


def answer(asker: Asking, seen: Seen, seconds: float, *, draws: int, seed: int) -> Answer:
    """The plan decided again once this is seen, and what the decided one would have to hold."""
    own, plan = asker.quantities.hidden, asker.plan
    changed = {key: hidden for key, hidden in seen.hidden.items() if hidden is not own[key]}
    with asker.finding({key: asker.search.model.figures_of_find(hidden) for key, hidden in changed.items()}):
        best = asker.most_points(Held(), plan.values, seconds=seconds, gap=WHOLE_UNIT)
    odds = simulate(replace(asker.quantities, hidden=seen.hidden), plan.count, plan.packs, draws=draws, seed=seed)
    points = None if best is None else best.count.points
    return Answer(tuple(sorted(seen.there)), seen.chance, points, odds.quantile - plan.count.firm)


def worth_of(asker: Asking, look: LookAt, answers: Iterable[Answer]) -> LookWorth:
    """The look over all it may show; where nothing fits in the end, nothing is gained by knowing it."""
    plan, answers = asker.plan, tuple(answers)
    held = plan.odds.quantile - plan.count.firm
    terms, hidden = asker.quantities.terms, [asker.quantities.hidden[each] for each in look.settles]
    return LookWorth(
        look=look,
        answers=answers,
        points=sum(each.chance * (each.points - plan.count.points) for each in answers if each.points is not None),
        reserve=sum(each.chance * (held - each.reserve) for each in answers),
        on_suspicion=sum(round(each.chance * charges.find_cost(terms, each)) for each in hidden if each.certain),
    )
