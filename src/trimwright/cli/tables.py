"""What the commands print on a terminal: the verdicts by zone, the finish as ten stitches, the money, the packs."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from typing import TYPE_CHECKING

from trimwright import units
from trimwright.plan.buying import Buying, is_own
from trimwright.plan.plan import Plan
from trimwright.plan.verdicts.verdict import Bought, Verdict, Verdicts

if TYPE_CHECKING:
    from rich.console import Console, RenderableType
    from rich.table import Table

STITCHES = 10
FEW = 4
"""So many entries of a long list are told, the rest counted."""
INDENT = (0, 0, 0, 2)
STEP = len("10 → 10")
WIDE = 100
"""A terminal of so many columns has room for wide gaps."""


def stitches(now: int, after: int) -> str:
    """The finish gauge in text: solid now, gained after the plan, still missing.

    >>> stitches(3, 8)
    '///:::::..'
    """
    return "/" * now + ":" * max(0, after - now) + "." * (STITCHES - max(now, after))


# ---- the verdicts ----------------------------------------------------------------------------------------------


def print_verdicts(console: Console, plan: Plan) -> None:
    """The whole answer: the verdicts by zone, what goes with them, and last, where the eye is, the money."""
    print_zones(console, plan)
    console.print()
    console.print(_labelled(_notes(plan)))
    console.print()
    print_money(console, plan.verdicts)
    print_short(console, plan.verdicts)


def print_zones(console: Console, plan: Plan) -> None:
    """By zone, in the order of the survey: a row for each part worked on, then those left, with their finish."""
    from rich.padding import Padding
    from rich.text import Text

    by_zone: dict[str, list[Verdict]] = {part.zone: [] for part in plan.quantities.parts}
    for verdict in plan.verdicts.verdicts:
        by_zone[verdict.zone].append(verdict)
    worked = [each for each in plan.verdicts.verdicts if not _is_left(each)]
    columns = _Columns(console.width, worked, plan.verdicts.money.currency)
    if worked:
        console.print(Padding(columns.heading(), INDENT, expand=False))
    for zone, verdicts in by_zone.items():
        console.print(Text(zone[:1].upper() + zone[1:], style="bold"))
        table = columns.empty()
        for verdict in verdicts:
            if not _is_left(verdict):
                table.add_row(*columns.cells(verdict))
        if table.row_count:
            console.print(Padding(table, INDENT, expand=False))
        left = "; ".join(f"{_name(each)} ({each.finish_before})" for each in verdicts if _is_left(each))
        if left:
            console.print(Padding(Text(f"left as it is: {left}", style="dim"), INDENT, expand=False))


class _Columns:
    """Widths that all zones share, so that their columns stand under each other."""

    def __init__(self, width: int, worked: Sequence[Verdict], currency: str) -> None:
        self.currency = currency
        self._gap = 2 if width >= WIDE else 1
        self._money = max([len(currency), *(len(units.money(each.money, currency)) for each in worked)])
        self._time = max([len("Time"), *(len(units.hours(each.minutes)) for each in worked)])
        words = max(24, width - INDENT[3] - STITCHES - STEP - self._money - self._time - 6 * self._gap)
        name, told = (max((len(text(each)) for each in worked), default=0) for text in (_name, _told))
        self._told = min(told, max(words - name, words * 3 // 7))
        self._name = min(name, words - self._told)

    def empty(self) -> Table:
        from rich.table import Table

        table = Table.grid(padding=(0, self._gap, 0, 0), pad_edge=False)
        for width in (self._name, self._told, STITCHES, STEP):
            table.add_column(width=width, overflow="fold")
        for width in (self._money, self._time):
            table.add_column(width=width, justify="right", no_wrap=True)
        return table

    def heading(self) -> Table:
        table = self.empty()
        table.add_row("Part", "Verdict", "Finish", "", self.currency, "Time", style="dim")
        return table

    def cells(self, verdict: Verdict) -> Iterator[RenderableType]:
        from rich.text import Text

        yield Text(_name(verdict))
        yield Text(_told(verdict))
        yield Text(stitches(verdict.finish_before, verdict.finish_after), style="red")
        yield Text(f"{verdict.finish_before:>2} → {verdict.finish_after}")
        yield Text(units.money(verdict.money, self.currency) if verdict.money else "")
        yield Text(units.hours(verdict.minutes) if verdict.minutes else "")


def _is_left(verdict: Verdict) -> bool:
    return not verdict.settled_by and (verdict.course is None or verdict.course.kind == "leave")


def _name(verdict: Verdict) -> str:
    if verdict.course is not None and verdict.course.done:
        return f"{verdict.name}, done"
    return f"{verdict.name}, pinned" if verdict.pinned else verdict.name


def _told(verdict: Verdict) -> str:
    return "with its whole" if verdict.settled_by or verdict.course is None else verdict.course.name


# ---- money -----------------------------------------------------------------------------------------------------


def print_money(console: Console, verdicts: Verdicts) -> None:
    """The money strip: sum, firm, reserve, left, the chance; the finish and the hours."""
    from rich.text import Text

    money, minutes = verdicts.money, units.hours(verdicts.minutes)
    sums = (("the sum", money.sum), ("firm", money.firm), ("reserve", money.reserve), ("left", money.left))
    strip = [(label, units.money(value, money.currency)) for label, value in sums]
    strip[0] = ("the sum", units.money(money.sum, money.currency, code=True))
    limit = f" of {units.hours(verdicts.minutes_limit)}" if verdicts.minutes_limit is not None else ""
    lines = (
        strip,
        [
            ("chance it ends inside", f"{money.chance:.0%}"),
            ("cabin's finish", f"{verdicts.finish_before} → {verdicts.finish_after}"),
            ("hours", minutes + limit),
        ],
    )
    for line in lines:
        shown = Text()
        for label, value in line:
            shown.append(f"{label} ", style="dim").append(value, style="bold").append("   ")
        shown.rstrip()
        console.print(shown)


def print_short(console: Console, verdicts: Verdicts) -> None:
    """What is short and by how much; nothing when the sum and the hours are enough."""
    from rich.text import Text

    short = verdicts.short
    if short is None:
        return
    console.print()
    if short.money:
        missing = units.money(short.money, verdicts.money.currency, code=True)
        console.print(Text(f"The sum is short by {missing}.", style="bold red"))
    if short.minutes:
        console.print(Text(f"The hours are short by {units.hours(short.minutes)}.", style="bold red"))
    console.print(_labelled([("what must be paid", each) for each in short.because]))


# ---- what goes with the verdicts -------------------------------------------------------------------------------


def _notes(plan: Plan) -> Iterator[tuple[str, str]]:
    """What is spent and promised, wishes given up, hidden faults in the money, what should be known, the proof; each
    with its label."""
    verdicts, spent = plan.verdicts, plan.quantities.spent
    if spent.total or spent.minutes:
        yield "spent so far", f"{units.money(spent.total, verdicts.money.currency)}, {units.hours(spent.minutes)}"
    if promised := sum(each.course is not None and each.course.promised for each in verdicts.verdicts):
        yield "promised", f"{promised} verdicts, kept as they are"
    yield from (("given up", each) for each in _given_up(plan))
    hidden = Counter(plan.quantities.hidden[each].name for each in verdicts.hidden)
    if hidden:
        told = "; ".join(name + (f" ({count} places)" if count > 1 else "") for name, count in hidden.items())
        yield "hidden faults in the money", told
    yield from (("note", _in_short(each)) for each in plan.quantities.notes)
    proof = verdicts.proof
    if proof.gap == 0 and verdicts.status != "feasible":
        best = "proven best in the model, at this reserve"
    else:
        best = f"not all proven: at most {proof.gap:.2%} of the gain is missing, at this reserve"
    courses = f"{proof.dropped} course{'s' * (proof.dropped != 1)} beaten outright left out"
    yield "proof", f"{best} ({verdicts.seconds:.1f} s; {courses})"


def _given_up(plan: Plan) -> Iterator[str]:
    """Floors, matching sets and neighbours that had to be given up, a line a kind of wish."""
    names = {part.part: part.name for part in plan.quantities.parts}
    kinds: dict[str, list[str]] = {}
    for each in plan.verdicts.given_up:
        heading, how = {
            "floor": ("end below their floor", f"{each.got} of {each.wanted}"),
            "set": ("matching sets that end apart", f"{each.got} apart"),
            "look": ("matching sets that end with unlike looks", f"{each.got} looks"),
            "neighbour": ("neighbours far apart", f"{each.got} apart"),
        }[each.what]
        told = " and ".join(names[part] for part in each.parts)
        kinds.setdefault(heading, []).append(f"{told} ({how})")
    for heading, lines in kinds.items():
        yield _in_short(f"{heading}: {'; '.join(lines)}.")


def _in_short(note: str) -> str:
    """A note whose list is long, with the rest of it counted.

    >>> _in_short("Not seen: A; B; C; D; E; F."), _in_short("Not seen: A; B; C; D; E.")
    ('Not seen: A; B; C; D; and 2 more.', 'Not seen: A; B; C; D; E.')
    """
    first, *others = note.split("; ")
    more = len(others) + 1 - FEW
    return "; ".join([first, *others[: FEW - 1], f"and {more} more."]) if more > 1 else note


def _labelled(lines: Iterable[tuple[str, str]]) -> Table:
    """Quiet lines with their label in front, told once where several share it."""
    from rich.table import Table
    from rich.text import Text

    table = Table.grid(padding=(0, 2, 0, 0), pad_edge=False)
    table.add_column(max_width=17)
    table.add_column(overflow="fold", ratio=1)
    before = ""
    for label, text in lines:
        table.add_row(Text("" if label == before else label, style="dim"), Text(text, style="dim"))
        before = label
    return table


# ---- buying ----------------------------------------------------------------------------------------------------


def print_buying(console: Console, plan: Plan) -> None:
    """The buying list by seller, what is left over, and what it all comes to."""
    from rich.padding import Padding
    from rich.text import Text

    buying, currency, system = plan.buying, plan.buying.currency, plan.job.car.units
    table = plain_table(("  What", "Sold as, or for", "Count", currency), right=frozenset({2, 3}))

    def section(heading: str, rows: Iterable[tuple[str, str, str, int]]) -> None:
        table.add_row(Text(heading, style="bold"))
        for what, sold_as, count, money in rows:
            table.add_row(Padding(Text(what), INDENT), Text(sold_as), count, units.money(money, currency))

    for order in buying.orders:
        packs = [(each.name, _sold_as(each, buying), str(each.count), each.money) for each in order.packs]
        wholes = [(f"{each.what}, {each.source}", each.name, "1", each.money) for each in order.wholes]
        carriage = [("carriage", "", "", order.carriage)] if order.carriage else []
        days = f"{order.days[0]} to {order.days[2]} days"
        section(f"{order.name or 'seller not named'} ({days})", [*packs, *wholes, *carriage])
    once = [(each.name, _ONCE[each.what], "1", each.money) for each in buying.once]
    lines = [("sundries", "", "", buying.sundries), ("lines of the whole job", "", "", buying.whole_job)]
    for_the_job = [*once, *(line for line in lines if line[3])]
    if for_the_job:
        section("once for the job", for_the_job)
    if table.row_count:
        table.add_row(Text("in all", style="bold"), "", "", Text(units.money(buying.total, currency), style="bold"))
        console.print(table)
    else:
        console.print(Text("Nothing to buy."))
    left = [
        (f"  {each.name}", *(units.amount(milli, each.unit, system) for milli in (each.left_milli, each.bought_milli)))
        for each in buying.materials
        if each.left_milli
    ]
    if left:
        console.print()
        console.print(plain_table(("  Left over", "Left", "of bought"), left, frozenset({1, 2})))
    print_short(console, plan.verdicts)


def _sold_as(bought: Bought, buying: Buying) -> str:
    """The pack in words, and under it where a price of the shop's own is from."""
    known = buying.evidence[bought.pack_id]
    return f"{bought.pack}\n{known}" if is_own(known) else bought.pack


_ONCE = {"tool": "tool, this job's share", "visit": "a trained person's visit"}


def plain_table(
    headings: Iterable[str], rows: Iterable[Iterable[str]] = (), right: frozenset[int] = frozenset()
) -> Table:
    """A quiet table of text; columns in `right` are figures."""
    from rich.table import Table
    from rich.text import Text

    table = Table(box=None, pad_edge=False, header_style="dim", padding=(0, 2, 0, 0))
    for number, heading in enumerate(headings):
        figures = number in right
        table.add_column(heading, justify="right" if figures else "left", overflow="fold", no_wrap=figures)
    for row in rows:
        table.add_row(*(Text(cell) for cell in row))
    return table
