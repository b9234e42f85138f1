"""What a made plan answers beyond its verdicts, as plain data; each answer is kept by itself, under what it is about.

part PART   every way to treat the part: what each takes and gives, with its working and its cautions; at once
why PART    what each other way loses or costs more, the reasons, the most to pay; seconds of the solver's time
change FIND what each answer to a find would come to, in the words of its paper; beside the plan, about a second
filled      what the tasks fill in of the workbench's questions, by part or step and question; at once
replay      how often each verdict and each pack is still wanted after strip-down; minutes of the solver's time
rough       of a first call: the same a step better and a step worse than guessed, and what speaks against taking it
stairs      what more of the sum buys, stair by stair, with its drawing; up to half a minute of the solver's time

Money is whole minor units, time whole minutes. Like `planning.py` it runs in the maker's process and knows no Django.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from math import isfinite
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from trimwright.facts.trade import Trade, Treatment
    from trimwright.plan.plan import Plan
    from trimwright.plan.quantities.cabin import Course, PartOptions, Purchase, Step
    from trimwright.plan.verdicts.staircase import Change, Stair, Staircase
    from trimwright.plan.verdicts.walkaway import WalkAway
    from trimwright.plan.verdicts.why import OtherWay

Plain = dict[str, Any]
Reached = Callable[[float], None]
"""Called with the share that is worked out."""

PART, WHY, CHANGE, STAIRS, REPLAY, ROUGH = "part ", "why ", "change ", "stairs", "replay", "rough"
FILLED = "filled"


def at_once(plan: Plan, trade: Trade) -> dict[str, Plain]:
    """The answers that need no solver, by what they are about."""
    chosen = {each.part: each for each in plan.verdicts.verdicts}
    found = {
        f"{PART}{part.part}": ways(part, chosen[part.part].finish_after, plan, trade) for part in plan.quantities.parts
    }
    return found | {FILLED: at_the_bench(plan)}


def at_the_bench(plan: Plan) -> Plain:
    """What each task fills in of the workbench's questions, and which task that is."""
    from trimwright.plan.filling import everywhere

    found = everywhere(job=plan.job, trade=plan.trade, quantities=plan.quantities, verdicts=plan.verdicts)
    return {
        place: {question: {"task": each.task, "typed": dict(each.typed)} for question, each in questions.items()}
        for place, questions in found.items()
    }


def asked(plan: Plan, about: str, reached: Reached) -> Plain:
    """The answer to what is asked, where no paper goes with it; KeyError when no such thing can be asked."""
    if about == REPLAY:
        return replayed(plan, reached)
    if about == ROUGH:
        return rough(plan, reached)
    if about.startswith(WHY):
        return why(plan, about.removeprefix(WHY))
    raise KeyError(about)


# ---- one part: every way to treat it -----------------------------------------------------------------------------


def ways(part: PartOptions, finish: int, plan: Plan, trade: Trade) -> Plain:
    """Every course that is offered for the part, what suits but is not offered, and why."""
    names = {each.part: each.name for each in plan.quantities.parts}
    return {
        "finish_now": part.finish_now,
        "finish_after": finish,
        "floor": part.floor,
        "rests_on": [names[each] for each in part.rests_on],
        "courses": [way(course, plan, trade) for course in part.courses],
        "refused": [
            {"treatment": trade.treatments[each.treatment].name, "why": each.why}
            for each in part.refused
            if each.treatment in trade.treatments
        ],
        "dropped": part.dropped,
    }


def way(course: Course, plan: Plan, trade: Trade) -> Plain:
    """One course: what it gives, what it takes, its cautions and its working."""
    from trimwright.papers.wording import text
    from trimwright.papers.work_sheets import make_safe, wait_row

    quantities = plan.quantities
    treatments = [trade.treatments[each] for each in course.treatments]
    strip = strip_down(course, quantities.steps)
    return {
        "id": course.id,
        "name": course.name,
        "kind": course.kind,
        "finish": course.finish_at[0],
        "finish_on_weak": course.finish_at[-1],
        "minutes": course.minutes,
        "years": course.life_years,
        "kept": course.kept,
        "again": course.redo_at[0],
        "pinned": course.pinned,
        "promised": course.promised,
        "done": course.done,
        "bought": [bought(each, plan) for each in course.purchases],
        "materials": [material(each.material, each.milli, each.worked, plan) for each in course.needs],
        "shared": [quantities.shared[each].name for each in course.once],
        "steps": [each.name for each in strip],
        "finds": [
            {"name": quantities.hidden[each].name, "chance": quantities.hidden[each].chance} for each in course.finds
        ],
        "waits": [
            f"{row['name']}: {row['told']}"
            for each in treatments
            for row in (wait_row(step.wait, step.times) for step in each.steps if step.wait is not None)
        ],
        "cautions": [*make_safe(strip, trade), *(text(trade.cautions[each].text) for each in course.cautions)],
        "working": [str(each) for each in course.worked],
        "sources": list(sources(treatments, trade)),
    }


