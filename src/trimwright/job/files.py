"""The job as a JSON file: the same job is always the same bytes, and a bad file says all that is wrong with it."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from pydantic import ValidationError

from trimwright.errors import Problem, UnreadableFile
from trimwright.job.document import Job, ids_given_twice
from trimwright.job.json_file import as_bytes, read_plain, write_whole
from trimwright.job.refusals import problems_of
from trimwright.job.upgrades import upgraded

NOUN = "job"


def read_job(source: Path | bytes) -> Job:
    """The job in a file or in bytes; UnreadableFile with every problem when it is not one."""
    raw = upgraded(read_plain(source, NOUN))
    try:
        return Job.from_plain(raw)
    except ValidationError as error:
        raise UnreadableFile(dict.fromkeys((*problems_of(error, raw), *_ids_given_twice(raw)))) from None


def job_bytes(job: Job) -> bytes:
    """The job as it stands in its file."""
    return as_bytes(job)


def write_job(job: Job, path: Path) -> None:
    """Write the job whole or not at all."""
    write_whole(job_bytes(job), path)


def _ids_given_twice(raw: dict[str, Any]) -> list[Problem]:
    """The clash the document itself only sees when all its fields are right."""
    found: list[Problem] = []
    for where in ("parts", "events"):
        entries = raw.get(where)
        ids = [each.get("id") for each in entries if isinstance(each, dict)] if isinstance(entries, list) else []
        found += ids_given_twice((each for each in ids if isinstance(each, str)), where)
    return found
