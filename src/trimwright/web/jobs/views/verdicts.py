"""The Verdicts stage: every part's verdict, its other ways, what more buys, wishes; each change is decided again.

The page, and for htmx a fragment of it, is at one address: `opened` asks for the part alone, anything else for the
board with the money strip. What takes the solver seconds is asked of the planner and fetched when it is there.
"""

from __future__ import annotations

from typing import Any
from uuid import uuid4

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.cache import patch_vary_headers
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_http_methods, require_POST
from django_htmx.http import reswap, retarget

from trimwright.errors import BadEdit, BadInput, Problem
from trimwright.facts import load
from trimwright.job.document import Job, Part
from trimwright.job.edits import AddEntry, Edit, RemoveEntry, SetField, Together
from trimwright.web.jobs import deciding, store, wishing
from trimwright.web.jobs.answering import PART, STAIRS, WHY
from trimwright.web.jobs.devices import device_of
from trimwright.web.jobs.frame import frame
from trimwright.web.jobs.models import JobRecord, PlanRecord, State
from trimwright.web.jobs.views import workbench

STAGE = "verdicts"
COLOUR = "cabin_colour"


@never_cache
@require_GET
def verdicts(request: HttpRequest, key: str) -> HttpResponse:
    """The board: `colour` chooses what the cabin plan shows, `stair` which stair is told."""
    return _board(request, key, None)


@never_cache
@require_GET
def verdict_part(request: HttpRequest, key: str, part: str) -> HttpResponse:
    """The board with one part opened; for htmx that asks for `opened`, the part alone."""
    return _board(request, key, part)


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def why_part(request: HttpRequest, key: str, part: str) -> HttpResponse:
    """Asked for every second while the why is worked out: how far, then the whole part. Posted, it is asked anew."""
    context = _context(request, key, part)
    if request.method == "POST":
        if context["plan_record"]:
            store.ask_anew(context["plan_record"].pk, WHY + part)
        return redirect("verdict_part", key, part)
    if not _is_fragment(request):
        return redirect("verdict_part", key, part)
    if context["why_answer"] and context["why_answer"].state in (State.DONE, State.FAILED):
        shown = render(request, "jobs/verdicts/_part.html", context)
        return reswap(retarget(shown, "#opened"), "outerHTML")
    return render(request, "jobs/verdicts/_why_wait.html", context)


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def stairs(request: HttpRequest, key: str) -> HttpResponse:
    """What more buys; asked for every second while it is worked out. Posted, it is asked anew."""
    context = _context(request, key, None)
    if request.method == "POST" and context["plan_record"]:
        store.ask_anew(context["plan_record"].pk, STAIRS)
    if request.method == "POST" or not _is_fragment(request):
        return redirect("verdicts", key)
    return render(request, "jobs/verdicts/_stairs.html", context)


@require_POST
def choose(request: HttpRequest, key: str, part: str) -> HttpResponse:
    """Pin a course to a part, take the pin away, say that it must not have one, or may again."""
    seen, job = _seen(request, key)
    edit = choice(job, _part(job, part), request.POST.get("do", ""), request.POST.get("course", ""))
    return _decided_again(request, key, edit, seen, reverse("verdict_part", args=[key, part]))


@require_POST
def wishes(request: HttpRequest, key: str) -> HttpResponse:
    """Any of the sliders, and the hours on hand."""
    seen, job = _seen(request, key)
    return _decided_again(request, key, wishing.wishes_edit(job, load(), request.POST.dict()), seen)


@require_POST
def wish_sets(request: HttpRequest, key: str) -> HttpResponse:
    """A matching set more, or one less."""
    seen, job = _seen(request, key)
    edit = wishing.set_edit(job, request.POST.dict(), request.POST.getlist("parts"))
    return _decided_again(request, key, edit, seen)


@require_POST
def take_sum(request: HttpRequest, key: str) -> HttpResponse:
    """Another sum, typed or from a stair."""
    seen, job = _seen(request, key)
    return _decided_again(request, key, wishing.sum_edit(job, request.POST.dict()), seen)


