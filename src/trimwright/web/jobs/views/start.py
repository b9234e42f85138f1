"""The jobs there are and the work they make together, the way into one, and a new one in four questions."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_http_methods

from trimwright.facts import load
from trimwright.job.document import Job
from trimwright.job.edits import SetField, apply
from trimwright.job.starting import started
from trimwright.web.jobs import store
from trimwright.web.jobs.devices import device_of, may_change_money
from trimwright.web.jobs.forms import NewJobForm
from trimwright.web.jobs.frame import job_page
from trimwright.web.jobs.models import State
from trimwright.web.jobs.standing import days_in_time, standings

LATEST = 5
"""Changes told on a job's own page."""


@never_cache
@require_GET
def jobs(request: HttpRequest) -> HttpResponse:
    """Where every job stands, and all of them over the same hands; what is put away below."""
    shared, rows = store.shared_calendar(), store.jobs()
    data = shared.data or {}
    context = {
        "standings": standings(rows, data, may_quote=may_change_money(request)),
        "calls": store.calls(),
        "shared": data,
        "shared_pending": shared.state in (State.WAITING, State.RUNNING),
        "shared_failed": shared.state == State.FAILED,
        "days": days_in_time(data),
        "away": store.jobs_away(),
    }
    with timezone.override(data.get("zone") or timezone.get_current_timezone()):
        return render(request, "jobs/list.html", context)


@require_GET
def job(request: HttpRequest, key: str) -> HttpResponse:
    """One job: what to do next, and what else can be done with it."""
    return job_page(request, "jobs/job.html", key, "", {"latest": store.history(key, most=LATEST)})


@require_http_methods(["GET", "HEAD", "POST"])
def new_job(request: HttpRequest) -> HttpResponse:
    """Four questions; their answers bring the body's usual parts, none of them seen yet."""
    shop = store.shop()
    first = {"currency": shop.currency, "units": shop.units, "body": "two-door"}
    form = NewJobForm(request.POST) if request.method == "POST" else NewJobForm(initial=first)
    if form.is_valid():
        row = store.start_job(_begun(form), device_of(request))
        return redirect("job", row.key)
    return render(request, "jobs/new.html", {"form": form}, status=422 if form.is_bound else 200)


def _begun(form: NewJobForm) -> Job:
    told = form.cleaned_data
    job = started(
        load(),
        car={"text": told["car"], "year": told["year"], "body": told["body"], "units": told["units"]},
        money={"currency": told["currency"], "sum": told["sum_minor"]},
    )
    wanted_by = told["wanted_by"]
    return apply(job, SetField(path=("time", "wanted_by"), value=wanted_by.isoformat())) if wanted_by else job
