"""The small cabin decided once for all tests that only show it: its plan's plain data kept as the planner would."""

from __future__ import annotations

from datetime import date
from functools import cache
from typing import Any

from django.utils import timezone

from tests.plan.small_cabin import small_job
from trimwright.book.document import Book
from trimwright.job.document import Job
from trimwright.job.edits import EDIT, apply
from trimwright.web.jobs import answering, store
from trimwright.web.jobs.models import PlanRecord
from trimwright.web.jobs.planning import STAGES, Decided, answered, decided

TODAY = date(2026, 11, 5)


@cache
def decided_once(edit: str = "") -> Decided:
    """The small cabin's plan; with an edit as JSON, the plan of the cabin after it."""
    job = apply(small_job(), EDIT.validate_json(edit)) if edit else small_job()
    return decided(job, Book(), TODAY, unheard)


@cache
def answered_once(about: str, edit: str = "") -> dict[str, Any]:
    """What that plan answers."""
    pieces = answered(decided_once(edit), about, TODAY, unheard)
    data: dict[str, Any] = next(data for kind, _, data in pieces if kind == "answer")
    return data


def unheard(stage: str, gap: float | None) -> None:
    """Nobody listens to how far it is."""


def keep_plan(key: str, made: Decided | None = None) -> PlanRecord:
    """Keep a plan for the job as it is now, all but its papers; the staircase is asked for."""
    made = made or decided_once()
    store.ask_for_plan(store.record(key))
    plan = store.take_plan(settled_before=timezone.now())
    assert plan is not None
    for name, stage in STAGES.items():
        store.add_to_plan(plan.pk, name, stage(made.plan, made.trade))
    store.keep_answers(plan.pk, answering.at_once(made.plan, made.trade))
    store.end_plan(plan.pk, ask=(answering.STAIRS,))
    return plan


def keep_answer(plan: PlanRecord, about: str, edit: str = "") -> None:
    """Keep an answer of that plan."""
    store.end_answer(store.ask(plan.pk, about, urgent=True).pk, answered_once(about, edit))


def newest(key: str) -> Job:
    """The job as it is now."""
    return store.job_at(key, store.record(key).revision)
