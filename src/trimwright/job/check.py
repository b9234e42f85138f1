"""The job held against the facts: what cannot be right, and what is worth a second look.

The document is valid in itself by now; here every name must be one the trade knows and every figure believable. A
problem stops the plan, a remark does not.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from trimwright.errors import Problem
from trimwright.facts.trade import EQUIPMENT_NAMES, EXTENTS, PartKind, Rate, Trade, Treatment
from trimwright.job.check_events import event_problems, event_remarks
from trimwright.job.cutting import Cutting
from trimwright.job.document import Job, Part
from trimwright.job.fields import treatments_named
from trimwright.job.refusals import near
from trimwright.units import area

LOW_FINISH = 5
"""A finish up to this has a reason that can be named."""
ABSURD = 4
"""A size so many times the trade's largest is probably a slip of the unit."""
A_HANDFUL = 5
"""Parts that may be still to see before the whole survey is asked for."""
_PRICED = ("USD", "EUR")


@dataclass(frozen=True, slots=True)
class Findings:
    """What is wrong, and what is only worth a second look."""

    problems: tuple[Problem, ...]
    remarks: tuple[Problem, ...]


def checked(job: Job, trade: Trade) -> Findings:
    """Everything about `job` that does not fit the facts, each with its way out."""
    problems = [*_money_problems(job), *_shop_problems(job, trade), *event_problems(job, trade)]
    remarks = [*_job_remarks(job, trade), *event_remarks(job, trade)]
    for part in job.parts:
        kind = trade.parts.get(part.kind)
        problems += _part_problems(part, kind, job, trade)
        remarks += _part_remarks(part, kind, job, trade)
    return Findings(tuple(problems), tuple(remarks))


# What cannot be right.


def _money_problems(job: Job) -> Iterator[Problem]:
    currency = job.money.currency
    if currency not in _PRICED and not job.money.rates.keys() & set(_PRICED):
        what = "has no rate, and the facts are priced in USD and EUR."
        yield Problem("money › rates", currency, what, f"State how much {currency} one USD or one EUR costs.")


def _shop_problems(job: Job, trade: Trade) -> Iterator[Problem]:
    for each in job.stock:
        if each.material not in trade.materials:
            yield _unknown("stock", each.material, "material", trade.materials)
    for tool in job.tools:
        if tool not in trade.tools:
            yield _unknown("tools", tool, "tool", trade.tools)


def _part_problems(part: Part, kind: PartKind | None, job: Job, trade: Trade) -> Iterator[Problem]:
    where = f"parts › {part.id}"
    if part.own is None:
        if kind is None or kind.is_step:
            known = {each.id: None for each in trade.parts.values() if not each.is_step}
            yield _unknown(f"{where} › kind", part.kind, "part", known)
        else:
            yield from _place_problems(part, kind, job)
    elif part.area_mm2 is None:
        yield Problem(f"{where} › area_mm2", "", "is missing.", "State the size: the trade has none for your own part.")
    if part.material not in trade.families:
        yield _unknown(f"{where} › material", part.material, "material of a part", trade.families)
    yield from _fault_problems(part, trade)
    yield from _treatment_problems(part, trade)


def _place_problems(part: Part, kind: PartKind, job: Job) -> Iterator[Problem]:
    where = f"parts › {part.id}"
    body, equipment = job.car.body, job.car.equipment
    places = kind.places_on(body)
    named = [place for place in places if place]
    if body not in kind.bodies:
        others = ", ".join(sorted(kind.bodies))
        yield Problem(f"{where} › kind", part.kind, f"is no part of a {body} body.", f"It belongs to: {others}.")
    elif part.place is not None and part.place not in named:
        what = f"is no place of this part ({kind.name}) in a {body} body."
        yield Problem(
            f"{where} › place", part.place, what, f"Choose one of: {', '.join(named)}." if named else "Leave it empty."
        )
    if kind.needs_equipment and not equipment.may_have(kind.needs_equipment):
        item = EQUIPMENT_NAMES[kind.needs_equipment]
        way_out = "Take the part out, or correct the car's equipment."
        yield Problem(f"{where} › kind", part.kind, f"needs a {item}, and the car is said to have none.", way_out)

    if kind.without_equipment and getattr(equipment, kind.without_equipment) == "yes":
        item = EQUIPMENT_NAMES[kind.without_equipment]
        what = f"is only met without a {item}, and the car is said to have one."
        yield Problem(f"{where} › kind", part.kind, what, "Take the part out, or correct the car's equipment.")


