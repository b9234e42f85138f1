"""What takes a second or more with a job's photos, and the files it leaves; runs in a process that knows no Django.

over BEFORE AFTER   the later photo drawn in the frame of the earlier one, where the two can be laid over each other
book                the hand-over book as PDF
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict
from datetime import date
from pathlib import Path
from typing import Any

from trimwright.job.document import Job

OVER, BOOK = "over", "book"


def about_pair(before: str, after: str) -> str:
    """What laying two photos over each other is called."""
    return f"{OVER} {before} {after}"


def lay_over(before: Path, after: Path, into: Path) -> dict[str, Any] | None:
    """Draw the later photo in the frame of the earlier; how it lies, None where the two share too little."""
    from trimwright.geometry.overlay import laid_over, overlay

    earlier, later = before.read_bytes(), after.read_bytes()
    how = overlay(earlier, later)
    if how is not None:
        _write(into, laid_over(earlier, later, how))
    return asdict(how) if how is not None else None


def print_book(job: Job, words: dict[str, Any], photos: Mapping[str, Path], today: date, into: Path) -> None:
    """Print the hand-over book, with those of its photos that are there."""
    from trimwright.web.jobs.planning import hand_over_book

    held = {name: path.read_bytes() for name, path in photos.items() if path.is_file()}
    _write(into, hand_over_book(job, words, held, today))


def _write(path: Path, data: bytes) -> None:
    """On the disk whole, or not at all."""
    path.parent.mkdir(parents=True, exist_ok=True)
    beside = path.with_name(f".{path.name}.part")
    beside.write_bytes(data)
    beside.replace(path)
