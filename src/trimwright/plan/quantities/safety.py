"""What is never offered, and why: restraint parts, airbag skins, sensor seats, head-impact boards, two-pack spraying.

Three facts a part carries, kept apart: it is a restraint part; something fires from behind it (item by item, and
unknown counts as fitted); taking it off waits for make-safe (a step's `hold`, not a refusal).
"""

from __future__ import annotations

from collections.abc import Iterable

from trimwright.facts.trade import EQUIPMENT_NAMES, Equipment, Treatment
from trimwright.job.document import Job
from trimwright.plan.quantities.surveyed import Surveyed

CAPABILITY_NAMES = {"air_fed_mask": "an air-fed mask", "booth": "a spray booth"}


def refusal(treatment: Treatment, part: Surveyed, job: Job) -> str | None:
    """Why `treatment` is never offered for `part` in this job; None when it may be."""
    equipment = job.car.equipment
    behind = [item for item in part.kind.airbag_behind if equipment.may_have(item)]
    bags = [item for item in behind if item != "seat_sensor"]
    if part.kind.is_restraint and (not treatment.on_restraint or treatment.buys in ("used", "reproduction")):
        return "A restraint part is replaced new by licensed practice, or wiped as its maker allows; nothing else."
    if bags and not treatment.over_airbag:
        return (
            f"Behind it lies {_named(bags, job)}: no sewing, filling, painting or gluing there, and no used part; "
            "only the maker's own part or one certified for it, and a wipe."
        )
    if "seat_sensor" in behind and not treatment.on_sensor_seat:
        return (
            f"In it lies {_named(['seat_sensor'], job)}: only the maker's cover or one certified for that seat, and "
            "cleaning that does not soak; opening it asks for a reset by a trained person."
        )
    if part.kind.head_impact and not treatment.on_head_impact:
        return "A head-impact board keeps its structure: it is not stiffened, cut or padded afresh."
    lacking = [each for each in treatment.needs_capability if each not in job.capabilities]
    if lacking:
        named = " and ".join(CAPABILITY_NAMES.get(each, each) for each in lacking)
        return f"It needs {named}, which the shop has not declared."
    if not treatment.lasts:
        return "It is a stop-gap; a finished plan does not carry it."
    return None


def stopping_faults(part: Surveyed) -> tuple[str, ...]:
    """Ids of the faults that stop all other work on the part until they are dealt with."""
    return tuple(found.id for found in part.faults if found.fault.stops)


def may_be_left(part: Surveyed, job: Job) -> bool:
    """Whether "leave" is offered: not for must-deal faults of restraint parts, nor for must-dos of the owner."""
    return part.id not in job.wishes.must_do and not must_deal_faults(part)


def must_deal_faults(part: Surveyed) -> tuple[str, ...]:
    """Faults of a restraint part that have no "leave"."""
    return tuple(found.id for found in part.faults if part.kind.is_restraint and found.must_be_dealt_with)


def _named(items: Iterable[Equipment], job: Job) -> str:
    return " and ".join(
        f"a {EQUIPMENT_NAMES[item]}"
        + (" (not known, so counted as fitted)" if getattr(job.car.equipment, item) == "unknown" else "")
        for item in items
    )
