"""What happened to a job: every revision as a line, two of them compared, any of them taken back or restored."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_POST

from trimwright.web.jobs import store
from trimwright.web.jobs.devices import device_of
from trimwright.web.jobs.frame import job_page


@require_GET
def history(request: HttpRequest, key: str) -> HttpResponse:
    """Every revision, newest first."""
    return job_page(request, "jobs/history.html", key, "history", {"revisions": store.history(key)})


@require_GET
def compare(request: HttpRequest, key: str) -> HttpResponse:
    """What differs between the revisions `old` and `new`, field by field."""
    newest = store.record(key).revision
    one, other = _number(request, "old", newest - 1), _number(request, "new", newest)
    old, new = min(one, other), max(one, other)
    context = {"old": old, "new": new, "differences": store.compared(key, old, new)}
    return job_page(request, "jobs/compare.html", key, "history", context)


@require_POST
def take_back(request: HttpRequest, key: str, number: int) -> HttpResponse:
    """Take back what one revision changed; later ones stand."""
    return _told(request, key, store.revert(key, number, device_of(request)))


@require_POST
def restore(request: HttpRequest, key: str, number: int) -> HttpResponse:
    """Make the job what it was at a revision."""
    return _told(request, key, store.restore(key, number, device_of(request)))


def _told(request: HttpRequest, key: str, saved: store.Saved) -> HttpResponse:
    messages.info(request, saved.line if saved.stored else _("There is nothing to change: it is so already."))
    return redirect("history", key)


def _number(request: HttpRequest, name: str, otherwise: int) -> int:
    told = request.GET.get(name, "")
    return int(told) if told.isascii() and told.isdigit() and len(told) < 9 else max(1, otherwise)
