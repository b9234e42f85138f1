"""What every page of a job stands in: the job, the rail of stages, the money strip."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from trimwright.web.jobs import store
from trimwright.web.jobs.devices import device_of
from trimwright.web.jobs.models import JobRecord, PlanRecord
from trimwright.web.jobs.stages import rail

PENDING = (PlanRecord.State.WAITING, PlanRecord.State.RUNNING)


def job_page(
    request: HttpRequest, template: str, key: str, stage: str, context: dict[str, Any] | None = None, status: int = 200
) -> HttpResponse:
    """A page of one job inside its frame.

    The template extends `jobs/job_base.html` and finds `job` (the document), `row` (its record), `revision`, `plan`
    (plain data of the newest plan or None, `planning.py`) and what `context` adds.
    """
    return render(request, template, {**frame(request, store.record(key), stage), **(context or {})}, status=status)


def frame(request: HttpRequest, row: JobRecord, stage: str) -> dict[str, Any]:
    """The context that `jobs/job_base.html` needs."""
    asked, made = store.newest_plan(row.key), store.newest_result(row.key)
    done, undone = store.steps(row.key, device_of(request))
    return {
        "row": row,
        "job": store.job_at(row.key, row.revision),
        "revision": row.revision,
        "stage": stage,
        "rail": rail(row, stage),
        "undo_step": done[-1] if done else None,
        "redo_step": undone[-1] if undone else None,
        **plan_context(row, asked, made),
    }


def plan_context(row: JobRecord, asked: PlanRecord | None, made: PlanRecord | None) -> dict[str, Any]:
    """`plan` (a plan's data), `plan_asked` (the record of the newest request), whether `plan` is of this revision."""
    return {
        "plan": made.result if made else None,
        "plan_asked": asked,
        "plan_current": bool(made and made.revision == row.revision),
        "plan_pending": bool(asked and asked.state in PENDING),
    }