def strip_down(course: Course, steps: Mapping[str, Step]) -> list[Step]:
    """The strip-down steps on the way of a course, whether the plan takes them or not, in the order they come off."""
    reached, waiting = set[str](), list(course.steps)
    while waiting:
        step = waiting.pop()
        if step not in reached:
            reached.add(step)
            waiting += steps[step].requires
    return [step for step in steps.values() if step.id in reached]


def bought(purchase: Purchase, plan: Plan) -> Plain:
    """A part bought or work sent out for a course."""
    from trimwright.papers.wording import SOURCES, days

    supplier = plan.quantities.suppliers.get(purchase.supplier)
    price = purchase.price
    return {
        "what": purchase.what,
        "source": SOURCES[purchase.source],
        "supplier": supplier.name if supplier else purchase.supplier,
        "low": round(price.low),
        "likely": round(price.likely),
        "high": round(price.high),
        "mean": round(price.mean),
        "days": days(purchase.days),
        "evidence": purchase.evidence,
    }


def material(key: str, milli: int, worked: object, plan: Plan) -> Plain:
    """So much of a material, with its working."""
    from trimwright.papers.wording import amount

    offer = plan.quantities.materials[key]
    return {
        "name": offer.name,
        "amount": amount(milli, offer.unit, plan.job.car.units),
        "working": str(worked) if worked else "",
    }


def sources(treatments: Iterable[Treatment], trade: Trade) -> Iterator[Plain]:
    """How far each treatment's figures may be trusted, and where they are from."""
    for each in treatments:
        source = trade.sources.get(each.evidence.source)
        yield {
            "treatment": each.name,
            "level": each.evidence.told,
            "title": source.title if source else each.evidence.source,
            "not_for": each.not_for,
        }


# ---- why, and the most to pay ------------------------------------------------------------------------------------


def why(plan: Plan, part: str) -> Plain:
    """Every other way forced, those that lose least first; and for each that is bought, the most to pay."""
    from trimwright.plan.verdicts.walkaway import walk_away
    from trimwright.plan.verdicts.why import reasons

    found = reasons(plan.quantities, plan.verdicts, part)
    worth = walk_away(plan.quantities, plan.verdicts, parts=(part,), seconds=WORTH_SECONDS)
    return {
        "others": {each.course.id: other_way(each, plan) for each in found.others},
        "worth": [most_to_pay(each) for each in worth],
        "seconds": found.seconds,
    }


WORTH_SECONDS = 6.0
"""Time for the most-to-pay prices of one part."""


def other_way(other: OtherWay, plan: Plan) -> Plain:
    """One other way forced into the plan."""
    return {
        "finish": other.finish,
        "fits": other.points_lost is not None,
        "lost": finish_lost(other.points_lost or 0, plan),
        "points_lost": other.points_lost,
        "money_more": other.money_more,
        "proven": other.proven,
        "alone": {"money": other.alone.total, "minutes": other.alone.minutes, "finish": other.alone.finish},
        "reasons": list(other.reasons),
    }


def finish_lost(points: int, plan: Plan) -> float:
    """Points as so much of the cabin's finish, 0–100, over the years asked for."""
    from trimwright.plan.quantities.cabin import POINT_SCALE

    weight = sum(part.weight for part in plan.quantities.parts)
    return round(10 * points / (POINT_SCALE * weight), 2) if weight else 0.0


def most_to_pay(found: WalkAway) -> Plain:
    """The price up to which buying is the better plan, and the one to jump at."""
    return {
        "course": found.sought.course.id,
        "name": found.sought.course.name,
        "source": found.sought.source,
        "low": round(found.sought.price.low),
        "high": round(found.sought.price.high),
        "most": found.most,
        "at_most": found.at_most,
        "proven": found.proven,
        "jump_at": found.jump_at,
        "in_plan": found.in_plan,
    }


# ---- what more buys ----------------------------------------------------------------------------------------------


def climbed(plan: Plan, reached: Reached) -> Staircase:
    """The staircase of money against finish."""
    from trimwright.plan.verdicts.staircase import climb

    return climb(plan.quantities, plan.verdicts, answered=lambda done, of: reached(done / of))


