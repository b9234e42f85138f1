"""The hand-over: pairs laid over each other, the book with its signature, waste; later a visit to look at it again.

What keeps the job open is the plan's own rule, told here with its ways out; the keys go back on the rebuild's page.
"""

from __future__ import annotations

from typing import Any

from django import forms
from django.http import FileResponse, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.cache import cache_control, never_cache
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from trimwright.errors import BadInput, Problem
from trimwright.job.document import Job
from trimwright.job.edits import AddEntry, Edit, RemoveEntry, SetField, Together
from trimwright.job.events import Visited
from trimwright.job.hand_over import owners_book, pairs_of
from trimwright.job.milestones import handed_over
from trimwright.web.jobs import handing_over, photo_work, rebuilding, store
from trimwright.web.jobs.binder import book_file, over_file
from trimwright.web.jobs.frame import job_page
from trimwright.web.jobs.hand_over_forms import BookForm, PairForm, SeenForm, WasteForm
from trimwright.web.jobs.purchases import new_id
from trimwright.web.jobs.rebuilding import seen_now
from trimwright.web.jobs.saying_yes import YesForm, now_by
from trimwright.web.jobs.writing import happened, keep, seen_job

STAGE = "handover"
EVENTS = ("events",)


@never_cache
@require_GET
def handover(request: HttpRequest, key: str) -> HttpResponse:
    """What keeps the job open, the pairs, and the book as it stands."""
    return _page(request, key)


# ---- pairs of photos -------------------------------------------------------------------------------------------------


@require_POST
def pair(request: HttpRequest, key: str) -> HttpResponse:
    """Two photos become a pair."""
    job = seen_job(request, key)
    found = _subject(job, key, request.POST.get("of", ""))
    form = PairForm(request.POST, photos=found.photos)
    if not form.is_valid():
        return _page(request, key, of=found.id, pair_form=form)
    told = {name: form.cleaned_data[name] for name in ("before", "after", "note")}
    event = happened(request, "pair", request.POST.get("edit_id", ""), part=found.part, **told)
    keep(request, key, AddEntry(path=EVENTS, value=event))
    store.ask_for_photo_work(key, photo_work.about_pair(told["before"], told["after"]))
    return _back(key, "pairs")


@require_POST
def take_pairs(request: HttpRequest, key: str) -> HttpResponse:
    """The first and the last photo of each subject that was ticked become pairs."""
    job = seen_job(request, key)
    wanted = set(request.POST.getlist("of"))
    found = [each for each in _suggested(job, key) if each.id in wanted]
    edits: list[Edit] = []
    for number, each in enumerate(found, 1):
        told = {"part": each.part, "before": each.photos[0], "after": each.photos[-1]}
        note = "" if each.part else each.name
        event = happened(request, "pair", f"{request.POST.get('edit_id', '')}-{number}", note=note, **told)
        edits.append(AddEntry(path=EVENTS, value=event))
    if edits:
        keep(request, key, Together(edits=tuple(edits)))
    store.ask_for_photo_works(key, [photo_work.about_pair(each.photos[0], each.photos[-1]) for each in found])
    return _back(key, "pairs")


@require_POST
def part_pair(request: HttpRequest, key: str, event: str) -> HttpResponse:
    """Two photos are no pair any more."""
    job = seen_job(request, key)
    found = next((each for each in pairs_of(job) if each.id == event), None)
    if found is None:
        raise store.NoSuchRecord(f"{key}: pair {event}")
    keep(request, key, RemoveEntry(path=EVENTS, value=found.model_dump(mode="json")))
    return _back(key, "pairs")


@never_cache
@require_GET
def pair_shown(request: HttpRequest, key: str, event: str) -> HttpResponse:
    """One pair, asked for while it is being laid over."""
    row = store.record(key)
    job = store.job_at(key, row.revision)
    shown = handing_over.pairs_shown(job, store.photo_works(key))
    found = next((each for each in shown if each.event.id == event), None)
    if found is None:
        raise store.NoSuchRecord(f"{key}: pair {event}")
    return render(request, "jobs/handover/_pair.html", {"pair": found, "row": row, "revision": row.revision})


@require_GET
@cache_control(private=True, max_age=365 * 24 * 3600, immutable=True)
def over(request: HttpRequest, key: str, before: str, after: str) -> FileResponse:
    """The later photo in the frame of the earlier one."""
    path = over_file(key, before, after)
    if not path.is_file():
        raise store.NoSuchRecord(f"{key}: {before} and {after} laid over each other")
    return FileResponse(path.open("rb"), content_type="image/jpeg")


# ---- the book --------------------------------------------------------------------------------------------------------


@require_POST
def book(request: HttpRequest, key: str) -> HttpResponse:
    """What the shop says in the book; one that is signed stays, and another begins."""
    job, form = seen_job(request, key), BookForm(request.POST)
    if not form.is_valid():
        return _page(request, key, book_form=form)
    there = owners_book(job)
    if there is None or there.yes is not None:
        event = happened(request, "owners_book", request.POST.get("edit_id", ""), **form.told)
        keep(request, key, AddEntry(path=EVENTS, value=event))
    else:
        was = there.model_dump(mode="json")
        changed = [
            SetField(path=("events", there.id, name), value=value)
            for name, value in form.told.items()
            if was[name] != value
        ]
        if changed:
            keep(request, key, Together(edits=tuple(changed)))
    return _back(key, "book")


