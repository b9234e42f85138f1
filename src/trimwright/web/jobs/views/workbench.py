"""The workbench: cutting, colour, drying and fumes, torque; by itself, or with the figures of a job's task filled in.

A question is a form that is got, not posted: it keeps nothing, and an answer's address can be sent to the phone at
the bench. `job` and `part` fill in what the plan knows; once the form is sent, what stands in it is all that counts.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any
from uuid import uuid4

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.http import urlencode
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_POST
from django.views.decorators.vary import vary_on_headers

from trimwright.facts import load
from trimwright.job.document import Job
from trimwright.job.edits import SetField
from trimwright.job.wheel import RIMS
from trimwright.web.jobs import store, wheel_wraps, workbench
from trimwright.web.jobs.answering import FILLED
from trimwright.web.jobs.bench_work import LAYING, OUTLINE, PANEL, PHOTO
from trimwright.web.jobs.devices import device_of
from trimwright.web.jobs.frame import frame
from trimwright.web.jobs.own_colours import BASES
from trimwright.web.jobs.wheel_wraps import WRAP

STAGE = "workbench"
HIDES = "hides"


@dataclass(frozen=True, slots=True)
class Bench:
    """One of the four benches with its questions, by their ids."""

    id: str
    title: str
    told: str
    questions: tuple[str, ...]


def benches() -> tuple[Bench, ...]:
    """All four, in the order of the work."""
    return (
        Bench(
            "cutting",
            _("Cutting"),
            _("From measures, photos and scans to pieces, and the pieces laid on what they are cut from."),
            (WRAP, OUTLINE.id, PANEL.id, LAYING.id, HIDES),
        ),
        Bench(
            "colour",
            _("Colour"),
            _("What is to be matched, what to mix, and the swatch beside it."),
            ("colour match", "colour mix", "colour check", PHOTO.id, BASES),
        ),
        Bench(
            "drying",
            _("Drying and fumes"),
            _("Whether a coat may go on, what to mix for it, what it does to the air."),
            ("air coat", "air tin", "coats mix", "coats film", "coats grit"),
        ),
        Bench("torque", _("Torque"), _("A bolt in every unit, and what that does to it."), ("torque",)),
    )


def name(question: str) -> str:
    """What a question is called in a row of them."""
    return {
        WRAP: _("A wheel wrap"),
        OUTLINE.id: _("A photographed part"),
        PANEL.id: _("A scanned panel"),
        LAYING.id: _("Lay the pieces"),
        HIDES: _("Hides and offcuts"),
        PHOTO.id: _("From a photo"),
        BASES: _("Base colours"),
        "colour match": _("Match"),
        "colour mix": _("Mix"),
        "colour check": _("Check a swatch"),
        "air coat": _("Before a coat"),
        "air tin": _("Vapour of a tin"),
        "coats mix": _("What to mix"),
        "coats film": _("Wet and dry film"),
        "coats grit": _("Papers"),
        "torque": _("A bolt"),
    }[question]


def file_names() -> dict[str, str]:
    """What may be taken away of a wheel wrap, by the name of its file."""
    return {
        "true-size-a4.pdf": _("True-size sheets, A4"),
        "true-size-letter.pdf": _("True-size sheets, Letter"),
        "lacing-card-a4.pdf": _("Lacing card, A4"),
        "lacing-card-letter.pdf": _("Lacing card, Letter"),
        "long-page.pdf": _("One long page, for a plotter"),
        "pieces.svg": _("SVG in mm"),
        "pieces.dxf": _("DXF in mm"),
    }


@never_cache
@require_GET
def benches_page(request: HttpRequest) -> HttpResponse:
    """All benches with their questions; with a job, the ones that a part of it asks."""
    here = _standing(request)
    asked = here.filled.get(here.part, {})
    shown = [
        (
            bench,
            [
                _link(each, here if each in asked else here.without_part) | {"filled": each in asked}
                for each in bench.questions
            ],
        )
        for bench in benches()
    ]
    return _page(request, "workbench", here, {"benches": shown, "places": _places(here, *here.filled)})


@never_cache
@vary_on_headers("HX-Request")
@require_GET
def question(request: HttpRequest, slug: str) -> HttpResponse:
    """One question: its form, and the answer to what was typed; `ask` tells that the form was sent."""
    question_id = slug.replace("-", " ")
    if all(question_id not in each.questions for each in benches()):
        raise Http404(slug)
    here = _standing(request)
    asked = workbench.question(question_id, store.book())
    filled = here.filled.get(here.part, {}).get(question_id)
    if "ask" in request.GET:
        sheet = workbench.answered(asked, _typed(request, (each.name for each in asked.asks)))
    else:
        sheet = workbench.blank(asked, filled["typed"] if filled else {})
    places = _places(here, *(each for each, told in here.filled.items() if question_id in told), about=question_id)
    told = _("Filled in from {task}.").format(task=filled["task"]) if filled else ""
    return _asked(
        request,
        here,
        sheet,
        {"places": places, "filled": told, "shown": "jobs/workbench/_answer.html", "query": request.GET.urlencode()},
    )


@never_cache
@vary_on_headers("HX-Request")
@require_GET
def wrap(request: HttpRequest) -> HttpResponse:
    """A wheel wrap: its form, and what comes of the measures; a job's wheel fills in what was measured of it."""
    here, job = _at_a_wheel(request)
    rims = wheel_wraps.wheels(job) if job else {}
    if "ask" in request.GET:
        sheet = wheel_wraps.answered(_typed(request, wheel_wraps.lines_asked()), job)
    else:
        sheet = wheel_wraps.blank(wheel_wraps.as_typed(rims.get(here.part)), job)
    names = load().parts
    places = [(part.id, part.name or names[part.kind].name) for part in (job.parts if job else ()) if part.id in rims]
    context = {
        "places": places,
        "filled": _("What was measured of this job's wheel.") if rims.get(here.part) else "",
        "shown": "jobs/workbench/_wrap.html",
        "files": [(told, reverse("wrap_file", args=[each])) for each, told in file_names().items()],
        "query": urlencode({each.ask.name: each.value for each in sheet.lines if each.value} | here.said),
        "may_keep": here.part in rims,
    }
    return _asked(request, here, sheet, context)


