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
from trimwright.plan.quantities.hidden import Suspicion
from trimwright.plan.quantities.needs import minutes_of, needs_of, once_of
from trimwright.plan.quantities.points import Worth
from trimwright.plan.quantities.prices import Till
from trimwright.plan.quantities.purchases import purchase_of
from trimwright.plan.quantities.strip_down import StripDown
from trimwright.plan.quantities.suiting import lifts
from trimwright.plan.quantities.support import bears
from trimwright.plan.quantities.surveyed import Surveyed

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
    """Hidden faults each part's own faults point at."""
    cabin: StripDown
    per_milli: Mapping[str, float]
    """Price of a thousandth of each material by its cheapest pack [minor]."""


def left(part: Surveyed, bearings: Sequence[int], bench: Bench) -> Course:
    """The course that does nothing."""
    finish_at = tuple(left_finish(part, bearing) for bearing in bearings)
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
        bears=part.bears_now,
        life_years=min((found.fault.life_years for found in part.faults), default=NO_END_YEARS),
        kept=1.0,
        look="original",
        minutes=0,
    )


def treated(part: Surveyed, outline: Outline, bearings: Sequence[int], bench: Bench) -> Course:
    """The outline with every figure it needs."""
    treatments = outline.treatments
    stated = outline.offer.finish if outline.offer and outline.carriers[-1].buys else None
    finish_at = tuple(treated_finish(part, treatments, outline.carriers, each, stated) for each in bearings)
    life_years = min(each.life_years[1] for each in outline.carriers)
    kept = min(each.kept for each in treatments)
    materials = {each: bench.parts[each].material for each in part.children}
    children = [bench.parts[each] for each in settled_children(part, outline, materials)]
    smell = points.smell_left(part, faults_left(part, treatments), bench.worth)
    off = takes_it_off(treatments)
    needs = needs_of(treatments, part, bench.trade, clips=part.part.missing if off else 0)
    purchases = purchase_of(part, outline, bench.trade, bench.till)
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
        bears=bears(part, treatments, outline.carriers),
        life_years=life_years / part.wear,
        kept=kept,
        look=outline.heaviest.look,
        minutes=minutes,
        needs=needs,
        purchases=purchases,
        once=once_of(treatments, part, bench.trade, bench.job.tools),
        steps=steps_of(part, off, bench),
        finds=opened_finds(part, treatments, bench),
        redo_money=redo_money(needs, purchases, bench),
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


def takes_it_off(treatments: Sequence[Treatment]) -> bool:
    """Whether the part comes off: for work on the bench, or because another goes on in its place."""
    return any(each.reach == "off" or each.buys for each in treatments)


def steps_of(part: Surveyed, off: bool, bench: Bench) -> tuple[str, ...]:
    """The strip-down a course needs: the part's own step when it comes off, the way to it when it is hidden."""
    if off:
        return bench.cabin.own[part.id]
    return bench.cabin.ways[part.id] if part.hidden_from_sight else ()


def opened_finds(part: Surveyed, treatments: Sequence[Treatment], bench: Bench) -> tuple[str, ...]:
    """Hidden faults the course would uncover; what is only cleaned where it is uncovers nothing.

    What lies in the surface shows when that surface is worked on, and goes with it when a new one goes on; what lies
    in the part shows when the part comes off and stays, and goes with it when another takes its place.
    """
    if all(each.kind == "clean" and each.reach == "in place" for each in treatments):
        return ()
    off = takes_it_off(treatments) or part.hidden_from_sight
    another = any(each.suits_any or each.kind in ("fit used", "fit new") for each in treatments)
    surface = another or any(each.kind in ("re-cover", "send out") for each in treatments)
    dealt_with = {found.id for found in part.faults if lifts(treatments, found.id, found.extent)}

    def opens(suspicion: Suspicion) -> bool:
        if suspicion.find.lies_in == "surface":
            return not surface and not dealt_with.isdisjoint(suspicion.faults)
        return off and not (another and suspicion.find.lies_in == "part")

    return tuple(each.id for each in bench.suspected.get(part.id, ()) if opens(each))


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
