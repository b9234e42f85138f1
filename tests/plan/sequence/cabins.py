"""Whole cabins to take apart: any body, any equipment, any verdicts, without asking the solver."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cache

from tests.plan.small_cabin import small_plan
from trimwright.facts import load
from trimwright.facts.trade import Body, Wait
from trimwright.job.document import Job
from trimwright.job.starting import started
from trimwright.plan.quantities.cabin import Course, Quantities
from trimwright.plan.quantities.measure import measure
from trimwright.plan.quantities.strip_down import needed_steps, strip_down
from trimwright.plan.quantities.surveyed import survey
from trimwright.plan.sequence import Sequence, arrange
from trimwright.plan.verdicts.verdict import Verdict, Verdicts

TRADE = load()
YEARS: Mapping[Body, int] = {
    "two-door": 1993, "four-door": 2004, "open": 1989, "estate": 1999, "van": 1988, "pickup": 1986,
}  # fmt: skip
Said = tuple[tuple[str, str], ...]
"""Equipment said to be fitted or not; what is not named is unknown."""


@dataclass(frozen=True)
class Cabin:
    """A car, all its steps priced, and for each part the steps that take it off."""

    job: Job
    quantities: Quantities
    own: Mapping[str, tuple[str, ...]]

    def verdicts(self, off: Iterable[str], waits: tuple[Wait, ...] = ()) -> Verdicts:
        """Verdicts that take these parts off and leave the others."""
        taken = set(off)
        return replace(
            small_plan().verdicts,
            verdicts=tuple(
                Verdict(
                    part.id, part.name, "", course(part.id, self.own[part.id] if part.id in taken else (), waits),
                    None, 0, 0, 5, 5, False,
                )
                for part in self.job.parts
            ),
        )  # fmt: skip

    def arranged(self, off: Iterable[str], waits: tuple[Wait, ...] = (), first: tuple[str, ...] = ()) -> Sequence:
        return arrange(self.job, TRADE, self.quantities, self.verdicts(off, waits), first=first)


def course(part: str, steps: tuple[str, ...], waits: tuple[Wait, ...] = ()) -> Course:
    """A course that takes its part off, or leaves it."""
    return Course(
        id="made-up" if steps else "leave", part=part, name="work", kind="mend" if steps else "leave", treatments=(),
        finish_at=(5,), points_at=(0,), redo_at=(0.0,), bears=10, life_years=1.0, kept=1.0, look="original",
        minutes=0, steps=steps, waits=waits if steps else (),
    )  # fmt: skip


@cache
def cabin(body: Body, said: Said = ()) -> Cabin:
    """Every usual part of such a car, surveyed as sound."""
    car = {"text": "a car", "year": YEARS[body], "body": body, "equipment": dict(said)}
    return cabin_of(started(TRADE, car=car, money={"currency": "USD", "sum": 100_000}))


def cabin_of(job: Job) -> Cabin:
    steps = strip_down(survey(job, TRADE), job, TRADE)
    quantities = replace(measure(job, TRADE), steps=needed_steps(steps.steps, steps, TRADE, (), {}))
    return Cabin(job, quantities, steps.own)
