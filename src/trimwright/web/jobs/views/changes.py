"""Changes to a job as every page sends them, undo and redo; and the strip that tells of the plan they ask for."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.http import url_has_allowed_host_and_scheme
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_POST
from django_htmx.http import HttpResponseStopPolling, trigger_client_event

from trimwright.errors import BadEdit, Problem
from trimwright.job.edits import read_edit
from trimwright.web.answers import wants_json
from trimwright.web.jobs import store
from trimwright.web.jobs.devices import device_of
from trimwright.web.jobs.frame import plan_context


@require_POST
def edits(request: HttpRequest, key: str) -> HttpResponse:
    """Store one edit: `edit` as JSON, `revision` it was made on, `edit_id` of the client's own.

    JSON is answered with the new revision and the line; a form is sent back to where it came from. 409 when somebody
    else changed the same field meanwhile, 422 when the edit does not fit.
    """
    seen, edit_id = request.POST.get("revision", ""), request.POST.get("edit_id", "")
    if not seen.isascii() or not seen.isdigit() or not 0 < len(edit_id) <= 64:
        what = "needs the revision it was made on and an id of its own."
        raise BadEdit(Problem("edit", "", what, "Reload the page and try again."))
    saved = store.edit_job(
        key, read_edit(request.POST.get("edit", "")), device_of(request), seen=int(seen), edit_id=edit_id
    )
    return saved_answer(request, key, saved)


@require_POST
def undo(request: HttpRequest, key: str) -> HttpResponse:
    """Take back this device's last change."""
    return saved_answer(request, key, store.undo(key, device_of(request)))


@require_POST
def redo(request: HttpRequest, key: str) -> HttpResponse:
    """Do again what this device took back last."""
    return saved_answer(request, key, store.redo(key, device_of(request)))


@never_cache
@require_GET
def plan(request: HttpRequest, key: str) -> HttpResponse:
    """The money strip; asked for every second while a plan is being made.

    `had` names the stages the page has. As soon as there are others the page is told by the event `plan-ready`.
    """
    row = store.record(key)
    context = {"row": row, "job": store.job_at(key, row.revision), **plan_context(row, store.newest_plan(key))}
    response: HttpResponse = render(request, "jobs/_strip.html", context)
    if not context["plan_pending"]:
        response = HttpResponseStopPolling(response.content)
    if context["plan_stages"] != request.GET.get("had", ""):
        trigger_client_event(response, "plan-ready", {"stages": context["plan_stages"], "revision": row.revision})
    return response


@require_POST
def plan_again(request: HttpRequest, key: str) -> HttpResponse:
    """Ask for the plan once more, after it failed."""
    store.ask_again(key)
    return redirect("job", key)


def saved_answer(request: HttpRequest, key: str, saved: store.Saved | None) -> HttpResponse:
    """What a change is answered with: JSON for a script, else the way back to `next`, or to the job."""
    if wants_json(request):
        told = {"revision": saved.revision, "line": saved.line, "stored": saved.stored} if saved else None
        return JsonResponse({"saved": told})
    if saved and saved.stored:
        messages.info(request, saved.line)
    elif saved is None:
        messages.info(request, _("There is nothing to take back or do again."))
    back = request.POST.get("next", "")
    safe = url_has_allowed_host_and_scheme(back, {request.get_host()}, require_https=request.is_secure())
    onward = back if safe else reverse("job", args=[key])
    if request.headers.get("HX-Request"):
        response = HttpResponse(status=204)
        response["HX-Redirect"] = onward
        return response
    return redirect(onward)
