"""The end of a job: snags with their minutes, the test sheet filled and signed, the keys back.

Whether the car may go is the plan's own rule (`planning.ending`), asked once more as the form comes in.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from itertools import groupby
from typing import TYPE_CHECKING, Any

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST

from trimwright.errors import BadInput, Problem
from trimwright.facts import load
from trimwright.job.document import Job
from trimwright.job.edits import AddEntry, Edit, SetField, Together
from trimwright.job.events import Result, Snag
from trimwright.job.milestones import handed_over
from trimwright.web.jobs import rebuilding, store
from trimwright.web.jobs.frame import job_page
from trimwright.web.jobs.planning import Ending, holds_people
from trimwright.web.jobs.purchases import new_id
from trimwright.web.jobs.rebuild_forms import PutRightForm, SnagForm
from trimwright.web.jobs.rebuilding import seen_now
from trimwright.web.jobs.saying_yes import YesForm, now_by
from trimwright.web.jobs.writing import happened, keep, seen_job

if TYPE_CHECKING:
    from trimwright.web.jobs.planning import Line

STAGE = "rebuild"
RESULTS: tuple[Result, ...] = ("passed", "failed", "not on this car")


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def snags(request: HttpRequest, key: str) -> HttpResponse:
    """What is not right yet, and what became of the rest; posted, one more."""
    job = seen_job(request, key) if request.method == "POST" else seen_now(key)[0]
    form = SnagForm(request.POST or None, job=job)
    if form.is_valid():
        told = {"what": form.cleaned_data["what"], "part": form.cleaned_data["part"] or None}
        event = happened(request, "snag", request.POST.get("edit_id", ""), **told)
        keep(request, key, AddEntry(path=("events",), value=event))
        return redirect("snags", key)
    return _snags(request, key, form)


@require_POST
def put_right(request: HttpRequest, key: str, event: str) -> HttpResponse:
    """One snag is put right with its minutes, or `left` with a reason; what holds people is never left."""
    job = seen_job(request, key)
    found = next((each for each in job.events if isinstance(each, Snag) and each.id == event), None)
    if found is None:
        raise store.NoSuchRecord(f"{key}: snag {event}")
    form = PutRightForm(request.POST)
    left = request.POST.get("then") == "left"
    if form.is_valid() and left and not form.cleaned_data["note"]:
        form.add_error("note", _("Say why it is left, and who agreed."))
    if form.is_valid() and left and holds_people(found.part, job, load()):
        form.add_error("note", _("It is on what holds people: it is put right, and never left."))
    if not form.is_valid():
        return _snags(request, key, SnagForm(job=job), {event: form})
    told: dict[str, Any] = {
        "state": "left" if left else "put right",
        "minutes": found.minutes + (form.cleaned_data["minutes"] or 0),
        "note": form.cleaned_data["note"] or found.note,
    }
    edits = tuple(SetField(path=("events", event, name), value=value) for name, value in told.items())
    keep(request, key, Together(edits=edits))
    return redirect("snags", key)


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def final_tests(request: HttpRequest, key: str) -> HttpResponse:
    """The test sheet; posted are results, some or all, and who of licensed practice made those that ask for it."""
    if request.method != "POST":
        return _sheet(request, key)
    job, ending = _ending(key)
    trained = request.POST.get("trained", "").strip()[:200]
    standing = {each.test.id: each for each in ending.sheet}
    changed = {
        test: told
        for test, line in standing.items()
        if (told := request.POST.get(f"test-{test}", "")) in RESULTS
        and (told != line.result or (line.test.trained and trained and trained != line.trained))
    }
    battery_off = any(each.kind == "battery off" for each in ending.open_ends)
    wrong = {
        test: why for test, told in changed.items() if (why := _why_not(standing[test], told, trained, battery_off))
    }
    if wrong:
        return _sheet(request, key, wrong=wrong)
    if changed:
        event = happened(request, "tested", request.POST.get("edit_id", ""), results=changed, trained=trained)
        edits: list[Edit] = [AddEntry(path=("events",), value=event)]
        edits += [
            AddEntry(path=("events",), value=happened(request, "snag", f"{request.POST.get('edit_id', '')}-{at}",
                                                      what=standing[test].test.text[:200], test=test))
            for at, (test, told) in enumerate(changed.items(), 1)
            if told == "failed" and test not in {each.test for each in rebuilding.open_snags(job)}
        ]  # fmt: skip
        keep(request, key, edits[0] if len(edits) == 1 else Together(edits=tuple(edits)))
    return redirect("final_tests", key)


@require_POST
def sign(request: HttpRequest, key: str) -> HttpResponse:
    """Somebody signs for the whole sheet: once every test is settled and nothing is off."""
    _job, ending = _ending(key)
    form = YesForm(request.POST)
    open_tests = [each for each in ending.sheet if not each.is_settled]
    off = [each for each in ending.open_ends if each.kind in ("off", "battery off")]
    if open_tests:
        form.add_error(None, _("Tests that are not settled: %(n)s.") % {"n": len(open_tests)})
    for each in off:
        form.add_error(None, rebuilding.line_of(each))
    if not form.is_valid():
        return _sheet(request, key, form=form)
    event = happened(request, "tested", request.POST.get("edit_id", ""), yes=form.yes, note=form.cleaned_data["note"])
    keep(request, key, AddEntry(path=("events",), value=event))
    return redirect("final_tests", key)


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def hand_over(request: HttpRequest, key: str) -> HttpResponse:
    """The keys back: refused, with all that is open and the way out, while anything is."""
    if request.method != "POST":
        return _keys(request, key)
    job, ending = _ending(key)
    form = YesForm(request.POST)
    if ending.open_ends or not form.is_valid():
        return _keys(request, key, form)
    if handed_over(job) is None:
        event = happened(
            request, "handed_over", request.POST.get("edit_id", ""), yes=form.yes, note=form.cleaned_data["note"]
        )
        keep(request, key, AddEntry(path=("events",), value=event))
    return redirect("hand_over", key)


# ---- what the pages stand on -----------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class SnagRow:
    """A snag with what its page needs."""

    event: Snag
    where: str
    holds_people: bool
    form: forms.Form | None
    """What was typed and could not be taken."""
    edit_id: str = field(default_factory=new_id)


@dataclass(frozen=True, slots=True)
class SheetRow:
    """A test as it stands on the sheet, or as it was typed and could not be taken, and why."""

    line: Line
    result: str
    wrong: str
    intake: str
    """What the lamp did when the car came in."""


def _why_not(line: Line, result: str, trained: str, battery_off: bool) -> str:
    """Why a test can't be noted so; nothing where it can."""
    if line.must_pass and result == "not on this car":
        return _("It holds people, and is tried in every car.")
    if line.test.trained and not trained:
        return _("Say who of licensed practice made it.")
    return _("The battery is off: no lamp lights.") if line.test.trained and battery_off else ""


