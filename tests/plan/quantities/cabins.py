"""Small cabins in a line or two: `quantities_of(part("mats", …), …)` measured against the real facts."""

from __future__ import annotations

from typing import Any

from trimwright.facts import load
from trimwright.job.document import Job
from trimwright.plan.quantities.cabin import Course, PartOptions, Quantities
from trimwright.plan.quantities.measure import measure

TRADE = load()
NOTHING_FITTED = dict.fromkeys(
    (
        "driver_airbag",
        "passenger_airbag",
        "side_airbag",
        "curtain_airbag",
        "knee_airbag",
        "seat_sensor",
        "pretensioner",
    ),
    "no",
)


def part(kind: str, material: str, finish: int | None, *faults: str, **more: Any) -> dict[str, Any]:
    """A part in plain data; faults as "L_torn medium"."""
    named = [dict(zip(("fault", "extent"), each.split(), strict=True)) for each in faults]
    return {
        "id": kind,
        "kind": kind,
        "name": kind,
        "material": material,
        "finish_now": finish,
        "faults": named,
        **more,
    }


def job_of(*parts: dict[str, Any], **more: Any) -> Job:
    """A two-door of 1975 with nothing fitted, an owner's own, unless `more` says otherwise."""
    car = {"text": "a car", "year": 1975, "body": "two-door", "equipment": NOTHING_FITTED, "commercial": False}
    raw = {
        "format": 2,
        "id": "test",
        "name": "test",
        **more,
        "car": car | more.get("car", {}),
        "money": {"currency": "USD", "sum": 500000} | more.get("money", {}),
        "parts": list(parts),
    }
    return Job.from_plain(raw)


def option(quantities: Quantities, part_id: str) -> PartOptions:
    """The options of one part."""
    return next(each for each in quantities.parts if each.part == part_id)


def course(quantities: Quantities, part_id: str, ending: str) -> Course:
    """The course of a part whose id is or ends with `ending`."""
    return next(each for each in option(quantities, part_id).courses if each.id.endswith(ending))


def quantities_of(*parts: dict[str, Any], **more: Any) -> Quantities:
    """What a small cabin could take."""
    return measure(job_of(*parts, **more), TRADE)
