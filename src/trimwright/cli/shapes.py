"""The one JSON object each command prints with --json; money in whole minor units, time in whole minutes."""

from __future__ import annotations

from typing import Any

from trimwright.plan.plan import Plan
from trimwright.plan.verdicts.verdict import Verdicts


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
            }
            for each in verdicts.verdicts
        ],
        "buy": buying_rows(plan),
        "given_up": [
            {"what": each.what, "parts": list(each.parts), "wanted": each.wanted, "got": each.got, "points": each.points}
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
    """Every row of the buying list: packs, and the parts and services bought whole."""
    packs = [
        {
            "material": each.material,
            "pack": each.pack,
            "count": each.count,
            "money": each.money,
            "supplier": each.supplier,
        }
        for each in plan.verdicts.bought
    ]
    whole = [
        {
            "material": verdict.part,
            "pack": purchase.what,
            "count": 1,
            "money": round(purchase.price.mean),
            "supplier": purchase.supplier,
        }
        for verdict in plan.verdicts.verdicts
        if verdict.course is not None and verdict.settled_by is None
        for purchase in verdict.course.purchases
    ]
    return packs + whole
