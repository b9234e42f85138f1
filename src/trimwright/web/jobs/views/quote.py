"""The quote and the owner's account: the paper as it prints, the yes, payments, changes, what is kept beside."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django import forms
from django.http import FileResponse, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_POST
from django.views.decorators.vary import vary_on_headers
from django_htmx.http import trigger_client_event

from trimwright.errors import BadInput, Problem
from trimwright.job.account import owed
from trimwright.job.document import Job
from trimwright.job.edits import AddEntry, Edit, SetField, Together
from trimwright.job.events import Account, Find, Payment, Promised, Released
from trimwright.web.jobs import papers, store
from trimwright.web.jobs.answering import CHANGE
from trimwright.web.jobs.forms import Form
from trimwright.web.jobs.frame import PENDING, frame
from trimwright.web.jobs.models import Answer
from trimwright.web.jobs.money_field import MoneyField
from trimwright.web.jobs.purchases import new_id
from trimwright.web.jobs.writing import happened, keep, seen_job

STAGE = "quote"
HOW = (
    ("signed", gettext_lazy("signed")),
    ("in person", gettext_lazy("in person")),
    ("call", gettext_lazy("call")),
    ("message", gettext_lazy("message")),
)
PAID_FOR = (
    ("deposit", gettext_lazy("deposit")),
    ("stage", gettext_lazy("stage payment")),
    ("balance", gettext_lazy("balance")),
    ("given back", gettext_lazy("given back to the owner")),
)
BESIDE = (
    ("owner's material", gettext_lazy("material the owner brings")),
    ("core", gettext_lazy("core to return")),
    ("left-over", gettext_lazy("left-over to sell")),
)
WAYS = (
    ("from the reserve", gettext_lazy("The reserve pays")),
    ("drop others for it", gettext_lazy("Others are dropped for it")),
    ("leave and record", gettext_lazy("It is left and recorded")),
)

POINTS = ("low", "likely", "high")


class YesForm(Form):
    """Somebody's yes: who, when, how; as it can be shown later."""

    name = forms.CharField(label=gettext_lazy("Who said yes"), max_length=200)
    at = forms.DateTimeField(
        label=gettext_lazy("Day and time"),
        widget=forms.DateTimeInput(attrs={"type": "datetime-local"}, format="%Y-%m-%dT%H:%M"),
    )
    how = forms.ChoiceField(label=gettext_lazy("How"), choices=HOW)
    note = forms.CharField(
        label=gettext_lazy("Anything else, such as the number called"), max_length=2000, required=False
    )

    @property
    def yes(self) -> dict[str, Any]:
        """As an event holds it."""
        told = self.cleaned_data
        return {"at": told["at"].replace(microsecond=0).isoformat(), "name": told["name"], "how": told["how"]}


