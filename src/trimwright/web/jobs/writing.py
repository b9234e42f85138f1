"""How a stage's plain forms write: an event with its own id and its moment, and one edit kept with word of it."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest
from django.utils import timezone
from django.utils.translation import gettext as _

from trimwright.errors import BadEdit, Problem
from trimwright.job.document import Job
from trimwright.job.edits import Edit
from trimwright.web.jobs import store
from trimwright.web.jobs.devices import device_of


def event_id(kind: str, edit_id: str) -> str:
    """An event's id, made of the form's own: sent twice, it is the same.

    >>> event_id("bought", "0a1b2c3d4e5f60718293a4b5c6d7e8f9-2")
    'bought-0a1b2c3d4e5f-2'
    """
    whose, _dash, row = edit_id.lower().partition("-")
    return "-".join(each for each in (kind, whose[:12], row) if each)


def happened(request: HttpRequest, kind: str, edit_id: str, **told: Any) -> dict[str, Any]:
    """An event as plain data, now and by this device; what it tells is checked when it is kept."""
    at = timezone.localtime().replace(microsecond=0).isoformat()
    return {"kind": kind, "id": event_id(kind, edit_id), "at": at, "by": device_of(request).who, **told}


def seen_by(request: HttpRequest, key: str) -> int:
    """The revision that a form was made on; the newest where it does not say."""
    newest, typed = store.record(key).revision, request.POST.get("revision", "")
    seen = int(typed) if typed.isascii() and typed.isdigit() and len(typed) < 10 else newest
    if not 0 < seen <= newest:
        raise BadEdit(Problem(_("this form"), typed, _("is out of date."), _("Reload the page and send it once more.")))
    return seen


def seen_job(request: HttpRequest, key: str) -> Job:
    """The job as it was when the form was made."""
    return store.job_at(key, seen_by(request, key))


def keep(request: HttpRequest, key: str, edit: Edit) -> store.Saved:
    """Keep an edit made on the revision that the form was made on; its line becomes a message.

    ChangedMeanwhile when the same field was changed since; the form sent twice stores once.
    """
    edit_id = request.POST.get("edit_id", "")[:64] or None
    saved = store.edit_job(key, edit, device_of(request), seen=seen_by(request, key), edit_id=edit_id)
    if saved.stored:
        messages.info(request, saved.line)
    return saved
