"""What a quote rests on: the reserve's rule, safety and who may do it, what is assumed, dates, changes and payment.

The shares and months called usual are common practice; no published source stands behind them.
"""

from __future__ import annotations

from collections.abc import Iterator

from trimwright.facts.trade import Trade
from trimwright.papers.press import day
from trimwright.papers.wording import (
    Words,
    by_side,
    chance_words,
    equipment_unknown,
    listed,
    own_verdicts,
    text,
    worked_on,
)
from trimwright.plan.buying import is_own
from trimwright.plan.plan import Plan

MANY = 8
"""Above so many names a list is counted and not told."""


def reserve(plan: Plan) -> str:
    """How sure the sum is, and what happens to the reserve."""
    chance = chance_words(plan.verdicts.money.chance)
    cases = chance if chance.startswith(("more", "less")) else f"about {chance}"
    return (
        f"With the reserve held back, the job ends inside the sum in {cases} cases. The reserve pays for what "
        "strip-down finds and for work that has to be done twice. It is looked at together three times: after "
        "strip-down, after colour and sewing, and after the rebuild. What is no longer needed by then goes back to "
        "you, or to the next best item, as you choose."
    )


def safety(plan: Plan, trade: Trade) -> list[str]:
    """Belts, airbags and visits: what is done by whom, and what is never done."""
    restraint = [each for each in own_verdicts(plan) if is_restraint(each.part, plan, trade)]
    new, washed = (
        by_side((each.name, "") for each in restraint if each.course and each.course.kind == kind)
        for kind in ("fit new", "clean")
    )
    visit = any(plan.quantities.shared[each].what == "visit" for each in plan.verdicts.shared)
    lines = [f"Fitted new, by someone licensed for it: {new}."] if new else []
    lines += [f"Cleaned only, as the maker allows: {washed}."] if washed else []
    if visit and plan.job.car.equipment.any_restraint_electrics:
        lines.append("A trained person looks over and resets the restraint system; the visit is in the price.")
    elif visit:
        lines.append("A trained person looks over what is new of the belts; the visit is in the price.")
    if restraint or plan.job.car.equipment.any_restraint_electrics:
        lines.append(
            "Belts, buckles, pretensioners and airbags are never mended, dyed, glued, re-covered or fitted used. They "
            "are opened and fitted only by those trained and licensed for it, by the car’s own manual and your local "
            "rules."
        )
    return [text(each) for each in lines]


def is_restraint(part_id: str, plan: Plan, trade: Trade) -> bool:
    """Whether a part holds people: by the trade's list, or as the survey describes it."""
    part = plan.job.part(part_id)
    return part.own.is_restraint if part.own else trade.parts[part.kind].is_restraint


def assumed(plan: Plan, trade: Trade) -> list[str]:
    """What the price takes for granted, guesses called guesses."""
    return [text(each) for each in _assumed(plan, trade)]


def _assumed(plan: Plan, trade: Trade) -> Iterator[str]:
    job, names = plan.job, {part.id: part.name for part in plan.job.parts}
    if unknown := equipment_unknown(plan):
        yield f"Nobody has yet seen whether the car has these, so they count as fitted: {listed(unknown)}."
    if unseen := [part.name for part in job.parts if part.finish_now is None]:
        yield f"Not seen yet, taken to be as worn as is usual (a guess): {counted(unseen)}."
    worked = [each for each in own_verdicts(plan) if worked_on(each)]
    sized = [
        each.name
        for each in worked
        if (part := job.part(each.part)).area_mm2 is None
        and part.kind in trade.parts
        and trade.parts[part.kind].area_mm2[1]
    ]
    if sized:
        yield f"Not measured, usual sizes taken: {counted(sized)}."
    wholes = [whole for order in plan.buying.orders for whole in order.wholes]
    guessed = [each.name for each in wholes if each.evidence != "offer" and not is_own(each.evidence)]
    if guessed:
        yield f"No seller has named a price yet, so these are guesses: {counted(guessed)}."
    own = any(is_own(each) for each in plan.buying.evidence.values())
    at = "what this shop last paid where it knows, else at usual prices" if own else "usual prices"
    yield f"Materials are counted at {at}, not at prices offered; the reserve allows for the difference."
    if plan.verdicts.hidden:
        yield (
            "The price allows for the suspected faults listed below, each by how likely it is. For a fault that turns "
            "out not to be there nothing is spent."
        )
    if burn := [names[each] for each in plan.buying.burn_rate]:
        asked = "is kept on file with the job" if job.car.commercial else "is worth asking for"
        yield f"How fast a new cover material burns is limited; its seller’s statement {asked}: {counted(burn)}."
    yield "The hours are those of a practised hand."


def counted(names: list[str]) -> str:
    """The names, or how many when they are many.

    >>> counted(["hood", "mat"]), counted([str(n) for n in range(20)])
    ('hood; mat', '20 parts, told on the work sheets')
    """
    if len(names) > MANY:
        return f"{len(names)} parts, told on the work sheets"
    return by_side((name, "") for name in names)


def conditions(plan: Plan) -> list[Words]:
    """Dates, changes, clips, payment, warranty, care; what is agreed by hand is left blank."""
    time = plan.job.time
    wanted = f" Wanted by {day(time.wanted_by)}." if time.wanted_by else ""
    start = f" Not before {day(time.start)}." if time.start else ""
    rows = {
        "Dates": f"The day the car comes in and the day it goes home: after the calendar.{start}{wanted}",
        "Changes": "Nothing above this price is charged without a recorded yes: date, time, name, and how it was "
        "given. Whatever is found on the way you are told with a photo and what it does to money, days and finish; "
        "you choose whether it is paid out of the reserve, done in place of something else, or left and recorded.",
        "Clips": "Clips and screws missing at the survey and those that strip-down usually breaks are in the price; "
        "more than that comes out of the reserve.",
        "Payment": "Usual deposit: what is ordered specially, a third to a half of the job. Agreed:",
        "Warranty": "Usual: sewing 12 to 24 months, colour 12, colour where the driver slides in 6 to 12; none on "
        "material you bring yourself. Agreed:",
        "Care": "When you fetch the car you get the list of materials and colours used, and how to care for them.",
    }
    return [{"name": name, "told": told, "blank": told.endswith("Agreed:")} for name, told in rows.items()]
