"""The rail and what to do next, from the job's own events and its newest plan."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

from trimwright.demo import demo_job
from trimwright.job.document import Job
from trimwright.job.edits import AddEntry, apply
from trimwright.web.jobs.models import JobRecord
from trimwright.web.jobs.stages import onward, rail

PLAN: dict[str, Any] = {"buying": {"orders": [{"packs": [{}, {}, {}], "wholes": []}]}}


def row(seen: int, parts: int = 10) -> JobRecord:
    return JobRecord(key="k", name="k", parts=parts, seen=seen)


def with_event(job: Job, **event: object) -> Job:
    whole = {"id": f"e{len(job.events)}", "at": datetime(2026, 3, 1, tzinfo=UTC).isoformat(), **event}
    return apply(job, AddEntry(path=("events",), value=whole))  # type: ignore[arg-type]


def told(job: Job, seen: int, plan: dict[str, Any] | None) -> tuple[list[int], str | None]:
    entries = rail(row(seen), "", job, plan)
    further = onward(row(seen), entries)
    return [each.tenths for each in entries[:3]], further[0] if further else None


def test_first_the_walk_round_then_the_quote_then_the_buying() -> None:
    job = demo_job()
    assert told(job, 0, None) == ([0, 0, 0], "Walk-round")
    assert told(job, 7, PLAN) == ([7, 5, 0], "Walk-round")
    assert told(job, 10, None) == ([10, 0, 0], "Verdicts")
    assert told(job, 10, PLAN) == ([10, 5, 0], "Quote")
    yes = {"at": "2026-03-01T10:00:00+00:00", "name": "K. Marrow", "how": "signed"}
    agreed = with_event(job, kind="promised", verdicts={"dash_top": "leave"}, sum=job.money.sum, yes=yes)
    assert told(agreed, 10, PLAN) == ([10, 10, 0], "Buying")


def test_the_rebuild_gets_on_as_steps_go_back_and_ends_with_the_keys() -> None:
    job = demo_job()
    steps = ("carpet_main", "parcel_shelf")
    for step in steps:
        job = with_event(job, kind="opened", step=step)
    stage = [each.name for each in rail(row(0), "", job, None)].index("Rebuild")

    def tenths() -> int:
        return rail(row(0), "", job, None)[stage].tenths

    assert tenths() == 0
    job = with_event(job, kind="opened", step=steps[0], back_on=True)
    assert tenths() == 5
    job = with_event(job, kind="opened", step=steps[1], back_on=True)
    assert tenths() == 9
    job = with_event(job, kind="handed_over")
    assert tenths() == 10
