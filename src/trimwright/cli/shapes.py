"""The one JSON object each command prints with --json; money in whole minor units, time in whole minutes."""

from __future__ import annotations

from collections.abc import Iterable
from math import isfinite
from typing import Any

from trimwright.plan.plan import Plan
from trimwright.plan.verdicts.looks import LookWorth
from trimwright.plan.verdicts.opening import Opening, Price, WhileApart
from trimwright.plan.verdicts.release import Drop, Release
from trimwright.plan.verdicts.replay import Replay
from trimwright.plan.verdicts.staircase import Change, Stair, Staircase
from trimwright.plan.verdicts.verdict import Money, Verdicts
from trimwright.plan.verdicts.walkaway import WalkAway
from trimwright.plan.verdicts.why import Why


def decide(plan: Plan) -> dict[str, Any]:
    """What `decide --json` prints."""
    verdicts = plan.verdicts
    return {
        "status": verdicts.status,
        "finish_before": verdicts.finish_before,
        "finish_after": verdicts.finish_after,
        "points": verdicts.points,
        "bound": verdicts.proof.bound,
        "gap": verdicts.proof.gap,
        "money": money(verdicts),
        "minutes": verdicts.minutes,
        "spent": {"money": plan.quantities.spent.total, "minutes": plan.quantities.spent.minutes},
        "verdicts": [
            {
                "part": each.part,
                "course": each.course.id if each.course else "",
                "treatments": list(each.course.treatments) if each.course else [],
                "settled_by": each.settled_by,
                "money": each.money,
                "minutes": each.minutes,
                "finish_before": each.finish_before,
                "finish_after": each.finish_after,
                "pinned": each.pinned,
                "promised": each.course is not None and each.course.promised,
                "done": each.course is not None and each.course.done,
            }
            for each in verdicts.verdicts
        ],
        "buy": buying_rows(plan),
        "given_up": [
            {
                "what": each.what,
                "parts": list(each.parts),
                "wanted": each.wanted,
                "got": each.got,
                "points": each.points,
            }
            for each in verdicts.given_up
        ],
        "short": None
        if verdicts.short is None
        else {
            "money": verdicts.short.money,
            "minutes": verdicts.short.minutes,
            "because": list(verdicts.short.because),
        },
        "seconds": verdicts.seconds,
    }


def money(verdicts: Verdicts) -> dict[str, Any]:
    """The money in the words used everywhere."""
    each = verdicts.money
    return {
        "currency": each.currency,
        "sum": each.sum,
        "firm": each.firm,
        "expected": each.expected,
        "reserve": each.reserve,
        "left": each.left,
        "chance": round(each.chance, 5),
        "chance_se": round(each.chance_se, 6),
    }


def buying_rows(plan: Plan) -> list[dict[str, Any]]:
    """Every row of the buying list: packs, and the parts and services bought whole (material = the part's id)."""
    rows = [
        (order.supplier, each.material, each.pack, each.count, each.money, plan.buying.evidence[each.pack_id])
        for order in plan.buying.orders
        for each in order.packs
    ]
    rows += [
        (order.supplier, each.part, f"{each.what}, {each.source}", 1, each.money, each.evidence)
        for order in plan.buying.orders
        for each in order.wholes
    ]
    return [
        {"material": material, "pack": pack, "count": count, "money": money, "supplier": supplier, "known": known}
        for supplier, material, pack, count, money, known in rows
    ]


def buying(plan: Plan) -> dict[str, Any]:
    """What `buy --json` prints: the rows, carriage by supplier, what is used and left of each material."""
    return {
        "currency": plan.verdicts.money.currency,
        "buy": buying_rows(plan),
        "carriage": dict(plan.verdicts.carriage),
        "once": [{"id": each.id, "what": each.what, "money": each.money} for each in plan.buying.once],
        "sundries": plan.verdicts.sundries,
        "materials": [
            {
                "material": each.key,
                "unit": each.unit,
                "used_milli": each.used_milli,
                "from_stock_milli": each.from_stock_milli,
                "bought_milli": each.bought_milli,
                "left_milli": each.left_milli,
            }
            for each in plan.buying.materials
        ],
        "status": plan.verdicts.status,
    }


def stairs(found: Staircase, currency: str) -> dict[str, Any]:
    """What `stairs --json` prints; `here` is the number of the decided plan's stair, from 0.

    A `gap` is null where there was no time to find any bound.
    """
    return {
        "of": found.of,
        "currency": currency,
        "stairs": [_stair(each) for each in found.stairs],
        "here": found.here,
        "first_out": found.first_out and _stair(found.first_out),
        "next_in": found.next_in and _stair(found.next_in),
        "seconds": found.seconds,
    }


def _stair(stair: Stair) -> dict[str, Any]:
    return {
        "sum": stair.sum,
        "expected": stair.expected,
        "minutes": stair.minutes,
        "finish": stair.finish,
        "points": stair.points,
        "gap": stair.gap if isfinite(stair.gap) else None,
        "changes": [_change(each) for each in stair.changes],
    }