@never_cache
@require_GET
def wrap_file(request: HttpRequest, name: str) -> HttpResponse:
    """True-size sheets, the long page, the lacing card, or the pieces as a drawing."""
    if name not in wheel_wraps.FILES:
        raise Http404(name)
    _here, job = _at_a_wheel(request)
    typed = _typed(request, wheel_wraps.lines_asked())
    made = wheel_wraps.file(name, typed, job, timezone.localtime())
    response = HttpResponse(made, content_type=wheel_wraps.FILES[name])
    response["Content-Disposition"] = f'attachment; filename="wheel-{name}"'
    return response


@require_POST
def keep_wheel(request: HttpRequest) -> HttpResponse:
    """Keep the measures in the job: its plan then reckons leather, thread and hours by them."""
    here, job = _at_a_wheel(request)
    if job is None or here.part not in wheel_wraps.wheels(job):
        raise Http404(here.part)
    wheel = wheel_wraps.measured(_typed(request, wheel_wraps.lines_asked()), job)
    edit = SetField(path=("parts", here.part, "wheel"), value=wheel.model_dump(mode="json"))
    store.edit_job(here.job, edit, device_of(request), seen=store.record(here.job).revision, edit_id=uuid4().hex)
    messages.info(request, _("Kept: the plan goes by these measures."))
    return redirect(f"{reverse('workbench_wrap')}?{request.GET.urlencode()}&ask=1")


@never_cache
@require_GET
def colour_card(request: HttpRequest, size: str) -> HttpResponse:
    """The card of known patches to print."""
    return _pdf(workbench.colour_card(timezone.localtime(), letter=size == "letter"), f"colour-card-{size}")


@never_cache
@require_GET
def marker_strips(request: HttpRequest, size: str) -> HttpResponse:
    """The strips to lay round a part, to print."""
    return _pdf(workbench.marker_strips(timezone.localtime(), letter=size == "letter"), f"marker-strips-{size}")


def _pdf(data: bytes, called: str) -> HttpResponse:
    response = HttpResponse(data, content_type="application/pdf")
    response["Content-Disposition"] = f'attachment; filename="{called}.pdf"'
    return response


