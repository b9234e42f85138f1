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
