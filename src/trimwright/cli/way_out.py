"""What keeps a job open, each with the command that is the way out."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from trimwright.errors import Problem

if TYPE_CHECKING:
    from trimwright.plan.sequence.holds import Hold, Kind

WAYS: Mapping[Kind, str] = {
    "off": "Note it back: trimwright log opened JOB {about} --back-on.",
    "battery off": "Note it back: trimwright log opened JOB {about} --back-on.",
    "bag": "Note it back, or say why not: trimwright log bag JOB {about} back, or written-off --note WHY.",
    "no torque": 'Enter it: trimwright log fixing JOB {about} "{fixing}" --torque "FIGURE N·m" --page PAGE.',
    "not tightened": 'Note it: trimwright log tightened JOB {about} "{fixing}" TORQUE.',
    "other torque": 'Tighten it to that, and note it: trimwright log tightened JOB {about} "{fixing}" TORQUE.',
    "check": "Make it, then: trimwright log check JOB {about}.",
    "curing": "Until {until}.",
    "not done": "Do it, then: trimwright log done JOB {about}.",
    "not paid": "Note what it cost: trimwright log bought JOB PAID --part {about} --source new, or service.",
    "find": 'Deal with it, then: trimwright log spent JOB "what was done" --find {about}.',
    "snag": "Put it right, then: trimwright log put-right JOB {about} --hours TIME.",
    "not tried": "Make them, then: trimwright log tested JOB --passed TEST, or --failed; the first is {about}.",
    "failed": "Put it right, try it again, then: trimwright log tested JOB --passed {about}.",
    "not licensed": "Have it made, then: trimwright log tested JOB --passed {about} --trained NAME.",
    "not signed": "When all of it is tried: trimwright log tested JOB --yes NAME.",
}
"""By what stands in the way; `JOB` stands for the job's file."""


def problem(hold: Hold) -> Problem:
    """What stands in the way, as a problem with its way out."""
    until = f"{hold.until:%Y-%m-%d %H:%M}" if hold.until else ""
    way_out = WAYS[hold.kind].format(about=hold.about, fixing=hold.fixing, until=until)
    return Problem(hold.where, "", hold.what, way_out)