def _asked(request: HttpRequest, here: Standing, sheet: workbench.Form, context: dict[str, Any]) -> HttpResponse:
    """The question's page; for htmx the form and its answer alone."""
    bench = next(each for each in benches() if sheet.id in each.questions)
    template = "_question" if request.headers.get("HX-Request") else "question"
    status = 422 if sheet.is_refused else 200
    return page_of_a_bench(request, template, here, bench, sheet.id, {"sheet": sheet, **context}, status=status)


def page_of_a_bench(
    request: HttpRequest,
    template: str,
    here: Standing,
    bench: Bench,
    question: str,
    context: Mapping[str, Any],
    status: int = 200,
) -> HttpResponse:
    """A page of one bench, its questions in a row over it."""
    tabs = [_link(each, here) | {"current": each == question} for each in bench.questions]
    return _page(request, template, here, {"bench": bench, "tabs": tabs, **context}, status=status)


def _typed(request: HttpRequest, names: Iterable[str]) -> dict[str, str]:
    """What stands in the lines of a form that was sent."""
    return {each: request.GET.get(each, "")[: workbench.MOST_TYPED] for each in names}


# ---- where one stands ------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Standing:
    """The job that the workbench is used for, by its key, if any; its part, and what its plan fills in."""

    job: str = ""
    part: str = ""
    filled: Mapping[str, Mapping[str, Any]] = field(default_factory=dict)

    @property
    def without_part(self) -> Standing:
        """The same job, for whatever part."""
        return replace(self, part="")

    @property
    def said(self) -> dict[str, str]:
        """What goes on from page to page."""
        return {name: told for name, told in (("job", self.job), ("part", self.part)) if told}

    @property
    def query(self) -> str:
        """The same, as an address carries it."""
        return urlencode(self.said)


def links(job: str, plan: int, part: str, *, material: str | None = None) -> list[dict[str, Any]]:
    """The workbench's questions that a part's task, or a step's bolt, asks, each with its address.

    `material` is the part's: a rim that may be wrapped asks for its wrap.
    """
    here = Standing(job, part, _filled(plan))
    asked = {*here.filled.get(part, {}), *([WRAP] if material in RIMS else [])}
    return [_link(each, here) for bench in benches() for each in bench.questions if each in asked]


def _standing(request: HttpRequest) -> Standing:
    """The job and part that were named."""
    job = request.GET.get("job", "")
    made = store.newest_with(job, "verdicts") if job else None
    return Standing(job, request.GET.get("part", "") if job else "", _filled(made.pk) if made else {})


def _at_a_wheel(request: HttpRequest) -> tuple[Standing, Job | None]:
    """The job that was named, and its wheel: the one that was named, or the only one there is."""
    here = _standing(request)
    job = store.job_at(here.job, store.record(here.job).revision) if here.job else None
    rims = wheel_wraps.wheels(job) if job else {}
    if here.part not in rims and len(rims) == 1:
        here = replace(here, part=next(iter(rims)))
    return here, job


def _filled(plan: int) -> Mapping[str, Mapping[str, Any]]:
    answer = store.answer(plan, FILLED)
    return answer.data if answer and answer.data else {}


def _link(question: str, here: Standing) -> dict[str, Any]:
    address = reverse("workbench_question", args=[question.replace(" ", "-")])
    return {"name": name(question), "url": f"{address}?{here.query}" if here.query else address}


def _places(here: Standing, *places: str, about: str = "") -> list[tuple[str, str]]:
    """Parts and steps with the task each of them fills in, by the task's name."""
    found = [
        (each, (here.filled[each].get(about) or next(iter(here.filled[each].values())))["task"]) for each in places
    ]
    return sorted(found, key=lambda each: each[1].casefold())


def _page(
    request: HttpRequest, template: str, here: Standing, context: dict[str, Any], status: int = 200
) -> HttpResponse:
    """A page of the workbench, in the frame of the job it is used for."""
    around = frame(request, store.record(here.job), STAGE) if here.job else {}
    shared = {"here": here, "base": "jobs/job_base.html" if here.job else "jobs/base.html"}
    return render(request, f"jobs/workbench/{template}.html", {**around, **shared, **context}, status=status)
