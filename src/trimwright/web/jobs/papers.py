"""The papers of a plan, printed when the plan was made and kept as files beside the database."""

from __future__ import annotations

import shutil
from pathlib import Path

from django.conf import settings

from trimwright.web.jobs.models import PlanRecord
from trimwright.web.jobs.store import NoSuchRecord


def keep(plan: PlanRecord, name: str, paper: bytes) -> None:
    """Keep one paper of a plan under the name of its file."""
    folder = _folder(plan.job_id, plan.pk)
    folder.mkdir(parents=True, exist_ok=True)
    (folder / name).write_bytes(paper)


def paper(plan: PlanRecord, name: str) -> Path:
    """Where a paper of a plan lies; NoSuchRecord when it was not printed."""
    path = _folder(plan.job_id, plan.pk) / name
    if not path.is_file():
        raise NoSuchRecord(f"{plan.job_id}: {name}")
    return path


def drop(key: str, pk: int) -> None:
    """Drop the papers of a plan that is no longer kept."""
    shutil.rmtree(_folder(key, pk), ignore_errors=True)


def drop_all(key: str) -> None:
    """Drop every paper of a job."""
    shutil.rmtree(Path(settings.PAPERS) / key, ignore_errors=True)


def _folder(key: str, pk: int) -> Path:
    return Path(settings.PAPERS) / key / str(pk)
