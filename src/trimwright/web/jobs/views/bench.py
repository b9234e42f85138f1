"""The bench: today with the next window on top, a task a screen with its clocks, the shop's air, the calendar.

Every page works by plain forms; the script sends the same forms and keeps what cannot be sent. Whatever is said here
makes the planner lay the calendar out anew; the one before it is shown meanwhile.
"""

from __future__ import annotations

from datetime import datetime, time, timedelta
from typing import Any
from uuid import uuid4
from zoneinfo import ZoneInfo

from django.http import FileResponse, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_http_methods, require_POST
from django_htmx.http import trigger_client_event

from trimwright.errors import BadInput, Problem
from trimwright.job.edits import AddEntry, SetField
from trimwright.job.events import Worked
from trimwright.web.answers import wants_json
from trimwright.web.jobs import benching, papers, store, stripping
from trimwright.web.jobs.bench_forms import AirForm, DatesForm, WorkedForm
from trimwright.web.jobs.benching import AIR, AtTheBench, Screen, task_of
from trimwright.web.jobs.calendars import CALENDAR, air_read
from trimwright.web.jobs.frame import PENDING, job_page
from trimwright.web.jobs.models import PlanRecord, State
from trimwright.web.jobs.views.walk_round import answer, keep, seen_by
from trimwright.web.jobs.writing import happened

STAGE = "bench"
PAPERS = {"day-sheet": "pdf", "bench-calendar": "pdf", "bench": "ics"}
KINDS = {"pdf": "application/pdf", "ics": "text/calendar; charset=utf-8"}


@never_cache
@require_GET
def bench(request: HttpRequest, key: str) -> HttpResponse:
    """Today: what is under way, clocks, the day's list, fill-ins, the air, the promise."""
    return _page(request, key, None)


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def task(request: HttpRequest, key: str, step: str) -> HttpResponse:
    """One task. Posted, `then` says what is noted: `begun`, `finished`, or `again`."""
    if request.method != "POST":
        return _page(request, key, step)
    form, then = WorkedForm(request.POST), request.POST.get("then", "finished")
    if not form.is_valid():
        return _wrong(request, key, step, form)
    job = store.job_at(key, store.record(key).revision)
    told = _worked(job.events, task_of(step), then)
    if form.cleaned_data["minutes"] is not None and then == "finished":
        told["minutes"] = form.cleaned_data["minutes"]
    edit_id, note = request.POST.get("edit_id", ""), form.cleaned_data["note"]
    event = happened(request, "worked", edit_id, task=task_of(step), note=note, **told)
    saved = keep(request, key, AddEntry(path=("events",), value=event), seen_by(request))
    onward = reverse("bench", args=[key]) if then == "finished" else reverse("bench_task", args=[key, step])
    return answer(request, key, saved, onward)


@require_POST
def air(request: HttpRequest, key: str) -> HttpResponse:
    """The shop's air, as it was read."""
    job = store.job_at(key, store.record(key).revision)
    form = AirForm(request.POST, system=job.car.units)
    if not form.is_valid():
        return _wrong(request, key, AIR, form)
    event = happened(request, "air", request.POST.get("edit_id", ""), **form.cleaned_data)
    saved = keep(request, key, AddEntry(path=("events",), value=event), seen_by(request))
    return answer(request, key, saved, reverse("bench", args=[key]))


@require_POST
def dates(request: HttpRequest, key: str) -> HttpResponse:
    """When a task may be made; by its form, or by drawing it along the picture."""
    form = DatesForm(request.POST)
    if not form.is_valid():
        raise BadInput(stripping.problems(form))
    told = form.cleaned_data
    job = store.job_at(key, store.record(key).revision)
    zone = _zone(key)
    first, last = told["not_before"], told["not_after"]
    pin: Any = {
        **({"not_before": datetime.combine(first, time.min, zone).isoformat()} if first else {}),
        **({"not_after": datetime.combine(last + timedelta(days=1), time.min, zone).isoformat()} if last else {}),
    }
    edit = SetField(path=("time", "pins", told["task"]), value=pin or None)
    saved = keep(request, key, edit if pin or told["task"] in job.time.pins else None, seen_by(request))
    onward = request.POST.get("next", "")
    here = reverse("bench_task", args=[key, benching.step_of(told["task"])])
    return answer(request, key, saved, reverse("bench_calendar", args=[key]) if onward == "calendar" else here)


