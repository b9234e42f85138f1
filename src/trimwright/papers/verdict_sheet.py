"""The verdict sheet in words: every part's verdict by zone, the money, the proof, what was given up."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator

from trimwright import units
from trimwright.facts.trade import Trade
from trimwright.papers.wording import (
    Words,
    by_side,
    by_zone,
    column,
    gauge,
    head,
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
        **head(plan.job, "Verdict sheet"),
        "short": short_lines(plan),
        "money": money_strip(verdicts.money),
        "finish": f"{verdicts.finish_before} → {verdicts.finish_after}",
        "hours": hours_told(plan),
        "zones": [
            {
                "name": sentence(zone),
                "rows": [row(verdict, names, plan) for verdict in found if worked_on(verdict)],
                "left": left(verdict for verdict in found if not worked_on(verdict)),
            }
            for zone, found in by_zone(plan, verdicts.verdicts)
        ],
        "firm_row": column(verdicts.money.firm, verdicts.money.currency),
        "whole_job": whole_job(plan),
        "proof": proof(plan),
        "given_up": list(given_up(verdicts.given_up, names)),
        "suspected": suspected(plan),
        "notes": [text(each) for each in plan.quantities.notes],
    }


def row(verdict: Verdict, names: dict[str, str], plan: Plan) -> Words:
    """One part that is worked on: what becomes of it, finish, money, time."""
    currency = plan.verdicts.money.currency
    if verdict.settled_by:
        told = f"settled with: {names[verdict.settled_by]}"
    else:
        told = verdict.course.name if verdict.course else ""
    return {
        "part": text(verdict.name),
        "held": held(verdict),
        "verdict": text(told),
        "gauge": gauge(verdict.finish_before, verdict.finish_after),
        "money": column(verdict.money, currency) if verdict.money else "",
        "time": units.hours(verdict.minutes) if verdict.minutes else "",
    }


def held(verdict: Verdict) -> str:
    """Why the part takes this verdict and no other."""
    if verdict.course is not None and verdict.course.done:
        return "done"
    return "pinned" if verdict.pinned else ""


def left(verdicts: Iterable[Verdict]) -> str:
    """The parts nothing is done to, each with the finish it keeps."""
    return text(by_side((each.name, f"{each.finish_after}{' (pinned)' if each.pinned else ''}") for each in verdicts))


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
    return f"{told} {found.dropped} courses beaten outright were left out."


def given_up(found: Iterable[GivenUp], names: dict[str, str]) -> Iterator[str]:
    """The wishes that could not be kept: floors one by one, matching sets together, neighbours by whom they touch."""
    kinds: dict[str, list[GivenUp]] = {"floor": [], "set": [], "look": [], "neighbour": []}
    for each in found:
        kinds[each.what].append(each)
    for floor in kinds["floor"]:
        yield text(f"{names[floor.parts[0]]}: ends at {floor.got}, under its floor of {floor.wanted}.")
    for kind, told in (("set", "end too far apart"), ("look", "end with more than one look")):
        if kinds[kind]:
            sets = " · ".join(by_side((names[part], "") for part in each.parts) for each in kinds[kind])
            yield text(f"Matching sets that {told}: {sets}.")
    if kinds["neighbour"]:
        wanted = max(each.wanted for each in kinds["neighbour"])
        pairs = " · ".join(
            f"{names[part]} beside {by_side((names[other], f'({apart})') for other, apart in beside.items())}"
            for part, beside in touching(kinds["neighbour"]).items()
        )
        yield text(f"Neighbours that end more than {wanted} apart (how far in brackets): {pairs}.")


def touching(neighbours: list[GivenUp]) -> dict[str, dict[str, int]]:
    """How far apart neighbours end, gathered under the part that most of them touch."""
    met = Counter(part for each in neighbours for part in each.parts)
    gathered: dict[str, dict[str, int]] = {}
    for each in neighbours:
        hub, other = sorted(each.parts, key=lambda part: -met[part])
        gathered.setdefault(hub, {})[other] = each.got
    return gathered
