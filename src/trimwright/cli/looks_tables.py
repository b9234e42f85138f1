"""What `looks` and `reserve` print on a terminal: looks, openings and offers with their figures; release and drops."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from trimwright import units
from trimwright.cli.tables import plain_table, print_short
from trimwright.papers import differences
from trimwright.papers.wording import chance_words, listed, sentence
from trimwright.plan.plan import Plan
from trimwright.plan.quantities.whole_job import MAKE_SAFE
from trimwright.plan.verdicts.looks import LookWorth
from trimwright.plan.verdicts.opening import Opening, WhileApart
from trimwright.plan.verdicts.release import Drop, Release

if TYPE_CHECKING:
    from rich.console import Console


# ---- looks -----------------------------------------------------------------------------------------------------


def print_looks(console: Console, plan: Plan, found: Sequence[LookWorth]) -> None:
    """A row a look; below, how each is taken, its cautions before."""
    from rich.text import Text

    console.print(Text("Worth a look before you quote", style="bold"))
    if not found:
        console.print(Text("  No look of the trade's would settle anything here.\n", style="dim"))
        return
    currency = plan.verdicts.money.currency
    rows = [
        (
            f"  {each.look.name}",
            units.hours(each.look.minutes)
            + (f" + {units.hours(each.look.wait_minutes)}" if each.look.wait_minutes else ""),
            units.money(round(each.reserve), currency),
            f"{each.points:+.0f}",
            units.money(each.on_suspicion, currency) if each.on_suspicion else "",
            _answers(each, plan.verdicts.points),
        )
        for each in found
    ]
    heads = ("  Look", "Time + wait", "Off the reserve", "Points", "On suspicion", "If it shows")
    console.print(plain_table(heads, rows, right=frozenset({2, 3, 4})))
    console.print(
        Text("Off the reserve, and points gained: on average, before anybody knows what it shows.", style="dim")
    )
    for each in found:
        console.print(Text(f"\n  {sentence(each.look.name)}; settles {listed(_names(plan, each.look.settles))}."))
        for caution in _cautions(plan, each):
            console.print(Text(f"  {caution}", style="dim"))
        console.print(Text(f"  {plan.trade.glances[each.look.glance].how}"))
    console.print()


def _answers(look: LookWorth, points: int) -> str:
    """The best and the worst it may show: how likely, and the points gained or lost then."""
    best, worst = (pick(look.answers, key=lambda each: len(each.there)) for pick in (min, max))
    told = []
    for words, each in (("nothing there", best), ("all there", worst)):
        gained = "no plan fits" if each.points is None else f"{each.points - points:+}"
        told.append(f"{words} ({chance_words(each.chance)}): {gained}")
    return "; ".join(told)


def _cautions(plan: Plan, worth: LookWorth) -> Iterable[str]:
    """Making safe where the car must be, then the look's own."""
    first = (MAKE_SAFE,) if worth.look.wait_minutes else ()
    return (plan.trade.cautions[each].text for each in (*first, *plan.trade.glances[worth.look.glance].cautions))


def print_openings(console: Console, plan: Plan, found: Sequence[Opening]) -> None:
    """What to open first, and what of the reserve is settled then."""
    from rich.text import Text

    console.print(Text("Open first", style="bold"))
    if not found:
        console.print(Text("  Nothing that comes off shows a suspected fault by itself.\n", style="dim"))
        return
    currency = plan.verdicts.money.currency
    rows = [
        (
            f"  {number}",
            _way(plan, each.steps),
            units.hours(each.minutes),
            units.money(each.settles, currency),
            listed(_names(plan, each.shows)),
        )
        for number, each in enumerate(found, 1)
    ]
    console.print(plain_table(("", "Take off", "Time", f"Settles, {currency}", "Shows"), rows, right=frozenset({2, 3})))
    console.print()


def _way(plan: Plan, steps: Sequence[str]) -> str:
    """The last step, and how many come off before it."""
    name = plan.quantities.steps[steps[-1]].name
    return name if len(steps) == 1 else f"{name}, and {len(steps) - 1} before it"


def print_apart(console: Console, plan: Plan, found: Sequence[WhileApart]) -> None:
    """Offers while it is apart: now, and later on its own."""
    from rich.text import Text

    console.print(Text("While it is apart", style="bold"))
    if not found:
        console.print(Text("  Nothing more is in reach of what comes off.", style="dim"))
        return
    currency = plan.verdicts.money.currency
    rows = [
        (
            f"  {each.name}: {each.course.name}",
            f"{each.before} → {each.after}",
            units.money(each.now.sum, currency),
            units.hours(each.now.minutes),
            units.money(each.later.sum, currency),
            units.hours(each.later.minutes),
        )
        for each in found
    ]
    heads = ("  Part", "Finish", f"Now, {currency}", "Time", f"Later, {currency}", "Time")
    console.print(plain_table(heads, rows, right=frozenset({2, 3, 4, 5})))
    console.print(Text("More sum and more hours than the plan has, its share of the reserve inside.", style="dim"))
    print_short(console, plan.verdicts)


# ---- the reserve -----------------------------------------------------------------------------------------------


def print_release(console: Console, plan: Plan, release: Release) -> None:
    """When the reserve may be let go, and what it is held for until then."""
    from rich.text import Text

    money = plan.verdicts.money
    console.print(Text(f"The reserve of {units.money(money.reserve, money.currency, code=True)}", style="bold"))
    rows = [
        (f"  {when}", units.money(part, money.currency), what)
        for when, part, what in (
            ("after strip-down", release.after_strip_down, "hidden faults"),
            (
                "after colour and sewing",
                release.after_colour_and_sewing,
                "doing again what is mended, coloured and covered",
            ),
            ("after the rebuild", release.after_rebuild, "hours, prices and the rest"),
        )
    ]
    console.print(plain_table(("  Let go", money.currency, "Held for"), rows, right=frozenset({1})))
    console.print(Text("As far as nothing has eaten it.\n", style="dim"))


def print_drops(console: Console, plan: Plan, drops: Sequence[Drop]) -> None:
    """What is given up in which order, and what each drop frees."""
    from rich.text import Text

    console.print(Text("Given up in this order, should finds eat more", style="bold"))
    if not drops:
        console.print(Text("  Nothing that could still be given up frees enough.", style="dim"))
        return
    currency = plan.verdicts.money.currency
    freed = 0
    rows = []
    for number, each in enumerate(drops, 1):
        freed += each.frees
        rows.append(
            (
                f"  {number}",
                units.money(each.frees, currency),
                units.money(freed, currency),
                str(each.finish),
                "; ".join(differences.told(each.changes, plan.quantities))
                + (f" (promised: {listed(_part_names(plan, each.promised))})" if each.promised else ""),
            )
        )
    heads = ("", f"Frees, {currency}", "In all", "Finish", "What is given up")
    console.print(plain_table(heads, rows, right=frozenset({1, 2, 3})))
    print_short(console, plan.verdicts)


def _names(plan: Plan, hidden: Iterable[str]) -> list[str]:
    return list(dict.fromkeys(plan.quantities.hidden[each].name for each in hidden))


def _part_names(plan: Plan, parts: Iterable[str]) -> list[str]:
    return [plan.job.part(each).name for each in parts]