class PaymentForm(Form):
    """Money from the owner, or back."""

    what = forms.ChoiceField(label=gettext_lazy("What for"), choices=PAID_FOR)
    how = forms.CharField(label=gettext_lazy("How it was paid"), max_length=200, required=False)

    def __init__(self, *args: Any, currency: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["money"] = MoneyField(label=gettext_lazy("How much"), currency=currency)
        self.order_fields(("what", "money", "how"))


class BesideForm(Form):
    """Something kept in the account beside the sum."""

    what = forms.ChoiceField(label=gettext_lazy("What kind"), choices=BESIDE)
    name = forms.CharField(label=gettext_lazy("What it is"), max_length=200)
    until = forms.DateField(
        label=gettext_lazy("Last day for it"), required=False,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
    )  # fmt: skip
    for_owner = forms.BooleanField(label=gettext_lazy("What comes of it is taken off the owner’s bill"), required=False)

    def __init__(self, *args: Any, currency: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["money"] = MoneyField(
            label=gettext_lazy("Money"), currency=currency, required=False,
            help_text=gettext_lazy(
                "Your fee for working the owner’s material; what the seller holds for a core; what a left-over should "
                "bring."
            ),
        )  # fmt: skip
        self.order_fields(("what", "name", "money", "until", "for_owner"))


class CameForm(Form):
    """What came of it in the end."""

    def __init__(self, *args: Any, currency: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["came"] = MoneyField(label=gettext_lazy("What came of it"), currency=currency)


class FindForm(Form):
    """What was found on the way: it becomes a change sheet."""

    what = forms.CharField(label=gettext_lazy("What was found"), max_length=200)
    part = forms.ChoiceField(label=gettext_lazy("On which part"))
    hours = forms.DecimalField(
        label=gettext_lazy("Hours it takes, most likely"), min_value=0, max_value=1000, required=False
    )
    must = forms.BooleanField(label=gettext_lazy("It has to be dealt with"), required=False)

    def __init__(self, *args: Any, job: Job, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["part"] = forms.ChoiceField(
            label=gettext_lazy("On which part"), choices=[(each.id, each.name) for each in job.parts]
        )
        self.fields["money"] = MoneyField(
            label=gettext_lazy("Money it takes, most likely"), currency=job.money.currency, required=False
        )
        self.order_fields(("what", "part", "money", "hours", "must"))


@never_cache
@require_GET
@vary_on_headers("HX-Request")
def quote(request: HttpRequest, key: str) -> HttpResponse:
    """The quote as it prints, the owner's yes, the account, changes."""
    return _page(request, key)


@never_cache
@require_GET
def quote_page(request: HttpRequest, key: str, number: int) -> FileResponse:
    """One page of the quote as a picture."""
    plan = store.newest_printed(key)
    return FileResponse(papers.paper(plan, f"quote-{number}.png").open("rb"), content_type="image/png")


@never_cache
@require_GET
def change_sheet(request: HttpRequest, key: str, event: str) -> FileResponse:
    """The change sheet of a find, as PDF."""
    plan, job = store.newest_result(key), store.job_at(key, store.record(key).revision)
    if plan is None:
        raise store.NoSuchRecord(f"{key}: change sheet {event}")
    file = papers.paper(plan, f"change-{_find(job, event).id}.pdf").open("rb")
    return FileResponse(file, content_type="application/pdf", filename=f"{job.id}-change-{event}.pdf")


@require_POST
def owner_yes(request: HttpRequest, key: str) -> HttpResponse:
    """The owner's yes to the plan that was shown: every verdict is promised for the sum."""
    form = YesForm(request.POST)
    if not form.is_valid():
        return _page(request, key, yes=form)
    plan, row = store.newest_result(key), store.record(key)
    shown = plan is not None and str(plan.pk) == request.POST.get("plan") and "verdicts" in (plan.result or {})
    if plan is None or not shown or plan.revision != row.revision:
        what = _("is not the one that stands now: something was changed meanwhile.")
        raise BadInput(Problem(_("the quote"), "", what, _("Look at the new quote, then note the yes.")))
    promised = {
        each["part"]: each["course"]
        for zone in (plan.result or {})["verdicts"]["zones"]
        for each in zone["parts"]
        if each["settled_by"] is None and each["course"]
    }
    event = happened(
        request, "promised", request.POST.get("edit_id", ""),
        verdicts=promised, sum=row.sum, yes=form.yes, note=form.cleaned_data["note"],
    )  # fmt: skip
    keep(request, key, AddEntry(path=("events",), value=event))
    return _onward(request, key)


@require_POST
def payment(request: HttpRequest, key: str) -> HttpResponse:
    """Note what the owner paid."""
    form = PaymentForm(request.POST, currency=seen_job(request, key).money.currency)
    if not form.is_valid():
        return _page(request, key, payment=form)
    event = happened(request, "payment", request.POST.get("edit_id", ""), **form.cleaned_data)
    keep(request, key, AddEntry(path=("events",), value=event))
    return _onward(request, key)


@require_POST
def beside(request: HttpRequest, key: str) -> HttpResponse:
    """Keep something in the account beside the sum."""
    form = BesideForm(request.POST, currency=seen_job(request, key).money.currency)
    if not form.is_valid():
        return _page(request, key, beside=form)
    told = form.cleaned_data
    event = happened(
        request, "account", request.POST.get("edit_id", ""),
        what=told["what"], name=told["name"], money=told["money"] or 0, for_owner=told["for_owner"],
        until=told["until"].isoformat() if told["until"] else None,
    )  # fmt: skip
    keep(request, key, AddEntry(path=("events",), value=event))
    return _onward(request, key)


@require_POST
def came_of_it(request: HttpRequest, key: str, event: str) -> HttpResponse:
    """Note what came of something kept beside the sum: the core went back, the left-over was sold."""
    job = seen_job(request, key)
    if not any(each.id == event and isinstance(each, Account) for each in job.events):
        raise store.NoSuchRecord(f"{key}: account {event}")
    form = CameForm(request.POST, currency=job.money.currency)
    if not form.is_valid():
        return _page(request, key, came={event: form})
    keep(request, key, SetField(path=("events", event, "came"), value=form.cleaned_data["came"]))
    return _onward(request, key)


@require_POST
def found(request: HttpRequest, key: str) -> HttpResponse:
    """Note a find: what the owner will be asked about."""
    form = FindForm(request.POST, job=seen_job(request, key))
    if not form.is_valid():
        return _page(request, key, find=form)
    told = form.cleaned_data
    money, minutes = told["money"] or 0, round((told["hours"] or 0) * 60)
    event = happened(
        request, "find", request.POST.get("edit_id", ""),
        what=told["what"], part=told["part"], must=told["must"],
        money=dict.fromkeys(POINTS, money), minutes=dict.fromkeys(POINTS, minutes),
    )  # fmt: skip
    keep(request, key, AddEntry(path=("events",), value=event))
    return _onward(request, key)


@never_cache
@require_GET
def change(request: HttpRequest, key: str, event: str) -> HttpResponse:
    """What each answer to a find comes to; asked for by the page while it is worked out."""
    find = _find(store.job_at(key, store.record(key).revision), event)
    plan = store.newest_result(key)
    return render(
        request, "jobs/quote/_change.html", {**frame(request, store.record(key), STAGE), **_sheet(find, plan)}
    )


@require_POST
def ask_change(request: HttpRequest, key: str, event: str) -> HttpResponse:
    """Ask what each answer to a find would come to."""
    plan = store.newest_result(key)
    if plan is not None:
        answer = store.ask(plan.pk, f"{CHANGE}{event}", urgent=True)
        if answer.state == Answer.State.FAILED:
            store.ask_anew(plan.pk, answer.about)
    return _page(request, key) if request.headers.get("HX-Request") else redirect("quote", key)


@require_POST
def answer_find(request: HttpRequest, key: str, event: str) -> HttpResponse:
    """The owner's answer to a find, with the yes; promises it lets go of are released."""
    job = seen_job(request, key)
    find, form, way = _find(job, event), YesForm(request.POST), request.POST.get("answer", "")
    if way not in dict(WAYS) or (find.must and way == "leave and record"):
        raise BadInput(Problem(_("answer"), way, _("is none of the three."), _("Choose one of them.")))
    if not form.is_valid():
        return _page(request, key, answers={event: form})
    plan = store.newest_result(key)
    sheet = store.answer(plan.pk, f"{CHANGE}{event}") if plan else None
    lets_go = sheet.data["lets_go"].get(way, []) if sheet and sheet.data else []
    drops = lets_go if way == "drop others for it" else []
    edits: list[Edit] = [
        SetField(path=("events", event, "answer"), value=way),
        SetField(path=("events", event, "yes"), value=form.yes),
        SetField(path=("events", event, "drops"), value=list(drops)),
    ]
    if form.cleaned_data["note"]:
        note = " ".join(filter(None, (find.note, form.cleaned_data["note"])))
        edits.append(SetField(path=("events", event, "note"), value=note))
    keep(request, key, Together(edits=tuple(edits)))
    return _onward(request, key)


@require_POST
def let_go(request: HttpRequest, key: str) -> HttpResponse:
    """The owner lets go of everything promised: it may be decided anew."""
    form = YesForm(request.POST)
    if not form.is_valid():
        return _page(request, key, letting_go=form)
    parts = sorted({part for each in _of(seen_job(request, key), Promised) for part in each.verdicts})
    event = happened(
        request, "released", request.POST.get("edit_id", ""), parts=parts, yes=form.yes, note=form.cleaned_data["note"]
    )
    keep(request, key, AddEntry(path=("events",), value=event))
    return _onward(request, key)


# What the page stands on.


def _page(request: HttpRequest, key: str, **sent_back: Any) -> HttpResponse:
    """The page, or its own part for htmx; `sent_back` are forms that were wrong."""
    context = frame(request, store.record(key), STAGE)
    job, plan = context["job"], context["plan_record"]
    now = {"at": timezone.localtime().replace(second=0, microsecond=0)}
    currency = job.money.currency
    promised = _standing(job)
    context |= {
        "page_id": new_id(),
        "promised": promised,
        "yes": YesForm(initial=now | {"how": "signed"}),
        "letting_go": YesForm(initial=now | {"how": "call"}, auto_id="go_%s"),
        "owed": owed(job),
        "payments": [each for each in job.events if isinstance(each, Payment)],
        "payment": PaymentForm(currency=currency, auto_id="pay_%s"),
        "kept_beside": [(each, (sent_back.get("came") or {}).get(each.id)) for each in _of(job, Account)],
        "beside": BesideForm(currency=currency, auto_id="beside_%s"),
        "find": FindForm(job=job, auto_id="find_%s"),
        "changes": [_sheet(each, plan, (sent_back.get("answers") or {}).get(each.id)) for each in _of(job, Find)],
        "ways": WAYS,
        "pages": range(1, (context["plan"] or {}).get("papers", {}).get("quote_pages", 0) + 1),
        **{name: form for name, form in sent_back.items() if isinstance(form, forms.Form)},
    }
    template = "jobs/quote/_quote.html" if request.headers.get("HX-Request") else "jobs/quote/quote.html"
    return render(request, template, context, status=422 if sent_back else 200)


def _onward(request: HttpRequest, key: str) -> HttpResponse:
    if not request.headers.get("HX-Request"):
        return redirect("quote", key)
    return trigger_client_event(_page(request, key), "job-changed")


def _of(job: Job, kind: type[Any]) -> list[Any]:
    return [each for each in job.events if isinstance(each, kind)]


def _standing(job: Job) -> Promised | None:
    """The owner's last yes to the quote; None when there is none or everything was let go of since."""
    gone: set[str] = set()
    for each in reversed(job.events):
        if isinstance(each, Promised):
            return None if gone >= set(each.verdicts) else each
        if isinstance(each, Released):
            gone |= set(each.parts)
    return None


def _find(job: Job, event: str) -> Find:
    try:
        return job.find(event)
    except KeyError:
        raise store.NoSuchRecord(f"{job.id}: find {event}") from None


def _sheet(find: Find, plan: Any, wrong: forms.Form | None = None) -> Mapping[str, Any]:
    """A find with what each answer comes to, as far as that has been asked and told."""
    asked = store.answer(plan.pk, f"{CHANGE}{find.id}") if plan else None
    first = {"at": timezone.localtime().replace(second=0, microsecond=0), "how": "call"}
    return {
        "event": find,
        "sheet": asked.data if asked else None,
        "asked": asked,
        "pending": asked is not None and asked.state in PENDING,
        "form": wrong or YesForm(initial=first, auto_id=f"{find.id}-%s"),
        "has_paper": asked is not None and asked.state == Answer.State.DONE,
        "edit_id": new_id(),
        "choices": [each for each in WAYS if not (find.must and each[0] == "leave and record")],
    }
