"""What `stairs` and `worth` print on a terminal: the staircase with what changes, and the most to pay."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from itertools import pairwise
from math import isfinite
from typing import TYPE_CHECKING

from trimwright import units
from trimwright.cli.tables import plain_table, print_short
from trimwright.papers import differences
from trimwright.papers.pocket_list import bought
from trimwright.papers.wording import by_side, listed
from trimwright.plan.plan import Plan
from trimwright.plan.verdicts.staircase import Stair, Staircase
from trimwright.plan.verdicts.walkaway import WalkAway

if TYPE_CHECKING:
    from rich.console import Console

OPEN = 0.01
"""A gap worth a word, as a share of the points gained."""
FEW = 3
"""So many changes are told in a sentence, the rest counted."""


# ---- what more buys ----------------------------------------------------------------------------------------------


def print_stairs(console: Console, plan: Plan, found: Staircase) -> None:
    """A row a stair, the plan's own marked; below, what falls first under it and what comes first over it."""
    from rich.text import Text

    currency = plan.verdicts.money.currency
    heads = ["Hours", f"Sum, {currency}"] if found.of == "hours" else [f"Sum, {currency}", "Hours"]
    loose = any(stair.gap >= OPEN for stair in found.stairs)
    unproven = ["Unproven"] if loose else []
    table = plain_table(
        ["", heads[0], "Finish", heads[1], *unproven, "What changes"], right=frozenset(range(1, 5 if loose else 4))
    )
    for number, stair in enumerate(found.stairs):
        own = number == found.here
        figures = [units.hours(stair.minutes), units.money(stair.sum, currency)]
        limit, other = figures if found.of == "hours" else figures[::-1]
        style = "bold" if own else ""
        changes = Text("your plan  " if own else "", "bold").append(
            differences.in_short(stair.changes, plan.quantities), "dim"
        )
        gap = [Text(_unproven(stair.gap), "dim")] if loose else []
        table.add_row(
            ">" if own else "", Text(limit, style), Text(str(stair.finish), style), Text(other), *gap, changes
        )
    console.print(table)
    if loose:
        console.print(Text("Unproven: at most this share of what is gained was not found in the time given.", "dim"))
    console.print()
    for sentence in _round_the_plan(plan, found):
        console.print(Text(sentence))
    print_short(console, plan.verdicts)


def _unproven(gap: float) -> str:
    """A gap worth a word; at times there was no time to find any bound.

    >>> _unproven(0.0), _unproven(0.034), _unproven(float("inf"))
    ('', '3%', 'not known')
    """
    if gap < OPEN:
        return ""
    return f"{gap:.0%}" if isfinite(gap) else "not known"


def _round_the_plan(plan: Plan, found: Staircase) -> Iterator[str]:
    """What falls first, and what comes first, each in a sentence."""
    own, less, more = found.stairs[found.here], first_out(found), next_in(found)
    if less is not None:
        yield f"First out, {_apart(plan, found, own, less)}: {_told(less, plan)}."
    if more is not None:
        yield f"Next in, {_apart(plan, found, own, more)}: {_told(more, plan)}."
    else:
        yield "Nothing more can be had: more would change no verdict."
    if any(after.finish < before.finish for before, after in pairwise(found.stairs)):
        yield "Where the finish falls on the way up, what is bought there holds for longer."


def first_out(found: Staircase) -> Stair | None:
    """The stair under the plan's: the one looked for closely, or else the next one down, told from the plan's."""
    own, less = found.stairs[found.here], found.first_out
    if less is not None and less.changes and wanted(found, less) < wanted(found, own):
        return less
    if not found.here:
        return None
    down = [
        replace(
            each,
            from_course=each.to_course,
            to_course=each.from_course,
            from_name=each.to_name,
            to_name=each.from_name,
            before=each.after,
            after=each.before,
        )
        for each in own.changes
    ]
    return replace(found.stairs[found.here - 1], changes=tuple(down))


