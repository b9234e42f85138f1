"""A copy of the database a day, by SQLite's own backup call, kept for two weeks; a plain copy of the file would miss
what is still in its log. PostgreSQL has its own ways, and its keeper sees to them.
"""

from __future__ import annotations

import os
import sqlite3
from datetime import date, datetime, timedelta
from pathlib import Path

from django.conf import settings
from django.db import connection
from django.utils import timezone

from trimwright.web.jobs.beside import Beside

KEPT = timedelta(days=14)
LOOK_S = 1800
_NAME = "trimwright-%Y-%m-%d.sqlite3"


class Copies(Beside):
    """Looks twice an hour whether today's copy is made, until it is told to stop."""

    name, look_s = "copies", LOOK_S

    def work_next(self) -> bool:
        """Today's copy."""
        copy_of_the_day(timezone.localtime())
        return False


def copy_of_the_day(now: datetime) -> Path | None:
    """Make this day's copy where there is none, and drop those of more than two weeks ago; the copy that was made."""
    if connection.vendor != "sqlite":
        return None
    folder = Path(settings.COPIES)
    folder.mkdir(parents=True, exist_ok=True, mode=0o700)
    for old in folder.glob("trimwright-*.sqlite3"):
        day = _day(old)
        if day is not None and now.date() - day >= KEPT:
            old.unlink()
    path = folder / now.strftime(_NAME)
    if path.exists():
        return None
    _copy(path)
    return path


def _copy(path: Path) -> None:
    beside = path.with_suffix(f".{os.getpid()}.part")
    connection.ensure_connection()
    try:
        into = sqlite3.connect(beside)
        try:
            connection.connection.backup(into)
        finally:
            into.close()
        beside.chmod(0o600)
        beside.replace(path)
    finally:
        beside.unlink(missing_ok=True)


def _day(path: Path) -> date | None:
    try:
        return datetime.strptime(path.name, _NAME).date()  # noqa: DTZ007  # a day, wherever one is
    except ValueError:
        return None
