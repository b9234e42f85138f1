"""What takes a second or more of a file given to the workbench; runs in a process that knows no Django.

A module to each kind of file; `kind` says what a kind is, `KINDS` has them all by their ids.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from pathlib import Path
from typing import Any

from trimwright.errors import BadInput, Problem
from trimwright.web.jobs.bench_work.kind import Kind
from trimwright.web.jobs.bench_work.laying import LAYING
from trimwright.web.jobs.bench_work.outline import OUTLINE
from trimwright.web.jobs.bench_work.panel import PANEL
from trimwright.web.jobs.bench_work.photo import PHOTO
from trimwright.web.jobs.bench_work.scan import SCAN

__all__ = ["KINDS", "LAYING", "OUTLINE", "PANEL", "PHOTO", "SCAN", "Told", "work_out"]

KINDS: Mapping[str, Kind] = {each.id: each for each in (PHOTO, SCAN, PANEL, OUTLINE, LAYING)}

Told = tuple[dict[str, Any] | None, tuple[Problem, ...]]
"""What came of it, or what was wrong: an error with its problems does not come home from another process whole."""


def work_out(kind: str, file: Path, asked: Mapping[str, str], made_at: datetime, into: Path) -> Told:
    """What comes of a file and of what was typed beside it; files that are taken away are written into a folder."""
    try:
        return KINDS[kind].work(file, asked, made_at, into), ()
    except BadInput as error:
        return None, error.problems
