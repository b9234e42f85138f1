"""What `strip` and `rebuild` print on a terminal: a row a move in its order, then bags, torques and what is open."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from trimwright import units
from trimwright.cli.tables import plain_table, print_short
from trimwright.cli.way_out import problem
from trimwright.facts.fixings import held_by
from trimwright.papers.rebuild_sheet import cures
from trimwright.papers.strip_sheet import clips_told, meanwhile, wait_source
from trimwright.papers.wording import about, listed, sentence
from trimwright.plan.plan import Plan
from trimwright.plan.sequence.holds import Hold
from trimwright.plan.sequence.ledger import Torque, bags, torques
from trimwright.plan.sequence.moves import Move, Sequence

if TYPE_CHECKING:
    from rich.console import Console


def print_strip(console: Console, plan: Plan, sequence: Sequence) -> None:
    """The way in: cautions first, then every move."""
    from rich.text import Text

    said: set[str] = set()
    for each in (caution for move in sequence.strip for caution in move.cautions):
        if each not in said:
            console.print(Text(f"! {plan.trade.cautions[each].text}", style="yellow"))
            said.add(each)
    if sequence.safe_wait:
        console.print(Text(f"Wait {sequence.safe_wait.minutes} min. {wait_source(sequence)}"))
        if free := meanwhile(sequence):
            console.print(Text(f"Meanwhile may come off: {free}.", style="dim"))
    console.print()
    heads = ("", "Move", "Held by", "Unplug", "Bag", "Time")
    console.print(plain_table(heads, (_in_row(move) for move in sequence.strip), right=frozenset({5})))
    for move in sequence.strip:
        for line in _lines(move):
            console.print(Text(f"  {sentence(move.name)}: {line}", style="dim"))
    if not sequence.strip:
        console.print("Nothing comes off in this plan.")
    console.print()
    print_short(console, plan.verdicts)


def print_rebuild(console: Console, plan: Plan, sequence: Sequence, still_open: Iterable[Hold]) -> None:
    """The way back, every torque, every bag that is not back, and what keeps the job open."""
    from rich.text import Text

    heads = ("", "Move", "Must hold", "New", "Time")
    console.print(plain_table(heads, (_back_row(move) for move in sequence.rebuild), right=frozenset({4})))
    found = torques(sequence, plan.job, plan.trade)
    if found:
        console.print(Text("\nTorques: what holds people by the car's own book, and by nothing else", style="bold"))
        rows = ((each.name, each.fixing.told, each.fixing.holds or "", _figure(each), _ticked(each)) for each in found)
        console.print(plain_table(("Part", "Fixing", "Holds", "Torque", "Tightened"), rows))
        for each in found:
            if each.doubt:
                console.print(Text(f"  {each.name}: {each.doubt}", style="yellow"))
    waiting = [f"{each.name} ({each.state})" for each in bags(sequence, plan.job, plan.trade) if each.state == "open"]
    if waiting:
        console.print(Text(f"\nBags out: {listed(waiting)}."))
    _print_open(console, [str(problem(each)) for each in still_open])
    print_short(console, plan.verdicts)


def _print_open(console: Console, told: list[str]) -> None:
    from rich.text import Text

    if told:
        console.print(Text("\nThe job can't be closed yet", style="bold"))
        for each in told:
            console.print(Text(f"  {each}"))


# ---- rows ------------------------------------------------------------------------------------------------------------


def _in_row(move: Move) -> Iterable[str]:
    held = held_by(each for each in move.fixings if each.form != "plug")
    time = f"wait {move.wait_minutes} min" if move.wait_minutes else units.hours(move.minutes) if move.minutes else ""
    return (
        "✓" if move.done else "!" if "trained person" in move.conditions else "",
        sentence(move.name),
        ", ".join(each for each in (held, clips_told(move.clips)) if each),
        listed(f"{each.name}{' (restraint)' if each.fires else ''}" for each in move.plugs),
        move.bag or "",
        time,
    )


def _lines(move: Move) -> Iterator[str]:
    """What to mark, photograph and look for."""
    if move.marks:
        yield f"mark {'; '.join(move.marks)}"
    if move.photos:
        yield f"photograph {'; '.join(move.photos)}"
    if move.doing == "store":
        yield "; ".join(move.how)
    for each in move.may_find:
        must = ", must be dealt with" if each.must_deal else ""
        yield f"may be found: {each.name} (about {about(each.chance)}{must})"


def _back_row(move: Move) -> Iterable[str]:
    holds = [
        *sorted(move.conditions - {"battery stays off"}),
        *(f"cured: {each['names']} ({each['told']})" for each in cures(move.cures)),
        *(f"here: {each}" for each in move.in_hand),
        *(f"as marked: {each}" for each in move.marks),
    ]
    return (
        "!" if "trained person" in move.conditions else "",
        sentence(move.name),
        "; ".join(holds),
        str(move.new_fixings or ""),
        units.hours(move.minutes) if move.minutes else "",
    )


def _figure(each: Torque) -> str:
    if each.newton_metres is None:
        return "blank: enter the book's" if each.is_gate else "size and class not known"
    source = f", {each.source}" if each.basis == "the car's own book" and each.source else ""
    return f"{units.torque(each.newton_metres)}, {each.basis}{source}"


def _ticked(each: Torque) -> str:
    if each.tightened is None:
        return ""
    return f"{units.torque(each.tightened.newton_metres)}, {each.tightened.at:%Y-%m-%d %H:%M}"
