"""An outline becomes a course: its finish, points and redo at every level of support, and all that it would need."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from math import prod

from trimwright.facts.trade import Trade, Treatment
from trimwright.job.document import Job
from trimwright.plan.quantities import points
from trimwright.plan.quantities.cabin import LEAVE, Course, Need, Purchase
from trimwright.plan.quantities.courses import Outline, settled_children
from trimwright.plan.quantities.finish import FIRM_BEARING, left_finish, life_at, treated_finish
from trimwright.plan.quantities.found import finish_while_left
from trimwright.plan.quantities.hidden import Suspicion
from trimwright.plan.quantities.needs import minutes_of, needs_of, once_of
from trimwright.plan.quantities.points import Worth
from trimwright.plan.quantities.prices import Till
from trimwright.plan.quantities.purchases import purchase_of
from trimwright.plan.quantities.so_far import SoFar
from trimwright.plan.quantities.strip_down import StripDown
from trimwright.plan.quantities.suiting import lifts
from trimwright.plan.quantities.support import bears
from trimwright.plan.quantities.surveyed import Surveyed
from trimwright.plan.quantities.uncovering import meeting, takes_it_off

MOST_REDO = 0.9
"""A chance of doing it again never counts for more, so that the expected number of times stays finite."""
BURN_RATE = "burn_rate"
"""The caution that asks for a cover material's burn-rate statement."""
NO_END_YEARS = 99.0
"""The life of a part that is left and has no fault."""


@dataclass(frozen=True)
class Bench:
    """What every course of the job is measured against."""

    job: Job
    trade: Trade
    till: Till
    worth: Worth
    parts: Mapping[str, Surveyed]
    suspected: Mapping[str, tuple[Suspicion, ...]]
    """Hidden faults each part's own faults point at, as far as they are still to be counted with."""
    cabin: StripDown
    known: SoFar
    per_milli: Mapping[str, float]
    """Price of a thousandth of each material by its cheapest pack [minor]."""


def left(part: Surveyed, bearings: Sequence[int], bench: Bench, reached: int | None = None) -> Course:
    """The course that does nothing; `reached` is the finish it was left with, once that is said."""
    most = finish_while_left(part, (), bench.known, bench.trade.finds)
    planned = (left_finish(part, bearing) for bearing in bearings)
    finish_at = tuple(min(each, most) if reached is None else reached for each in planned)
    smell = points.smell_left(part, (found.id for found in part.faults), bench.worth)
    return Course(
        id=LEAVE,
        part=part.id,
        name="leave as it is",
        kind="leave",
        treatments=(),
        finish_at=finish_at,
        points_at=tuple(
            points.scaled(points.held(part, finish, None, 1.0, bench.worth) - smell) for finish in finish_at
        ),
        redo_at=tuple(0.0 for _ in bearings),
        bears=bears_left(part, bench),
        life_years=min((found.fault.life_years for found in part.faults), default=NO_END_YEARS),
        kept=1.0,
        look="original",
        minutes=0,
    )


def bears_left(part: Surveyed, bench: Bench) -> int:
    """What the part gives to what lies on it as it stands."""
    return min(part.bears_now, finish_while_left(part, (), bench.known, bench.trade.finds))


def bears_with(part: Surveyed, outline: Outline, reached: int | None, bench: Bench) -> int:
    """What the part gives to what lies on it once the outline is done."""
    finish = treated_finish(part, outline.treatments, outline.carriers, 10) if reached is None else reached
    most = finish_while_left(part, outline.treatments, bench.known, bench.trade.finds)
    return min(most, bears(part, outline.treatments, finish))


