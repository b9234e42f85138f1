"""Files given to the workbench: kept while they are worked on, with what comes of them; the oldest make room.

Which process works on them is the binder's affair.
"""

from __future__ import annotations

import re
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.files.uploadedfile import UploadedFile
from django.utils import timezone
from django.utils.crypto import get_random_string
from django.utils.translation import gettext as _

from trimwright.errors import BadInput, Problem
from trimwright.web.jobs import bench_work, store
from trimwright.web.jobs.bench_work.kind import DOING, STOP, Kind
from trimwright.web.jobs.models import BenchWork

MOST_KEPT = 40
"""Folders; a file given after that drops the oldest."""
KEY = re.compile(r"[a-z0-9]{16}")
DRAFT = "draft.txt"

Run = Callable[..., Any]


def keep(kind: Kind, sent: UploadedFile[bytes] | None, again: str) -> str:
    """Keep the file that was sent, or the one given before, under a key of its own; BadInput when there is none."""
    before = given(again)
    ending = Path(sent.name or "").suffix.lower() if sent else before.suffix if before else ""
    problem = None
    if sent is None and before is None:
        problem = Problem(_("file"), "", _("is missing."), _("Choose one."))
    elif ending not in kind.endings:
        problem = Problem(_("file"), ending, _("is of no kind that is read here."), ", ".join(kind.endings))
    elif sent and (sent.size or 0) > kind.most_bytes:
        way_out = _("Give one of at most {megabytes} MB: coarser, or cut down to what is wanted.")
        most = way_out.format(megabytes=kind.most_bytes // 1_000_000)
        problem = Problem(_("file"), sent.name or "", _("is too large."), most)
    if problem:
        raise BadInput(problem)
    key = get_random_string(16, "abcdefghijklmnopqrstuvwxyz0123456789")
    path = folder(key) / f"given{ending}"
    path.parent.mkdir(parents=True)
    if sent is not None:
        with path.open("wb") as file:
            for chunk in sent.chunks():
                file.write(chunk)
    elif before is not None:
        looked = kind.look.files if kind.look else ()
        for each in (before, *(found for name in looked if (found := before.with_name(name)).exists())):
            shutil.copy(each, path.parent)
    _make_room()
    return key


def folder(key: str) -> Path:
    """Where a file given lies, and what came of it."""
    return Path(settings.DATA) / "bench" / key


def given(key: str) -> Path | None:
    """The file itself; None once it is gone."""
    return next(folder(key).glob("given.*"), None) if KEY.fullmatch(key) else None


def keep_draft(key: str, text: str) -> None:
    """Keep what is being changed by hand on its page, until it is worked out anew."""
    if folder(key).is_dir():
        (folder(key) / DRAFT).write_text(text, encoding="utf-8", newline="")


def draft(key: str) -> str | None:
    """What was being changed by hand; None where nothing was."""
    kept = folder(key) / DRAFT
    return kept.read_text(encoding="utf-8") if kept.is_file() else None


def doing(key: str) -> str:
    """What is being done with it now, as far as the work says."""
    told = folder(key) / DOING
    return told.read_text(encoding="utf-8") if told.is_file() else ""


def stop(key: str) -> None:
    """Let it be content with what it has found."""
    if folder(key).is_dir():
        (folder(key) / STOP).touch()


def work_next(run: Run) -> bool:
    """Work out what has waited longest, by `run`, here or in a process of its own; False when nothing waits."""
    work = store.take_bench_work()
    if work is None:
        return False
    data, problems = _worked_out(work, run)
    store.end_bench_work(work.key, data, problems)
    return True


def _worked_out(work: BenchWork, run: Run) -> bench_work.Told:
    file = given(work.key)
    if file is None:
        return None, (Problem(_("file"), "", _("is no longer there."), _("Give it once more.")),)
    found: bench_work.Told = run(
        bench_work.work_out, work.kind, file, work.asked, timezone.localtime(), folder(work.key)
    )
    if not bench_work.KINDS[work.kind].keeps_file:
        file.unlink()
    return found


def _make_room() -> None:
    kept = sorted(folder("").iterdir(), key=lambda each: each.stat().st_mtime)
    gone = kept[:-MOST_KEPT]
    store.drop_bench_work([each.name for each in gone])
    for each in gone:
        shutil.rmtree(each, ignore_errors=True)
