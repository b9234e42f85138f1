"""Benches made from whole jobs, each planned once; and verdicts drawn at random, without asking the solver."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from functools import cache
from pathlib import Path
from zoneinfo import ZoneInfo

from tests.plan.small_cabin import small_job
from trimwright.demo import demo_job
from trimwright.facts import load
from trimwright.job.document import Job
from trimwright.job.files import read_job
from trimwright.plan.buying import Buying, shop
from trimwright.plan.calendar.listing import list_tasks
from trimwright.plan.calendar.tasks import Air, Bench
from trimwright.plan.plan import make_plan
from trimwright.plan.quantities.cabin import Course, Quantities
from trimwright.plan.quantities.measure import measure
from trimwright.plan.sequence import Sequence, arrange
from trimwright.plan.verdicts.recount import opened_steps, outcomes_of
from trimwright.plan.verdicts.verdict import Verdict, Verdicts

TRADE = load()
LISBON = ZoneInfo("Europe/Lisbon")
MONDAY = datetime(2026, 3, 2, 9, tzinfo=LISBON)
WEEK = {"zone": "Europe/Lisbon", "week": [8, 8, 8, 8, 8, 0, 0]}


@dataclass(frozen=True)
class Stages:
    """A job with every stage before the calendar."""

    job: Job
    quantities: Quantities
    verdicts: Verdicts
    buying: Buying
    sequence: Sequence

    def bench(self, start: datetime = MONDAY, air: Air | None = None, job: Job | None = None) -> Bench:
        return list_tasks(
            job or self.job, TRADE, self.quantities, self.verdicts, self.buying, self.sequence, start=start, air=air
        )

    @property
    def courses(self) -> dict[str, Course]:
        return {each.part: each.course for each in self.verdicts.verdicts if each.course and each.settled_by is None}


def stages(job: Job) -> Stages:
    """The job, decided."""
    plan = make_plan(job, TRADE)
    return Stages(job, plan.quantities, plan.verdicts, plan.buying, arrange(job, TRADE, plan.quantities, plan.verdicts))


@cache
def small() -> Stages:
    """The small cabin in a shop in Lisbon."""
    return stages(small_job(time=WEEK))


@cache
def demo() -> Stages:
    """The demo cabin in a shop in Lisbon."""
    job = demo_job()
    time = job.time.model_copy(update={"zone": "Europe/Lisbon", "week": (8, 8, 8, 8, 8, 0, 0)})
    return stages(job.model_copy(update={"time": time}))


@cache
def damp() -> Stages:
    """An estate with a wet floor: that is put right, everything else stays as it is. Nothing is asked of the solver."""
    job = read_job(Path(__file__).parents[2] / "jobs" / "estate-damp-floor.json")
    time = job.time.model_copy(update={"zone": "Europe/Lisbon", "week": (8, 8, 8, 8, 8, 0, 0)})
    job = job.model_copy(update={"time": time})
    done = {"floor_dry+underlay_new", "floor_treat", "carpet_dry"}
    known = replace(small(), job=job, quantities=measure(job, TRADE))
    return drawn(known, lambda courses: next((each for each in courses if each.id in done), courses[0]))


def drawn(before: Stages, choose: Callable[[tuple[Course, ...]], Course]) -> Stages:
    """The job with a course for each part by `choose`, whatever it costs; packs are all on the shelf."""
    quantities = before.quantities
    chosen: dict[str, Course] = {part.part: choose(part.courses) for part in quantities.parts}
    settled: Mapping[str, str] = {child: whole for whole, course in chosen.items() for child in course.settles}
    own = {part: course for part, course in chosen.items() if part not in settled}
    outcomes = outcomes_of(quantities, own)
    verdicts = replace(
        before.verdicts,
        verdicts=tuple(
            Verdict(
                part.part, part.name, part.zone, outcomes[part.part].course, settled.get(part.part), 0, 0, 5, 5, False
            )
            for part in quantities.parts
        ),
        bought=(),
        carriage={},
        used_milli={},
        steps=opened_steps(quantities, [outcomes[part] for part in own]),
        shared=tuple(dict.fromkeys(item for course in own.values() for item in course.once)),
    )
    sequence = arrange(before.job, TRADE, quantities, verdicts)
    return Stages(before.job, quantities, verdicts, shop(before.job, quantities, verdicts), sequence)
