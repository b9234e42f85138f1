"""Jobs going out and coming in: as a job file, or as a bundle with every revision and the photos; and the papers."""

from __future__ import annotations

import tempfile

from django.contrib import messages
from django.core.files.uploadedfile import UploadedFile
from django.http import FileResponse, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_http_methods

from trimwright.errors import BadInput
from trimwright.job.files import job_bytes, read_job
from trimwright.job.json_file import MAX_BYTES
from trimwright.web.jobs import papers, store
from trimwright.web.jobs.bundle import take_in_bundle, write_bundle
from trimwright.web.jobs.devices import device_of
from trimwright.web.jobs.models import JobRecord


@never_cache
@require_GET
def job_file(request: HttpRequest, key: str) -> HttpResponse:
    """The newest revision as a job file, the same bytes as the command line writes."""
    job = store.job_at(key, store.record(key).revision)
    response = HttpResponse(job_bytes(job), content_type="application/json")
    response["Content-Disposition"] = f'attachment; filename="{job.id}.json"'
    return response


@never_cache
@require_GET
def bundle(request: HttpRequest, key: str) -> FileResponse:
    """The whole job as one file."""
    row = store.record(key)
    into = tempfile.TemporaryFile()  # noqa: SIM115  # the answer closes it
    write_bundle(key, into, timezone.now())
    into.seek(0)
    name = f"{store.job_at(key, row.revision).id}.trimwright.zip"
    return FileResponse(into, as_attachment=True, filename=name, content_type="application/zip")


@require_http_methods(["GET", "HEAD", "POST"])
def import_job(request: HttpRequest) -> HttpResponse:
    """Take in a bundle or a job file; refused, it leaves nothing behind."""
    if request.method != "POST":
        return render(request, "jobs/import.html")
    sent = request.FILES.get("file")
    if sent is None:
        return render(request, "jobs/import.html", {"missing": True}, status=422)
    try:
        row = _taken_in(request, sent)
    except BadInput as error:
        context = {"problems": error.problems, "title": _("This file cannot be taken in")}
        return render(request, "jobs/import.html", context, status=422)
    messages.info(request, _("Taken in."))
    return redirect("job", row.key)


@never_cache
@require_GET
def paper(request: HttpRequest, key: str, name: str) -> FileResponse:
    """A paper of the newest plan that was printed, as PDF."""
    plan = store.newest_printed(key)
    job = store.job_at(key, plan.revision)
    return FileResponse(
        papers.paper(plan, f"{name}.pdf").open("rb"), content_type="application/pdf", filename=f"{job.id}-{name}.pdf"
    )


def _taken_in(request: HttpRequest, sent: UploadedFile[bytes]) -> JobRecord:
    """The kind of file is told by its first bytes, not by what it is called."""
    assert sent.file is not None
    if sent.read(4) == b"PK\x03\x04":
        sent.seek(0)
        return take_in_bundle(sent.file, device_of(request))
    sent.seek(0)
    return store.start_job(read_job(sent.read(MAX_BYTES + 1)), device_of(request))