def next_in(found: Staircase) -> Stair | None:
    """The stair over the plan's that wants least: the one looked for closely, or one met on the way up."""
    over = found.stairs[found.here + 1 : found.here + 2]
    known = [each for each in (found.next_in, *over) if each is not None]
    return min(known, key=lambda stair: wanted(found, stair), default=None)


def wanted(found: Staircase, stair: Stair) -> int:
    """How much of the limit a stair wants: minutes, or the sum [minor]."""
    return stair.minutes if found.of == "hours" else stair.sum


def _apart(plan: Plan, found: Staircase, own: Stair, stair: Stair) -> str:
    """How far a stair is from what there is: with less than the plan wants, or for more than the job has."""
    currency, money = plan.verdicts.money.currency, plan.job.money.sum
    if found.of == "hours":
        limit = plan.verdicts.minutes_limit
        if stair.minutes < own.minutes:
            return f"with less than {units.hours(own.minutes)}"
        have = own.minutes if limit is None else limit
        return f"for {units.hours(max(1, stair.minutes - have))} more"
    if stair.sum < own.sum:
        return f"with less than {units.money(own.sum, currency, code=True)}"
    return f"for {units.money(max(1, stair.sum - money), currency, code=True)} more"


def _told(stair: Stair, plan: Plan) -> str:
    lines = differences.told(stair.changes, plan.quantities)
    more = [f"and {len(lines) - FEW} more"] if len(lines) > FEW else []
    return "; ".join(lines[:FEW] + more)


# ---- most to pay -------------------------------------------------------------------------------------------------


def print_worth(console: Console, plan: Plan, found: Sequence[WalkAway]) -> None:
    """A row for each part and way to buy it that is worth something; last those not worth having as a gift."""
    from rich.text import Text

    currency, telling = plan.verdicts.money.currency, [each for each in found if worth_telling(each)]
    rows = [
        (
            each.sought.name if before is None or before.sought.part != each.sought.part else "",
            bought(each, found) + (" (in the plan)" if each.in_plan else ""),
            units.money(round(each.sought.price.likely), currency),
            _most(each, currency),
            units.money(each.jump_at, currency) if each.most else "",
        )
        for before, each in zip([None, *telling], telling, strict=False)
    ]
    if rows:
        heads = ("Part", "Bought", f"Likely, {currency}", "Most to pay", "Jump at")
        console.print(plain_table(heads, rows, right=frozenset({2, 4})))
        console.print()
    rest = [each for each in found if not worth_telling(each)]
    for told, group in (
        ("Worth less than anybody asks", [each for each in rest if each.at_most]),
        ("Not worth having even as a gift", [each for each in rest if not each.at_most]),
    ):
        if group:
            console.print(Text(f"{told}: {_listed(group, found)}.", style="dim"))
    if not found:
        console.print(Text("Nothing that could be bought competes with another verdict."))
    if any(not each.proven for each in found):
        console.print(Text("More time proves more: --seconds.", style="dim"))
    print_short(console, plan.verdicts)


def worth_telling(each: WalkAway) -> bool:
    """Whether it is surely worth something, or could be worth what somebody asks."""
    return each.most > 0 or each.at_most >= each.sought.price.low


def _listed(group: Iterable[WalkAway], found: Sequence[WalkAway]) -> str:
    """Each part once, with the ways to buy it."""
    ways: dict[str, list[str]] = {}
    for each in group:
        ways.setdefault(each.sought.name, []).append(bought(each, found))
    return by_side((name, f"({listed(each)})") for name, each in ways.items())


def _most(each: WalkAway, currency: str) -> str:
    """The most to pay, or what is known of it."""
    most, at_most = units.money(each.most, currency), units.money(each.at_most, currency)
    if each.proven:
        return most
    return f"at least {most}, perhaps up to {at_most}" if each.most else f"perhaps up to {at_most}"
