"""Every move of the sequence as a task: the way in, the way back, the tests, with the battery's wait as a lag.

What comes before a move is the sequence's own; nothing here may loosen it.
"""

from __future__ import annotations

from collections.abc import Iterator

from trimwright.plan.calendar.drafts import Drafts
from trimwright.plan.calendar.shop import Shop
from trimwright.plan.calendar.tasks import After, Kind, Minutes, Task
from trimwright.plan.sequence.moves import BATTERY_OFF, STRIP, WAIT, Move

BATTERY_WAIT = "battery's wait"
BY_TWO = frozenset({"lifting", "glass"})
"""Cautions of what two people lift."""


def moves_as_tasks(shop: Shop, drafts: Drafts) -> None:
    """A task for each move but the wait itself."""
    part_of_step = {step: part for part, steps in shop.cabin.own.items() for step in steps}
    for move in shop.sequence.moves:
        if move.id != WAIT:
            drafts.add(
                Task(
                    id=move.id,
                    kind=kind_of(move),
                    name=name_of(move),
                    part=part_of_step.get(move.step or ""),
                    place="car",
                    people=people_for(move, shop),
                    minutes=minutes_of(move, shop),
                    after=tuple(before(move, shop)),
                    how="; ".join(move.how),
                    cautions=move.cautions,
                )
            )


def kind_of(move: Move) -> Kind:
    """Which kind of task a move is."""
    if move.doing in STRIP:
        return "strip-down"
    return "rebuild" if move.doing in ("back", "battery on") else "check"


def name_of(move: Move) -> str:
    """What is done, in words."""
    verb = {"off": "Take off", "back": "Put back"}.get(move.doing)
    return f"{verb}: {move.name}" if verb else move.name


def people_for(move: Move, shop: Shop) -> int:
    """Two for what two people lift, where the shop has them; one alone fetches somebody, as the caution says."""
    return min(2 if BY_TWO & {*move.cautions} else 1, shop.job.time.hands)


def before(move: Move, shop: Shop) -> Iterator[After]:
    """What the sequence has before it; after the wait means that long after the battery is off."""
    for each in move.after:
        if each == WAIT:
            yield after_the_battery(shop)
        elif each != BATTERY_OFF or WAIT not in move.after:
            yield After(each)


def after_the_battery(shop: Shop) -> After:
    """So long after the battery is off that restraint connectors may be touched; no air shortens it."""
    wait = shop.sequence.safe_wait
    minutes = wait.minutes if wait is not None else 0
    return After(BATTERY_OFF, (minutes, minutes, minutes), why=BATTERY_WAIT)


def minutes_of(move: Move, shop: Shop) -> Minutes:
    """Planned minutes with the quickest and the slowest of the trade's table."""
    planned = shop.planned(move.minutes)
    access = shop.cabin.steps.get(move.step or "")
    if access is None or not move.minutes:
        return shop.spread(planned, 1.0, 1.0)
    low, high = access.kind.back_min if move.doing == "back" else access.kind.off_min
    return shop.spread(planned, low / move.minutes, high / move.minutes)
