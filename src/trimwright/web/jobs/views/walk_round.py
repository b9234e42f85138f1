"""The walk-round: the cabin plan and the list, one part after the other, equipment, looks worth taking, parts added.

Every page works by plain forms. The script sends the same forms, one control at a time, and keeps what cannot be sent.
"""

from __future__ import annotations

from typing import Any
from uuid import uuid4

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.cache import cache_control, never_cache
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from trimwright.craft.tape import SHAPES
from trimwright.errors import BadEdit, BadInput, Problem
from trimwright.facts import load
from trimwright.job.document import Job, Part
from trimwright.job.edits import Edit, RemovePart
from trimwright.job.looking import looks_here
from trimwright.web.answers import wants_json
from trimwright.web.jobs import store, surveying, walking
from trimwright.web.jobs.adding import AddPartForm
from trimwright.web.jobs.devices import device_of
from trimwright.web.jobs.frame import job_page

STAGE = "walk-round"


@never_cache
@require_GET
def walk_round(request: HttpRequest, key: str) -> HttpResponse:
    """The cabin plan, what is left to see, equipment and looks, and every part by zone."""
    return _walk(request, key, None)


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def survey_part(request: HttpRequest, key: str, part: str) -> HttpResponse:
    """One part. Posted are its controls, all or some, with the `revision` they were set on and an `edit_id`.

    `then` says what the button meant: `sound`, `unseen`, `measure` (take the area from the tape), `next` or nothing.
    JSON is answered with the new revision and the part as it is then.
    """
    if request.method != "POST":
        return _walk(request, key, part)
    seen = seen_by(request)
    job = store.job_at(key, seen)
    edit = surveying.part_edit(job, load(), _part(job, part), request.POST.dict())
    saved = keep(request, key, edit, seen)
    if wants_json(request):
        here = next((each for each in saved.job.parts if each.id == part), None)
        told = walking.part_data(here, saved.job, load()) if here else None
        return JsonResponse({**_told(request, key, saved), "part": told})
    onward = walking.next_to_see(saved.job, part) if request.POST.get("then") in ("sound", "unseen", "next") else None
    stays = request.POST.get("then") in ("", "measure", None)
    if onward is None and not stays:
        return redirect("walk_round", key)
    return redirect("survey_part", key, onward.id if onward else part)


@require_GET
def part_size(request: HttpRequest, key: str, part: str) -> JsonResponse:
    """The area that tape and shape come to, and the working, before it is taken."""
    job = store.job_at(key, store.record(key).revision)
    try:
        found = surveying.tape(job, _part(job, part), request.GET.dict())
    except BadInput as error:
        return JsonResponse({"working": "", "problems": [f"{each.where}: {each.what}" for each in error.problems]})
    return JsonResponse({"working": found.working, "problems": []})


@require_POST
def remove_part(request: HttpRequest, key: str, part: str) -> HttpResponse:
    """Take a part out of the job; undo brings it back."""
    saved = keep(request, key, RemovePart(part=part), seen_by(request))
    return answer(request, key, saved, reverse("walk_round", args=[key]))


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def add_part(request: HttpRequest, key: str) -> HttpResponse:
    """A part the list does not have: one of the trade's kinds, or the person's own."""
    row = store.record(key)
    form = AddPartForm(request.POST or None, job=store.job_at(key, row.revision), trade=load())
    if form.is_valid():
        edit = form.edit()
        saved = keep(request, key, edit, row.revision)
        return answer(request, key, saved, reverse("survey_part", args=[key, edit.part.id]))
    return walk_page(request, "add_part", key, {"form": form}, 422 if form.is_bound else 200)


@require_GET
@cache_control(private=True, max_age=365 * 24 * 3600, immutable=True)
def catalogue(request: HttpRequest, key: str) -> HttpResponse:
    """Faults, families and kinds for the script; its address names its content, so it may be kept for good."""
    return HttpResponse(walking.catalogue()[0], content_type="application/json; charset=utf-8")


# What the pages stand on.


def _walk(request: HttpRequest, key: str, selected: str | None) -> HttpResponse:
    """The list and one part on one page: with scripts one goes between them without asking."""
    row, trade = store.record(key), load()
    job = store.job_at(key, row.revision)
    chosen = _part(job, selected) if selected is not None else None
    onward = walking.next_to_see(job, selected)
    shown = chosen or onward or next(iter(job.parts), None)
    context = {
        "chosen": chosen,
        "onward": onward,
        "plan_drawing": walking.plan_of(job, key, selected),
        "plan_key": walking.plan_key(),
        "zones": walking.zones(job, trade),
        "looks": looks_here(job, trade),
        "unknown_equipment": walking.unknown_equipment(job),
        "kinds": walking.kinds_for(job, trade),
        "families": trade.families.values(),
        "shapes": SHAPES,
        "blank_fault": walking.FaultChoice(next(iter(trade.faults.values())), ""),
        "cabin": walking.cabin_data(job, key, row.revision, trade),
        **(_part_context(shown, job) if shown else {}),
    }
    return walk_page(request, "walk_round", key, context)


def _part_context(part: Part, job: Job) -> dict[str, Any]:
    trade = load()
    kind = trade.parts.get(part.kind)
    return {
        "part": part,
        "kind": kind,
        "data": walking.part_data(part, job, trade),
        "faults": walking.fault_choices(part, trade),
        "usual_materials": [trade.families[each] for each in kind.materials] if kind else [],
    }


def _part(job: Job, part_id: str) -> Part:
    try:
        return job.part(part_id)
    except KeyError:
        raise store.NoSuchRecord(f"{job.id}: part {part_id}") from None


def walk_page(request: HttpRequest, name: str, key: str, context: dict[str, Any], status: int = 200) -> HttpResponse:
    """A page of this stage, with an id for what is sent from it and the words its script says."""
    whole = {"edit_id": uuid4().hex, "words": walking.words(), **context}
    return job_page(request, f"jobs/walk_round/{name}.html", key, STAGE, whole, status)


def seen_by(request: HttpRequest) -> int:
    """The revision that what is posted was set on."""
    seen = request.POST.get("revision", "")
    if not (seen.isascii() and seen.isdigit()):
        what = _("does not say which revision it was made on.")
        raise BadEdit(Problem(_("this change"), "", what, _("Reload the page and try again.")))
    return int(seen)


def keep(request: HttpRequest, key: str, edit: Edit | None, seen: int) -> store.Saved:
    """Store the edit under the sender's own id, so that sent twice it is there once."""
    if edit is None:
        newest = store.record(key).revision
        return store.Saved(newest, "", store.job_at(key, newest), stored=False)
    edit_id = request.POST.get("edit_id", "")[:64] or None
    return store.edit_job(key, edit, device_of(request), seen=seen, edit_id=edit_id)


def _told(request: HttpRequest, key: str, saved: store.Saved) -> dict[str, Any]:
    """What the script is told: the newest revision, and the `own` one that its edit made, now or the first time."""
    own = saved.revision
    if not saved.stored:
        sent = request.POST.get("edit_id", "")
        own = next((each.number for each in store.history(key) if each.edit_id == sent), own)
    return {"revision": saved.revision, "own": own, "line": saved.line, "stored": saved.stored}


def answer(request: HttpRequest, key: str, saved: store.Saved, onward: str) -> HttpResponse:
    """JSON for the script; else on to a page, where the messages tell what was done."""
    if wants_json(request):
        return JsonResponse({**_told(request, key, saved), "next": onward})
    if saved.stored:
        messages.info(request, saved.line)
    return redirect(onward)