def _fault_problems(part: Part, trade: Trade) -> Iterator[Problem]:
    where = f"parts › {part.id} › faults"
    for fault_id, count in Counter(each.fault for each in part.faults).items():
        fault = trade.faults.get(fault_id)
        if fault is None:
            suiting = {each.id: None for each in trade.faults.values() if trade.is_for(part.material, each.materials)}
            yield _unknown(where, fault_id, "fault", suiting)
        elif not trade.is_for(part.material, fault.materials):
            what = f"({fault.name}) is no fault of {part.material}."
            yield Problem(
                where, fault_id, what, f"It is one of: {', '.join(fault.materials) or 'anything but restraint parts'}."
            )
        if count > 1:
            yield Problem(where, fault_id, f"is named {count} times.", "Keep the worst of them.")


def _treatment_problems(part: Part, trade: Trade) -> Iterator[Problem]:
    where = f"parts › {part.id}"
    for field, courses in (("pin", (part.pin,) if part.pin else ()), ("bans", part.bans)):
        for course in courses:
            for each in treatments_named(course):
                if each not in trade.treatments:
                    yield _unknown(f"{where} › {field}", each, "treatment", trade.treatments)
    if part.cutting is not None:
        yield from _cutting_problems(part.cutting, f"{where} › cutting", trade)
    if part.pin and {part.pin, *treatments_named(part.pin)} & set(part.bans):
        yield Problem(f"{where} › pin", part.pin, "is pinned and banned at once.", "Take away the pin or the ban.")


def _cutting_problems(cutting: Cutting, where: str, trade: Trade) -> Iterator[Problem]:
    treatment = trade.treatments.get(cutting.treatment)
    if treatment is None:
        yield _unknown(f"{where} › treatment", cutting.treatment, "treatment", trade.treatments)
    if cutting.material not in trade.materials:
        yield _unknown(f"{where} › material", cutting.material, "material", trade.materials)
    elif treatment is not None and cutting.material not in dict(treatment.uses):
        what = f"is nothing that {treatment.id} uses."
        yield Problem(f"{where} › material", cutting.material, what, f"It uses {', '.join(dict(treatment.uses))}.")


# What is worth a second look.


def _job_remarks(job: Job, trade: Trade) -> Iterator[Problem]:
    if job.money.sum == 0:
        yield Problem("money › sum", "0", "is nothing: whatever must be done will be short.", "State the sum.")
    if job.time.start and job.time.wanted_by and job.time.wanted_by < job.time.start:
        yield Problem("time › wanted_by", str(job.time.wanted_by), "is before the start.", "Check the two dates.")
    unseen = sum(part.finish_now is None and not part.faults for part in job.parts)
    if unseen > max(A_HANDFUL, len(job.parts) / 2):
        what = f"of {len(job.parts)} parts are not surveyed yet and count as typically worn."
        yield Problem("parts", str(unseen), what, "Fill in the survey sheet before trusting the verdicts.")
    zones = {part.own.zone if part.own else trade.parts[part.kind].zone for part in job.parts
             if part.own or part.kind in trade.parts}  # fmt: skip
    for zone in job.wishes.zones:
        if zone not in zones:
            yield Problem("wishes › zones", zone, "is the zone of no part.", near(zone, sorted(zones)))


