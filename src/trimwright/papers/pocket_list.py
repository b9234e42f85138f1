"""The pocket list in words, to carry to a breaker's yard: what to look for, the most to pay, the price to jump at.

A part has a card where somebody asks a price at which buying it pays; all other parts are named in a line. Prices are
rounded down to whole units of the currency, so that what is paid in the yard never goes over.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from trimwright import units
from trimwright.facts.trade import PartKind, Trade
from trimwright.job.document import Part
from trimwright.papers.terms import is_restraint
from trimwright.papers.wording import PLACES, SOURCES, Words, by_side, head, listed, sentence, text
from trimwright.plan.plan import Plan
from trimwright.plan.verdicts.walkaway import PairWorth, WalkAway

Together = Mapping[frozenset[int], PairWorth]
"""What both of a pair are worth, by the two looks."""
LOOKED_FOR = 5
"""Faults told on a card."""
OF_A_MATERIAL = 6
"""A fault of more material families than this tells nothing of any one of them."""


def in_words(plan: Plan, trade: Trade, worth: Iterable[WalkAway], pairs: Iterable[PairWorth] = ()) -> Words:
    """All that the pocket list prints."""
    together = {frozenset((id(pair.one), id(pair.other))): pair for pair in pairs}
    by_part: dict[str, list[WalkAway]] = {}
    for each in worth:
        by_part.setdefault(each.sought.part, []).append(each)
    restrained = [part_id for part_id in by_part if is_restraint(part_id, plan, trade)]
    free = {part_id: ways for part_id, ways in by_part.items() if part_id not in restrained}
    wanted = {part_id: ways for part_id, ways in free.items() if any(map(asked_for, ways))}
    others = [ways for part_id, ways in free.items() if part_id not in wanted]
    currency = plan.job.money.currency
    return {
        **head(plan.job, "Pocket list"),
        "currency": currency,
        "all_in": "The way home is in it" + (", and tax." if "tax" in plan.job.money.covers else "."),
        "cards": [card(group, wanted, together, plan, trade) for group in mates(wanted, plan)],
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


def card(
    group: Sequence[str], wanted: dict[str, list[WalkAway]], together: Together, plan: Plan, trade: Trade
) -> Words:
    """One part, or both of a pair."""
    parts, currency = [plan.job.part(part_id) for part_id in group], plan.job.money.currency
    ways = {part.id: ways_of(wanted[part.id]) for part in parts}
    every = [way for found in ways.values() for way in found]
    cheaper = [way for way in every if not asked_for(way) and whole(way.most, currency)]
    rest = [way for way in every if not asked_for(way) and not whole(way.most, currency)]
    return {
        "name": text(by_side((each.name, "") for each in parts)),
        "about": text(about(parts, trade)),
        "colour": text(parts[0].colour),
        "sided": any(each.place for each in parts),
        "rows": rows([ways[each.id] for each in parts], parts, together, currency),
        "cheaper": listed(f"{bought(way, every)} to {price(way.most, currency)}" for way in cheaper),
        "open": listed(bought(way, every) for way in rest if may_pay(way)),
        "leave": listed(bought(way, every) for way in rest if not may_pay(way)),
        "look_for": look_for(parts[0], trade) if any(way.sought.source == "used" for way in every) else [],
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


def rows(ways: Sequence[Sequence[WalkAway]], parts: Sequence[Part], together: Together, currency: str) -> list[Words]:
    """What to pay, for each way somebody asks such a price; `ways` of each part. A pair is told together where it can.

    For both of a pair there is a price of its own where it was looked for: two prices that stand alone don't add up.
    """
    found = [{way.sought.course.treatments[-1]: way for way in each if asked_for(way)} for each in ways]
    told = []
    for treatment in dict.fromkeys(treatment for each in found for treatment in each):
        pair = [each.get(treatment) for each in found]
        known = [way for way in pair if way is not None]
        whole_pair = len(known) == len(parts) > 1
        both = together.get(frozenset(map(id, known))) if whole_pair else None
        same = whole_pair and len({(way.most, way.at_most, way.jump_at, way.in_plan) for way in known}) == 1
        name = bought(known[0], ways[pair.index(known[0])]).capitalize()
        lines = [row(known[0], f"{name}, each", currency)] if same else []
        for way, part in zip(pair, parts, strict=True):
            if way is not None and not same:
                side = f", {PLACES[part.place]}" if len(parts) > 1 and part.place else ""
                lines.append(row(way, name + side, currency))
        if both is not None:
            jump = min(both.most, sum(way.jump_at for way in known))
            lines[-1] |= {"both": price(both.most, currency), "both_jump": price(jump, currency)}
        told += lines
    return told


def row(way: WalkAway, name: str, currency: str) -> Words:
    """What to pay for a part bought one way."""
    asked = way.sought.price
    return {
        "way": text(name),
        "asked": f"{price(round(asked.low), currency)} to {price(round(asked.high), currency)} is usual",
        "most": price(way.most, currency),
        "jump": price(way.jump_at, currency),
        "perhaps": "" if way.proven else price(way.at_most, currency),
        "in_plan": way.in_plan,
        "both": "",
        "both_jump": "",
    }


def bought(way: WalkAway, others: Iterable[WalkAway]) -> str:
    """Where it is from; of two ways the longer one says what is done with it too."""
    sought = way.sought
    same = [each.sought for each in others if (each.sought.part, each.sought.source) == (sought.part, sought.source)]
    plain = min((each.course.name for each in same), key=len)
    more = sought.course.name.removeprefix(plain).removeprefix(" and").strip()
    return SOURCES[sought.source] + (f", {more}" if more else "")


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
