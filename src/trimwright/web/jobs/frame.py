"""What every page of a job stands in: the job, the rail of stages, the money strip."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from trimwright.web.jobs import store
from trimwright.web.jobs.devices import device_of, may_change_money
from trimwright.web.jobs.models import JobRecord, PlanRecord, State
from trimwright.web.jobs.stages import onward, rail

PENDING = (State.WAITING, State.RUNNING)


def job_page(
    request: HttpRequest, template: str, key: str, stage: str, context: dict[str, Any] | None = None, status: int = 200
) -> HttpResponse:
    """A page of one job inside its frame.

    The template extends `jobs/job_base.html` and finds `job` (the document), `row` (its record), `revision`, `plan`
    (plain data of the newest plan or None, `planning.py`) and what `context` adds.
    """
    return render(request, template, {**frame(request, store.record(key), stage), **(context or {})}, status=status)


def frame(request: HttpRequest, row: JobRecord, stage: str) -> dict[str, Any]:
    """The context that `jobs/job_base.html` needs; asks for a plan where the job or the shop book has none yet."""
    done, undone = store.steps(row.key, device_of(request))
    job, planned = store.job_at(row.key, row.revision), plan_context(row, store.ask_for_plan(row))
    entries = rail(row, stage, job, planned["plan"])
    return {
        "row": row,
        "job": job,
        "revision": row.revision,
        "stage": stage,
        "rail": entries,
        "onward": onward(row, entries, may_quote=may_change_money(request)),
        "undo_step": done[-1] if done else None,
        "redo_step": undone[-1] if undone else None,
        **planned,
    }


def plan_context(row: JobRecord, asked: PlanRecord | None) -> dict[str, Any]:
    """What pages need of the plan.

    `plan` is the plain data of the newest plan with any, or None; `plan_current` tells whether it is of the job as it
    is now; `plan_asked` is the record of the newest request, `plan_pending` whether it is still being made, and
    `plan_stages` the stages that are there, by commas.
    """
    made = store.newest_result(row.key)
    current = bool(made and asked and made.pk == asked.pk)
    return {
        "plan": made.result if made else None,
        "plan_record": made,
        "plan_current": current,
        "plan_asked": asked,
        "plan_pending": bool(asked and asked.state in PENDING),
        "plan_stages": ",".join(made.result or ()) if made and current else "",
    }