def treated(
    part: Surveyed, outline: Outline, bearings: Sequence[int], bench: Bench, reached: int | None = None
) -> Course:
    """The outline with every figure it needs; `reached` is the finish it has come to, once it is done."""
    treatments = outline.treatments
    stated = outline.offer.finish if outline.offer and outline.carriers[-1].buys else None
    most = finish_while_left(part, treatments, bench.known, bench.trade.finds)
    planned = (treated_finish(part, treatments, outline.carriers, each, stated) for each in bearings)
    finish_at = tuple(min(each, most) if reached is None else reached for each in planned)
    life_years = min(each.life_years[1] for each in outline.carriers)
    kept = min(each.kept for each in treatments)
    materials = {each: bench.parts[each].material for each in part.children}
    children = [bench.parts[each] for each in settled_children(part, outline, materials)]
    smell = points.smell_left(part, faults_left(part, treatments), bench.worth)
    off = takes_it_off(treatments)
    needs = needs_of(treatments, part, bench.trade, clips=part.part.missing if off else 0)
    purchases = purchase_of(part, outline, bench.trade, bench.till)
    here = bench.known.has(part.id, outline.offer)
    to_find = outline.offer is None and any(each.buys not in (None, "service") for each in treatments)
    minutes, worked = minutes_of(treatments, part, bench.trade.practice["hunt_minutes"] if to_find else None)
    return Course(
        id=outline.id,
        part=part.id,
        name=outline.name,
        kind=outline.heaviest.kind,
        treatments=tuple(each.id for each in treatments),
        finish_at=finish_at,
        points_at=tuple(
            points.scaled(points_held((part, *children), finish, bearing, life_years, kept, bench.worth) - smell)
            for finish, bearing in zip(finish_at, bearings, strict=True)
        ),
        redo_at=tuple(redo_chance(outline.carriers, bearing, bench.trade) for bearing in bearings),
        bears=bears_with(part, outline, reached, bench),
        life_years=life_years / part.wear,
        kept=kept,
        look=outline.heaviest.look,
        minutes=minutes,
        needs=needs,
        purchases=() if here else purchases,
        once=tuple(
            each for each in once_of(treatments, part, bench.trade, bench.job.tools) if each not in bench.known.visits
        ),
        steps=steps_of(part, off, bench),
        finds=opened_finds(part, treatments, bench),
        redo_money=redo_money(needs, purchases, bench),
        redo_share=bench.trade.practice["bad_part_share"].value if purchases else 0.0,
        settles=dict.fromkeys((child.id for child in children), finish_at[0]),
        waits=tuple(wait for each in treatments for wait in each.waits),
        cautions=cautions_of(part, outline),
        worked=(worked,),
    )


def points_held(
    parts: Iterable[Surveyed], finish: int, bearing: int, life_years: float, kept: float, worth: Worth
) -> float:
    """Points of a treated part and of the children it settles, each over its own wear, on a support of `bearing`."""
    total = 0.0
    for part in parts:
        falling = points.Falling(life_at(life_years / part.wear, bearing), left_finish(part, bearing))
        total += points.held(part, finish, falling, kept, worth)
    return total


def faults_left(part: Surveyed, treatments: Sequence[Treatment]) -> tuple[str, ...]:
    """Ids of the faults that a course does not deal with."""
    return tuple(found.id for found in part.faults if not lifts(treatments, found.id, found.extent))


def steps_of(part: Surveyed, off: bool, bench: Bench) -> tuple[str, ...]:
    """The strip-down a course needs: the part's own step when it comes off, the way to it when it is hidden."""
    if off:
        return bench.cabin.own[part.id]
    return bench.cabin.ways[part.id] if part.hidden_from_sight else ()


def opened_finds(part: Surveyed, treatments: Sequence[Treatment], bench: Bench) -> tuple[str, ...]:
    """Hidden faults the course would meet and have to deal with."""
    suspected = bench.suspected.get(part.id, ())
    return tuple(each.id for each in suspected if meeting(each, part, treatments) == "lays open")


def redo_chance(carriers: Sequence[Treatment], bearing: int, trade: Trade) -> float:
    """The chance that some treatment must be done again, likelier on a support that gives way."""
    sound = prod(1 - sum(each.redo) / 2 for each in carriers)
    weak = trade.practice["weak_support_redo"].value * max(0, FIRM_BEARING - bearing)
    return round(min(MOST_REDO, 1 - sound + weak), 6)


def redo_money(needs: Sequence[Need], purchases: Sequence[Purchase], bench: Bench) -> int:
    """What once more costs: the materials over again, and the share of a bought part that a bad one loses."""
    again = sum(need.milli * bench.per_milli[need.material.partition(":")[0]] for need in needs)
    lost = bench.trade.practice["bad_part_share"].value * sum(each.price.mean for each in purchases)
    return round(again + lost)


def cautions_of(part: Surveyed, outline: Outline) -> tuple[str, ...]:
    """The usual cautions of every treatment, and the burn-rate statement where new cover material goes on."""
    cautions = dict.fromkeys(caution for each in outline.treatments for caution in each.cautions)
    if part.kind.burn_rate and outline.heaviest.kind == "re-cover":
        cautions[BURN_RATE] = None
    return tuple(cautions)
