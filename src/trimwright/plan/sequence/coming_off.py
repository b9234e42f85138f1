"""What stands in the way of one step coming off, now, by the clock and the car alone: no plan and no reason lifts it.

Fuel that can be smelt stops everything. The battery comes off after the intake, as no lamp lights without it; whatever
carries current after the battery; whatever is restrained after the wait as well, which runs from the moment at which
the battery was noted off. Access is no hold: a car may come apart otherwise than the trade's usual one.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta

from trimwright.facts.access import part_id
from trimwright.facts.trade import PartKind, Trade
from trimwright.job.document import Job
from trimwright.job.events import Event, Opened
from trimwright.job.milestones import intake_of
from trimwright.plan.quantities.surveyed import own_kind
from trimwright.plan.sequence.arrange import safe_wait
from trimwright.plan.sequence.holds import Hold
from trimwright.plan.sequence.touching import BATTERY, is_electric, is_restrained


def holds(step: str, job: Job, trade: Trade, now: datetime) -> tuple[Hold, ...]:
    """Everything that keeps a step from coming off at `now`, an aware instant."""
    return tuple(_holds(step, job, trade, now))


def _holds(step: str, job: Job, trade: Trade, now: datetime) -> Iterator[Hold]:
    if smelt := fuel_smelt(job):
        yield smelt
    if step == BATTERY:
        if intake_of(job) is None:
            yield Hold("not taken in", "The intake", "is missing, and no lamp lights once the battery is off.")
        return
    kind, fitted = kind_of(step, job, trade), job.car.equipment
    if kind is not None and is_electric(kind, fitted):
        yield from (
            hold for hold in until_safe(job, trade, now) if hold.kind == "battery on" or is_restrained(kind, fitted)
        )


def fuel_smelt(job: Job) -> Hold | None:
    """What stops everything: fuel that could be smelt when the car was last taken in."""
    taken_in = intake_of(job)
    if taken_in is None or not taken_in.fuel_smell:
        return None
    return Hold("fuel", "Fuel", "can be smelt: air the car, find the leak, then take it in anew.", taken_in.id)


def until_safe(job: Job, trade: Trade, now: datetime) -> tuple[Hold, ...]:
    """What keeps restraint connectors from being touched at `now`: the battery that is on, or the wait."""
    until = safe_from(job, trade)
    if until is None:
        return (Hold("battery on", "The battery's negative", "is not noted as off.", BATTERY),)
    if now < until:
        return (Hold("wait", "Restraint connectors", "are not safe to touch yet.", until=until),)
    return ()


def safe_from(job: Job, trade: Trade) -> datetime | None:
    """When the wait is over; None while the battery is not noted off."""
    off = battery_off(job.events)
    return None if off is None else off.at.astimezone() + timedelta(minutes=safe_wait(job, trade).minutes)


def battery_off(events: tuple[Event, ...]) -> Opened | None:
    """The note that the battery's negative is off; None while it is on."""
    last = next((each for each in reversed(events) if isinstance(each, Opened) and each.step == BATTERY), None)
    return None if last is None or last.back_on else last


def kind_of(step: str, job: Job, trade: Trade) -> PartKind | None:
    """What a step takes off; None for one that neither the trade nor the survey knows."""
    for part in job.parts:
        if part.own is not None and step == part_id(f"own:{part.id}", part.place):
            return own_kind(part, part.own)
    return trade.parts.get(step.partition(".")[0])
