"""The verdict sheet in words: every part's verdict by zone, the money, the proof, what was given up."""

from __future__ import annotations

from trimwright import units
from trimwright.facts.trade import Trade
from trimwright.papers.wording import (
    Words,
    by_zone,
    column,
    gauge,
    head,
    listed,
    money_strip,
    sentence,
    short_lines,
    suspected,
    text,
    whole_job,
    worked_on,
)
from trimwright.plan.plan import Plan
from trimwright.plan.verdicts.verdict import GivenUp, Verdict


def in_words(plan: Plan, trade: Trade) -> Words:  # noqa: ARG001 (every paper is asked alike)
    """All that the verdict sheet prints."""
    verdicts = plan.verdicts
    names = {part.part: part.name for part in plan.quantities.parts}
    return {
        **head(plan, "Verdict sheet"),
        "short": short_lines(plan),
        "money": money_strip(verdicts.money),
        "finish": f"{verdicts.finish_before} → {verdicts.finish_after}",
        "hours": hours_told(plan),
        "zones": [
            {"name": sentence(zone), "rows": [row(verdict, names, plan) for verdict in found]}
            for zone, found in by_zone(plan, verdicts.verdicts)
        ],
        "firm_row": column(verdicts.money.firm, verdicts.money.currency),
        "whole_job": whole_job(plan),
        "proof": proof(plan),
        "given_up": [given_up(each, names) for each in verdicts.given_up],
        "suspected": suspected(plan),
        "notes": [text(each) for each in plan.quantities.notes],
    }


def row(verdict: Verdict, names: dict[str, str], plan: Plan) -> Words:
    """One part: what becomes of it, finish, money, time."""
    currency = plan.verdicts.money.currency
    if verdict.settled_by:
        told = f"settled with: {names[verdict.settled_by]}"
    else:
        told = verdict.course.name if verdict.course else ""
    return {
        "part": text(verdict.name),
        "pinned": verdict.pinned,
        "verdict": text(told),
        "quiet": not worked_on(verdict),
        "gauge": gauge(verdict.finish_before, verdict.finish_after),
        "money": column(verdict.money, currency) if verdict.money else "",
        "time": units.hours(verdict.minutes) if verdict.minutes else "",
    }


def hours_told(plan: Plan) -> str:
    """The hours, every overhead inside, beside those on hand."""
    limit = plan.verdicts.minutes_limit
    told = units.hours(plan.verdicts.minutes)
    return told if limit is None else f"{told} of {units.hours(limit)}"


def proof(plan: Plan) -> str:
    """How far the plan is proven."""
    found = plan.verdicts.proof
    if plan.verdicts.status == "optimal":
        told = "Proven best at this reserve: no other choice of courses and packs holds more points inside the sum."
    elif plan.verdicts.status == "feasible":
        told = f"The best found in the time given: at most {found.gap:.2%} of what is gained lies above it."
    else:
        told = "The least plan that pays what must be paid."
    return f"{told} Looked at in {plan.verdicts.seconds:.1f} s; {found.dropped} courses beaten outright were left out."


def given_up(each: GivenUp, names: dict[str, str]) -> str:
    """A wish that could not be kept, in words."""
    told = text(listed(names[part] for part in each.parts))
    match each.what:
        case "floor":
            return f"{told}: ends at {each.got}, under its floor of {each.wanted}."
        case "set":
            return (
                f"{told}: a matching set; ends {each.got} apart or with more than one look ({each.wanted} is wished)."
            )
        case "neighbour":
            return f"{told}: touch each other and end {each.got} apart ({each.wanted} is wished)."
