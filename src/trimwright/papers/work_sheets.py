"""The work sheets in words: one a part that is worked on, in the order of the walk-round.

Cautions stand right before the treatment they concern; make-safe stands before the strip-down.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from trimwright import units
from trimwright.facts.fixings import held_by, used_once
from trimwright.facts.trade import Trade, Treatment, Wait
from trimwright.job.document import EquipmentFitted, Part
from trimwright.papers.wording import (
    SOURCES,
    Words,
    about,
    amount,
    by_zone,
    days,
    gauge,
    head,
    listed,
    own_verdicts,
    sentence,
    text,
    where,
    worked_on,
)
from trimwright.plan.plan import Plan
from trimwright.plan.quantities.cabin import LEAVE, Course, Need, Step
from trimwright.plan.quantities.measured import BURN_RATE
from trimwright.plan.sequence.touching import fixings
from trimwright.plan.verdicts.stop_loss import Stop, Stops
from trimwright.plan.verdicts.verdict import Verdict
from trimwright.units import System

MAKE_SAFE = "make_safe"
STORED_UNITS = "stored_units"
DAY_HOURS = 24
FEW_DAYS_HOURS = 72
"""Waits above this are told in days."""
KNOWN = {
    "pages": "read on pages",
    "common practice": "common practice",
    "guess": "a guess",
    "own book": "the shop’s own",
}
FAR = 6
"""Beyond so many times the hours planned nobody needs to be told to stop."""
WAIT_PLACES = {
    "rack": "on the rack", "bench": "on the bench", "car": "in the car", "away": "away", "warm": "in the warm",
    "press": "in the press", "line": "on the line", "board": "on the board",
}  # fmt: skip


def in_words(plan: Plan, trade: Trade, stops: Stops | None = None) -> Words:
    """All that the work sheets print: a sheet for each part that is still to be worked on.

    Where to stop is told where that has been worked out.
    """
    stops = stops or {}
    own = [each for each in own_verdicts(plan) if worked_on(each) and each.course and not each.course.done]
    worked = [each for _, found in by_zone(plan, own) for each in found]
    return {
        **head(plan.job, "Work sheets"),
        "sheets": [
            {"number": str(number), "of": str(len(worked)), **sheet(verdict, plan, trade, stops.get(verdict.part))}
            for number, verdict in enumerate(worked, 1)
        ],
    }


def sheet(verdict: Verdict, plan: Plan, trade: Trade, stop: Stop | None = None) -> Words:
    """One part's sheet."""
    part, course = plan.job.part(verdict.part), verdict.course
    assert course is not None
    treatments = [trade.treatments[each] for each in course.treatments]
    strip = strip_down(course, plan)
    return {
        "part": text(verdict.name),
        "verdict": sentence(course.name),
        "zone": sentence(verdict.zone),
        "gauge": gauge(verdict.finish_before, verdict.finish_after),
        "what_it_is": what_it_is(part, plan, trade),
        "settles": text(listed(each.name for each in plan.verdicts.verdicts if each.settled_by == verdict.part)),
        "photos": text(listed(part.photos)),
        "notes": text(part.notes),
        "faults": [fault_row(part, found, trade) for found in range(len(part.faults))],
        "look_for": look_for(course, strip, plan),
        "safe": make_safe(strip, trade),
        "strip": [strip_row(step, trade, plan.job.car.equipment) for step in strip],
        "treatments": list(treatment_words(treatments, course, trade, plan.job.car.units)),
        "amounts": [amount_row(need, plan) for need in course.needs],
        "bought": [text(each) for each in bought(verdict.part, plan)],
        "tools": sentence(listed(trade.tools[tool].name for each in treatments for tool in each.tools)),
        "visit": any(each.visit for each in treatments),
        "time": units.hours(course.minutes),
        "time_working": [text(str(worked)) for worked in course.worked],
        "redo": redo(verdict, course),
        "stop": stop_line(stop) if stop else "",
    }


