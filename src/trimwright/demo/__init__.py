"""The cabin of our own that `trimwright demo` decides: a sun-faded two-door by the sea."""

from __future__ import annotations

from pathlib import Path

from trimwright.job.document import Job


def demo_job() -> Job:
    """The demo's job."""
    from trimwright.job.files import read_job

    return read_job(Path(__file__).with_name("harbour_two_door.json"))