@require_POST
def book_yes(request: HttpRequest, key: str) -> HttpResponse:
    """The owner signs for the book."""
    job, form = seen_job(request, key), YesForm(request.POST, auto_id="yes_%s")
    there = owners_book(job)
    if there is None or there.yes is not None:
        raise BadInput(Problem(_("The book"), "", _("is not written yet, or is signed."), _("Reload the page.")))
    if not form.is_valid():
        return _page(request, key, yes=form)
    keep(request, key, SetField(path=("events", there.id, "yes"), value=form.yes))
    return _back(key, "the-yes")


@require_POST
def waste(request: HttpRequest, key: str) -> HttpResponse:
    """Waste went away."""
    form = WasteForm(request.POST)
    if not form.is_valid():
        return _page(request, key, waste_form=form)
    event = happened(request, "disposed", request.POST.get("edit_id", ""), **form.cleaned_data)
    keep(request, key, AddEntry(path=EVENTS, value=event))
    return _back(key, "waste")


@require_POST
def print_book(request: HttpRequest, key: str) -> HttpResponse:
    """Have the book printed as it stands."""
    store.ask_for_photo_work(store.record(key).key, photo_work.BOOK, anew=True)
    return _back(key, "paper")


@never_cache
@require_GET
def book_pdf(request: HttpRequest, key: str) -> FileResponse:
    """The book as it was printed last."""
    path = book_file(key)
    job = store.job_at(key, store.record(key).revision)
    if not path.is_file():
        raise store.NoSuchRecord(f"{key}: hand-over book")
    return FileResponse(path.open("rb"), content_type="application/pdf", filename=f"{job.id}-hand-over-book.pdf")


@never_cache
@require_GET
def printed(request: HttpRequest, key: str) -> HttpResponse:
    """How far the printing is, asked for while it goes on."""
    return render(request, "jobs/handover/_printed.html", {"row": store.record(key), **_printing(key)})


# ---- the visit -------------------------------------------------------------------------------------------------------


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def visit(request: HttpRequest, key: str) -> HttpResponse:
    """A follow-up visit: every part that was worked on, looked at or not."""
    posted = request.method == "POST"
    job = seen_job(request, key) if posted else seen_now(key)[0]
    found: dict[str, SeenForm] = {
        part.id: SeenForm(request.POST if posted else None, prefix=part.id) for part in job.parts
    }
    parts = handing_over.looked_at(job, found)
    wrong = [each for each in parts if not each.form.is_valid()]  # each form is asked, and each tells
    if posted and not wrong:
        told = [(each.part, each.form.told) for each in parts if each.form.told]
        edits = [
            AddEntry(
                path=EVENTS,
                value=happened(request, "visited", f"{request.POST.get('edit_id', '')}-{number}", part=part, **seen),
            )
            for number, (part, seen) in enumerate(told, 1)
        ]
        if edits:
            keep(request, key, Together(edits=tuple(edits)))
        return redirect("visit", key)
    days = sorted({each.at.date() for each in job.events if isinstance(each, Visited)})
    context = {"parts": parts, "days": days, "edit_id": new_id()}
    return job_page(request, "jobs/handover/visit.html", key, STAGE, context, 422 if posted else 200)


# ---- what the page stands on -----------------------------------------------------------------------------------------


def _page(request: HttpRequest, key: str, of: str = "", **wrong: forms.Form | None) -> HttpResponse:
    job, result = seen_now(key)
    works = store.photo_works(key)
    handing_over.ask_for_pairs(key, job, works)
    photos = handing_over.subjects(job, store.photos(key))
    chosen = next((each for each in photos if each.id == (of or request.GET.get("of", ""))), None)
    ours = owners_book(job)
    context: dict[str, Any] = {
        "in_the_way": _in_the_way(key, job, result),
        "handed_over": handed_over(job),
        "pairs": handing_over.pairs_shown(job, works),
        "suggested": handing_over.suggested(photos, job),
        "subjects": photos,
        "chosen": chosen,
        "pair_form": PairForm(photos=chosen.photos) if chosen else None,
        "words": handing_over.words(job, result),
        "ours": ours,
        "book_form": BookForm(initial=handing_over.typed(ours, job)),
        "yes": YesForm(initial=now_by("signed"), auto_id="yes_%s"),
        "waste_form": WasteForm(auto_id="waste_%s"),
        "edit_id": new_id(),
        **_printing(key, works),
        **wrong,
    }
    return job_page(request, "jobs/handover/handover.html", key, STAGE, context, 422 if wrong else 200)


def _in_the_way(key: str, job: Job, result: Any) -> list[rebuilding.InTheWay] | None:
    """What keeps the job open; None while no plan tells."""
    if result is None:
        return None
    ends = rebuilding.ending(result, rebuilding.way_back(result, job)).open_ends
    return rebuilding.in_the_way(ends, key)


def _printing(key: str, works: Any = None) -> dict[str, Any]:
    """How far the printed book is: being printed, there, of an older state of the job."""
    work = (store.photo_works(key) if works is None else works).get(photo_work.BOOK)
    state = work.state if work else ""
    told = work.data if work and work.data else {}
    return {"print_state": state, "printed_of": told.get("revision"), "is_printed": book_file(key).is_file()}


def _subject(job: Job, key: str, of: str) -> handing_over.Subject:
    found = handing_over.subjects(job, store.photos(key))
    for each in found:
        if each.id == of:
            return each
    raise BadInput(Problem(_("photos"), of, _("are not two of one place."), _("Reload the page and choose again.")))


def _suggested(job: Job, key: str) -> list[handing_over.Subject]:
    return handing_over.suggested(handing_over.subjects(job, store.photos(key)), job)


def _back(key: str, at: str) -> HttpResponse:
    response = redirect("handover", key)
    response["Location"] += f"#{at}"
    return response