def choice(job: Job, part: Part, do: str, course: str) -> Edit:
    """What was chosen for a part; a pin lifts the ban on what it pins, a ban the pin. BadEdit for what is neither."""
    pin, bans = ("parts", part.id, "pin"), ("parts", part.id, "bans")
    must_do = ("wishes", "must_do")
    is_banned, leaves = course in part.bans, course == deciding.LEAVE
    match do:
        case "pin" if course:
            lifted = [RemoveEntry(path=bans, value=course)] if is_banned else []
            lifted += [RemoveEntry(path=must_do, value=part.id)] if leaves and part.id in job.wishes.must_do else []
            return _together(*lifted, SetField(path=pin, value=course))
        case "unpin":
            return SetField(path=pin, value=None)
        case "ban" if course:
            unpinned = [SetField(path=pin, value=None)] if part.pin == course else []
            ban = AddEntry(path=must_do, value=part.id) if leaves else AddEntry(path=bans, value=course)
            return _together(*unpinned, ban)
        case "allow" if leaves:
            return RemoveEntry(path=must_do, value=part.id)
        case "allow" if course:
            return RemoveEntry(path=bans, value=course)
    raise BadEdit(Problem(_("this choice"), do, _("is none there is."), _("Reload the page and try again.")))


def _together(*edits: Edit) -> Edit:
    return edits[0] if len(edits) == 1 else Together(edits=edits)


# ---- what a page shows -----------------------------------------------------------------------------------------------


def _board(request: HttpRequest, key: str, part: str | None) -> HttpResponse:
    context = _context(request, key, part)
    template = "verdicts.html"
    if _is_fragment(request):
        template = "_part.html" if part and request.headers.get("HX-Target") == "opened" else "_board.html"
    response = render(request, f"jobs/verdicts/{template}", context)
    patch_vary_headers(response, ["HX-Request", "HX-Target"])
    return response


def _is_fragment(request: HttpRequest) -> bool:
    """Whether htmx asks for a part of the page; going back it asks for the whole."""
    return "HX-Request" in request.headers and "HX-History-Restore-Request" not in request.headers


def _context(request: HttpRequest, key: str, part_id: str | None) -> dict[str, Any]:
    """All that the board shows; a plan without verdicts yet shows the wishes alone."""
    row = store.record(key)
    context = frame(request, row, STAGE)
    job, trade, made = context["job"], load(), context["plan_record"]
    part = _part(job, part_id) if part_id else None
    context |= {
        "part": part,
        "edit_id": uuid4().hex,
        "colour": _colour(request),
        "colours": deciding.COLOURS,
        "here": reverse("verdict_part", args=[key, part_id]) if part_id else reverse("verdicts", args=[key]),
        "zone_sliders": wishing.zone_sliders(job, trade),
        "floor_sliders": wishing.floor_sliders(job),
        "other_sliders": wishing.other_sliders(job),
        "set_sliders": list(zip(wishing.set_sliders(job), job.wishes.sets, strict=True)),
        "by_zone": wishing.by_zone(job, trade),
    }
    if made is not None and made.result and "verdicts" in made.result:
        context |= _verdicts_context(row, made, job, part, context["colour"])
        context |= _stairs_context(request, made, job)
        if part is not None:
            context |= _part_context(made, job, part, current=context["plan_current"])
    return context


def _colour(request: HttpRequest) -> str:
    """What the cabin plan is coloured by, as it was chosen last in this browser."""
    wanted = request.GET.get("colour", "")
    if wanted in deciding.COLOURS:
        request.session[COLOUR] = wanted
    kept = str(request.session.get(COLOUR))
    return kept if kept in deciding.COLOURS else deciding.FIRST_COLOUR


