"""All jobs at hand over the same hands and places: asked for when one has a calendar, comes or goes."""

from __future__ import annotations

from django.db.models import OuterRef, Subquery
from django.utils import timezone

from trimwright.job.milestones import handed_over
from trimwright.web.jobs.calendars import CALENDAR
from trimwright.web.jobs.models import Answer, PlanRecord, SharedCalendar, State
from trimwright.web.jobs.shared_calendar import Held
from trimwright.web.jobs.store.rows import job_at, jobs

_ROW = 1


def shared_calendar() -> SharedCalendar:
    """As far as it is; asked for where nobody has, and anew where it was laid out on another day."""
    found = SharedCalendar.objects.filter(pk=_ROW).first()
    if found is not None and (found.state != State.DONE or _is_of_today(found)):
        return found
    ask_for_shared_calendar()
    return SharedCalendar.objects.get(pk=_ROW)


def ask_for_shared_calendar() -> None:
    """Have it laid out, from now on; what stands there stays until then."""
    told = {"state": State.WAITING, "asked_at": timezone.now()}
    SharedCalendar.objects.update_or_create(pk=_ROW, defaults=told)


def take_shared_calendar() -> tuple[Held, ...] | None:
    """The jobs to lay out, now this worker's; None when nobody asks, or a plan or an answer goes first."""
    waiting = SharedCalendar.objects.filter(pk=_ROW, state=State.WAITING)
    if not waiting.exists() or PlanRecord.objects.filter(state=State.WAITING).exists():
        return None
    if not waiting.update(state=State.RUNNING, heard_at=timezone.now()):
        return None
    return tuple(_held())


def end_shared_calendar(data: object | None) -> None:
    """Keep what was laid out; None when it failed. What was asked for again meanwhile stays asked."""
    mine = SharedCalendar.objects.filter(pk=_ROW, state=State.RUNNING)
    if data is None:
        mine.update(state=State.FAILED, heard_at=timezone.now())
    else:
        mine.update(state=State.DONE, data=data, heard_at=timezone.now())


def _held() -> list[Held]:
    """Every job at hand with a calendar of its own; what is handed over waits for nobody's hands."""
    of_job = Answer.objects.filter(plan__job=OuterRef("plan__job"), about=CALENDAR, data__has_key="calendar")
    newest = Answer.objects.filter(pk=Subquery(of_job.order_by("-plan_id").values("pk")[:1]), about=CALENDAR)
    kept = {key: data or {} for key, data in newest.values_list("plan__job", "data")}
    held = []
    for row in reversed(jobs()):
        job = job_at(row.key, row.revision)
        if row.key in kept and handed_over(job) is None:
            held.append(Held(row.key, job, kept[row.key]))
    return held


def _is_of_today(found: SharedCalendar) -> bool:
    return found.heard_at is not None and timezone.localdate(found.heard_at) == timezone.localdate()
