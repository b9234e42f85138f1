"""The points a course holds over the years the owner asks for: whole numbers, `POINT_SCALE` to a finish step."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from trimwright.facts.trade import Trade
from trimwright.job.document import Job
from trimwright.plan.quantities.cabin import POINT_SCALE
from trimwright.plan.quantities.finish import Slide, mean_finish
from trimwright.plan.quantities.surveyed import Surveyed

SMELL_BY_EXTENT = (1 / 3, 2 / 3, 1.0)
"""Share of a heavy smell, light to heavy; our own judgement."""


@dataclass(frozen=True, slots=True)
class Worth:
    """What counts in this job: the horizon [years], the owner's wish for originality, the cabin's whole weight."""

    years: float
    original: float
    """Finish steps that keeping the whole original part is worth."""
    smell: float
    """Points, before `POINT_SCALE`, that a heavy smell left costs the cabin."""


@dataclass(frozen=True, slots=True)
class Falling:
    """How a treated finish goes: its life, and the finish that a left part would have had."""

    life_years: float
    left: int


def worth_of(parts: Iterable[Surveyed], job: Job, trade: Trade) -> Worth:
    """The job's own measure of worth."""
    total = sum(part.weight for part in parts)
    return Worth(
        years=job.wishes.years,
        original=job.wishes.originality * trade.practice["original_steps"].value,
        smell=trade.practice["smell_loss"].value * total,
    )


def held(part: Surveyed, finish: float, falling: Falling | None, kept: float, worth: Worth) -> float:
    """Points of one part before scaling: mean finish over the horizon and what is kept of the original, by weight.

    `falling` None means it is left and slides by its faults from `finish`.
    """
    if falling is None:
        mean = Slide(finish, part.slide).area(0, worth.years) / worth.years
    else:
        mean = mean_finish(finish, falling.life_years, Slide(falling.left, part.slide), worth.years)
    return part.weight * (mean + worth.original * kept)


def smell_left(part: Surveyed, left: Iterable[str], worth: Worth) -> float:
    """Points the whole cabin loses by the damp and smell that a course leaves, before scaling."""
    left = set(left)
    return worth.smell * max(
        (SMELL_BY_EXTENT[found.extent] for found in part.faults if found.fault.smells and found.id in left), default=0.0
    )


def scaled(points: float) -> int:
    """Points as the solver counts them."""
    return round(points * POINT_SCALE)
