"""Jobs going out and coming in: as a job file, or as a bundle with every revision and the photos."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_GET

from trimwright.job.files import job_bytes
from trimwright.web.jobs import store


@require_GET
def job_file(request: HttpRequest, key: str) -> HttpResponse:  # noqa: ARG001
    """The newest revision as a job file, the same bytes as the command line writes."""
    job = store.job_at(key, store.record(key).revision)
    response = HttpResponse(job_bytes(job), content_type="application/json")
    response["Content-Disposition"] = f'attachment; filename="{job.id}.json"'
    return response
