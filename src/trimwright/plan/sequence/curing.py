"""What has to harden or dry before it is handled: the wait after the last step of a part's work, and when it is over.

A part may be handled once the likely wait is over, as long as it is in the air last read in the shop; without a reading
it is that of the data sheets.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime, timedelta

from trimwright.craft.cure import COLDEST_C, HOTTEST_C, moved
from trimwright.facts.trade import Trade, Wait
from trimwright.job.document import Job
from trimwright.job.events import Air, Done
from trimwright.job.fields import treatments_named
from trimwright.plan.quantities.cabin import Course

ELSEWHERE = ("away", "car")
"""Places of waits that do not hold a part on the bench: in the post, and what hardens on in the car."""
TELLING_HOURS = 1.0
"""Waits usually shorter than this are over before the part is back at the car."""


def waits_of(course: Course, trade: Trade) -> tuple[Wait, ...]:
    """The waits of a course; of one that is done those of what was done, which may still be going on."""
    return waits_named(course.id, trade) if course.done else course.waits


def waits_named(course: str, trade: Trade) -> tuple[Wait, ...]:
    """The waits of the treatments that a course's id names."""
    named = (trade.treatments[each] for each in treatments_named(course) if each in trade.treatments)
    return tuple(wait for each in named for wait in each.waits)


def last_wait(waits: Iterable[Wait]) -> Wait | None:
    """The wait that holds the part on the bench, else the one that holds the keys; None where nothing tells."""
    telling = [each for each in waits if each.hours[1] >= TELLING_HOURS]
    on_bench = [each for each in telling if each.place not in ELSEWHERE]
    in_car = [each for each in telling if each.place == "car"]
    return next(reversed(on_bench or in_car), None)


def cured_at(done: Done, job: Job, trade: Trade) -> datetime | None:
    """When what was done has hardened or dried; None where there is nothing to wait for."""
    wait = last_wait(waits_named(done.course, trade))
    return None if wait is None else done.at.astimezone() + timedelta(hours=_likely_hours(wait, job))


def _likely_hours(wait: Wait, job: Job) -> float:
    """In the air last read; beyond what the rule is for, as at its limit."""
    read = next((each for each in reversed(job.events) if isinstance(each, Air)), None)
    if read is None:
        return wait.hours[1]
    warmth = min(max(read.temperature, COLDEST_C), HOTTEST_C)
    found = moved(wait.hours, warmth, read.humidity / 100, warmth=wait.warmth, damp=wait.damp, closes=False)
    return found.wait[1]
