"""The pocket list in words, to carry to a breaker's yard: what to look for, the most to pay, the price to jump at.

A part has a card where somebody asks a price at which buying it pays; all other parts are named in a line. Prices are
rounded down to whole units of the currency, so that what is paid in the yard never goes over.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from trimwright import units
from trimwright.facts.trade import PartKind, Trade
from trimwright.job.document import Part
from trimwright.papers.terms import is_restraint
from trimwright.papers.wording import PLACES, SOURCES, Words, by_side, head, sentence, text
from trimwright.plan.plan import Plan
from trimwright.plan.verdicts.walkaway import WalkAway

LOOKED_FOR = 5
"""Faults told on a card."""
OF_A_MATERIAL = 6
"""A fault of more material families than this tells nothing of any one of them."""


def in_words(plan: Plan, trade: Trade, worth: Iterable[WalkAway]) -> Words:
    """All that the pocket list prints."""
    by_part: dict[str, list[WalkAway]] = {}
    for each in worth:
        by_part.setdefault(each.sought.part, []).append(each)
    restrained = [part_id for part_id in by_part if is_restraint(part_id, plan, trade)]
    free = {part_id: ways for part_id, ways in by_part.items() if part_id not in restrained}
    wanted = {part_id: ways for part_id, ways in free.items() if any(map(asked_for, ways))}
    others = [ways for part_id, ways in free.items() if part_id not in wanted]
    currency = plan.job.money.currency
    return {
        **head(plan, "Pocket list"),
        "currency": currency,
        "all_in": "The way home is in it" + (", and tax." if "tax" in plan.job.money.covers else "."),
        "cards": [card(group, wanted, plan, trade) for group in mates(wanted, plan)],
        "bargains": named(
            ((ways[0].sought.name, price(most, currency)) for ways in others if (most := best(ways))), "to"
        ),
        "open": named((ways[0].sought.name, "") for ways in others if not best(ways) and any(map(may_pay, ways))),
        "never": named((ways[0].sought.name, "") for ways in others if not best(ways) and not any(map(may_pay, ways))),
        "new_only": named((plan.job.part(part_id).name, "") for part_id in restrained),
    }


# ---- what is worth looking for -----------------------------------------------------------------------------------


def asked_for(way: WalkAway) -> bool:
    """Whether somebody asks a price at which it surely pays."""
    return way.most >= way.sought.price.low


def may_pay(way: WalkAway) -> bool:
    """Whether a price that somebody asks could pay, as far as was proven."""
    return way.at_most >= way.sought.price.low


def best(ways: Iterable[WalkAway]) -> int:
    """The most that any way to buy the part is surely worth [minor]."""
    return max(each.most for each in ways)


def mates(wanted: Iterable[str], plan: Plan) -> list[tuple[str, ...]]:
    """The parts by card: left and right of a matching set together, in the order of the survey."""
    sets = {part_id: each.name for each in plan.quantities.sets for part_id in each.parts}
    cards: dict[tuple[str, ...], list[str]] = {}
    for part_id in wanted:
        part = plan.job.part(part_id)
        pair = part.place is not None and part_id in sets
        row = "rear" if part.place and part.place.startswith("rear") else "front"
        cards.setdefault((sets[part_id], part.kind, row) if pair else (part_id,), []).append(part_id)
    return [tuple(group) for group in cards.values()]


# ---- a card ------------------------------------------------------------------------------------------------------


def card(group: Sequence[str], wanted: dict[str, list[WalkAway]], plan: Plan, trade: Trade) -> Words:
    """One part, or both of a pair."""
    parts = [plan.job.part(part_id) for part_id in group]
    first, currency = parts[0], plan.job.money.currency
    used = any(way.sought.source == "used" and way.at_most for part_id in group for way in wanted[part_id])
    return {
        "name": text(by_side((each.name, "") for each in parts)),
        "pair": len(parts) > 1,
        "about": text(about(parts, trade)),
        "colour": text(first.colour),
        "sided": any(each.place for each in parts),
        "rows": [
            row(way, PLACES[part.place] if len(parts) > 1 and part.place else "", currency)
            for part in parts
            for way in ways_of(wanted[part.id])
        ],
        "both": both([ways_of(wanted[part_id]) for part_id in group], currency) if len(parts) > 1 else [],
        "look_for": look_for(first, trade) if used else [],
        "airbag": any(near_airbag(each, trade.parts.get(each.kind)) for each in parts),
    }


def about(parts: Sequence[Part], trade: Trade) -> str:
    """Material, how many pieces, side."""
    part = parts[0]
    family = trade.families.get(part.material)
    pieces = f"{part.count} pieces" if part.count > 1 else ""
    side = PLACES[part.place] if len(parts) == 1 and part.place else "both sides" if len(parts) > 1 else ""
    return ", ".join(each for each in (family.name if family else part.material, pieces, side) if each)


def ways_of(ways: Iterable[WalkAway]) -> list[WalkAway]:
    """Each way to buy the part once: of several offers the one that may cost least, which is safe for all."""
    least: dict[str, WalkAway] = {}
    for each in ways:
        treatment = each.sought.course.treatments[-1]
        if treatment not in least or each.most < least[treatment].most:
            least[treatment] = each
    return list(least.values())


def row(way: WalkAway, side: str, currency: str) -> Words:
    """What to pay for a part bought one way."""
    worth_it = whole(way.most, currency) > 0
    asked = way.sought.price
    return {
        "way": SOURCES[way.sought.source].capitalize() + (f", {side}" if side else ""),
        "told": text(way.sought.course.name),
        "asked": f"{price(round(asked.low), currency)} to {price(round(asked.high), currency)} is usual",
        "most": price(way.most, currency) if worth_it else "",
        "jump": price(way.jump_at, currency) if worth_it else "",
        "none": "" if worth_it else "leave it there" if not may_pay(way) else "not settled",
        "perhaps": "" if way.proven or not worth_it else price(way.at_most, currency),
        "in_plan": way.in_plan,
    }


def both(ways: Sequence[Sequence[WalkAway]], currency: str) -> list[Words]:
    """Both of a pair from one donor, where each may be bought that way: the sum of the two."""
    known = [{way.sought.course.treatments[-1]: way for way in each} for each in ways]
    together = []
    for treatment, way in known[0].items():
        pair = [each[treatment] for each in known if treatment in each and whole(each[treatment].most, currency)]
        if len(pair) == len(known):
            together.append(
                {
                    "way": SOURCES[way.sought.source].capitalize(),
                    "most": price(sum(each.most for each in pair), currency),
                    "jump": price(sum(each.jump_at for each in pair), currency),
                }
            )
    return together


def look_for(part: Part, trade: Trade) -> list[Words]:
    """What to look for on a used one: the faults of its material, the worst first."""
    faults = [
        each
        for each in trade.faults.values()
        if part.material in each.materials and len(each.materials) <= OF_A_MATERIAL
    ]
    worst = sorted(faults, key=lambda fault: fault.caps)[:LOOKED_FOR]
    return [{"name": sentence(each.name), "how": text(each.look_for)} for each in worst]


def near_airbag(part: Part, kind: PartKind | None) -> bool:
    """Whether an airbag lies behind such a part in any car: the donor may have what this car has not."""
    return bool(part.own.airbag_behind if part.own else kind and kind.airbag_behind)


# ---- in words ----------------------------------------------------------------------------------------------------


def price(minor: int, currency: str) -> str:
    """A price in whole units, rounded down.

    >>> price(31278, "EUR"), price(31278, "JPY")
    ('312', '31,278')
    """
    return units.money(whole(minor, currency), currency)


def whole(minor: int, currency: str) -> int:
    """Rounded down to a whole unit of the currency [minor]."""
    unit = int(10 ** units.exponent(currency))
    return minor // unit * unit


def named(found: Iterable[tuple[str, str]], before: str = "") -> str:
    """Parts in a line, each with a price behind where it has one."""
    return text(by_side((name, f"({before} {told})" if told else "") for name, told in found))
