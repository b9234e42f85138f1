"""The owner's quote in words: what will be done, what will still show, the price, and all that it rests on."""

from __future__ import annotations

from trimwright import units
from trimwright.facts.trade import Trade
from trimwright.papers import offers, terms
from trimwright.papers.wording import (
    SOURCES,
    Words,
    by_side,
    by_zone,
    column,
    faults_of,
    gauge,
    head,
    listed,
    money_strip,
    own_verdicts,
    sentence,
    short_lines,
    suspected,
    text,
    whole_job,
    worked_on,
)
from trimwright.plan.plan import Plan
from trimwright.plan.quantities.cabin import Course
from trimwright.plan.verdicts.staircase import Staircase
from trimwright.plan.verdicts.verdict import Verdict

SHOWS_BELOW = 6
"""A part that ends below this finish is told to the owner with what was found: it will still show, or lies out of
sight with a fault that has been seen."""


def in_words(plan: Plan, trade: Trade, staircase: Staircase | None = None) -> Words:
    """All that the quote prints; with the staircase, offers for less and for more beside the plan's."""
    verdicts = plan.verdicts
    weights = {part.part: part.weight for part in plan.quantities.parts}
    told = {part.id for part in plan.job.parts if part.faults} | {part for part, weight in weights.items() if weight}
    shows = [each for each in verdicts.verdicts if each.part in told and each.finish_after < SHOWS_BELOW]
    stays = [each for each in verdicts.verdicts if not worked_on(each) and each not in shows]
    return {
        **head(plan.job, "Quote"),
        "short": short_lines(plan),
        "sum": units.money(plan.job.money.sum, plan.job.money.currency, code=True),
        "covers": covers(plan),
        "finish_before": str(verdicts.finish_before),
        "finish_after": str(verdicts.finish_after),
        "money": money_strip(verdicts.money),
        "price": price_lines(plan),
        "reserve": terms.reserve(plan),
        "offers": offers.in_words(plan, staircase),
        "done": [
            {"name": sentence(zone), "rows": [done_row(each, plan) for each in found]}
            for zone, found in by_zone(plan, (each for each in own_verdicts(plan) if worked_on(each)))
        ],
        "whole_job": whole_job(plan),
        "firm": column(verdicts.money.firm, verdicts.money.currency),
        "is_hidden": any(not weights[each.part] for each in shows),
        "shows": [
            {"name": sentence(zone), "rows": [shows_row(each, plan, trade) for each in found]}
            for zone, found in by_zone(plan, shows)
        ],
        "floors": floors(plan),
        "stays": [
            {"name": sentence(zone), "parts": text(by_side((each.name, str(each.finish_after)) for each in found))}
            for zone, found in by_zone(plan, stays)
        ],
        "safety": terms.safety(plan, trade),
        "assumed": terms.assumed(plan, trade),
        "suspected": suspected(plan),
        "terms": terms.conditions(plan),
    }


def covers(plan: Plan) -> str:
    """What the sum pays for, and what it does not."""
    paid = [
        each
        for each in ("parts", "materials", "tools", "outside work", "labour", "tax")
        if each in plan.job.money.covers
    ]
    told = f"The sum pays for {listed(paid)}."
    if "labour" not in paid:
        hours = max(1, round(plan.verdicts.minutes / 60))
        told += f" Hours are not charged to it; the work takes about {hours} hour{'s' if hours > 1 else ''}, all told."
    if "tax" not in paid:
        told += " Tax is not in it."
    return told


def price_lines(plan: Plan) -> list[Words]:
    """The price in the four words used everywhere, each with what it means."""
    money = plan.verdicts.money
    meaning = {
        "firm": "bought and charged for certain",
        "expected": "firm, with what is likely to be found and to be done twice",
        "reserve": "held back beyond firm, so that surprises do not break the sum",
        "left": "the sum less firm and reserve: not needed, as far as can be told today",
    }
    shown = {"firm": money.firm, "expected": money.expected, "reserve": money.reserve, "left": money.left}
    return [
        {"name": name.capitalize(), "told": meaning[name], "money": column(value, money.currency)}
        for name, value in shown.items()
    ]


def done_row(verdict: Verdict, plan: Plan) -> Words:
    """A part that is worked on, with what is new, used or re-made, and what goes with it."""
    assert verdict.course is not None
    with_it = listed(each.name for each in plan.verdicts.verdicts if each.settled_by == verdict.part)
    sources = listed(
        SOURCES[each.source] for each in verdict.course.purchases if SOURCES[each.source] not in verdict.course.name
    )
    return {
        "part": text(verdict.name),
        "what": sentence(verdict.course.name),
        "source": sources,
        "with_it": text(f"with it: {with_it}") if with_it else "",
        "gauge": gauge(verdict.finish_before, verdict.finish_after),
        "money": column(verdict.money, plan.verdicts.money.currency) if verdict.money else unpaid(verdict.course),
    }


def unpaid(course: Course) -> str:
    """Why a part that is worked on adds nothing to the price.

    A course without materials of its own costs hours alone, and those are not in the sum.
    """
    if course.done:
        return "done"
    return "from the shelf" if course.needs else "hours only"


def shows_row(verdict: Verdict, plan: Plan, trade: Trade) -> Words:
    """A part that stays short of good, with the faults that were found on it."""
    done = verdict.course.name if verdict.course and worked_on(verdict) else ""
    return {
        "part": text(verdict.name),
        "faults": text(faults_of(plan.job.part(verdict.part), trade)),
        "done": text(done),
        "gauge": gauge(verdict.finish_before, verdict.finish_after),
    }


def floors(plan: Plan) -> list[str]:
    """Floors the sum could not reach."""
    names = {part.part: part.name for part in plan.quantities.parts}
    return [
        text(f"{names[each.parts[0]]}: you asked for at least {each.wanted}, it ends at {each.got}.")
        for each in plan.verdicts.given_up
        if each.what == "floor"
    ]