def stop_line(stop: Stop) -> str:
    """When to stop, and what is the better way from then on; to the half hour where that is not proven."""
    if stop.at > FAR * max(1, stop.planned):
        return "The hours are no reason to stop: even many times as many leave this the better way."
    to = 5 if stop.proven else 30
    at = units.hours(max(to, round(stop.at / to) * to))
    if stop.other.id == LEAVE:
        return f"Stop at about {at}: from then on it is better left as it is."
    return text(f"Stop at about {at}: from then on the other way is better ({stop.other.name}).")


def what_it_is(part: Part, plan: Plan, trade: Trade) -> str:
    """Material, colour, count and size, with whether the size was measured."""
    system = plan.job.car.units
    family = trade.families.get(part.material)
    told = [family.name if family else part.material, part.colour, f"{part.count} pieces" if part.count > 1 else ""]
    if part.area_mm2 is not None:
        told.append(f"{units.area(part.area_mm2, system)}, measured")
    elif part.kind in trade.parts and (typical := trade.parts[part.kind].area_mm2[1]):
        told.append(f"about {units.area(typical * part.count, system)}, the trade's typical size")
    return text(", ".join(each for each in told if each))


def fault_row(part: Part, number: int, trade: Trade) -> Words:
    """A fault with its extent, what that extent means, and in what it is measured."""
    found = part.faults[number]
    fault = trade.faults[found.fault]
    grade = fault.grades[("light", "medium", "heavy").index(found.extent)]
    measured = f" ({fault.measure})" if fault.measure else ""
    told = text(f"{found.extent}: {grade}{measured}")
    return {"name": sentence(fault.name), "told": told, "note": text(found.note)}


def strip_down(course: Course, plan: Plan) -> list[Step]:
    """The steps the course needs and what those need before them, in the order they come off."""
    steps, reached, waiting = plan.quantities.steps, set[str](), list(course.steps)
    while waiting:
        step = waiting.pop()
        if step not in reached:
            reached.add(step)
            waiting += steps[step].requires
    return [steps[each] for each in plan.verdicts.steps if each in reached]


def strip_row(step: Step, trade: Trade, fitted: EquipmentFitted) -> Words:
    """One step: what holds it in this car and what is used once."""
    kind = trade.parts.get(step.id.partition(".")[0])
    clips = f"{kind.clips} clip{'s' if kind.clips > 1 else ''}" if kind and kind.clips else ""
    held = fixings(kind, fitted) if kind else ()
    single = used_once(held)
    return {
        "name": sentence(step.name),
        "fixings": text(held_by(held)),
        "single": text(", ".join(each for each in (clips, single) if each)),
        "hold": step.hold,
    }


def make_safe(strip: Iterable[Step], trade: Trade) -> list[str]:
    """The cautions before anything is unplugged, where something on the way is a restraint part or near one."""
    if not any(step.hold for step in strip):
        return []
    kinds = [trade.parts.get(step.id.partition(".")[0]) for step in strip]
    stored = any(kind is not None and kind.is_restraint for kind in kinds)
    return [text(trade.cautions[each].text) for each in (MAKE_SAFE, *((STORED_UNITS,) if stored else ()))]


def look_for(course: Course, strip: Iterable[Step], plan: Plan) -> list[Words]:
    """Hidden faults that this work may uncover."""
    ids = dict.fromkeys([*course.finds, *(find for step in strip for find in step.finds)])
    found = [plan.quantities.hidden[each] for each in ids]
    return [
        {"name": sentence(each.name), "where": text(where(each)), "chance": about(each.chance), "must": each.must_deal}
        for each in found
    ]


