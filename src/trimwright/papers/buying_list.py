"""The buying list in words: orders by seller with boxes to tick, the shelf, what will be left over."""

from __future__ import annotations

from trimwright import units
from trimwright.facts.trade import Trade
from trimwright.papers.press import day
from trimwright.papers.wording import (
    SOURCES,
    Words,
    amount,
    column,
    days,
    head,
    listed,
    money_strip,
    sentence,
    short_lines,
    text,
)
from trimwright.plan.buying import Buying, MaterialUse, Once, Order, Whole
from trimwright.plan.plan import Plan
from trimwright.plan.quantities.needs import CLIPS
from trimwright.plan.verdicts.verdict import Bought

KNOWN = {
    "offer": "an offer",
    "pages": "the trade’s figure",
    "common practice": "the trade’s figure",
    "guess": "a guess",
}


def in_words(plan: Plan, trade: Trade) -> Words:  # noqa: ARG001 (every paper is asked alike)
    """All that the buying list prints."""
    buying, currency = plan.buying, plan.buying.currency
    return {
        **head(plan.job, "Buying list"),
        "short": short_lines(plan),
        "money": money_strip(plan.verdicts.money),
        "orders": [order_words(order, plan) for order in buying.orders],
        "once": [once_words(each, plan) for each in buying.once],
        "rest": [
            {"name": name, "money": column(money, currency)}
            for name, money in (
                ("Small things beside the packs", buying.sundries),
                ("Lines of the whole job", buying.whole_job),
            )
            if money
        ],
        "total": units.money(buying.total, currency, code=True),
        "hours_apart": buying.total != plan.verdicts.money.firm,
        "firm": units.money(plan.verdicts.money.firm, currency, code=True),
        "shelf": [shelf_row(each, plan) for each in buying.materials],
        "keep": [
            {"name": sentence(each.name), "told": sentence(each.handling)} for each in buying.materials if each.handling
        ],
        "one_batch": text(listed(each.name for each in buying.materials if each.one_batch and each.bought_milli)),
        "clips": clips(plan),
        "burn_rate": burn_rate(plan),
    }


def order_words(order: Order, plan: Plan) -> Words:
    """One seller: packs, then parts and services, then carriage."""
    currency = plan.buying.currency
    wholes = [whole_row(each, currency) for each in order.wholes]
    when = f"; order by {day(order.order_by)}, or at once where that is past" if order.order_by else ""
    return {
        "name": sentence(order.name) or "Seller not named",
        "days": f"Delivery {days(order.days)}{when}",
        "rows": [pack_row(each, plan.buying) for each in order.packs] + wholes,
        "carriage": column(order.carriage, currency) if order.carriage else "free" if order.packs else "",
        "total": column(order.total, currency),
    }


def pack_row(each: Bought, buying: Buying) -> Words:
    """So many packs of a material."""
    evidence = buying.evidence[each.pack_id]
    return {
        "count": str(each.count),
        "what": sentence(each.name),
        "told": text(each.pack),
        "known": KNOWN.get(evidence, evidence),
        "money": column(each.money, buying.currency),
    }


def whole_row(each: Whole, currency: str) -> Words:
    """A part, or work sent out."""
    span = f"{units.money(each.low, currency)} to {units.money(each.high, currency)}"
    service = each.source == "service"
    told = [
        SOURCES[each.source],
        f"for: {each.name}" if service else "",
        f"{span} is usual" if each.low < each.high else "",
    ]
    return {
        "count": "1",
        "what": sentence(each.what),
        "told": text(", ".join(part for part in told if part)),
        "known": KNOWN.get(each.evidence, each.evidence),
        "money": column(each.money, currency),
    }


def once_words(each: Once, plan: Plan) -> Words:
    """A tool or a visit with the number of parts that ask for it."""
    names = {part.part: part.name for part in plan.quantities.parts}
    return {
        "name": sentence(each.name),
        "told": "tool" + (", this job’s share" if plan.job.car.commercial else "")
        if each.what == "tool"
        else "a trained person’s visit",
        "parts": text(listed(names[part] for part in each.parts)),
        "money": column(each.money, plan.buying.currency),
    }


def shelf_row(each: MaterialUse, plan: Plan) -> Words:
    """A material from shelf to leftover."""
    figures = {
        "used": each.used_milli,
        "shelf": each.from_stock_milli,
        "bought": each.bought_milli,
        "left": each.left_milli,
    }
    shown = {name: amount(milli, each.unit, plan.job.car.units) if milli else "" for name, milli in figures.items()}
    return {"name": sentence(each.name), **shown}


def clips(plan: Plan) -> str:
    """How many single-use clips and lugs the plan counts on."""
    used = next((each for each in plan.buying.materials if each.key == CLIPS), None)
    if used is None:
        return ""
    count = -(-used.used_milli // 1000)
    return (
        f"Strip-down usually breaks or loses about {count} clips here, missing ones of the survey included. Take one "
        "of each pattern to the seller; clips and bolts that the maker calls single-use are bought new, whatever they "
        "look like."
    )


def burn_rate(plan: Plan) -> str:
    """For which parts the seller of the cover must state its burn rate."""
    names = {part.part: part.name for part in plan.quantities.parts}
    if not plan.buying.burn_rate:
        return ""
    told = listed(names[part] for part in plan.buying.burn_rate)
    asked = (
        "Work done for money: ask the seller for the burn-rate statement of each new cover material before it is "
        "cut, and file it."
        if plan.job.car.commercial
        else "Your own car: asking the seller for the burn-rate statement of each new cover material is good advice."
    )
    return text(f"{asked} It concerns: {told}.")