def _part_remarks(part: Part, kind: PartKind | None, job: Job, trade: Trade) -> Iterator[Problem]:
    where = f"parts › {part.id}"
    if kind is not None and part.own is None:
        yield from _kind_remarks(part, kind, job, trade)
    caps = [trade.faults[each.fault].caps[EXTENTS.index(each.extent)]
            for each in part.faults if each.fault in trade.faults]  # fmt: skip
    if part.finish_now is None:
        return
    if part.finish_now <= LOW_FINISH and not part.faults:
        what = "is low, and no fault says why."
        yield Problem(
            f"{where} › finish_now", str(part.finish_now), what, "Name what is wrong with it, or it can't be mended."
        )
    if caps and part.finish_now > min(caps):
        what = f"is higher than its faults allow (at most {min(caps)})."
        yield Problem(
            f"{where} › finish_now", str(part.finish_now), what, "Look again at the finish or at how bad they are."
        )


def _kind_remarks(part: Part, kind: PartKind, job: Job, trade: Trade) -> Iterator[Problem]:
    where = f"parts › {part.id}"
    if kind.materials and part.material not in kind.materials:
        usual = ", ".join(kind.materials)
        yield Problem(f"{where} › material", part.material, "is unusual for this part.", f"Usual are: {usual}.")
    if kind.places and part.place is None:
        places = ", ".join(kind.places)
        yield Problem(f"{where} › place", "", "is not said, so it belongs to no side.", f"Choose one of: {places}.")
    if not kind.years[0] <= job.car.year <= kind.years[1]:
        yield Problem(f"{where} › kind", part.kind, f"is unusual in {job.car.year}.", "Check that the car has it.")
    if kind.without_equipment and getattr(job.car.equipment, kind.without_equipment) == "unknown":
        item = EQUIPMENT_NAMES[kind.without_equipment]
        what = f"is only met without a {item}, and the car may have one."
        yield Problem(f"{where} › kind", part.kind, what, "Say in the car's equipment whether it has.")
    if kind.is_restraint and any(offer.source != "new" for offer in part.offers):
        yield Problem(
            f"{where} › offers",
            "",
            "are partly not new: a restraint part is only ever bought new.",
            "Look for a new one.",
        )
    yield from _size_remarks(part, kind, job, trade)


def _size_remarks(part: Part, kind: PartKind, job: Job, trade: Trade) -> Iterator[Problem]:
    where = f"parts › {part.id}"
    largest = kind.area_mm2[2] * part.count
    if part.area_mm2 and largest and part.area_mm2 > ABSURD * largest:
        shown = area(part.area_mm2, job.car.units)
        what = f"is more than {ABSURD} times the largest usual ({area(largest, job.car.units)})."
        yield Problem(f"{where} › area_mm2", shown, what, "Check the unit.")
    if part.length_mm and kind.length_mm and part.length_mm > ABSURD * kind.length_mm * part.count:
        what = f"is more than {ABSURD} times the usual."
        yield Problem(f"{where} › length_mm", f"{part.length_mm} mm", what, "Check the unit.")
    if not part.area_mm2 and not kind.area_mm2[1] and not kind.is_restraint and _needs_area(part, trade):
        what = "is not known, and what mends its faults is reckoned by it."
        yield Problem(f"{where} › area_mm2", "", what, "Measure it, or they come out as needing nothing.")


def _needs_area(part: Part, trade: Trade) -> bool:
    """Whether a treatment that suits a fault of the part is reckoned by the square metre."""
    faults = {each.fault for each in part.faults}
    return any(
        rate.per == "m2"
        for treatment in trade.treatments.values()
        if faults & {suits.fault for suits in treatment.suits}
        and trade.is_for(part.material, treatment.materials)
        and (not treatment.only_parts or part.kind in treatment.only_parts)
        for rate in _rates(treatment)
    )


def _rates(treatment: Treatment) -> Iterator[Rate]:
    yield from treatment.hours
    for _, rates in treatment.uses:
        yield from rates


def _unknown(where: str, value: str, what: str, known: Mapping[str, object]) -> Problem:
    return Problem(where, value, f"is no {what} the trade knows.", near(value, known) or "See `trimwright facts`.")
