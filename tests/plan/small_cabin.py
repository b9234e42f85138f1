"""A small cabin of our own, quick to decide: eight parts, an offer, a belt that must be new, pins that fix the work."""

from __future__ import annotations

from functools import cache
from typing import Any

from trimwright.facts import load
from trimwright.job.document import Job
from trimwright.plan.plan import Plan, make_plan

CUSHION = "cushion"
KNOB = "knob"
BELT = "belt"
VISOR = "visor"


def small_job(**changes: Any) -> Job:
    """The job in plain data, with top-level fields changed."""
    raw: dict[str, Any] = {
        "id": "small",
        "name": "The quarry two-door",
        "car": {
            "text": "two-door left in a yard",
            "year": 1994,
            "body": "two-door",
            "equipment": {"driver_airbag": "yes", "side_airbag": "no", "curtain_airbag": "no", "seat_sensor": "no"},
        },
        "money": {"currency": "EUR", "sum": 155_000},
        "parts": [
            part(CUSHION, "fseat_cushion_cover", "Front cushion cover, driver's", "leather", 3, "L_worn",
                 place="driver", colour="sand", area_mm2=900_000,
                 pin="leather_recover", notes="Seam open at the front edge."),
            part("foam", "fseat_foam_c", "Front cushion foam, driver's", "foam", 5, place="driver"),
            part(KNOB, "knob_gear", "Gear knob", "leather", 3, "L_worn", pin="used_fit",
                 offers=[{"source": "used", "low": 1500, "likely": 2000, "high": 3100, "delivery": 400,
                          "days": 9, "seller": "breaker by the harbour"}]),
            part("rim", "wheel_rim_leather", "Leather on the wheel rim", "rim-leather", 4, "L_dirty", pin="leave"),
            part(VISOR, "sun_visor", "Sun visor, driver's", "headlining", 5, "H_stain",
                 place="driver", pin="visor_recover"),
            part("carpet", "carpet_main", "Main carpet", "carpet", 5, "K_dirty"),
            part("dash", "dash_top", "Dash top pad", "foam-skin", 4),
            part(BELT, "belt_front", "Front belt, driver's", "webbing", 4, "B_frayed", place="driver"),
        ],
        "stock": [{"material": "cloths", "amount": 30}, {"material": "thread_machine", "amount": 20}],
    }  # fmt: skip
    return Job.from_plain({**raw, **changes})


def part(
    part_id: str, kind: str, name: str, material: str, finish: int, fault: str = "", **more: Any
) -> dict[str, Any]:
    """One surveyed part with at most one fault, of medium extent."""
    faults = [{"fault": fault, "extent": "medium"}] if fault else []
    return {
        "id": part_id,
        "kind": kind,
        "name": name,
        "material": material,
        "finish_now": finish,
        "faults": faults,
        **more,
    }


@cache
def small_plan() -> Plan:
    """The small job, planned once for all tests that only read it."""
    return make_plan(small_job(), load())
