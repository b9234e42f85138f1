"""The first call: from a car, a sum and three answers what the sum can do, roughly, and what speaks against it.

A call is kept like a job and decided like one, on guessed wear; taken, it becomes a job with nothing seen yet.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_http_methods, require_POST
from django.views.decorators.vary import vary_on_headers

from trimwright.facts import load
from trimwright.job.first_call import Answers, rough_job, taken
from trimwright.units import money as shown
from trimwright.web.jobs import store
from trimwright.web.jobs.answering import ROUGH
from trimwright.web.jobs.devices import device_of
from trimwright.web.jobs.forms import UNITS, NewJobForm
from trimwright.web.jobs.frame import PENDING, plan_context
from trimwright.web.jobs.models import JobRecord, State

WEARS = (
    ("kept", gettext_lazy("looked after")),
    ("used", gettext_lazy("in ordinary use")),
    ("worn", gettext_lazy("hard worn")),
    ("neglected", gettext_lazy("left standing, let go")),
)
TROUBLES = (
    ("belts", gettext_lazy("a belt is frayed, cut or slow")),
    ("lamp", gettext_lazy("an airbag or belt lamp stays on")),
    ("damp", gettext_lazy("the floor is damp or smells musty")),
)
LITTLE = 5
"""Points of the cabin's finish under which the sum changes little that anybody sees."""
ANCHORS = "floor_holes"
"""The hidden fault that is the body's: rust where belts and seats are anchored."""
TOLD = 8
"""Parts told of what the sum would do, those first that gain most."""


class FirstCallForm(NewJobForm):
    """The car, the sum, and three answers."""

    wanted_by = None  # type: ignore[assignment]  # asked once the job is taken
    wear = forms.ChoiceField(
        label=gettext_lazy("How worn is the cabin?"), choices=WEARS, widget=forms.RadioSelect, initial="used"
    )
    hurts = forms.MultipleChoiceField(
        label=gettext_lazy("What hurts most?"), required=False, widget=forms.CheckboxSelectMultiple
    )
    untouched = forms.MultipleChoiceField(
        label=gettext_lazy("What must not be touched?"), required=False, widget=forms.CheckboxSelectMultiple
    )
    trouble = forms.MultipleChoiceField(
        label=gettext_lazy("Is any of this so?"), required=False, widget=forms.CheckboxSelectMultiple, choices=TROUBLES
    )
    hours = forms.FloatField(
        label=gettext_lazy("Hours you have for it"), min_value=1, max_value=5000, required=False,
        help_text=gettext_lazy("Leave it empty when they do not matter."),
    )  # fmt: skip

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        choices = [(zone, zone) for zone in zones()]
        for name in ("hurts", "untouched"):
            field = self.fields[name]
            assert isinstance(field, forms.MultipleChoiceField)
            field.choices = choices

    @property
    def answers(self) -> Answers:
        """What the caller says."""
        told = self.cleaned_data
        return Answers(
            told["wear"], tuple(told["hurts"]), tuple(told["untouched"]), frozenset(told["trouble"]), told["hours"]
        )


def zones() -> list[str]:
    """The zones a caller may name, in the order of the walk-round; what holds people is asked for by itself."""
    kinds = (each for each in load().parts.values() if not each.is_step and each.usual and not each.is_restraint)
    return list(dict.fromkeys(each.zone for each in kinds if each.zone not in ("fixings", "belts")))


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def first_call(request: HttpRequest) -> HttpResponse:
    """The questions, and the calls that nobody has taken yet."""
    shop = store.shop()
    first = {"currency": shop.currency, "units": shop.units, "body": "two-door", "wear": "used"}
    form = FirstCallForm(request.POST) if request.method == "POST" else FirstCallForm(initial=first)
    if form.is_valid():
        told = form.cleaned_data
        job = rough_job(
            load(),
            car={"text": told["car"], "year": told["year"], "body": told["body"], "units": told["units"]},
            money={"currency": told["currency"], "sum": told["sum_minor"]},
            told=form.answers,
        )
        return redirect("call", store.start_job(job, device_of(request), is_call=True).key)
    context = {"form": form, "calls": store.calls(), "units": UNITS}
    return render(request, "jobs/first_call/questions.html", context, status=422 if form.is_bound else 200)


