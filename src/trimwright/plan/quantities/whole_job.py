"""What belongs to the whole job and to no single part: its terms, and the lines that are paid whatever is decided."""

from __future__ import annotations

from collections.abc import Container

from trimwright.facts.trade import Trade
from trimwright.job.document import Job
from trimwright.plan.quantities.cabin import POINT_SCALE, Line, Terms
from trimwright.worked import Factor, Term, Worked

MAKE_SAFE = "make_safe"
"""The line for making the car safe."""


def terms_of(job: Job, trade: Trade) -> Terms:
    """The limits and shares of the job: its own where it says so, else the trade's practice."""
    practice = {each.id: each.value for each in trade.practice.values()}
    return Terms(
        currency=job.money.currency,
        sum=job.money.sum,
        sure=job.money.sure,
        minutes=None if job.time.hours is None else round(job.time.hours * 60),
        years=job.wishes.years,
        talk_share=practice["talk_share"],
        hours_factor=practice["hours_factor"],
        hours_spread=practice["hours_spread"],
        labour_per_hour=job.money.labour_rate if "labour" in job.money.covers else 0,
        sundries_share=practice["sundries_share"] if "materials" in job.money.covers else 0.0,
        floor_points=round(practice["floor_payment"] * POINT_SCALE),
        correlation=practice["correlation"],
        hunt_minutes=round(practice["hunt_minutes"]),
    )


def lines_of(job: Job, trade: Trade, done: Container[str]) -> tuple[Line, ...]:
    """Make-safe where any restraint equipment may be fitted, photographs and labels for every part surveyed.

    Lines whose id is in `done` ask for nothing more.
    """
    practice = trade.practice
    lines = []
    if job.car.equipment.any_restraint_electrics:
        safe = practice["make_safe_minutes"]
        worked = Worked("min", (Term(safe.value, "min"),), safe.evidence.source)
        wait = practice["make_safe_wait"].value
        name = f"Make safe, waiting as the car's manual says ({wait:g} min without one)"
        lines.append(Line(MAKE_SAFE, name, 0, round(safe.value), worked))
    photo = practice["photo_minutes"]
    worked = Worked("min", (Term(photo.value, "min/part", (Factor(len(job.parts), "parts"),)),), photo.evidence.source)
    lines.append(Line("photographs", "Photographs, bags and labels", 0, round(worked.value), worked))
    return tuple(line for line in lines if line.id not in done)
