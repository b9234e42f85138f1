"""What must not be noted yet: a step that a hold keeps from coming off, work on what holds people before it is safe.

Asked of every change before it is saved, so no page, no edit and no redo passes a hold. The wait runs from the moment
at which the battery is noted off here: a note of that is of now, or it is refused.
"""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from django.utils.translation import gettext as _

from trimwright.errors import BadInput, Problem
from trimwright.facts import load
from trimwright.job.document import Job
from trimwright.job.events import Opened, Worked

if TYPE_CHECKING:
    from trimwright.web.jobs.planning import Hold

BATTERY = "battery_off"
"""The trade's step that takes the battery's negative off."""
NOW = timedelta(seconds=10)
"""How far the moment of a note may be from the moment at which it comes."""


class TooEarly(BadInput):
    """A step is noted off, or work begun, while something forbids it; `until` where that is over by itself."""

    def __init__(self, problems: list[Problem], until: datetime | None) -> None:
        self.until = until
        super().__init__(problems)


def refuse_early(before: Job, after: Job, now: datetime, *, is_new: bool) -> None:
    """TooEarly when a change notes what may not be done yet; `is_new` when it brings nothing back."""
    from trimwright.web.jobs import calendars, planning

    there = {_told(each) for each in before.events if isinstance(each, Opened)}
    worked = {(each.id, each.task, each.state) for each in before.events if isinstance(each, Worked)}
    begun: set[str] = set()
    problems: list[Problem] = []
    untils: list[datetime | None] = []

    def held(hold: Hold) -> None:
        until = hold.until
        way_out = _("Safe from %(at)s.") % {"at": f"{until.astimezone():%H:%M:%S}"} if until else ""
        problems.append(Problem(hold.where, "", hold.what, way_out))
        untils.append(until)

    for event in after.events:
        if isinstance(event, Worked):
            # what was begun in time may be noted finished at any time
            is_told = (event.id, event.task, event.state) in worked
            if not is_told and (event.state == "begun" or event.task not in begun):
                for hold in calendars.holds_of(event.task, after, load(), now):
                    held(hold)
            begun |= {event.task}
            continue
        if not isinstance(event, Opened) or event.back_on or _told(event) in there:
            continue
        if is_new and event.step == BATTERY and abs(event.at - now) > NOW:
            what = _("is not now: the wait runs from when it is noted here.")
            problems.append(Problem(_("The battery"), f"{event.at:%Y-%m-%d %H:%M}", what, _("Note it when it is off.")))
        for hold in planning.coming_off(event.step, after, load(), now):
            held(hold)
    if problems:
        waits = untils and all(untils)
        raise TooEarly(problems, max(each for each in untils if each) if waits else None)


def _told(event: Opened) -> tuple[str, str, datetime, bool]:
    """What of a note counts here: changed, it is another."""
    return event.id, event.step, event.at, event.back_on
