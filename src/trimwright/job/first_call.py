"""A first call: a job as it may be, guessed from a car, a sum and a few answers before anybody has seen the cabin.

Every finish and fault in it is the trade's guess of usual wear (`usual_wear`); nothing of it may pass for a survey.
`harder` makes the same cabin better or worse than was guessed, so that a rough answer can tell how far it may be off.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Literal, get_args

from trimwright.facts.trade import EXTENTS, Extent, PartKind, Trade
from trimwright.job.document import Job, Part, PartFault, Wishes
from trimwright.job.starting import started

Wear = Literal["kept", "used", "worn", "neglected"]
WEARS: tuple[Wear, ...] = get_args(Wear)
Trouble = Literal["belts", "lamp", "damp"]
HARD_WORN = 3
"""A part whose life wear divides by so much or more is taken to be a level worse than the cabin."""
HURTS = 2.0
"""What the zones that hurt most weigh."""
IN_SIGHT = 2
"""Of those zones, parts at least so much in sight that look tired may not be left as they are."""


@dataclass(frozen=True, slots=True)
class Answers:
    """What the caller says."""

    wear: Wear
    hurts: tuple[str, ...] = ()
    """Zones that hurt most."""
    untouched: tuple[str, ...] = ()
    """Zones that must not be touched."""
    trouble: frozenset[Trouble] = frozenset()
    """Frayed or slow belts, a restraint lamp that stays on, damp on the floor."""
    hours: float | None = None


def rough_job(trade: Trade, *, car: Mapping[str, Any], money: Mapping[str, Any], told: Answers) -> Job:
    """The job with every part as it may be; BadInput when car or money are wrong."""
    job = called_about(trade, car=car, money=money, told=told)
    parts = tuple(guessed(part, trade, told) for part in job.parts)
    tired = {
        part.id
        for part in parts
        if (kind := trade.parts[part.kind]).zone in told.hurts
        and kind.sight >= IN_SIGHT
        and any(fault.extent != "light" for fault in part.faults)
    }
    wishes = job.wishes.model_copy(update={"must_do": tuple(sorted(tired - set(job.wishes.leave_alone)))})
    return job.model_copy(update={"parts": parts, "wishes": wishes})


def called_about(trade: Trade, *, car: Mapping[str, Any], money: Mapping[str, Any], told: Answers) -> Job:
    """The job to survey once the call is taken: nothing seen yet, the caller's wishes in it."""
    job = started(trade, car=car, money=money)
    alone = {part.id for part in job.parts if trade.parts[part.kind].zone in told.untouched}
    wishes = Wishes(
        zones={zone: HURTS for zone in told.hurts if zone not in told.untouched}, leave_alone=tuple(sorted(alone))
    )
    return job.model_copy(update={"wishes": wishes, "time": job.time.model_copy(update={"hours": told.hours})})


def taken(job: Job, trade: Trade) -> Job:
    """The job of a call that was taken: the car, the money, the hours and the wishes stay, every guess goes."""
    fresh = started(trade, car=job.car.model_dump(), money=job.money.model_dump(), job_id=job.id, name=job.name)
    wishes = job.wishes.model_copy(update={"must_do": ()})
    return job.model_copy(update={"parts": fresh.parts, "wishes": wishes})


def guessed(part: Part, trade: Trade, told: Answers) -> Part:
    """One part as wear usually leaves it."""
    kind = trade.parts[part.kind]
    wear = worn_harder(told.wear) if kind.wear_at(part.place) >= HARD_WORN else told.wear
    faults = tuple(PartFault(fault=fault, extent=extent) for fault, extent in usual(kind, part, wear, trade, told))
    return _as_worn(part, faults, round(trade.practice[f"wear_finish_{wear}"].value), trade)


def usual(kind: PartKind, part: Part, wear: Wear, trade: Trade, told: Answers) -> Iterator[tuple[str, Extent]]:
    """The faults that such wear brings, and those the caller told of."""
    if wear != "kept":
        for each in trade.usual_wear.values():
            extent: Extent | None = getattr(each, wear)
            if each.family == part.material and extent:
                yield each.fault, extent
    if "belts" in told.trouble and kind.zone == "belts" and part.material == "webbing":
        yield "B_frayed", "medium"
    if "lamp" in told.trouble and part.material == "restraint":
        yield "S_lamp", "medium"
    if "damp" in told.trouble and part.kind in ("carpet_main", "underlay"):
        yield "K_wet", "medium"


def worn_harder(wear: Wear) -> Wear:
    """The next level."""
    return WEARS[min(WEARS.index(wear) + 1, len(WEARS) - 1)]


def harder(job: Job, trade: Trade, steps: Literal[-1, 1]) -> Job:
    """The same cabin a step worse (1) or better (-1) than was guessed: each fault's extent, and the finish with it."""
    parts = []
    for part in job.parts:
        faults = tuple(moved for fault in part.faults if (moved := _moved(fault, trade, steps)) is not None)
        parts.append(_as_worn(part, faults, min(10, max(0, (part.finish_now or 0) - steps)), trade))
    return job.model_copy(update={"parts": tuple(parts)})


def _moved(fault: PartFault, trade: Trade, steps: int) -> PartFault | None:
    """A fault a step worse or better; what must be dealt with was told of and stays as it was told."""
    if trade.faults[fault.fault].must_deal:
        return fault
    at = EXTENTS.index(fault.extent) + steps
    return None if at < 0 else fault.model_copy(update={"extent": EXTENTS[min(at, len(EXTENTS) - 1)]})


def _as_worn(part: Part, faults: tuple[PartFault, ...], finish: int, trade: Trade) -> Part:
    """The part with these faults, at the finish they allow at best."""
    caps = (trade.faults[each.fault].caps[EXTENTS.index(each.extent)] for each in faults)
    return part.model_copy(update={"faults": faults, "finish_now": min([finish, *caps])})
