"""What drawings are cut for: each work's drawings given to parts of a job, which from then on buys by them."""

from __future__ import annotations

from typing import Any
from uuid import uuid4

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.utils.http import urlencode
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from trimwright.errors import BadInput
from trimwright.job.edits import Together
from trimwright.web.jobs import cut_parts, store
from trimwright.web.jobs.bench_work import LAYING
from trimwright.web.jobs.devices import device_of
from trimwright.web.jobs.models import BenchWork


def asked(request: HttpRequest, work: BenchWork) -> dict[str, Any]:
    """The jobs at hand, and, once one is chosen, what each drawing may be for; nothing of a work that noted no area."""
    data = work.data or {}
    jobs = store.jobs() if data.get("areas") else []
    if not jobs or (work.kind == LAYING.id and not data.get("taken")):
        return {}
    key = request.GET.get("job", "")
    chosen = next((each for each in jobs if each.key == key), None)
    offered: cut_parts.Choices = ()
    if chosen is not None:
        on_hides = bool((data.get("taken") or {}).get("hides_mm2"))
        offered = cut_parts.choices(store.job_at(chosen.key, chosen.revision), store.book(), on_hides=on_hides)
    drawings = [(number, name, area / 1e6) for number, (name, area) in enumerate(data["areas"].items())]
    return {"cut_jobs": jobs, "cut_job": chosen, "cut_choices": offered, "cut_drawings": drawings}


@require_POST
def note_cut(request: HttpRequest, key: str) -> HttpResponse:
    """Keep in a job what its parts' pieces come to."""
    work = store.bench_work(key)
    if not work.data or "areas" not in work.data:
        raise Http404(key)
    row = store.record(request.POST.get("job", ""))
    job = store.job_at(row.key, row.revision)
    chosen = {name: request.POST.get(f"for-{number}", "") for number, name in enumerate(work.data["areas"])}
    try:
        edits = cut_parts.edits(work.data, chosen, job, store.book(), timezone.localdate())
    except BadInput as wrong:
        for each in wrong.problems:
            messages.error(request, " ".join(f"{each.where} {each.what} {each.way_out}".split()))
    else:
        edit = Together(edits=edits)
        store.edit_job(row.key, edit, device_of(request), seen=row.revision, edit_id=uuid4().hex)
        messages.info(request, _("Kept in {job}: it buys by these pieces.").format(job=row.name))
    return redirect(f"{reverse('bench_work', args=[key])}?{urlencode({'job': row.key})}")
