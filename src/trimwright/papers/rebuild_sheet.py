"""The rebuild and torque sheet in words: the way back with its holds, and every bolt with whose figure it is.

A blank is a gate: what holds people is tightened to the car's own book and to nothing else.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import groupby
from typing import get_args

from trimwright import units
from trimwright.craft.torque import COARSE_MM, Thread, general_torque
from trimwright.facts.fixings import Grade, held_by
from trimwright.papers.strip_sheet import kind_name, pairs, side_of, time_told, undone
from trimwright.papers.wording import Words, by_side, head, listed, sentence, text
from trimwright.papers.work_sheets import span
from trimwright.plan.plan import Plan
from trimwright.plan.sequence.ledger import Bag, Torque, bags, torques
from trimwright.plan.sequence.moves import Cure, Move
from trimwright.plan.sequence.moves import Sequence as Arranged

GRADES: tuple[Grade, ...] = get_args(Grade)
PRINTED_MM = (5, 6, 8, 10, 12)
"""Sizes met in cabins, for the table of general figures."""


def in_words(plan: Plan, sequence: Arranged) -> Words:
    """All that the rebuild and torque sheet prints."""
    ledger = {each.step: each for each in bags(sequence, plan.job, plan.trade)}
    said: set[str] = set()
    return {
        **head(plan.job, "Rebuild and torque sheet"),
        "runs": [run(list(moves), ledger, plan, said) for _, moves in groupby(sequence.rebuild, key=run_of)],
        "torques": [torque_row(each) for each in torques(sequence, plan.job, plan.trade)],
        "grades": list(GRADES),
        "general": [general_row(diameter) for diameter in PRINTED_MM],
        "time": units.hours(sum(move.minutes for move in sequence.rebuild)),
    }


def run_of(move: Move) -> tuple[bool, str]:
    """Moves of one zone stand together; tests and the last moves by themselves."""
    return (move.doing == "back", move.zone)


def run(moves: Sequence[Move], ledger: dict[str, Bag], plan: Plan, said: set[str]) -> Words:
    """A zone going back, or the holds before the next."""
    if moves[0].doing != "back":
        return {"zone": "", "holds": [hold_row(move, plan) for move in moves], "rows": []}
    rows = [row(group, ledger, plan, said) for group in pairs(moves)]
    return {"zone": sentence(moves[0].zone), "holds": [], "rows": rows}


def hold_row(move: Move, plan: Plan) -> Words:
    """A hold, and all that has to be true for it."""
    new = f"{move.new_fixings} of them, counted or usually lost" if move.new_fixings else ""
    return {
        "name": text(move.name),
        "told": [text(each) for each in (new, *sorted(move.conditions)) if each],
        "cautions": [text(plan.trade.cautions[each].text) for each in move.cautions],
        "cures": cures(move.cures),
    }


def row(group: Sequence[Move], ledger: dict[str, Bag], plan: Plan, said: set[str]) -> Words:
    """One kind going back, at one place or several."""
    first = group[0]
    cautions = [each for move in group for each in move.cautions if each not in said]
    said |= set(cautions)
    new = sum(move.new_fixings for move in group)
    return {
        "name": sentence(kind_name(first)),
        "sides": [
            {"side": side_of(move.place) or "back", "bag": bag_told(ledger.get(move.step or ""))} for move in group
        ],
        "held": text(held_by(undone(first))),
        "plugs": text(listed(each.name for each in first.plugs)),
        "live": any(each.fires for each in first.plugs),
        "new": f"{new} new" if new else "",
        "trained": "trained person" in first.conditions,
        "cautions": [text(plan.trade.cautions[each].text) for each in dict.fromkeys(cautions)],
        "how": [sentence(each) for each in first.how],
        "marks": [sentence(each) for each in first.marks],
        "in_hand": [text(each) for move in group for each in move.in_hand],
        "cures": cures(cure for move in group for cure in move.cures),
        "time": time_told(group),
    }


def cures(found: Iterable[Cure]) -> list[Words]:
    """What has to have hardened or dried, those with the same wait together."""
    same: dict[tuple[str, tuple[float, float, float]], list[str]] = {}
    for each in found:
        same.setdefault((each.wait, each.hours), []).append(each.name)
    return [
        {
            "names": text(by_side((name, "") for name in names)),
            "told": text(f"{wait}, {span(hours[0], hours[2])}, mostly {hours[1]:g} h"),
        }
        for (wait, hours), names in same.items()
    ]


def bag_told(bag: Bag | None) -> str:
    """The bag, and what it lacks."""
    if bag is None:
        return ""
    lacking = [f"{bag.missing} missing" if bag.missing else "", f"{bag.broken} broken" if bag.broken else ""]
    state = bag.state if bag.state in ("back", "written off") else ""
    return text(", ".join(each for each in (bag.step, *lacking, state) if each))


# ---- torques ---------------------------------------------------------------------------------------------------------


def torque_row(each: Torque) -> Words:
    """One bolt: a figure with its source, or a blank."""
    ticked = each.tightened
    return {
        "part": sentence(each.name),
        "fixing": text(each.fixing.told),
        "holds": each.fixing.holds or "",
        "size": text(" ".join(part for part in (each.thread, each.grade) if part)),
        "figure": units.torque(each.newton_metres) if each.newton_metres is not None else "",
        "basis": text(each.basis),
        "source": text(each.source if each.basis == "the car's own book" else ""),
        "doubt": text(each.doubt),
        "ticked": f"{units.torque(ticked.newton_metres)}, {ticked.at:%Y-%m-%d %H:%M}" if ticked else "",
    }


def general_row(diameter: int) -> Words:
    """General figures of a coarse thread, by class."""
    thread = Thread(diameter, COARSE_MM[diameter])
    figures = [units.torque(round(general_torque(thread, grade).value, 1)) for grade in GRADES]
    return {"size": f"M{diameter}", "figures": figures}
