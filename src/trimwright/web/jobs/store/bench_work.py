"""Files given to the workbench, and what came of them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any

from django.utils import timezone

from trimwright.errors import Problem
from trimwright.web.jobs.models import BenchWork, State
from trimwright.web.jobs.store.rows import NoSuchRecord


def ask_bench_work(key: str, kind: str, asked: Mapping[str, str]) -> BenchWork:
    """Ask for it; its file is on the disk by then."""
    return BenchWork.objects.create(key=key, kind=kind, asked=dict(asked), asked_at=timezone.now())


def bench_work(key: str) -> BenchWork:
    """The work of this key, however far it is."""
    found = BenchWork.objects.filter(key=key).first()
    if found is None:
        raise NoSuchRecord(f"bench work {key}")
    return found


def finished_bench_work(kinds: Sequence[str]) -> Sequence[BenchWork]:
    """Works of these kinds of which something came, the newest first."""
    return list(BenchWork.objects.filter(kind__in=kinds, state=State.DONE).order_by("-asked_at"))


def take_bench_work() -> BenchWork | None:
    """What has waited longest, now this worker's; None when nothing waits."""
    for found in BenchWork.objects.filter(state=State.WAITING)[:10]:
        mine = BenchWork.objects.filter(pk=found.pk, state=State.WAITING)
        if mine.update(state=State.RUNNING, heard_at=timezone.now()):
            return found
    return None


def end_bench_work(key: str, data: Any, problems: Sequence[Problem] = ()) -> None:
    """Keep what came of it, or why nothing did."""
    told = [{"where": e.where, "value": e.value, "what": e.what, "way_out": e.way_out} for e in problems]
    state = State.DONE if data is not None else State.FAILED
    BenchWork.objects.filter(key=key).update(state=state, data=data, problems=told, heard_at=timezone.now())


def bench_works_unheard(since: datetime) -> None:
    """Put what its worker has not ended since back among the waiting."""
    lost = BenchWork.objects.filter(state=State.RUNNING, heard_at__lt=since)
    if lost.exists():
        lost.update(state=State.WAITING)


def drop_bench_work(keys: Sequence[str]) -> None:
    """Forget what nobody comes back to."""
    BenchWork.objects.filter(key__in=keys).delete()
