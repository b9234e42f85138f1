"""What is kept, read by name: jobs, their documents as they were at each revision, their photos."""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache
from typing import Any

from django.utils import timezone
from django.utils.translation import gettext as _

from trimwright.errors import BadInput, Problem, TrimwrightError
from trimwright.job.document import Job
from trimwright.job.files import read_job
from trimwright.web.jobs.devices import Device
from trimwright.web.jobs.models import JobRecord, Photo, Revision

MOST_TRIES = 50
"""So often a change is worked out anew when others keep coming first."""


class NoSuchRecord(TrimwrightError):
    """No job, revision or photo by that name."""


def jobs() -> list[JobRecord]:
    """The jobs at hand, the one changed last first."""
    return list(JobRecord.objects.filter(is_call=False, put_away_at=None))


def jobs_away() -> list[JobRecord]:
    """The jobs that are put away, the last first."""
    return list(JobRecord.objects.filter(is_call=False, put_away_at__isnull=False).order_by("-put_away_at"))


def calls() -> list[JobRecord]:
    """First calls that nobody has taken yet, the last first."""
    return list(JobRecord.objects.filter(is_call=True))


def record(key: str) -> JobRecord:
    """The job's row."""
    try:
        return JobRecord.objects.get(key=key)
    except JobRecord.DoesNotExist:
        raise NoSuchRecord(key) from None


def job_at(key: str, number: int) -> Job:
    """The job as it was at a revision."""
    return _document(key, number)


@lru_cache(maxsize=64)
def _document(key: str, number: int) -> Job:
    """A revision never changes and a key is never used again, so what was read once stays right."""
    text = Revision.objects.filter(job=key, number=number).values_list("document", flat=True).first()
    if text is None:
        raise NoSuchRecord(f"{key} at {number}")
    return read_job(text.encode())


def revisions_whole(key: str) -> Iterable[Revision]:
    """Every revision of a job with its document, oldest first, one at a time."""
    return Revision.objects.filter(job=record(key)).order_by("number").iterator(chunk_size=20)


def add_photo(key: str, name: str, *, part: str, size: tuple[int, int], length: int, by: Device) -> Photo:
    """Keep a photo's row; its file is written before. A photo of that name that is there already stays."""
    width, height = size
    kept, _made = Photo.objects.get_or_create(
        job=record(key),
        name=name,
        defaults={
            "part": part,
            "width": width,
            "height": height,
            "bytes": length,
            "by": by.name,
            "author": by.person,
            "at": timezone.now(),
        },
    )
    return kept


def photo(key: str, name: str) -> Photo:
    """A photo's row."""
    found = Photo.objects.filter(job=key, name=name).first()
    if found is None:
        raise NoSuchRecord(f"{key}: photo {name}")
    return found


def photos(key: str) -> list[Photo]:
    """All photos of a job, oldest first."""
    return list(Photo.objects.filter(job=key).order_by("id"))


def photos_of(key: str, start: str) -> dict[str, list[str]]:
    """Names of photos by what they are of, of all whose subject begins with `start`; oldest first."""
    found: dict[str, list[str]] = {}
    for part, name in Photo.objects.filter(job=key, part__startswith=start).order_by("id").values_list("part", "name"):
        found.setdefault(part, []).append(name)
    return found


def listed(job: Job) -> dict[str, Any]:
    """What a list of jobs shows."""
    return {
        "name": job.name,
        "car": job.car.text,
        "body": job.car.body,
        "currency": job.money.currency,
        "sum": job.money.sum,
        "parts": len(job.parts),
        "seen": sum(part.finish_now is not None for part in job.parts),
    }


def too_busy() -> BadInput:
    """What is said when others kept coming first."""
    what = _("could not be saved: too many changes came at once.")
    return BadInput(Problem(_("this change"), "", what, _("Send it once more.")))