def _verdicts_context(row: JobRecord, made: PlanRecord, job: Job, part: Part | None, colour: str) -> dict[str, Any]:
    before = store.result_before(made)
    result, earlier = made.result or {}, before.result if before else None
    zones = deciding.zones_of(result, earlier, part.id if part else None)
    lines = store.lines_between(row.key, before.revision if before else made.revision, row.revision)
    known = made.revision - (before.revision if before else made.revision)
    return {
        "zones": zones,
        "news": deciding.news_of(result, earlier, zones, lines[:known]),
        "waiting_lines": lines[known:],
        "cabin": deciding.cabin(job, row.key, zones, colour, part.id if part else None),
    }


def _stairs_context(request: HttpRequest, made: PlanRecord, job: Job) -> dict[str, Any]:
    answer = store.answer(made.pk, STAIRS)
    context: dict[str, Any] = {"stairs_answer": answer}
    if answer is None or answer.data is None:
        return context
    steps = deciding.steps_of(answer.data, job.money.currency)
    wanted = request.GET.get("stair", "")
    at = int(wanted) if wanted.isdecimal() and int(wanted) < len(steps) else answer.data["here"]
    return context | {
        "stairs": answer.data,
        "steps": steps,
        "step": steps[at],
        "next_in": deciding.beside(answer.data["next_in"], job.money.sum, job.money.currency),
        "first_out": deciding.beside(answer.data["first_out"], job.money.sum, job.money.currency),
        "stairs_data": {"here": answer.data["here"], "stairs": [each.plain() for each in steps]},
    }


def _part_context(made: PlanRecord, job: Job, part: Part, *, current: bool) -> dict[str, Any]:
    """The opened part; its why is asked for when the plan is the newest."""
    result = made.result or {}
    verdict = deciding.verdict_of(result, part.id)
    details = store.answer(made.pk, PART + part.id)
    why = store.answer(made.pk, WHY + part.id)
    if why is None and current and details is not None:
        why = store.ask(made.pk, WHY + part.id, urgent=True)
    trade, found = load(), why.data if why else None
    whole = deciding.verdict_of(result, verdict["settled_by"]) if verdict and verdict["settled_by"] else None
    written = details.data if details else None
    ways = deciding.options(written, found, verdict, job.money.currency) if written and verdict else ()
    return {
        "verdict": verdict,
        "whole": whole["name"] if whole else "",
        "details": written,
        "why_answer": why,
        "why": found,
        "options": ways,
        "chosen": next((each for each in ways if each.chosen), None),
        "bans": deciding.bans_of(part, job, trade),
        "faults": deciding.faults_of(part, trade),
        "pin_name": deciding.course_name(part.pin, trade) if part.pin else "",
        "part_floor": wishing.part_floor(job, part),
        "bench_links": workbench.links(made.job_id, made.pk, part.id, material=part.material),
    }


# ---- what is sent ----------------------------------------------------------------------------------------------------


def _seen(request: HttpRequest, key: str) -> tuple[int, Job]:
    """The revision a form was filled in on, and the job as it was then."""
    told = request.POST.get("revision", "")
    if not told.isdecimal():
        raise BadInput(Problem(_("revision"), told, _("is missing."), _("Reload the page and try again.")))
    return int(told), store.job_at(key, int(told))


def _decided_again(
    request: HttpRequest, key: str, edit: Edit | None, seen: int, onward: str | None = None
) -> HttpResponse:
    """Keep the edit, which asks for a plan, and go back to the page that sent it."""
    if edit is not None:
        edit_id = request.POST.get("edit_id", "")[:64] or uuid4().hex
        store.edit_job(key, edit, device_of(request), seen=seen, edit_id=edit_id)
    opened = request.POST.get("opened", "")
    if onward is None and opened in {part.id for part in store.job_at(key, store.record(key).revision).parts}:
        onward = reverse("verdict_part", args=[key, opened])
    return redirect(onward or reverse("verdicts", args=[key]))


def _part(job: Job, part: str) -> Part:
    """The part of this id; NoSuchRecord when there is none."""
    try:
        return job.part(part)
    except KeyError:
        raise store.NoSuchRecord(f"part {part}") from None
