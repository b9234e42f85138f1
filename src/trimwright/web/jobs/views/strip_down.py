"""The strip-down: one step a screen, the wait, the bag, and whatever is found on the way.

Every page works by plain forms. The script sends the same forms and keeps what cannot be sent; what a hold keeps on is
refused where it is saved (`store.early`), whoever sends it.
"""

from __future__ import annotations

from typing import Any
from uuid import uuid4

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from trimwright.errors import BadInput, Problem
from trimwright.facts import load
from trimwright.facts.access import part_id
from trimwright.job.check_events import steps_known
from trimwright.job.document import Job
from trimwright.job.edits import AddEntry, Edit, RemoveEntry, SetField, Together
from trimwright.job.events import Bag, Opened
from trimwright.web.answers import wants_json
from trimwright.web.jobs import photos, store, stripping
from trimwright.web.jobs.finding import WAYS, answer_edit, find_in, sheet_of, weigh
from trimwright.web.jobs.frame import frame, job_page
from trimwright.web.jobs.saying_yes import YesForm
from trimwright.web.jobs.store.early import BATTERY
from trimwright.web.jobs.strip_forms import BookWaitForm, FoundForm, OffForm
from trimwright.web.jobs.stripping import WayIn, photo_of
from trimwright.web.jobs.views.walk_round import answer, keep, seen_by
from trimwright.web.jobs.writing import happened

STAGE = "strip-down"


@never_cache
@require_GET
def strip_down(request: HttpRequest, key: str) -> HttpResponse:
    """All steps in their order, what is off, what waits, what was found."""
    return _page(request, key, None)


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def strip_step(request: HttpRequest, key: str, step: str) -> HttpResponse:
    """One step. Posted, `then` says what it meant: `off` (with its bag), `bag` (put right), or `take back`."""
    if request.method != "POST":
        return _page(request, key, step)
    seen = seen_by(request)
    job = store.job_at(key, store.record(key).revision)
    if step not in steps_known(job, load()):
        raise store.NoSuchRecord(f"{key}: step {step}")
    then = request.POST.get("then", "off")
    form = OffForm(request.POST)
    if then != "take back" and not form.is_valid():
        return _wrong(request, key, step, form)
    if then == "take back":
        edits = list(_taken_back(job, step))
    else:
        if request.FILES.get("photo"):
            photos.photo_sent(request, key, part=photo_of(step))
        edits = list(_noted(request, key, job, step, form.cleaned_data))
    saved = keep(request, key, _one(edits), seen)
    return answer(request, key, saved, _onward(key, step, stays=then != "off"))


@require_POST
def strip_photo(request: HttpRequest, key: str, step: str) -> HttpResponse:
    """One photo of a step, before it comes off or after; what is noted off has it among its own."""
    name = photos.photo_sent(request, key, part=photo_of(step)).name
    job = store.job_at(key, store.record(key).revision)
    opened = _off(job, step)
    edit = AddEntry(path=("events", opened.id, "photos"), value=name) if opened and name not in opened.photos else None
    saved = keep(request, key, edit, store.record(key).revision)
    return answer(request, key, saved, reverse("strip_step", args=[key, step]))


@require_POST
def book_wait(request: HttpRequest, key: str) -> HttpResponse:
    """How long the car's own book has one wait, and where it stands there."""
    form = BookWaitForm(request.POST)
    if not form.is_valid():
        return _wrong(request, key, stripping.WAIT, form)
    event = happened(request, "book_wait", request.POST.get("edit_id", ""), **form.cleaned_data)
    saved = keep(request, key, AddEntry(path=("events",), value=event), seen_by(request))
    return answer(request, key, saved, reverse("strip_step", args=[key, stripping.WAIT]))


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def found_here(request: HttpRequest, key: str) -> HttpResponse:
    """Something was found: what, where, how bad, a photo; it is weighed at once."""
    if request.method != "POST":
        return _page(request, key, stripping.FOUND, at=request.GET.get("step", ""))
    row = store.record(key)
    job = store.job_at(key, row.revision)
    form = FoundForm(request.POST, job=job, screens=_way(key, job).screens)
    if not form.is_valid():
        return _wrong(request, key, stripping.FOUND, form)
    edit_id = request.POST.get("edit_id", "")
    of = photo_of(form.cleaned_data["step"])
    pictures = [photos.photo_sent(request, key, part=of).name] if request.FILES.get("photo") else []
    event = happened(request, "find", edit_id, photos=pictures, **form.event)
    saved = keep(request, key, AddEntry(path=("events",), value=event), seen_by(request))
    weigh(key, event["id"])
    return answer(request, key, saved, reverse("weighed", args=[key, event["id"]]))


@never_cache
@require_GET
def weighed(request: HttpRequest, key: str, event: str) -> HttpResponse:
    """A find with its three answers; its fragment is asked for while they are worked out."""
    return _weighed(request, key, event)


@require_POST
def answer_here(request: HttpRequest, key: str, event: str) -> HttpResponse:
    """The owner's answer to a find, with the yes."""
    seen = seen_by(request)
    form = YesForm(request.POST)
    edit = answer_edit(request, key, find_in(store.job_at(key, seen), event), form)
    if edit is None and wants_json(request):
        raise BadInput(stripping.problems(form))
    if edit is None:
        return _weighed(request, key, event, form)
    saved = keep(request, key, edit, seen)
    return answer(request, key, saved, reverse("strip_down", args=[key]))


# ---- what the pages stand on -----------------------------------------------------------------------------------------


def _way(key: str, job: Job) -> WayIn:
    plan = store.newest_with(key, "sequence")
    return stripping.way_in(key, plan.result if plan else None, job, timezone.now())


