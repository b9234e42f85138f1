"""What must not be noted yet at the end: a move back that something holds, and the keys while anything is open.

Asked of every change before it is saved, so no page, no edit and no redo passes a hold; the rules are the plan's own.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import datetime
from typing import TYPE_CHECKING, Any

from django.utils import timezone
from django.utils.translation import gettext as _

from trimwright.book.applied import with_own_treatments
from trimwright.errors import BadInput, Problem
from trimwright.facts import load
from trimwright.job.document import Job
from trimwright.job.events import Event, HandedOver, Opened
from trimwright.web.jobs.store.plans import newest_result
from trimwright.web.jobs.store.shop import book

if TYPE_CHECKING:
    from trimwright.web.jobs.planning import Hold


def refuse_held(key: str, before: Job, after: Job, now: datetime) -> None:
    """BadInput when a change notes something back, or the keys, before it may be."""
    there = {_told(each) for each in before.events if _needs_leave(each)}
    new = [number for number, each in enumerate(after.events) if _needs_leave(each) and _told(each) not in there]
    if not new:
        return
    plan = newest_result(key)
    if plan is None or "musts" not in (plan.result or {}):
        raise BadInput(Problem(_("the way back"), "", _("is not worked out yet."), _("Wait for the verdicts.")))
    problems = [problem for number in new for problem in _problems(plan.result or {}, after, number, now)]
    if problems:
        raise BadInput(problems)


def _needs_leave(event: Event) -> bool:
    return isinstance(event, HandedOver) or (isinstance(event, Opened) and event.back_on)


def _told(event: Event) -> tuple[str, str]:
    """What of a note counts here: changed, it is another."""
    return event.id, event.step if isinstance(event, Opened) else ""


def _problems(result: Mapping[str, Any], job: Job, number: int, now: datetime) -> Iterator[Problem]:
    """What stands in the way of one event, on the job as it was when it came."""
    from trimwright.web.jobs import planning

    event = job.events[number]
    earlier = job.model_copy(update={"events": job.events[:number]})
    way = planning.way_back(dict(result), earlier, with_own_treatments(load(), book()), now)
    if isinstance(event, HandedOver):
        holds = planning.ending(dict(result), way).open_ends
    else:
        assert isinstance(event, Opened)
        holds = next((each.holds for each in way.moves if each.move.step == event.step), ())
    yield from map(problem, holds)


def problem(hold: Hold) -> Problem:
    """What stands in the way, as a problem that says until when."""
    until = timezone.localtime(hold.until) if hold.until else None
    way_out = _("Until %(at)s.") % {"at": until.strftime("%Y-%m-%d %H:%M")} if until else ""
    return Problem(hold.where[:1].upper() + hold.where[1:], "", hold.what, way_out)