@never_cache
@require_GET
def calendar(request: HttpRequest, key: str) -> HttpResponse:
    """The whole calendar: its picture, the table behind it, the promise, what holds the date and what would free it."""
    job, kept = store.job_at(key, store.record(key).revision), _kept(key)
    context: dict[str, Any] = {"kept": None, **_planning(key)}
    if "calendar" not in kept:
        return job_page(request, "jobs/bench/calendar.html", key, STAGE, context)
    at_bench = AtTheBench(key, job, kept, timezone.now())
    context |= {
        "kept": _in_time(kept),
        "table": list(benching.table(at_bench.calendar, at_bench.names)),
        "pins": [at_bench.pinned(each) for each in job.time.pins],
        "tasks": sorted(at_bench.to_make, key=lambda each: each[1]),
        "knots": kept["knots"],
        "chosen_task": request.GET.get("task", ""),
        "edit_id": uuid4().hex,
    }
    with timezone.override(benching.zone_of(kept)):
        return job_page(request, "jobs/bench/calendar.html", key, STAGE, context)


@require_POST
def again(request: HttpRequest, key: str) -> HttpResponse:
    """Lay the calendar out once more: from this minute, or after a slip."""
    plan = store.newest_plan(key)
    if plan is not None and plan.state == State.DONE:
        store.ask_over(plan.pk, CALENDAR)
    return redirect("bench", key)


@never_cache
@require_GET
def progress(request: HttpRequest, key: str) -> HttpResponse:
    """How far the calendar is; once the page's is out of date it is told by the event `plan-ready`."""
    context = {**_planning(key), "row": store.record(key)}
    response = render(request, "jobs/bench/_progress.html", context)
    if context["calendar_of"] != request.GET.get("had", ""):
        trigger_client_event(response, "plan-ready", {"calendar": context["calendar_of"]})
    return response


@never_cache
@require_GET
def paper(request: HttpRequest, key: str, name: str, ending: str) -> FileResponse:
    """The day sheet, the calendar on paper, or the file for the phone's own calendar; of the newest that is printed."""
    found = store.newest_calendar(key, printed=True)
    if found is None or PAPERS.get(name) != ending:
        raise store.NoSuchRecord(f"{key}: {name}.{ending}")
    plan = PlanRecord.objects.defer("result").get(pk=found.plan_id)
    job = store.job_at(key, plan.revision)
    return FileResponse(
        papers.paper(plan, f"{name}.{ending}").open("rb"),
        content_type=KINDS[ending],
        as_attachment=ending == "ics",
        filename=f"{job.id}-{name}.{ending}",
    )


# ---- what the pages stand on -----------------------------------------------------------------------------------------


def _planning(key: str) -> dict[str, Any]:
    """Which calendar is there, and how far the next one is; the newest plan is asked for its own where it has none."""
    row = store.record(key)
    plan, found = store.ask_for_plan(row), store.newest_calendar(key)
    is_first = bool(found and found.plan_id == plan.pk and (found.data or {}).get("first"))
    coming = store.ask(plan.pk, CALENDAR, urgent=True) if plan.state == State.DONE else None
    return {
        "calendar_of": f"{found.pk}{'-first' if is_first else ''}" if found else "",
        "calendar_first": is_first,
        "calendar_coming": coming,
        "calendar_failed": bool(coming and coming.state == State.FAILED),
        "calendar_pending": plan.state in PENDING or bool(coming and coming.state in (State.WAITING, State.RUNNING)),
        "calendar_problems": (coming.data or {}).get("problems", ()) if coming else (),
        "plan_failed": plan.problems if plan.state == State.FAILED else [],
    }


