"""What the events tell of the hand-over book: the pairs of photos, and what the shop says in it."""

from __future__ import annotations

from trimwright.job.document import Job
from trimwright.job.events import OwnersBook, Pair


def pairs_of(job: Job) -> list[Pair]:
    """The pairs, in the order in which they were put together."""
    return [each for each in job.events if isinstance(each, Pair)]


def owners_book(job: Job) -> OwnersBook | None:
    """What the shop says in the book; None while it has said nothing."""
    return next((each for each in reversed(job.events) if isinstance(each, OwnersBook)), None)
