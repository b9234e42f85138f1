"""Plans asked for, being made and made. A new one takes the place of older ones that nobody has begun to read."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from typing import Any

from django.db import transaction
from django.db.models import OuterRef, Subquery
from django.utils import timezone

from trimwright.errors import Problem
from trimwright.web.jobs.models import Answer, JobRecord, PlanRecord, State
from trimwright.web.jobs.store.rows import NoSuchRecord, record
from trimwright.web.jobs.store.shop import book_number

PLANS_KEPT = 5
"""Finished plans kept for a job."""


def ask_for_plan(row: JobRecord) -> PlanRecord:
    """The plan of a job as it is now, with the shop book as it is now; asked for when nobody has yet."""
    newest = newest_plan(row.key)
    if newest is not None and (newest.revision, newest.book) == (row.revision, book_number()):
        return newest
    with transaction.atomic():
        return put_in_line(row.key, row.revision, timezone.now())


def ask_again(key: str) -> PlanRecord:
    """A plan for the job as it is now, though there is one: after a slip."""
    row = record(key)
    with transaction.atomic():
        return put_in_line(key, row.revision, timezone.now())


def newest_plan(key: str) -> PlanRecord | None:
    """The plan asked for last, whatever has become of it."""
    return PlanRecord.objects.filter(job=key).defer("result").order_by("-id").first()


def newest_result(key: str) -> PlanRecord | None:
    """The newest plan with a result; its `revision` tells whether it is the newest job's."""
    return PlanRecord.objects.filter(job=key, result__isnull=False).order_by("-id").first()


def newest_results(keys: Iterable[str]) -> dict[str, dict[str, Any]]:
    """What the newest plan with verdicts says of each of these jobs."""
    newest = PlanRecord.objects.filter(job=OuterRef("job"), result__has_key="verdicts").order_by("-id").values("pk")[:1]
    found = PlanRecord.objects.filter(job__in=list(keys), pk=Subquery(newest))
    return {key: result or {} for key, result in found.order_by("job").values_list("job", "result")}


def newest_with(key: str, stage: str) -> PlanRecord | None:
    """The newest plan in which a stage is there already: while one is being made, the one before it."""
    return PlanRecord.objects.filter(job=key, result__has_key=stage).order_by("-id").first()


def result_before(plan: PlanRecord) -> PlanRecord | None:
    """The last plan with verdicts before this one of the same job."""
    earlier = PlanRecord.objects.filter(job=plan.job_id, pk__lt=plan.pk, result__has_key="verdicts")
    return earlier.order_by("-id").first()


def newest_printed(key: str) -> PlanRecord:
    """The newest plan whose papers are printed; NoSuchRecord when there is none."""
    for plan in PlanRecord.objects.filter(job=key, result__isnull=False).order_by("-id"):
        if "papers" in (plan.result or {}):
            return plan
    raise NoSuchRecord(f"{key}: papers")


def plan_waits() -> bool:
    """Whether a plan waits to be made."""
    return PlanRecord.objects.filter(state=State.WAITING).exists()


def take_plan(*, settled_before: datetime) -> PlanRecord | None:
    """The plan that has waited longest, now this worker's; None when none asked before `settled_before` waits."""
    waiting = PlanRecord.objects.filter(state=State.WAITING, asked_at__lte=settled_before)
    for plan in waiting.order_by("asked_at")[:10]:
        now = timezone.now()
        mine = PlanRecord.objects.filter(pk=plan.pk, state=State.WAITING)
        if mine.update(state=State.RUNNING, heard_at=now):
            plan.state = State.RUNNING
            return plan
    return None


def tell_plan(pk: int, *, progress: str, gap: float | None) -> bool:
    """Note how far a plan is; False when nobody wants it any more."""
    running = PlanRecord.objects.filter(pk=pk, state=State.RUNNING)
    return bool(running.update(progress=progress, gap=gap, heard_at=timezone.now()))


def is_wanted(pk: int) -> bool:
    """Whether a plan that is being made is still wanted."""
    return PlanRecord.objects.filter(pk=pk).exists()


def give_plan_back(pk: int) -> None:
    """Put a plan that could not be finished back among the waiting."""
    PlanRecord.objects.filter(pk=pk).update(state=State.WAITING, progress="", gap=None, result=None)


def add_to_plan(pk: int, stage: str, data: object) -> None:
    """Add one stage's plain data to a plan's result."""
    with transaction.atomic():
        plan = PlanRecord.objects.filter(pk=pk).select_for_update().first()
        if plan is not None:
            plan.result = {**(plan.result or {}), stage: data}
            plan.heard_at = timezone.now()
            plan.save(update_fields=["result", "heard_at"])


def end_plan(pk: int, problems: Iterable[Problem] = (), *, ask: Iterable[str] = ()) -> list[int]:
    """Note that a plan is done, or why it failed, and what it is asked next; drop old ones, and say which."""
    rows = [{"where": p.where, "value": p.value, "what": p.what, "way_out": p.way_out} for p in problems]
    state = State.FAILED if rows else State.DONE
    with transaction.atomic():
        PlanRecord.objects.filter(pk=pk).update(state=state, problems=rows, progress="", heard_at=timezone.now())
        job = PlanRecord.objects.filter(pk=pk).values_list("job", flat=True).first()
        if job is not None:
            for about in ask:
                Answer.objects.get_or_create(plan_id=pk, about=about, defaults={"asked_at": timezone.now()})
        ended = PlanRecord.objects.filter(job=job, state__in=(State.DONE, State.FAILED))
        dropped = list(ended.order_by("-id").values_list("pk", flat=True)[PLANS_KEPT:])
        PlanRecord.objects.filter(pk__in=dropped).delete()
    return dropped


def plans_unheard(since: datetime) -> int:
    """Put plans and answers whose worker has told nothing since back among the waiting; how many plans."""
    lost = Answer.objects.filter(state=State.RUNNING, heard_at__lt=since)
    unheard = PlanRecord.objects.filter(state=State.RUNNING, heard_at__lt=since)
    if not lost.exists() and not unheard.exists():  # asked often, and to write would keep others from writing
        return 0
    lost.update(state=State.WAITING, share=0.0)
    return unheard.update(state=State.WAITING)


def put_in_line(key: str, revision: int, at: datetime) -> PlanRecord:
    """A plan for this revision, in place of those of older revisions that are not made yet.

    One whose verdicts are there is kept: pages show it until there are others, and tell what changed since.
    """
    open_ones = PlanRecord.objects.filter(job=key, state__in=(State.WAITING, State.RUNNING))
    open_ones.filter(result__has_key="verdicts").update(state=State.DONE, progress="")
    open_ones.filter(state__in=(State.WAITING, State.RUNNING)).delete()
    return PlanRecord.objects.create(job_id=key, revision=revision, book=book_number(), asked_at=at)
