"""A copy of the database a day, whole though pages write meanwhile, kept for two weeks."""

from __future__ import annotations

import os
import sqlite3
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from tests.plan.small_cabin import small_job
from tests.web.conftest import LAPTOP
from trimwright.web.jobs import copies, store

NOW = datetime(2026, 11, 25, 2, 30, tzinfo=UTC)
pytestmark = [
    pytest.mark.django_db(transaction=True),
    pytest.mark.skipif(bool(os.environ.get("DATABASE_URL")), reason="copies are SQLite's; PostgreSQL has its own"),
]


def test_a_copy_holds_what_was_kept(own_folder: Path) -> None:
    key = store.start_job(small_job(), LAPTOP).key
    path = copies.copy_of_the_day(NOW)
    assert path == own_folder / "copies" / "trimwright-2026-11-25.sqlite3"
    with sqlite3.connect(path) as copy:
        assert copy.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        assert copy.execute("SELECT job_id, number FROM jobs_revision").fetchall() == [(key, 1)]
    copy.close()


def test_one_a_day_for_fourteen_days(own_folder: Path) -> None:
    for day in range(20):
        for hour in (0, 9):
            made = copies.copy_of_the_day(NOW + timedelta(days=day, hours=hour))
            assert (made is not None) == (hour == 0)
    kept = sorted(each.name for each in (own_folder / "copies").iterdir())
    assert len(kept) == 14
    assert (kept[0], kept[-1]) == ("trimwright-2026-12-01.sqlite3", "trimwright-2026-12-14.sqlite3")


def test_what_is_no_copy_of_ours_stays(own_folder: Path) -> None:
    other = own_folder / "copies" / "trimwright-before-the-move.sqlite3"
    other.parent.mkdir()
    other.write_text("kept by hand")
    copies.copy_of_the_day(NOW)
    assert other.exists()
