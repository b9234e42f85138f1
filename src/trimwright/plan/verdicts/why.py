"""Why this verdict: every other way to treat the part forced into the plan, what that loses, and the numbers behind it.

Two plans stand behind each other way. In the one, everything else is decided again round it: what it loses there is its
price. In the other, nothing else moves: the difference to the decided plan, item by item, is the reason.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from math import ceil
from time import monotonic
from typing import Literal

from trimwright import units
from trimwright.errors import BadInput, Problem
from trimwright.plan.quantities.cabin import POINT_SCALE, Course, PartOptions, Quantities, Terms
from trimwright.plan.verdicts import charges
from trimwright.plan.verdicts.asking import WORKERS, Asking, Held, ask_all
from trimwright.plan.verdicts.model import offered
from trimwright.plan.verdicts.program import INF
from trimwright.plan.verdicts.recount import Count, pack_offer
from trimwright.plan.verdicts.reserve import spread_of
from trimwright.plan.verdicts.search import WHOLE_UNIT, Candidate
from trimwright.plan.verdicts.verdict import Verdicts

SECONDS = 8.0
"""Time for all other ways of one part."""
Item = Literal["packs", "parts", "tools", "labour", "carriage", "redo", "finds", "reserve"]
TOLD = 2
"""Reasons told."""


@dataclass(frozen=True, slots=True)
class Difference:
    """What changes when only this part is treated the other way: money by item [minor], minutes, finish, payments."""

    money: Mapping[Item, int]
    minutes: int
    finish: int
    """Of the part: the other way's less the verdict's."""
    points_lost: int
    """By the part itself: over the years, payments left out."""
    floors: int
    """Points more that floors cost; likewise sets and neighbours."""
    sets: int
    neighbours: int

    @property
    def total(self) -> int:
        """Money more that the plan wants, the reserve inside [minor]."""
        return sum(self.money.values())


@dataclass(frozen=True, slots=True)
class OtherWay:
    """Another course for the part, forced. Money in minor units."""

    course: Course
    finish: int
    points_lost: int | None
    """Points the best plan with it loses; None when no plan with it fits."""
    money_more: int
    """With no points lost, what it costs more; where nothing fits, what the sum lacks."""
    proven: bool
    """Whether nothing better with it exists; otherwise it may lose a little less."""
    alone: Difference
    reasons: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Why:
    """A verdict and every other way, those that lose least first."""

    part: str
    name: str
    course: Course
    finish: int
    settled_by: str | None
    others: tuple[OtherWay, ...]
    seconds: float


def reasons(
    quantities: Quantities, verdicts: Verdicts, part_id: str, *, seconds: float = SECONDS, workers: int = WORKERS
) -> Why:
    """Why the part has its verdict; BadInput when there is no such part."""
    started = monotonic()
    part = part_named(quantities, part_id)
    askers = [Asking(quantities, verdicts) for _ in range(workers)]
    outcome = askers[0].plan.count.outcomes[part.part]
    others = [course for course in offered(part) if course is not outcome.course]
    each_seconds = seconds * workers / max(1, len(others))
    found = ask_all(askers, others, lambda asker, course: other_way(asker, part, course, each_seconds))
    found.sort(key=lambda each: (each.points_lost is None, each.points_lost or 0, each.money_more))
    return Why(
        part=part.part,
        name=part.name,
        course=outcome.course,
        finish=outcome.finish,
        settled_by=outcome.settled_by,
        others=tuple(found),
        seconds=round(monotonic() - started, 3),
    )


def part_named(quantities: Quantities, part_id: str) -> PartOptions:
    """The part with this id; BadInput when there is none."""
    for part in quantities.parts:
        if part.part == part_id:
            return part
    raise BadInput(Problem("part", part_id, "is the id of no part of this job.", "`trimwright decide` lists them."))


def other_way(asker: Asking, part: PartOptions, course: Course, seconds: float) -> OtherWay:
    """The course forced: everything decided again round it, and alone."""
    plan, held = asker.plan, Held(take=(course,))
    verdict = plan.count.outcomes[part.part].course
    best = asker.most_points(held, plan.values, seconds=seconds, gap=WHOLE_UNIT)
    alone = swapped(asker, part, course)
    difference = difference_of(asker.quantities, plan, alone, part.part, asker.z)
    if best is None:
        least = asker.least("money", Held(take=(course,), money=INF, minutes=INF), plan.values, seconds=seconds)
        wanted = asker.need(asker.search.counted(asker.z, least.values))
        lost, more = None, max(0, ceil(wanted - asker.quantities.terms.sum))
    else:
        lost = max(0, plan.count.points - best.count.points)
        more = 0 if lost else best.count.expected - plan.count.expected
    return OtherWay(
        course=course,
        finish=(best or alone).count.outcomes[part.part].finish,
        points_lost=lost,
        money_more=more,
        proven=best is not None and best.proven,
        alone=difference,
        reasons=tuple(told(asker.quantities.terms, part, verdict, course, difference))[:TOLD],
    )


def swapped(asker: Asking, part: PartOptions, course: Course) -> Candidate:
    """The decided plan with nothing but this part (and the whole that settled it, or its children) changed."""
    plan = asker.plan
    chosen = {
        each: taken for each, taken in plan.chosen.items() if each != part.part and part.part not in taken.settles
    }
    chosen = {each: taken for each, taken in chosen.items() if each not in course.settles}
    chosen[part.part] = course
    return asker.bought_for(chosen.values())


# ---- the difference, item by item --------------------------------------------------------------------------------


def difference_of(quantities: Quantities, before: Candidate, after: Candidate, part: str, z: float) -> Difference:
    """What the second plan wants more than the first."""
    old, new = money_by_item(quantities, before, z), money_by_item(quantities, after, z)

    def paid(count: Count, *kinds: str) -> int:
        return sum(each.points for each in count.given_up if each.what in kinds)

    return Difference(
        money={item: new[item] - old[item] for item in new},
        minutes=after.count.minutes - before.count.minutes,
        finish=after.count.outcomes[part].finish - before.count.outcomes[part].finish,
        points_lost=own_points(before, part) - own_points(after, part),
        floors=paid(after.count, "floor") - paid(before.count, "floor"),
        sets=paid(after.count, "set", "look") - paid(before.count, "set", "look"),
        neighbours=paid(after.count, "neighbour") - paid(before.count, "neighbour"),
    )


def own_points(plan: Candidate, part: str) -> int:
    """The points of the course that decides the part."""
    outcome = plan.count.outcomes[part]
    return outcome.course.points_at[outcome.level]


def money_by_item(quantities: Quantities, plan: Candidate, z: float) -> dict[Item, int]:
    """What a plan wants, by what it is for, the reserve at z inside [minor]."""
    terms, count = quantities.terms, plan.count
    own = [outcome for outcome in count.outcomes.values() if outcome.settled_by is None]
    items: dict[Item, int] = {
        "packs": sum(
            charges.with_sundries(terms, pack_offer(quantities, pack).price) * number
            for pack, number in plan.packs.items()
        ),
        "parts": sum(charges.purchases_mean(outcome.course) for outcome in own),
        "tools": sum(quantities.shared[each].money for each in count.shared),
        "carriage": sum(count.carriage.values()),
        "redo": sum(
            round(charges.redo_odds(outcome.course.redo_at[outcome.level]) * charges.redo_cost(terms, outcome.course))
            for outcome in own
        ),
        "finds": sum(
            round(quantities.hidden[each].chance * charges.find_cost(terms, quantities.hidden[each]))
            for each in count.hidden
        ),
        "reserve": round(z * spread_of(quantities, count, plan.packs)),
    }
    items["labour"] = count.expected - sum(items[item] for item in items if item != "reserve")
    return items


# ---- in words ----------------------------------------------------------------------------------------------------


def told(terms: Terms, part: PartOptions, verdict: Course, other: Course, difference: Difference) -> Iterator[str]:
    """The reasons against the other way, each a sentence built from the numbers: what is seen, then what it costs."""
    lower = -difference.finish
    seen = [
        (lower * part.weight * POINT_SCALE, f"It ends {lower} finish step{'s' * (lower != 1)} lower."),
        (
            difference.points_lost if lower <= 0 and other.life_years < verdict.life_years else 0,
            f"It holds about {other.life_years:.0f} years instead of {verdict.life_years:.0f}.",
        ),
        (difference.floors, "It would end under its floor, or leave more parts under theirs."),
        (difference.sets, "It would not match the set it belongs to."),
        (difference.neighbours, "It would stand out beside what it touches."),
    ]
    against = [(weight, sentence) for weight, sentence in seen if weight > 0]
    if against:
        yield max(against)[1]
    dearest = max(difference.money, key=lambda item: difference.money[item])
    if difference.total > 0 and difference.money[dearest] > 0:
        yield _DEARER[dearest].format(amount=units.money(difference.money[dearest], terms.currency, code=True))
    if difference.minutes > 0 and terms.minutes is not None:
        yield f"It takes {units.hours(difference.minutes)} more of the hours there are."
    if difference.total < 0:
        saved = units.money(-difference.total, terms.currency, code=True)
        yield f"It saves {saved} in all, but that buys less elsewhere."


_DEARER: dict[Item, str] = {
    "packs": "It opens {amount} more of packs, where the verdict goes in with what others use or what is on the shelf.",
    "parts": "What is bought for it costs {amount} more.",
    "tools": "It needs {amount} of tools, mixes or visits that nothing else here asks for.",
    "labour": "It costs {amount} more of work.",
    "carriage": "It brings {amount} more carriage.",
    "redo": "It has to be done again more often, or more dearly: {amount} more to expect.",
    "finds": "It opens more that may hide a fault: {amount} more to expect.",
    "reserve": "It is less sure: the reserve has to hold {amount} more.",
}
