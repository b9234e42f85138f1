"""A job that leaves the table: put away, brought back, or deleted once its bundle was offered."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST

from trimwright.web.jobs import papers, photos, store
from trimwright.web.jobs.devices import device_of


@require_POST
def away(request: HttpRequest, key: str) -> HttpResponse:
    """Out of sight; the list of jobs brings it back."""
    store.put_job_away(key, device_of(request))
    messages.info(request, _("%(job)s is put away.") % {"job": store.record(key).name})
    return redirect("jobs")


@require_POST
def back(request: HttpRequest, key: str) -> HttpResponse:
    """At hand again."""
    store.bring_job_back(key, device_of(request))
    return redirect("job", key)


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def delete(request: HttpRequest, key: str) -> HttpResponse:
    """What would be gone, its bundle to fetch first, and a tick before it goes."""
    row, missing = store.record(key), False
    if request.method == "POST":
        missing = "sure" not in request.POST
        if not missing:
            store.delete_job(key, device_of(request))
            photos.drop(key)
            papers.drop_all(key)
            messages.info(request, _("%(job)s is deleted.") % {"job": row.name})
            return redirect("jobs")
    context = {"row": row, "photos": len(store.photos(key)), "missing": missing}
    return render(request, "jobs/delete.html", context, status=422 if missing else 200)
