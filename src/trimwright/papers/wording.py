"""What every paper says in the same words: the head, the gauge, the money strip, zones, places, chances.

Everything given to a template is text, a yes or no, or a share of a drawn length; a template adds nothing up.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from decimal import Decimal
from itertools import groupby
from typing import Any

from trimwright import units
from trimwright.facts.trade import EQUIPMENT_NAMES, Place, Trade
from trimwright.job.document import Job, Part
from trimwright.plan.plan import Plan
from trimwright.plan.quantities.cabin import Hidden
from trimwright.plan.verdicts.verdict import Money, Verdict

Words = dict[str, Any]

STITCHES = 10
LONGEST_WORD = 22
"""Letters in a row that fit every column; a longer word may break after each of so many."""
BREAK = "\u200b"
CHANCE_CLOSE = 0.0075
"""How near a chance "n in d" must be to be said so."""
SOURCES = {"new": "new", "used": "used", "reproduction": "re-made", "service": "work sent out"}
PLACES: Mapping[Place, str] = {
    "driver": "driver’s side",
    "passenger": "passenger’s side",
    "rear_driver": "rear, driver’s side",
    "rear_passenger": "rear, passenger’s side",
}


def head(job: Job, title: str) -> Words:
    """What stands on top of a paper: its title, the job's name, the car."""
    car = job.car
    known = [each for each in (str(car.year), car.body) if each not in car.text]
    return {"title": title, "job": text(job.name), "car": text(", ".join([car.text, *known]))}


def text(words: str) -> str:
    """Words as they are printed: curly apostrophes, and places to break in what has none.

    >>> text("driver's"), text("x" * 30).replace(BREAK, "|")
    ('driver’s', 'xxxxxxxxxxxxxxxxxxxxxx|xxxxxxxx')
    """
    curly = re.sub(r"(?<=\w)'", "’", words)
    return re.sub(rf"\S{{{LONGEST_WORD}}}(?=\S)", lambda found: found[0] + BREAK, curly)


def sentence(words: str) -> str:
    """With a capital in front.

    >>> sentence("sew and pad"), sentence("")
    ('Sew and pad', '')
    """
    return text(words[:1].upper() + words[1:])


def listed(names: Iterable[str]) -> str:
    """Names in a row, each once: "a, b and c".

    >>> listed(["a", "b", "a", "c"]), listed(["a"]), listed([])
    ('a, b and c', 'a', '')
    """
    each = list(dict.fromkeys(names))
    return " and ".join([", ".join(each[:-1]), each[-1]]) if len(each) > 1 else "".join(each)


def by_side(found: Iterable[tuple[str, str]]) -> str:
    """Names, each with a remark; those that differ only in their side share their name.

    >>> by_side([("Kick panel, left", "6"), ("Mat", ""), ("Kick panel, right", "7"), ("Hooks, lamps", "")])
    'Kick panel, left 6, right 7; Mat; Hooks, lamps'
    """
    same: dict[str, list[str]] = {}
    for name, remark in found:
        base, comma, side = name.rpartition(", ")
        same.setdefault(base if comma else name, []).append(f"{comma}{side if comma else ''} {remark}".rstrip())
    return "; ".join(base + "".join(sides) for base, sides in same.items())


def gauge(before: int, after: int) -> Words:
    """Ten stitches: solid now, outlined where the plan adds, pale for the rest; the number beside it."""
    told = str(after) if before == after else f"{before} → {after}"
    return {"now": before, "after": after, "told": told}


def chance_words(chance: float) -> str:
    """A chance as people say it.

    >>> chance_words(0.9066), chance_words(0.851), chance_words(0.5), chance_words(0.999), chance_words(0.004)
    ('9 in 10', '17 in 20', '1 in 2', 'more than 99 in 100', 'less than 1 in 100')
    """
    for out_of in (2, 3, 4, 5, 10, 20):
        times = round(chance * out_of)
        if 0 < times < out_of and abs(chance - times / out_of) <= CHANCE_CLOSE:
            return f"{times} in {out_of}"
    if chance > 0.99:
        return "more than 99 in 100"
    return f"{round(chance * 100)} in 100" if chance >= 0.01 else "less than 1 in 100"


def about(chance: float) -> str:
    """A guessed chance, no finer than it is known: in tenths.

    >>> about(0.48), about(0.04), about(0.97)
    ('5 in 10', 'less than 1 in 20', '9 in 10')
    """
    return f"{min(9, max(1, round(chance * 10)))} in 10" if chance >= 0.05 else "less than 1 in 20"


def money_strip(money: Money) -> Words:
    """Sum, firm, reserve and left as text, and as shares of the bar; a plan that is short fills the bar."""
    shown = {each: units.money(getattr(money, each), money.currency) for each in ("sum", "firm", "reserve", "left")}
    whole = max(1, money.sum, money.firm + money.reserve)
    return {
        **shown,
        "currency": money.currency,
        "firm_share": f"{money.firm / whole:.2%}",
        "reserve_share": f"{money.reserve / whole:.2%}",
        "left_share": f"{max(0, money.left) / whole:.2%}",
        "chance": chance_words(money.chance),
    }


