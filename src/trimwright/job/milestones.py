"""The two ends of a job as its events tell them: how the car came in, and when it went back."""

from __future__ import annotations

from trimwright.job.document import Job
from trimwright.job.events import HandedOver, Intake


def intake_of(job: Job) -> Intake | None:
    """How the car came in, by the last intake; None where nobody has written it down."""
    return next((each for each in reversed(job.events) if isinstance(each, Intake)), None)


def handed_over(job: Job) -> HandedOver | None:
    """Who took the car over, and when; None while it is here."""
    return next((each for each in reversed(job.events) if isinstance(each, HandedOver)), None)
