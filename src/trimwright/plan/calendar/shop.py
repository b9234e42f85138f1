"""What every part of the listing reads: the job with the stages before it, the shop's hours, room and air."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from trimwright.facts.trade import Trade
from trimwright.job.document import Job
from trimwright.plan.buying import Buying
from trimwright.plan.calendar.shop_hours import hours_of, usual_stretch
from trimwright.plan.calendar.tasks import Air, Hours, Minutes, Spot, Task
from trimwright.plan.quantities.cabin import Course, Quantities
from trimwright.plan.quantities.so_far import SoFar, so_far
from trimwright.plan.quantities.strip_down import StripDown, strip_down
from trimwright.plan.quantities.surveyed import Surveyed, survey
from trimwright.plan.sequence import Sequence
from trimwright.plan.verdicts.verdict import Verdicts


@dataclass(frozen=True)
class Shop:
    """One job in its shop, as the listing sees it."""

    job: Job
    trade: Trade
    quantities: Quantities
    verdicts: Verdicts
    buying: Buying
    sequence: Sequence
    cabin: StripDown
    parts: Mapping[str, Surveyed]
    known: SoFar
    hours: Hours
    places: Mapping[Spot, int]
    air: Air
    start: datetime

    @property
    def usual(self) -> int:
        """Open minutes of most working days."""
        return usual_stretch(self.hours)

    @property
    def longest(self) -> int:
        """Open minutes of the longest day."""
        return max(self.hours.week)

    @property
    def courses(self) -> dict[str, Course]:
        """The course chosen for each part that has one of its own."""
        own = (each for each in self.verdicts.verdicts if each.settled_by is None)
        return {each.part: each.course for each in own if each.course is not None}

    def told(self, task: Task) -> str:
        """The task with the part it is for."""
        part = self.parts.get(task.part or "")
        return task.name if part is None else f"{part.part.name}: {task.name}"

    def planned(self, minutes: float) -> int:
        """Hands-on minutes as they will be: the hours factor applied."""
        return round(minutes * self.quantities.terms.hours_factor)

    def spread(self, minutes: int, low: float, high: float) -> Minutes:
        """Planned minutes with their quickest and slowest, as multiples."""
        return round(minutes * min(1.0, low)), minutes, round(minutes * max(1.0, high))


def shop_of(
    job: Job,
    trade: Trade,
    quantities: Quantities,
    verdicts: Verdicts,
    buying: Buying,
    sequence: Sequence,
    start: datetime,
    air: Air,
) -> Shop:
    """The shop as the job's document has it; BadInput where its hours make no week."""
    parts = survey(job, trade)
    hours = hours_of(job.time, quantities.terms.talk_share)
    room = job.time.places
    return Shop(
        job=job,
        trade=trade,
        quantities=quantities,
        verdicts=verdicts,
        buying=buying,
        sequence=sequence,
        cabin=strip_down(parts, job, trade),
        parts={part.id: part for part in parts},
        known=so_far(job),
        hours=hours,
        places={
            "bench": room.bench,
            "spray spot": room.spray_spot,
            "press": room.press,
            "line": room.line,
            "rack": room.rack_mm2,
        },
        air=air,
        start=start.astimezone(hours.zone),
    )