def stairs(plan: Plan, found: Staircase) -> Plain:
    """The staircase with its drawing; every stair with what differs from the decided plan."""
    from trimwright.charts.staircase import staircase

    told = plan.verdicts.money
    return {
        "stairs": [stair(each, differing(plan, found.stairs, found.here, at)) for at, each in enumerate(found.stairs)],
        "here": found.here,
        "next_in": found.next_in and stair(found.next_in, map(change, found.next_in.changes)),
        "first_out": found.first_out and stair(found.first_out, map(change, found.first_out.changes)),
        "drawing": staircase(found.stairs, told.sum, told.currency),
        "seconds": found.seconds,
    }


def stair(each: Stair, changes: Iterable[Plain]) -> Plain:
    """One stair with the verdicts that differ from the decided plan's."""
    return {
        "sum": each.sum,
        "expected": each.expected,
        "minutes": each.minutes,
        "finish": each.finish,
        "gap": each.gap if isfinite(each.gap) else None,
        "changes": list(changes),
    }


def change(each: Change) -> Plain:
    """One verdict that differs."""
    return {
        "part": each.part,
        "name": each.name,
        "from": each.from_name,
        "to": each.to_name,
        "before": each.before,
        "after": each.after,
    }


def differing(plan: Plan, found: Sequence[Stair], here: int, at: int) -> Iterator[Plain]:
    """What the verdicts on one stair differ in from the decided plan's: the changes from stair to stair together."""
    there: dict[str, tuple[str, str, int]] = {}
    if at > here:
        for each in (change for stair in found[here + 1 : at + 1] for change in stair.changes):
            there[each.part] = each.to_course, each.to_name, each.after
    else:
        for each in (change for stair in reversed(found[at + 1 : here + 1]) for change in stair.changes):
            there[each.part] = each.from_course, each.from_name, each.before
    for verdict in plan.verdicts.verdicts:
        if verdict.part not in there or verdict.course is None:
            continue
        course, name, finish = there[verdict.part]
        if course != verdict.course.id:
            yield {
                "part": verdict.part,
                "name": verdict.name,
                "from": verdict.course.name,
                "to": name,
                "before": verdict.finish_after,
                "after": finish,
            }


# ---- what if strip-down finds --------------------------------------------------------------------------------------


def replayed(plan: Plan, reached: Reached) -> Plain:
    """The plan lived through many times: what may be ordered now, and what waits for strip-down."""
    from trimwright.plan.verdicts.replay import replay

    found = replay(plan.quantities, plan.verdicts, answered=lambda done, of: reached(done / of))
    return {
        "n": found.n,
        "holds": found.holds,
        "finish": list(found.finish),
        "parts": {each.part: {"survives": each.survives, "order": each.order} for each in found.parts},
        "packs": {
            f"{each.material} {each.pack_id}": {"survives": each.survives, "order": each.order} for each in found.packs
        },
        "seconds": found.seconds,
    }


# ---- a first call ----------------------------------------------------------------------------------------------------


def rough(plan: Plan, reached: Reached) -> Plain:
    """How far a rough answer may be off, and what speaks against the job: what holds people, and what lies hidden."""
    from trimwright.job.first_call import harder
    from trimwright.plan.plan import make_plan

    trade, kinds = plan.trade, {part.id: plan.trade.parts[part.kind] for part in plan.job.parts}
    better = make_plan(harder(plan.job, trade, -1), trade)
    reached(0.5)
    worse = make_plan(harder(plan.job, trade, 1), trade)
    hidden = [plan.quantities.hidden[each] for each in plan.verdicts.hidden]
    return {
        "better": ends(better),
        "worse": ends(worse),
        "restraint": sum(each.money for each in plan.verdicts.verdicts if kinds[each.part].is_restraint),
        "restraint_most": round(plan.job.money.sum * trade.practice["restraint_share"].value),
        "grave": [
            {"find": each.id.partition("@")[0], "name": each.name, "chance": each.chance}
            for each in sorted(hidden, key=lambda each: -each.chance)
            if (find := trade.finds.get(each.id.partition("@")[0])) and find.must_deal
        ],
    }


def ends(plan: Plan) -> Plain:
    """How one plan ends."""
    told, short = plan.verdicts, plan.verdicts.short
    return {
        "finish_before": told.finish_before,
        "finish_after": told.finish_after,
        "firm": told.money.firm,
        "minutes": told.minutes,
        "short": short.money if short else 0,
    }
