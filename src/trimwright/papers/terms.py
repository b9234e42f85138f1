"""What a quote rests on: the reserve's rule, safety and who may do it, what is assumed, dates, changes and payment.

The shares and months called usual are common practice; no published source stands behind them.
"""

from __future__ import annotations

from collections.abc import Iterator

from trimwright.facts.trade import Trade
from trimwright.papers.press import day
from trimwright.papers.wording import Words, chance_words, equipment_unknown, listed, own_verdicts, text, worked_on
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
        "strip-down, after colour and sewing, and after the rebuild. What a step no longer needs is released; what is "
        "not used goes back to you, or to the next best item, as you choose."
    )


def safety(plan: Plan, trade: Trade) -> list[str]:
    """Belts, airbags and visits: what is done by whom, and what is never done."""
    restraint = [each for each in own_verdicts(plan) if is_restraint(each.part, plan, trade)]
    new = listed(each.name for each in restraint if worked_on(each) and each.course and each.course.kind == "fit new")
    washed = listed(each.name for each in restraint if worked_on(each) and each.course and each.course.kind == "clean")
    visit = any(plan.quantities.shared[each].what == "visit" for each in plan.verdicts.shared)
    lines = [f"Fitted new, by licensed practice: {new}."] if new else []
    lines += [f"Cleaned only as its maker allows: {washed}."] if washed else []
    if visit:
        lines.append("A trained person looks over and resets the restraint system; the visit is in the price.")
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
        yield f"Nobody has yet seen whether these are fitted; they count as fitted: {listed(unknown)}."
    if unseen := [part.name for part in job.parts if part.finish_now is None]:
        yield f"Not seen yet, taken as typically worn (a guess): {counted(unseen)}."
    worked = [each for each in own_verdicts(plan) if worked_on(each)]
    sized = [
        each.name
        for each in worked
        if (part := job.part(each.part)).area_mm2 is None
        and part.kind in trade.parts
        and trade.parts[part.kind].area_mm2[1]
    ]
    if sized:
        yield f"Sizes not measured, the trade's typical figures taken: {counted(sized)}."
    guessed = [whole.name for order in plan.buying.orders for whole in order.wholes if whole.evidence != "offer"]
    if guessed:
        yield f"Prices without an offer, the trade's figures taken (guesses): {counted(guessed)}."
    yield "Prices of materials are usual ones, not quotations; the reserve allows for their spread."
    if plan.verdicts.hidden:
        yield "The faults suspected below are in the money, by how likely they are; a look can take them out."
    if burn := [names[each] for each in plan.buying.burn_rate]:
        asked = "is kept on file with the job" if job.car.commercial else "is worth asking for"
        yield f"A burn-rate statement of each new cover material {asked}: {counted(burn)}."
    yield "Hours are those of a practised hand."


def counted(names: list[str]) -> str:
    """The names, or how many when they are many.

    >>> counted(["hood", "mat"]), counted([str(n) for n in range(20)])
    ('hood and mat', '20 parts, marked on the work sheets')
    """
    return listed(names) if len(names) <= MANY else f"{len(names)} parts, marked on the work sheets"


def conditions(plan: Plan) -> list[Words]:
    """Dates, changes, clips, payment, warranty, care; what is agreed by hand is left blank."""
    time = plan.job.time
    wanted = f" Wanted by {day(time.wanted_by)}." if time.wanted_by else ""
    start = f" Not before {day(time.start)}." if time.start else ""
    rows = {
        "Dates": f"In and out: after the calendar.{start}{wanted}",
        "Changes": "Nothing above this price is charged without a recorded yes: date, time, name, and how it was "
        "given. A find is told with a photo, its effect on money, days and finish, and three ways: out of the reserve, "
        "in place of something else, or left and recorded.",
        "Clips": "Clips and screws missing at the survey and those that strip-down usually breaks are in the price; "
        "more than that comes out of the reserve.",
        "Payment": "Deposit usual: what is ordered specially, a third to a half. Agreed:",
        "Warranty": "Usual: sewing 12 to 24 months, colour 12, colour on a driver’s bolster 6 to 12; nothing on "
        "material you bring yourself. Agreed:",
        "Care": "How to keep it comes with the car at hand-over, with the list of materials and colours used.",
    }
    return [{"name": name, "told": told, "blank": told.endswith("Agreed:")} for name, told in rows.items()]