def column(minor: int, currency: str) -> str:
    """A sum in a column of sums: all its decimals, so that points stand under each other.

    >>> column(240000, "USD"), column(2400, "JPY")
    ('2,400.00', '2,400')
    """
    places = units.exponent(currency)
    return f"{Decimal(minor).scaleb(-places):,.{places}f}"


def whole_job(plan: Plan) -> Words:
    """What the verdicts leave of firm: the lines of the whole job, what is spent already, putting back what is off."""
    spent, off = plan.quantities.spent, sum(step.off for step in plan.quantities.steps.values())
    told = [line.name for line in plan.quantities.lines]
    told += ["spent already"] if spent.total or spent.minutes else []
    told += ["putting back what is off"] if off else []
    rest = plan.verdicts.money.firm - sum(verdict.money for verdict in plan.verdicts.verdicts)
    return {
        "name": sentence("; ".join(told)),
        "money": column(rest, plan.verdicts.money.currency) if rest else "",
        "time": units.hours(spent.minutes + sum(line.minutes for line in plan.quantities.lines)),
    }


def short_lines(plan: Plan) -> list[str]:
    """What a sum or hours that are short mean; nothing when they are not."""
    short = plan.verdicts.short
    if short is None:
        return []
    lines = []
    if short.money:
        lines.append(f"The sum is short by {units.money(short.money, plan.job.money.currency, code=True)}.")
    if short.minutes:
        lines.append(f"The hours are short by {units.hours(short.minutes)}.")
    if short.because:
        lines.append(f"What must be paid: {text('; '.join(short.because))}.")
    lines.append(
        "Hand-over stays shut until every must-do is paid and done. The rest of this paper shows the least plan."
    )
    return lines


def own_verdicts(plan: Plan) -> list[Verdict]:
    """Verdicts of parts that no other part settles."""
    return [verdict for verdict in plan.verdicts.verdicts if verdict.settled_by is None]


def worked_on(verdict: Verdict) -> bool:
    """Whether anything is done to the part, by itself or with its whole."""
    return verdict.course is not None and verdict.course.kind != "leave"


def by_zone(plan: Plan, verdicts: Iterable[Verdict]) -> list[tuple[str, list[Verdict]]]:
    """Verdicts under their zones, in the order of the walk-round."""
    order: dict[str, int] = {}
    for part in plan.quantities.parts:
        order.setdefault(part.zone, len(order))
    sorted_in = sorted(verdicts, key=lambda verdict: order[verdict.zone])
    return [(zone, list(found)) for zone, found in groupby(sorted_in, key=lambda verdict: verdict.zone)]


def faults_of(part: Part, trade: Trade) -> str:
    """The faults found on a part with their extents."""
    return listed(f"{trade.faults[found.fault].name} ({found.extent})" for found in part.faults)


def where(hidden: Hidden) -> str:
    """The place of a hidden fault: behind the @ of its id; the whole cabin has none."""
    zone, _, place = hidden.id.partition("@")[2].partition(".")
    told = PLACES.get(place, place)  # type: ignore[call-overload]
    return ", ".join(each for each in (zone.replace("_", " "), told) if each)


def equipment_unknown(plan: Plan) -> list[str]:
    """Restraint equipment nobody has looked for; it counts as fitted."""
    fitted = plan.job.car.equipment
    return [name for item, name in EQUIPMENT_NAMES.items() if getattr(fitted, item) == "unknown"]


def suspected(plan: Plan) -> list[Words]:
    """Hidden faults in the money, those like each other on one line with their places."""
    found: dict[str, list[Hidden]] = {}
    for each in plan.verdicts.hidden:
        hidden = plan.quantities.hidden[each]
        found.setdefault(hidden.name, []).append(hidden)
    return [
        {
            "name": sentence(name),
            "where": text("; ".join(place for each in same if (place := where(each)))),
            "chance": "it is there" if all(each.chance >= 1 for each in same) else about(most_open(same)),
            "certain": any(each.must_deal for each in same),
            "own": any(each.evidence == "own book" for each in same),
        }
        for name, same in found.items()
    ]


def most_open(hidden: Iterable[Hidden]) -> float:
    """The highest chance of those that are not known to be there."""
    return max(each.chance for each in hidden if each.chance < 1)


def amount(milli: int, unit: str, system: units.System) -> str:
    """An amount of a material; what is counted takes its plural.

    >>> amount(4000, "piece", "metric"), amount(1000, "can", "metric"), amount(360, "L", "metric")
    ('4 pieces', '1 can', '0.36 L')
    """
    shown = units.amount(milli, unit, system)
    return shown + "s" if unit.isalpha() and len(unit) > 2 and milli != 1000 else shown


def days(spread: tuple[int, int, int]) -> str:
    """Days of delivery.

    >>> days((2, 5, 14)), days((10, 10, 10)), days((0, 1, 1))
    ('2 to 14 days', '10 days', '0 to 1 day')
    """
    low, _, high = spread
    unit = "day" if high == 1 else "days"
    return f"{low} {unit}" if low == high else f"{low} to {high} {unit}"
