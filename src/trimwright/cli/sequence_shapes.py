"""The one JSON object that `strip` and `rebuild` print with --json: minutes whole, cures in hours, torques in N·m."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import Any

from trimwright.cli.asked import as_row
from trimwright.cli.way_out import problem
from trimwright.facts.fixings import Fixing
from trimwright.papers.strip_sheet import meanwhile
from trimwright.plan.plan import Plan
from trimwright.plan.sequence.holds import Hold
from trimwright.plan.sequence.ledger import Bag, Torque, bags, torques
from trimwright.plan.sequence.moves import Move, SafeWait, Sequence


def strip(plan: Plan, sequence: Sequence, written: Iterable[Path]) -> dict[str, Any]:
    """What `strip --json` prints."""
    return {
        "safe_wait": safe_wait(sequence.safe_wait),
        "meanwhile": meanwhile(sequence),
        "moves": [move(each) for each in sequence.strip],
        "bags": [bag(each) for each in bags(sequence, plan.job, plan.trade)],
        "minutes": sum(each.minutes for each in sequence.strip if not each.done),
        "papers": [str(each) for each in written],
    }


def rebuild(plan: Plan, sequence: Sequence, still_open: Iterable[Hold], written: Iterable[Path]) -> dict[str, Any]:
    """What `rebuild --json` prints; `open` is what keeps the job from being closed."""
    return {
        "moves": [move(each) for each in sequence.rebuild],
        "bags": [bag(each) for each in bags(sequence, plan.job, plan.trade)],
        "torques": [torque(each) for each in torques(sequence, plan.job, plan.trade)],
        "open": [as_row(problem(each)) for each in still_open],
        "minutes": sum(each.minutes for each in sequence.rebuild),
        "papers": [str(each) for each in written],
    }


def safe_wait(wait: SafeWait | None) -> dict[str, Any] | None:
    """How long to wait, and who says so."""
    return None if wait is None else {"minutes": wait.minutes, "own_book": wait.own, "source": wait.source}


def move(each: Move) -> dict[str, Any]:
    """One move, with all that is known of it."""
    return {
        "id": each.id,
        "doing": each.doing,
        "name": each.name,
        "zone": each.zone,
        "step": each.step,
        "minutes": each.minutes,
        "wait_minutes": each.wait_minutes,
        "after": list(each.after),
        "conditions": sorted(each.conditions),
        "fixings": [fixing(held) for held in each.fixings],
        "clips": each.clips,
        "new_fixings": each.new_fixings,
        "bag": each.bag,
        "marks": list(each.marks),
        "photos": list(each.photos),
        "how": list(each.how),
        "cautions": list(each.cautions),
        "may_find": [
            {"find": found.id, "name": found.name, "chance": found.chance, "must_deal": found.must_deal}
            for found in each.may_find
        ],
        "cures": [{"part": cure.part, "wait": cure.wait, "hours": list(cure.hours)} for cure in each.cures],
        "in_hand": list(each.in_hand),
        "done": each.done,
    }


def fixing(each: Fixing) -> dict[str, Any]:
    """One kind of fixing; null where nobody can say how many."""
    return {
        "name": each.name,
        "form": each.form,
        "least": each.least,
        "most": each.most,
        "drive": each.drive,
        "used_once": each.used_once,
        "holds": each.holds,
        "fires": each.fires,
    }


def bag(each: Bag) -> dict[str, Any]:
    """One bag as it stands."""
    return {
        "bag": each.step,
        "name": each.name,
        "contents": [held.name for held in each.contents],
        "clips": each.clips,
        "state": each.state,
        "missing": each.missing,
        "broken": each.broken,
        "why": each.why,
    }


def torque(each: Torque) -> dict[str, Any]:
    """One bolt; `newton_metres` is null for a blank, and a blank that holds people is a gate."""
    return {
        "step": each.step,
        "fixing": each.fixing.name,
        "holds": each.fixing.holds,
        "thread": each.thread,
        "grade": each.grade,
        "newton_metres": each.newton_metres,
        "basis": each.basis,
        "source": each.source,
        "gate": each.is_gate,
        "doubt": each.doubt,
        "tightened": None
        if each.tightened is None
        else {"newton_metres": each.tightened.newton_metres, "at": each.tightened.at.isoformat()},
    }