def _change(change: Change) -> dict[str, Any]:
    return {
        "part": change.part,
        "from": change.from_course,
        "to": change.to_course,
        "finish_from": change.before,
        "finish_to": change.after,
    }


def worth(found: Iterable[WalkAway], currency: str, seconds: float) -> dict[str, Any]:
    """What `worth --json` prints; `at_most` is `most_to_pay` where that is proven."""
    return {
        "currency": currency,
        "parts": [
            {
                "part": each.sought.part,
                "treatment": each.sought.course.treatments[-1],
                "course": each.sought.course.id,
                "source": each.sought.source,
                "price": round(each.sought.price.likely),
                "low": round(each.sought.price.low),
                "high": round(each.sought.price.high),
                "most_to_pay": each.most,
                "at_most": each.at_most,
                "proven": each.proven,
                "jump_at": each.jump_at,
                "in_plan": each.in_plan,
            }
            for each in found
        ],
        "seconds": round(seconds, 3),
    }


def looks(
    worth: Iterable[LookWorth], openings: Iterable[Opening], apart: Iterable[WhileApart], currency: str
) -> dict[str, Any]:
    """What `looks --json` prints; `reserve` and `points` of a look are means over its answers."""
    return {
        "currency": currency,
        "looks": [
            {
                "look": each.look.id,
                "name": each.look.name,
                "minutes": each.look.minutes,
                "wait_minutes": each.look.wait_minutes,
                "settles": list(each.look.settles),
                "points": round(each.points, 3),
                "points_per_minute": round(each.points_per_minute, 5),
                "reserve": round(each.reserve, 3),
                "reserve_per_minute": round(each.reserve_per_minute, 5),
                "on_suspicion": each.on_suspicion,
                "answers": [
                    {
                        "there": list(told.there),
                        "chance": round(told.chance, 6),
                        "points": told.points,
                        "reserve": told.reserve,
                    }
                    for told in each.answers
                ],
            }
            for each in worth
        ],
        "open_first": [
            {
                "steps": list(each.steps),
                "minutes": each.minutes,
                "shows": list(each.shows),
                "settles": each.settles,
                "per_minute": round(each.per_minute, 5),
            }
            for each in openings
        ],
        "while_apart": [
            {
                "part": each.part,
                "course": each.course.id,
                "finish_from": each.before,
                "finish_to": each.after,
                "reach_minutes": each.reach_minutes,
                "points": each.points,
                "now": _price(each.now),
                "later": _price(each.later),
            }
            for each in apart
        ],
    }


def _price(price: Price) -> dict[str, int]:
    return {"expected": price.money, "sum": price.sum, "minutes": price.minutes}


def reserve(release: Release, drops: Iterable[Drop], money: Money) -> dict[str, Any]:
    """What `reserve --json` prints; the three parts of the release add up to the reserve."""
    return {
        "currency": money.currency,
        "reserve": money.reserve,
        "release": {
            "after_strip_down": release.after_strip_down,
            "after_colour_and_sewing": release.after_colour_and_sewing,
            "after_rebuild": release.after_rebuild,
        },
        "drops": [
            {
                "frees": each.frees,
                "minutes": each.minutes,
                "points": each.points,
                "finish": each.finish,
                "promised": list(each.promised),
                "changes": [_change(change) for change in each.changes],
            }
            for each in drops
        ],
    }


def why(found: Why, currency: str) -> dict[str, Any]:
    """What `why --json` prints; `points_lost` is null where no plan with the course fits: `money_more` is lacking."""
    return {
        "currency": currency,
        "part": found.part,
        "course": found.course.id,
        "finish": found.finish,
        "settled_by": found.settled_by,
        "others": [
            {
                "course": each.course.id,
                "treatments": list(each.course.treatments),
                "finish": each.finish,
                "points_lost": each.points_lost,
                "money_more": each.money_more,
                "proven": each.proven,
                "alone": {**each.alone.money, "total": each.alone.total, "minutes": each.alone.minutes},
                "reasons": list(each.reasons),
            }
            for each in found.others
        ],
        "seconds": found.seconds,
    }


def replay(found: Replay) -> dict[str, Any]:
    """What `replay --json` prints."""
    low, middle, high = found.finish
    return {
        "n": found.n,
        "asked": found.asked,
        "seed": found.seed,
        "holds": found.holds,
        "finish": {"p10": low, "p50": middle, "p90": high},
        "parts": [
            {"part": each.part, "treatment": each.treatment, "survives": each.survives, "order": each.order}
            for each in found.parts
        ],
        "packs": [
            {"material": each.material, "pack": each.pack_id, "survives": each.survives, "order": each.order}
            for each in found.packs
        ],
        "seconds": found.seconds,
    }