def _ending(key: str) -> tuple[Job, Ending]:
    job, result = seen_now(key)
    if result is None:
        raise BadInput(Problem(_("the way back"), "", _("is not worked out yet."), _("Wait for the verdicts.")))
    return job, rebuilding.ending(result, rebuilding.way_back(result, job))


def _snags(
    request: HttpRequest, key: str, form: forms.Form, wrong: Mapping[str, forms.Form] | None = None
) -> HttpResponse:
    job, _result = seen_now(key)
    found = [each for each in job.events if isinstance(each, Snag)]
    names = {part.id: part.name for part in job.parts}
    told = [
        SnagRow(each, names.get(each.part or "", ""), holds_people(each.part, job, load()), (wrong or {}).get(each.id))
        for each in reversed(found)
    ]
    context = {
        "form": form,
        "open_snags": [each for each in told if each.event.state == "open"],
        "closed": [each for each in told if each.event.state != "open"],
        "minutes": sum(each.minutes for each in found),
        "edit_id": new_id(),
    }
    refused = bool(wrong) or form.is_bound
    return job_page(request, "jobs/rebuild/snags.html", key, STAGE, context, 422 if refused else 200)


def _sheet(
    request: HttpRequest, key: str, *, wrong: Mapping[str, Any] | None = None, form: forms.Form | None = None
) -> HttpResponse:
    """The sheet as it stands, what was typed before it was refused in its place."""
    _job, ending = _ending(key)
    typed = request.POST if wrong else {}
    rows = [
        SheetRow(
            each,
            typed.get(f"test-{each.test.id}", each.result),
            (wrong or {}).get(each.test.id, ""),
            ending.lamp or "" if each.test.id == "lamp" else "",
        )
        for each in ending.sheet
    ]
    trained = next((each.trained for each in ending.sheet if each.trained), "")
    context = {
        "subjects": [
            (subject, list(found)) for subject, found in groupby(rows, key=lambda each: each.line.test.subject)
        ],
        "settled": sum(each.is_settled for each in ending.sheet),
        "all": len(ending.sheet),
        "signed": ending.signed,
        "trained": typed.get("trained", trained),
        "asks_trained": any(each.test.trained for each in ending.sheet),
        "results": RESULTS,
        "form": form or YesForm(initial=now_by("signed")),
        "edit_id": new_id(),
        "sign_id": new_id(),
    }
    refused = wrong is not None or (form is not None and form.is_bound)
    return job_page(request, "jobs/rebuild/final_tests.html", key, STAGE, context, 422 if refused else 200)


def _keys(request: HttpRequest, key: str, form: forms.Form | None = None) -> HttpResponse:
    job, ending = _ending(key)
    context = {
        "handed_over": handed_over(job),
        "in_the_way": rebuilding.in_the_way(ending.open_ends, key),
        "form": form or YesForm(initial=now_by("in person")),
        "edit_id": new_id(),
    }
    return job_page(request, "jobs/rebuild/hand_over.html", key, STAGE, context, 422 if form else 200)
