"""The workbench: cutting, colour, drying and fumes, torque; by itself, or with the figures of a job's task filled in.

A question is a form that is got, not posted: it keeps nothing, and an answer's address can be sent to the phone at
the bench. `job` and `part` fill in what the plan knows; once the form is sent, what stands in it is all that counts.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.http import urlencode
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET
from django.views.decorators.vary import vary_on_headers

from trimwright.web.jobs import store, workbench
from trimwright.web.jobs.answering import FILLED
from trimwright.web.jobs.frame import frame

STAGE = "workbench"


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
            "colour",
            _("Colour"),
            _("What is to be matched, what to mix, and the swatch beside it."),
            ("colour match", "colour mix", "colour check"),
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


@never_cache
@require_GET
def benches_page(request: HttpRequest) -> HttpResponse:
    """All benches with their questions; with a job, the ones that a part of it asks."""
    here = _standing(request)
    asked = here.filled.get(here.part, {})
    shown = [
        (bench, [_link(each, here if each in asked else here.without_part) for each in bench.questions])
        for bench in benches()
    ]
    return _page(request, "workbench", here, {"benches": shown, "places": _places(here, *here.filled)})


@never_cache
@vary_on_headers("HX-Request")
@require_GET
def question(request: HttpRequest, slug: str) -> HttpResponse:
    """One question: its form, and the answer to what was typed; `ask` tells that the form was sent."""
    question_id = slug.replace("-", " ")
    bench = next((each for each in benches() if question_id in each.questions), None)
    if bench is None:
        raise Http404(slug)
    here = _standing(request)
    asked = workbench.question(question_id, store.book())
    filled = here.filled.get(here.part, {}).get(question_id)
    if "ask" in request.GET:
        typed = {each.name: request.GET.get(each.name, "")[: workbench.MOST_TYPED] for each in asked.asks}
        sheet = workbench.answered(asked, typed)
    else:
        sheet = workbench.blank(asked, filled["typed"] if filled else {})
    context = {
        "bench": bench,
        "sheet": sheet,
        "slug": slug,
        "filled": filled,
        "tabs": [_link(each, here) | {"current": each == question_id} for each in bench.questions],
        "places": _places(
            here, *(place for place, told in here.filled.items() if question_id in told), about=question_id
        ),
    }
    template = "_question" if request.headers.get("HX-Request") else "question"
    return _page(request, template, here, context, status=422 if sheet.is_refused else 200)


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
    def query(self) -> str:
        """What goes on from page to page."""
        said = {"job": self.job, "part": self.part}
        return urlencode({name: told for name, told in said.items() if told})


def links(job: str, plan: int, part: str) -> list[dict[str, Any]]:
    """The workbench's questions that a part's task, or a step's bolt, asks, each with its address."""
    here = Standing(job, part, _filled(plan))
    return [_link(each, here) for bench in benches() for each in bench.questions if each in here.filled.get(part, {})]


def _standing(request: HttpRequest) -> Standing:
    """The job and part that were named."""
    job = request.GET.get("job", "")
    made = store.newest_with(job, "verdicts") if job else None
    return Standing(job, request.GET.get("part", "") if job else "", _filled(made.pk) if made else {})


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