def _page(request: HttpRequest, key: str, step: str | None, wrong: Any = None, status: int = 200) -> HttpResponse:
    """The day and every task at hand on one page; with scripts one goes between them without asking."""
    job, kept = store.job_at(key, store.record(key).revision), _kept(key)
    context: dict[str, Any] = {
        "stage_name": _("Bench"),
        "list_name": "bench",
        "keeper_name": "bench_keeper",
        "now": timezone.now(),
        "air_form": wrong if isinstance(wrong, AirForm) else AirForm(system=job.car.units),
        "air_id": uuid4().hex,
        "air": benching.air_told(job),
        "words": benching.words(),
        "wrong": wrong,
        "counted": "",
        **_planning(key),
    }
    chosen: Any = {"id": AIR, "name": _("The shop’s air")} if step == AIR else None
    zone = timezone.get_current_timezone()
    if "calendar" in kept:
        at_bench, zone = AtTheBench(key, job, kept, timezone.now()), benching.zone_of(kept)
        screens = [each for each in at_bench.screens if not each.elsewhere]
        if step and step != AIR:
            chosen = _chosen(at_bench, step)
            screens += [] if any(each.id == chosen.id for each in screens) else [chosen]
        context |= {"at": at_bench, "screens": screens, "kept": _in_time(kept), "counted": _counted(at_bench)}
    elif step and step != AIR:
        raise store.NoSuchRecord(f"{key}: {step}")
    with timezone.override(zone):
        context["noted_air_today"] = _is_of_today(job)
        return job_page(request, "jobs/bench/bench.html", key, STAGE, {**context, "chosen": chosen}, status)


def _kept(key: str) -> dict[str, Any]:
    """The plain data of the newest calendar; empty where there is none."""
    found = store.newest_calendar(key)
    return (found.data or {}) if found else {}


def _chosen(at_bench: AtTheBench, step: str) -> Screen:
    try:
        return at_bench.screen(task_of(step))
    except KeyError:
        raise store.NoSuchRecord(f"{at_bench.key}: {step}") from None


def _counted(at_bench: AtTheBench) -> str:
    tasks = [each for each in at_bench.calendar.bench.tasks if each.people]
    made = sum(each.done is not None for each in tasks)
    return _("%(made)s of %(all)s made") % {"made": made, "all": len(tasks)}


def _in_time(data: dict[str, Any]) -> dict[str, Any]:
    """The kept data with the instants that templates print."""
    return {
        **data,
        "end": datetime.fromisoformat(data["end"]),
        "promised": datetime.fromisoformat(data["promised"]),
        "freed": [{**each, "end": datetime.fromisoformat(each["end"])} for each in data["freed"]],
    }


def _is_of_today(job: Any) -> bool:
    read = air_read(job)
    return read is not None and timezone.localtime(read.at).date() == timezone.localdate()


def _zone(key: str) -> ZoneInfo:
    """The shop's own, as its calendar has it."""
    kept = _kept(key)
    if "calendar" not in kept:
        raise BadInput(Problem(_("the calendar"), "", _("is not there yet."), _("Wait until it is laid out.")))
    return benching.zone_of(kept)


def _worked(events: Any, task_id: str, then: str) -> dict[str, Any]:
    """What one tap says: begun, finished with the minutes since it was begun, or begun once more."""
    mine = [event for event in events if isinstance(event, Worked) and event.task == task_id]
    last = mine[-1] if mine else None
    if then == "again":
        return {"state": "begun", "redone": (last.redone if last else 0) + 1}
    redone = last.redone if last else 0
    if then == "begun":
        return {"state": "begun", "redone": redone}
    minutes = 0
    if last is not None and last.state == "begun" and timezone.localtime(last.at).date() == timezone.localdate():
        minutes = max(1, round((timezone.now() - last.at).total_seconds() / 60))
    return {"state": "finished", "redone": redone, "minutes": minutes}


def _wrong(request: HttpRequest, key: str, step: str, form: Any) -> HttpResponse:
    """422: for the script all that is wrong, else the page with what was typed."""
    if wants_json(request):
        raise BadInput(stripping.problems(form))
    return _page(request, key, step, form, status=422)