@never_cache
@require_GET
@vary_on_headers("HX-Request")
def call(request: HttpRequest, key: str) -> HttpResponse:
    """What this sum can do; asked for again by the page while it is worked out."""
    row = store.record(key)
    if not row.is_call:
        return redirect("job", key)
    asked = plan_context(row, store.ask_for_plan(row))
    rough = None
    if asked["plan_current"] and not asked["plan_pending"]:
        rough = store.ask(asked["plan_record"].pk, ROUGH, urgent=True)
    data = rough.data if rough and rough.state == State.DONE else None
    context = {
        "row": row,
        "job": store.job_at(key, row.revision),
        **asked,
        "rough": data,
        "rough_failed": rough is not None and rough.state == State.FAILED,
        "hours": _about_hours(asked["plan"], data),
        "pending": asked["plan_pending"] or (rough is not None and rough.state in PENDING),
    }
    if asked["plan"] and "verdicts" in asked["plan"]:
        context["works"] = _works(asked["plan"])
        context["reasons"] = list(_reasons(row, asked["plan"], context["rough"]))
    template = "jobs/first_call/_answer.html" if request.headers.get("HX-Request") else "jobs/first_call/answer.html"
    return render(request, template, context)


@require_POST
def take_call(request: HttpRequest, key: str) -> HttpResponse:
    """The call is taken: it becomes a job with nothing seen yet."""
    row = store.record(key)
    if row.is_call:
        store.take_call(key, taken(store.job_at(key, row.revision), load()), device_of(request))
        messages.info(request, _("Taken. What was guessed is gone; now look at the car."))
    return redirect("job", key)


@require_POST
def decline_call(request: HttpRequest, key: str) -> HttpResponse:
    """The call is declined and put away."""
    store.drop_call(key, device_of(request))
    messages.info(request, _("Declined and put away."))
    return redirect("first_call")


# What the answer stands on.


def _about_hours(plan: dict[str, Any] | None, rough: dict[str, Any] | None) -> dict[str, int]:
    """Whole hours: as guessed, and the fewest and most of a step better or worse."""
    if not plan or "money" not in plan:
        return {}
    minutes = [plan["money"]["minutes"], *(rough[each]["minutes"] for each in ("better", "worse") if rough)]
    hours = [round(each / 60) for each in minutes]
    return {"guessed": hours[0], "fewest": min(hours), "most": max(hours)}


def _works(plan: dict[str, Any]) -> list[dict[str, Any]]:
    """The parts that gain most, as the plan would treat them."""
    parts = [part for zone in plan["verdicts"]["zones"] for part in zone["parts"] if part["settled_by"] is None]
    gaining = [each for each in parts if each["finish_after"] > each["finish_before"]]
    return sorted(gaining, key=lambda each: (each["finish_before"] - each["finish_after"], -each["money"]))[:TOLD]


def _reasons(row: JobRecord, plan: dict[str, Any], rough: dict[str, Any] | None) -> Iterator[dict[str, str]]:
    """What speaks against the job, the gravest first; each with what to say or to look at."""
    money, short = plan["money"], plan["money"]["short"]

    def told(minor: int) -> str:
        return shown(minor, row.currency, code=True)

    if short and short["money"] > 0:
        what = _("The sum is %(money)s short of what has to be done.") % {"money": told(short["money"])}
        yield {"what": what, "told": "; ".join(short["because"][:3])}
    if short and short["minutes"] > 0:
        hours = -(-short["minutes"] // 60)
        yield {"what": _("It takes about %(hours)s hours more than there are.") % {"hours": hours}, "told": ""}
    if not short and money["finish_after"] - money["finish_before"] < LITTLE:
        yield {
            "what": _("The sum changes little that anybody sees."),
            "told": _("Say what would: more money, or one zone alone."),
        }
    if rough is None:
        return
    if rough["restraint"] > rough["restraint_most"]:
        what = _("What holds people takes %(money)s, more than half of the sum.") % {"money": told(rough["restraint"])}
        yield {"what": what, "told": _("Belts, airbags and their covers go first: fitted new by licensed practice.")}
    if rough["worse"]["short"] and not short:
        what = _("Were it a step worse than guessed, the sum would be %(money)s short.") % {
            "money": told(rough["worse"]["short"])
        }
        yield {"what": what, "told": _("See the car before you say a price.")}
    for each in rough["grave"]:
        what = _("It may have: %(what)s, in about %(chance)s of a hundred.") % {
            "what": each["name"], "chance": round(100 * each["chance"]),
        }  # fmt: skip
        body = _("That is body work before any trim: look under the carpet edge first, and decline if it is so.")
        other = _("That has to be dealt with, whatever it costs: ask, and look first.")
        yield {"what": what, "told": body if each["find"] == ANCHORS else other}