def _page(
    request: HttpRequest, key: str, step: str | None, wrong: Any = None, at: str = "", status: int = 200
) -> HttpResponse:
    """The list and every step on one page; with scripts one goes between them without asking."""
    row = store.record(key)
    job = store.job_at(key, row.revision)
    way = _way(key, job)
    chosen = way.screen(step) if step and step != stripping.FOUND else None
    if step and step != stripping.FOUND and chosen is None:
        raise store.NoSuchRecord(f"{key}: step {step}")
    found = wrong if isinstance(wrong, FoundForm) else FoundForm(job=job, screens=way.screens, initial={"step": at})
    context = {
        "stage_name": _("Strip-down"),
        "list_name": "strip_down",
        "keeper_name": "strip_keeper",
        "way": way,
        "counted": way.counted,
        "chosen": {"id": stripping.FOUND, "name": _("Something was found")} if step == stripping.FOUND else chosen,
        "wrong": wrong,
        "found": found,
        "found_id": uuid4().hex,
        "book": wrong if isinstance(wrong, BookWaitForm) else BookWaitForm(auto_id="book_%s"),
        "safe_ms": stripping.milliseconds(way.safe_from) if way.safe_from else 0,
        "now": timezone.now(),
        "words": stripping.words(),
    }
    return job_page(request, "jobs/strip_down/strip_down.html", key, STAGE, context, status)


def _wrong(request: HttpRequest, key: str, step: str, form: Any) -> HttpResponse:
    """422: for the script all that is wrong, else the page with what was typed."""
    if wants_json(request):
        raise BadInput(stripping.problems(form))
    return _page(request, key, step, form, at=request.POST.get("step", ""), status=422)


def _weighed(request: HttpRequest, key: str, event: str, wrong: YesForm | None = None) -> HttpResponse:
    row = store.record(key)
    find = find_in(store.job_at(key, row.revision), event)
    sheet = sheet_of(find, row, wrong)
    if sheet["asked"] is None and find.answer == "undecided":  # another change came since: it is weighed anew
        weigh(key, event)
        sheet = sheet_of(find, row, wrong)
    context = {**sheet, "ways": WAYS, "words": stripping.words(), "keeper_name": "strip_keeper"}
    if request.headers.get("HX-Request"):
        return render(request, "jobs/strip_down/_weighed.html", {**frame(request, row, STAGE), **context})
    return job_page(request, "jobs/strip_down/weighed.html", key, STAGE, context, 422 if wrong else 200)


def _onward(key: str, step: str, *, stays: bool) -> str:
    """Where the way goes on: the step itself, or the next that is open."""
    if stays:
        return reverse("strip_step", args=[key, step])
    ahead = _way(key, store.job_at(key, store.record(key).revision)).after(step)
    return ahead.url if ahead else reverse("strip_down", args=[key])


# ---- what is noted ---------------------------------------------------------------------------------------------------


def _noted(request: HttpRequest, key: str, job: Job, step: str, told: dict[str, Any]) -> Any:
    """It is off, with its photos; and its bag, as far as that says anything new."""
    edit_id = request.POST.get("edit_id", "")
    opened = _off(job, step)
    if opened is None:
        pictures = store.photos_of(key, photo_of(step)).get(photo_of(step), [])
        event = happened(
            request, "opened", edit_id, step=step, minutes=told["minutes"] or 0, note=told["note"], photos=pictures
        )
        yield AddEntry(path=("events",), value=event)
    if "counted" not in request.POST:
        return
    counts = {name: told[name] or 0 for name in ("missing", "broken")} | {"counted": told["counted"]}
    bag = next((each for each in reversed(job.events) if isinstance(each, Bag) and each.step == step), None)
    if opened is not None and bag is not None and bag.state == "filled":
        if any(getattr(bag, name) != value for name, value in counts.items()):
            yield from (SetField(path=("events", bag.id, name), value=value) for name, value in counts.items())
    else:
        yield AddEntry(path=("events",), value=happened(request, "bag", edit_id, step=step, state="filled", **counts))


def _taken_back(job: Job, step: str) -> Any:
    """It is not off after all: the note goes, and that of its bag. The battery stays off while anything wired is."""
    opened = _off(job, step)
    if opened is None:
        return
    if step == BATTERY:
        _nothing_wired(job)
    yield RemoveEntry(path=("events",), value=opened.model_dump(mode="json"))
    after = job.events[job.events.index(opened) :]
    for each in after:
        if isinstance(each, Bag) and each.step == step:
            yield RemoveEntry(path=("events",), value=each.model_dump(mode="json"))


def _nothing_wired(job: Job) -> None:
    """BadInput while something that came off after the battery is off: what is unplugged meets no current."""
    steps = {each.step for each in job.events if isinstance(each, Opened)} - {BATTERY}
    still = [each for each in steps if (opened := _off(job, each)) and stripping.follows_battery(opened.step, job)]
    if still:
        names = ", ".join(sorted({_called(each, job) for each in still}))
        what, way_out = _("stays off while these are: %(names)s."), _("Take those back first, or put them back on.")
        raise BadInput(Problem(_("The battery"), "", what % {"names": names}, way_out))


def _called(step: str, job: Job) -> str:
    """What a step takes off; of a part of one's own its name in the survey."""
    own = {part_id(f"own:{part.id}", part.place): part.name for part in job.parts if part.own is not None}
    return own.get(step) or load().parts[step.partition(".")[0]].name


def _off(job: Job, step: str) -> Opened | None:
    """The note that a step is off; None while it is on."""
    last = next((each for each in reversed(job.events) if isinstance(each, Opened) and each.step == step), None)
    return None if last is None or last.back_on else last


def _one(edits: list[Edit]) -> Edit | None:
    if not edits:
        return None
    return edits[0] if len(edits) == 1 else Together(edits=tuple(edits))
