"""The job as a JSON file: the same job is always the same bytes, and a bad file says all that is wrong with it."""

from __future__ import annotations

import json
import os
import re
from collections import Counter
from pathlib import Path
from typing import Any, NoReturn

from pydantic import ValidationError

from trimwright.errors import Problem, UnreadableFile
from trimwright.job.document import Job, ids_given_twice
from trimwright.job.refusals import problems_of
from trimwright.job.upgrades import upgraded

MAX_BYTES = 20_000_000
"""Largest job file read; a thousand parts with long notes stay below it."""
TOO_LARGE = f"is larger than {MAX_BYTES // 1_000_000} MB, which no job is."


def read_job(source: Path | bytes) -> Job:
    """The job in a file or in bytes; UnreadableFile with every problem when it is not one."""
    data = source if isinstance(source, bytes) else file_bytes(source)
    if len(data) > MAX_BYTES:
        _refuse("file", TOO_LARGE, "Check that it is the right file.")
    return _validated(upgraded(_document(_text(data))))


def file_bytes(path: Path) -> bytes:
    """What is in a file; UnreadableFile when it is not there or larger than any job, and then it is not read."""
    try:
        with path.open("rb") as file:
            data = file.read(MAX_BYTES + 1)
    except OSError as error:
        _refuse(path.name or str(path), f"cannot be read ({error.strerror}).", "Check the name and the folder.")
    if len(data) > MAX_BYTES:
        _refuse(path.name or str(path), TOO_LARGE, "Check that it is the right file.")
    return data


def job_bytes(job: Job) -> bytes:
    """The job as UTF-8 JSON: fields in the document's order, sets and mappings sorted, a line end at the end."""
    return (json.dumps(job.model_dump(mode="json"), ensure_ascii=False, allow_nan=False, indent=1) + "\n").encode()


def write_job(job: Job, path: Path) -> None:
    """Write the job whole or not at all: beside the file first, then in its place."""
    beside = path.with_name(f".{path.name}.{os.getpid()}.part")
    try:
        beside.write_bytes(job_bytes(job))
        beside.replace(path)
    finally:
        beside.unlink(missing_ok=True)


def _validated(raw: dict[str, Any]) -> Job:
    try:
        return Job.from_plain(raw)
    except ValidationError as error:
        raise UnreadableFile(dict.fromkeys((*problems_of(error, raw), *_ids_given_twice(raw)))) from None


def _ids_given_twice(raw: dict[str, Any]) -> list[Problem]:
    """The clash the document itself only sees when all its fields are right."""
    parts = raw.get("parts")
    ids = [part.get("id") for part in parts if isinstance(part, dict)] if isinstance(parts, list) else []
    return ids_given_twice(each for each in ids if isinstance(each, str))


def _text(data: bytes) -> str:
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        _refuse(f"byte {error.start + 1}", "is no UTF-8 text.", "Check that it is a job file, and that it came whole.")


def _document(text: str) -> dict[str, Any]:
    try:
        raw = json.loads(text, object_pairs_hook=_each_key_once)
    except json.JSONDecodeError as error:
        begun = text[error.pos :].strip()  # of a file cut short, a number, a word or nothing is left here
        if error.msg.startswith("Unterminated") or re.fullmatch(r"[\w.,+-]*", begun):
            _refuse(f"line {error.lineno}", "is where the file ends, in the middle of the job.", "Fetch a whole copy.")
        _refuse(f"line {error.lineno}, column {error.colno}", f"is not JSON ({error.msg}).", "Undo the last hand edit.")
    except RecursionError:
        _refuse("file", "is nested deeper than any job.", "Check that it is the job file.")
    except ValueError as error:
        _refuse("file", f"holds a number that cannot be read ({error}).", "Correct the figure.")
    if not isinstance(raw, dict):
        _refuse("file", "is not a job: it holds no group of fields.", "Check that it is the job file.")
    return raw


def _each_key_once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    counts = Counter(key for key, _ in pairs)
    if len(counts) < len(pairs):
        twice = ", ".join(repr(key) for key, count in counts.items() if count > 1)
        _refuse("file", f"gives {twice} twice in one place.", "Take one of the two out.")
    return dict(pairs)


def _refuse(where: str, what: str, way_out: str) -> NoReturn:
    raise UnreadableFile(Problem(where, "", what, way_out))
