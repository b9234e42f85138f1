"""What the commands print on a terminal: tables by zone, the money in one line, the finish as ten stitches."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from itertools import groupby
from typing import TYPE_CHECKING

from trimwright import units
from trimwright.plan.plan import Plan
from trimwright.plan.verdicts.verdict import Verdicts

if TYPE_CHECKING:
    from rich.console import Console
    from rich.table import Table

STITCHES = 10


def stitches(now: int, after: int) -> str:
    """The finish gauge in text: solid now, gained after the plan, still missing.

    >>> stitches(3, 8)
    '///:::::..'
    """
    return "/" * now + ":" * max(0, after - now) + "." * (STITCHES - max(now, after))


def print_verdicts(console: Console, plan: Plan) -> None:
    """The whole answer: the money, the verdicts by zone, what was given up, how it was proven."""
    print_money(console, plan.verdicts)
    console.print(verdict_table(plan))
    print_notes(console, plan)


def verdict_table(plan: Plan) -> Table:
    """One row a part, grouped by zone."""
    from rich.table import Table
    from rich.text import Text

    currency = plan.verdicts.money.currency
    table = Table(box=None, pad_edge=False, header_style="dim", expand=False)
    for heading, justify in (("Part", "left"), ("Verdict", "left"), ("Finish", "left"), ("", "left"), (currency, "right"), ("Time", "right")):
        table.add_column(heading, justify=justify, overflow="fold")  # type: ignore[arg-type]
    rows = sorted(plan.verdicts.verdicts, key=lambda verdict: zone_order(plan)[verdict.zone])
    for zone, verdicts in groupby(rows, key=lambda verdict: verdict.zone):
        table.add_row(Text(zone.capitalize(), style="bold"), "", "", "", "", "", end_section=False)
        for verdict in verdicts:
            quiet = verdict.course is None or verdict.course.kind == "leave"
            name = verdict.name + (" (pinned)" if verdict.pinned else "")
            told = "with its whole" if verdict.settled_by else verdict.course.name if verdict.course else "leave"
            table.add_row(
                Text("  " + name, style="dim" if quiet else ""),
                Text(told, style="dim" if quiet else ""),
                Text(stitches(verdict.finish_before, verdict.finish_after), style="dim" if quiet else "red"),
                Text(f"{verdict.finish_before} → {verdict.finish_after}", style="dim" if quiet else ""),
                Text(units.money(verdict.money, currency) if verdict.money else "", style="yellow"),
                Text(units.hours(verdict.minutes) if verdict.minutes else ""),
            )
    return table


def zone_order(plan: Plan) -> Mapping[str, int]:
    """Zones in the order in which the survey meets them."""
    order: dict[str, int] = {}
    for part in plan.quantities.parts:
        order.setdefault(part.zone, len(order))
    return order


def print_money(console: Console, verdicts: Verdicts) -> None:
    """The money strip: sum, firm, reserve, left, chance, finish."""
    from rich.text import Text

    money, shown = verdicts.money, units.money
    strip = Text()
    for label, value in (("the sum", money.sum), ("firm", money.firm), ("reserve", money.reserve), ("left", money.left)):
        strip.append(f"{label} ", style="dim").append(f"{shown(value, money.currency)}   ", style="bold yellow")
    strip.append("chance it ends inside ", style="dim").append(f"{money.chance:.0%}   ", style="bold")
    strip.append("finish of the cabin ", style="dim").append(f"{verdicts.finish_before} → {verdicts.finish_after}", style="bold")
    console.print(strip)
    strip = Text("hours, all told ", style="dim").append(units.hours(verdicts.minutes), style="bold")
    if verdicts.minutes_limit is not None:
        strip.append(f" of {units.hours(verdicts.minutes_limit)}", style="dim")
    console.print(strip)
    if verdicts.short is not None:
        console.print()
        if verdicts.short.money:
            console.print(Text(f"The sum is short by {shown(verdicts.short.money, money.currency, code=True)}.", style="bold red"))
        if verdicts.short.minutes:
            console.print(Text(f"The hours are short by {units.hours(verdicts.short.minutes)}.", style="bold red"))
        console.print(Text("What must be paid: " + "; ".join(verdicts.short.because) + ".", style="red"))
    console.print()


def print_notes(console: Console, plan: Plan) -> None:
    """Floors, sets and neighbours given up; hidden faults in the money; the proof; what the user should know."""
    from rich.text import Text

    verdicts, names = plan.verdicts, {part.part: part.name for part in plan.quantities.parts}
    console.print()
    for each in verdicts.given_up:
        told = " and ".join(names[part] for part in each.parts)
        words = {
            "floor": f"ends at {each.got}, below its floor of {each.wanted}",
            "set": f"end {each.got} apart or look unlike, a matching set wants {each.wanted}",
            "neighbour": f"touch and end {each.got} apart",
        }[each.what]
        console.print(Text(f"given up: {told} {words}", style="dim"))
    if verdicts.hidden:
        found = "; ".join(plan.quantities.hidden[each].name for each in verdicts.hidden)
        console.print(Text(f"hidden faults in the money: {found}", style="dim"))
    for note in plan.quantities.notes:
        console.print(Text(f"note: {note}", style="dim"))
    proof = verdicts.proof
    told = "Proven best" if proof.gap == 0 and verdicts.status != "feasible" else f"Best found, at most {proof.gap:.2%} of the gain below the best"
    console.print(
        Text(
            f"{told} at this reserve, in {verdicts.seconds:.1f} s; {proof.dropped} courses left out that others beat outright.",
            style="dim",
        )
    )


def print_buying(console: Console, plan: Plan) -> None:
    """The buying list by seller, what comes from the shelf and what is left over."""
    from rich.text import Text

    buying, currency = plan.buying, plan.buying.currency
    for order in buying.orders:
        console.print(Text(order.name or "seller not named", style="bold"))
        rows = [(pack.name, pack.pack, str(pack.count), units.money(pack.money, currency)) for pack in order.packs]
        rows += [(f"{each.what}, {each.source}", each.name, "1", units.money(each.money, currency)) for each in order.wholes]
        if order.carriage:
            rows.append(("carriage", "", "", units.money(order.carriage, currency)))
        console.print(plain_table(("  what", "sold as, or for", "count", currency), _indented(rows), frozenset({2, 3})))
        console.print(Text(f"  {order.days[0]} to {order.days[2]} days", style="dim"))
    if buying.once:
        console.print(Text("Once for the job", style="bold"))
        rows = [(each.name, each.what, "1", units.money(each.money, currency)) for each in buying.once]
        console.print(plain_table(("  what", "", "count", currency), _indented(rows), frozenset({2, 3})))
    console.print(Text("Left over", style="bold"))
    left = [
        (each.name, units.amount(each.left_milli, each.unit), f"of {units.amount(each.bought_milli, each.unit)} bought")
        for each in buying.materials
        if each.left_milli
    ]
    console.print(plain_table(("  what", "left", ""), _indented(left), frozenset({1})))


def _indented(rows: Iterable[tuple[str, ...]]) -> list[tuple[str, ...]]:
    return [("  " + first, *rest) for first, *rest in rows]


def plain_table(headings: Iterable[str], rows: Iterable[Iterable[str]], right: frozenset[int] = frozenset()) -> Table:
    """A quiet table of text; columns in `right` are figures."""
    from rich.table import Table
    from rich.text import Text

    table = Table(box=None, pad_edge=False, header_style="dim")
    for number, heading in enumerate(headings):
        table.add_column(heading, justify="right" if number in right else "left", overflow="fold")
    for row in rows:
        table.add_row(*(Text(cell) for cell in row))
    return table
