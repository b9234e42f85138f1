"""The intake: how the car is before anybody touches it, its photos from fixed angles, the owner's signature."""

from __future__ import annotations

from typing import Any
from uuid import uuid4

from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from trimwright.errors import BadInput, Problem
from trimwright.job.edits import AddEntry, Edit, SetField, Together
from trimwright.job.milestones import intake_of
from trimwright.web.answers import wants_json
from trimwright.web.jobs import planning, store, stripping, taking_in
from trimwright.web.jobs.frame import job_page
from trimwright.web.jobs.photos import photo_sent
from trimwright.web.jobs.saying_yes import YesForm, now_by
from trimwright.web.jobs.taking_in import ANGLES, PHOTO_OF, IntakeForm
from trimwright.web.jobs.views.walk_round import answer, keep, seen_by
from trimwright.web.jobs.writing import happened

STAGE = "strip-down"


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def intake(request: HttpRequest, key: str) -> HttpResponse:
    """The intake. Posted, it is written down, or put right until it is signed; a signed one stays as it is."""
    if request.method != "POST":
        return _page(request, key)
    seen, form = seen_by(request), IntakeForm(request.POST)
    if not form.is_valid():
        return _wrong(request, key, form)
    there = intake_of(store.job_at(key, store.record(key).revision))
    told = {**form.cleaned_data, "angles": taking_in.angles(key)}
    edit: Edit | None
    if there is None or there.yes is not None:
        edit = AddEntry(path=("events",), value=happened(request, "intake", request.POST.get("edit_id", ""), **told))
    else:
        was = there.model_dump(mode="json")
        changed = tuple(
            SetField(path=("events", there.id, name), value=value) for name, value in told.items() if was[name] != value
        )
        edit = Together(edits=changed) if changed else None
    saved = keep(request, key, edit, seen)
    return answer(request, key, saved, reverse("intake", args=[key]) + "#the-yes")


@require_POST
def angle_photo(request: HttpRequest, key: str) -> HttpResponse:
    """One photo from a fixed angle; an intake that is not signed yet takes it in."""
    angle = request.POST.get("angle", "")
    if angle not in ANGLES:
        raise BadInput(Problem(_("angle"), angle, _("is none of those asked for."), _("Reload the page.")))
    photo_sent(request, key, part=f"{PHOTO_OF}{angle}")
    there = intake_of(store.job_at(key, store.record(key).revision))
    edit = None
    if there is not None and there.yes is None:
        edit = SetField(path=("events", there.id, "angles"), value=dict(taking_in.angles(key)))
    saved = keep(request, key, edit, store.record(key).revision)
    return answer(request, key, saved, reverse("intake", args=[key]) + "#angles")


@require_POST
def intake_yes(request: HttpRequest, key: str) -> HttpResponse:
    """The owner signs for what was written down."""
    seen, form = seen_by(request), YesForm(request.POST)
    there = intake_of(store.job_at(key, store.record(key).revision))
    if there is None or there.yes is not None:
        raise BadInput(Problem(_("The intake"), "", _("is not there, or is signed."), _("Reload the page.")))
    if not form.is_valid():
        return _wrong(request, key, form)
    edits = [SetField(path=("events", there.id, "yes"), value=form.yes)]
    if said := form.cleaned_data["note"]:
        edits.append(SetField(path=("events", there.id, "note"), value=f"{there.note} {said}".strip()))
    saved = keep(request, key, Together(edits=tuple(edits)), seen)
    return answer(request, key, saved, reverse("strip_down", args=[key]))


@never_cache
@require_GET
def intake_sheet(request: HttpRequest, key: str) -> HttpResponse:
    """The intake on a page to sign, as PDF; printed when it is asked for."""
    job = store.job_at(key, store.record(key).revision)
    there = intake_of(job)
    if there is None:
        raise store.NoSuchRecord(f"{key}: intake")
    pdf = planning.intake_sheet(job, there, timezone.localdate())
    response = HttpResponse(pdf, content_type="application/pdf")
    response["Content-Disposition"] = f'inline; filename="{job.id}-intake.pdf"'
    return response


# ---- what the page stands on -----------------------------------------------------------------------------------------


def _page(request: HttpRequest, key: str, **wrong: Any) -> HttpResponse:
    job = store.job_at(key, store.record(key).revision)
    there = intake_of(job)
    context = {
        "intake": there,
        "signed": there.yes if there and "anew" not in request.GET else None,
        "form": IntakeForm(initial=taking_in.typed(there)),
        "yes": YesForm(initial=now_by("signed"), auto_id="yes_%s"),
        "angles": taking_in.shown(taking_in.angles(key)),
        "edit_id": uuid4().hex,
        "words": stripping.words(),
        **wrong,
    }
    return job_page(request, "jobs/strip_down/intake.html", key, STAGE, context, 422 if wrong else 200)


def _wrong(request: HttpRequest, key: str, form: IntakeForm | YesForm) -> HttpResponse:
    """422: for the script all that is wrong, else the page with what was typed."""
    if wants_json(request):
        raise BadInput(stripping.problems(form))
    return _page(request, key, **{"form" if isinstance(form, IntakeForm) else "yes": form})
