"""What is worked out of a job's photos: pairs laid over each other, the hand-over book printed."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime

from django.utils import timezone

from trimwright.web.jobs.models import PhotoWork, State


def ask_for_photo_work(key: str, about: str, *, anew: bool = False) -> None:
    """Ask for it; `anew` although it is there, unless it waits already."""
    found, made = PhotoWork.objects.get_or_create(job_id=key, about=about, defaults={"asked_at": timezone.now()})
    if not made and (anew or found.state == State.FAILED) and found.state != State.WAITING:
        PhotoWork.objects.filter(pk=found.pk).update(state=State.WAITING, asked_at=timezone.now())


def ask_for_photo_works(key: str, abouts: Iterable[str]) -> None:
    """Ask for all of these at once; what is there already stays."""
    now = timezone.now()
    rows = [PhotoWork(job_id=key, about=about, asked_at=now) for about in abouts]
    PhotoWork.objects.bulk_create(rows, ignore_conflicts=True)


def photo_works(key: str) -> dict[str, PhotoWork]:
    """All of a job, by what they are about."""
    return {each.about: each for each in PhotoWork.objects.filter(job=key)}


def take_photo_work() -> PhotoWork | None:
    """What has waited longest, now this worker's; None when nothing waits."""
    for found in PhotoWork.objects.filter(state=State.WAITING).order_by("asked_at")[:10]:
        mine = PhotoWork.objects.filter(pk=found.pk, state=State.WAITING)
        if mine.update(state=State.RUNNING, heard_at=timezone.now()):
            return found
    return None


def end_photo_work(pk: int, data: object, *, failed: bool = False) -> None:
    """Keep what came of it; what has been asked anew meanwhile stays asked."""
    state = State.FAILED if failed else State.DONE
    running = PhotoWork.objects.filter(pk=pk, state=State.RUNNING)
    running.update(state=state, data=data, heard_at=timezone.now())


def photo_works_unheard(since: datetime) -> None:
    """Put what its worker has not ended since back among the waiting."""
    lost = PhotoWork.objects.filter(state=State.RUNNING, heard_at__lt=since)
    if lost.exists():
        lost.update(state=State.WAITING)
