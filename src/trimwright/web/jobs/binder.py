"""Lays pairs of photos over each other, prints hand-over books, works out files given to the workbench; one by one.

The work is done in a process of its own, started when there is some and ended when there has been none for a while.
"""

from __future__ import annotations

import logging
import time
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from datetime import timedelta
from pathlib import Path
from typing import Any

from django.conf import settings
from django.utils import timezone

from trimwright.book.applied import with_own_treatments
from trimwright.facts import load
from trimwright.job.hand_over import pairs_of
from trimwright.web.jobs import bench_files, photo_work, planning, store
from trimwright.web.jobs.apart import APART
from trimwright.web.jobs.beside import Beside
from trimwright.web.jobs.models import PhotoWork
from trimwright.web.jobs.photos import photo_file

LOOK_S = 0.2
IDLE_S = 60
"""The process ends after so long without work."""
UNHEARD_S = 120

Run = Callable[..., Any]
"""Runs a function of `photo_work` with what it needs, here or in a process of its own."""

log = logging.getLogger(__name__)


class Binder(Beside):
    """Does what is asked of photos and files; what is being worked out when it is told to stop is finished first."""

    name, look_s = "binder", LOOK_S

    def __init__(self) -> None:
        super().__init__()
        self._pool: ProcessPoolExecutor | None = None
        self._worked = time.monotonic()

    def tidy(self) -> None:
        """What another has dropped is taken up again; the process ends once it has had nothing to do for a while."""
        store.photo_works_unheard(timezone.now() - timedelta(seconds=UNHEARD_S))
        store.bench_works_unheard(timezone.now() - timedelta(seconds=UNHEARD_S))
        if time.monotonic() - self._worked > IDLE_S:
            self.end()

    def work_next(self) -> bool:
        """A file of the workbench, or a photo's affair."""
        done = bench_files.work_next(self.there) or work_next(self.there)
        if done:
            self._worked = time.monotonic()
        return done

    def there(self, do: Run, *given: Any) -> Any:
        """Run it in a process of its own."""
        if self._pool is None:
            self._pool = ProcessPoolExecutor(1, mp_context=APART)
        return self._pool.submit(do, *given).result()

    def end(self) -> None:
        """End that process."""
        if self._pool is not None:
            self._pool.shutdown(cancel_futures=True)
            self._pool = None


def here(do: Run, *given: Any) -> Any:
    """Run it in this process."""
    return do(*given)


def work_next(run: Run = here) -> bool:
    """Do what has waited longest; False when nothing waits."""
    work = store.take_photo_work()
    if work is None:
        return False
    try:
        data = _bound(work, run) if work.about == photo_work.BOOK else _laid(work, run)
    except (ValueError, OSError, store.NoSuchRecord):
        log.exception("%s could not be worked out", work)
        store.end_photo_work(work.pk, None, failed=True)
    else:
        store.end_photo_work(work.pk, data)
    return True


def _laid(work: PhotoWork, run: Run) -> Any:
    _over, before, after = work.about.split(" ")
    key = work.job_id
    return run(photo_work.lay_over, photo_file(key, before), photo_file(key, after), over_file(key, before, after))


def _bound(work: PhotoWork, run: Run) -> Any:
    """The book of the job as it is now; the plan's part of it is the newest plan's that has one."""
    key = work.job_id
    revision = store.record(key).revision
    job, plan, book = store.job_at(key, revision), store.newest_with(key, "handover"), store.book()
    if plan is None:
        raise store.NoSuchRecord(f"{key}: a plan with a hand-over")
    words = {
        **(plan.result or {})["handover"],
        **planning.hand_over_words(job, with_own_treatments(load(), book), book),
    }
    names = {name for each in pairs_of(job) for name in (each.before, each.after)}
    photos = {name: photo_file(key, name) for name in sorted(names)}
    run(photo_work.print_book, job, words, photos, timezone.localdate(), book_file(key))
    return {"revision": revision}


def over_file(key: str, before: str, after: str) -> Path:
    """Where the later photo of a pair lies, drawn in the frame of the earlier one."""
    return Path(settings.PHOTOS) / key / "over" / f"{before}--{after}.jpg"


def book_file(key: str) -> Path:
    """Where the hand-over book lies."""
    return Path(settings.PAPERS) / key / "hand-over-book.pdf"