def treatment_words(treatments: Iterable[Treatment], course: Course, trade: Trade, system: System) -> Iterator[Words]:
    """Each treatment with its cautions in front, its limits, its steps and its waits; a caution is said once."""
    said: set[str] = set()
    for treatment in treatments:
        cautions = [each for each in treatment.cautions if each not in said]
        if BURN_RATE in course.cautions and treatment.kind == "re-cover" and BURN_RATE not in said:
            cautions.append(BURN_RATE)
        said |= set(cautions)
        yield {
            "name": sentence(treatment.name),
            "cautions": [text(trade.cautions[each].text) for each in dict.fromkeys(cautions)],
            "not_for": sentence(treatment.not_for),
            "limits": limits(treatment, system),
            "coats": f"{treatment.coats} coats" if treatment.coats > 1 else "1 coat" if treatment.coats else "",
            "abrasives": text(treatment.abrasives.replace(">", " → ")),
            "steps": [
                sentence(step.text + (f", {step.times} times" if step.times > 1 else "")) for step in treatment.steps
            ],
            "waits": [wait_row(step.wait, step.times) for step in treatment.steps if step.wait is not None],
            "known": KNOWN[treatment.evidence.level],
        }


def limits(treatment: Treatment, system: System) -> str:
    """Warmth and damp of the air the work needs."""
    told = []
    if treatment.temp_min_c is not None:
        best = (
            f", best at {units.temperature(treatment.temp_best_c, system)}" if treatment.temp_best_c is not None else ""
        )
        told.append(f"not under {units.temperature(treatment.temp_min_c, system)}{best}")
    if treatment.rh_max_pct is not None:
        told.append(f"air not damper than {treatment.rh_max_pct:.0f} %")
    return sentence("; ".join(told))


def wait_row(wait: Wait, times: int) -> Words:
    """How long, where, how often, and whether there is a last moment to go on."""
    low, likely, high = wait.hours
    often = f"{times} times" if times > 1 else ""
    return {
        "name": sentence(wait.name),
        "told": text(
            ", ".join(each for each in (span(low, high), WAIT_PLACES.get(wait.place, wait.place), often) if each)
        ),
        "likely": f"mostly {duration(likely)}",
        "closes": f"The window closes: go on within {duration(high)}, or prepare again." if wait.closes else "",
    }


def span(low: float, high: float) -> str:
    """Least to most, the unit said once where it is the same.

    >>> span(0.5, 3), span(12, 48), span(48, 336), span(0.1, 0.5), span(24, 24)
    ('30 min to 3 h', '12 to 48 h', '2 to 14 days', '6 to 30 min', '24 h')
    """
    in_days = high >= FEW_DAYS_HOURS and low >= DAY_HOURS
    one, other = duration(low, in_days=in_days), duration(high)
    if one == other:
        return one
    number, _, unit = one.partition(" ")
    return f"{number} to {other}" if other.endswith(f" {unit}") else f"{one} to {other}"


def duration(hours: float, *, in_days: bool = False) -> str:
    """Elapsed time in the unit people use for it.

    >>> duration(0.25), duration(1.5), duration(24), duration(1), duration(168)
    ('15 min', '1.5 h', '24 h', '1 h', '7 days')
    """
    if hours < 1:
        return f"{round(hours * 60)} min"
    if hours < FEW_DAYS_HOURS and not in_days:
        return f"{hours:g} h"
    return f"{hours / DAY_HOURS:.3g} days"


def amount_row(need: Need, plan: Plan) -> Words:
    """So much of a material, with its working."""
    offer = plan.quantities.materials[need.material]
    return {
        "name": sentence(offer.name),
        "amount": amount(need.milli, offer.unit, plan.job.car.units),
        "working": text(str(need.worked)) if need.worked else "",
    }


def bought(part: str, plan: Plan) -> Iterator[str]:
    """What is bought whole or sent out for the part."""
    for order in plan.buying.orders:
        for whole in order.wholes:
            if whole.part == part:
                yield f"{whole.what} ({SOURCES[whole.source]}), {order.name or 'seller not named'}, {days(whole.days)}"


def redo(verdict: Verdict, course: Course) -> str:
    """How often such work has to be done again."""
    chance = course.redo_at[course.finish_at.index(verdict.finish_after)]
    return about(chance) if chance else ""
