"""The quote and the owner's account: the paper as it prints, the yes, payments, changes, what is kept beside."""

from __future__ import annotations

from typing import Any

from django import forms
from django.http import FileResponse, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_POST
from django.views.decorators.vary import vary_on_headers
from django_htmx.http import trigger_client_event

from trimwright.errors import BadInput, Problem
from trimwright.job.account import owed
from trimwright.job.document import Job
from trimwright.job.edits import AddEntry, SetField
from trimwright.job.events import Account, Find, Payment, Promised, Released
from trimwright.web.jobs import papers, store
from trimwright.web.jobs.finding import WAYS, answer_edit, find_in, sheet_of, weigh
from trimwright.web.jobs.forms import Form
from trimwright.web.jobs.frame import frame
from trimwright.web.jobs.money_field import MoneyField
from trimwright.web.jobs.purchases import new_id
from trimwright.web.jobs.saying_yes import YesForm, now_by
from trimwright.web.jobs.writing import happened, keep, seen_job

STAGE = "quote"
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
POINTS = ("low", "likely", "high")


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
    job, asked = store.job_at(key, store.record(key).revision), store.change(key, event)
    if asked is None:
        raise store.NoSuchRecord(f"{key}: change sheet {event}")
    file = papers.paper(asked.plan, f"change-{find_in(job, event).id}.pdf").open("rb")
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
    row = store.record(key)
    sheet = sheet_of(find_in(store.job_at(key, row.revision), event), row)
    return render(request, "jobs/quote/_change.html", {**frame(request, row, STAGE), **sheet})


@require_POST
def ask_change(request: HttpRequest, key: str, event: str) -> HttpResponse:
    """Ask what each answer to a find would come to."""
    weigh(key, event)
    return _page(request, key) if request.headers.get("HX-Request") else redirect("quote", key)


@require_POST
def answer_find(request: HttpRequest, key: str, event: str) -> HttpResponse:
    """The owner's answer to a find, with the yes; promises it lets go of are released."""
    job, form = seen_job(request, key), YesForm(request.POST)
    edit = answer_edit(request, key, find_in(job, event), form)
    if edit is None:
        return _page(request, key, answers={event: form})
    keep(request, key, edit)
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
    job = context["job"]
    currency = job.money.currency
    promised = _standing(job)
    context |= {
        "page_id": new_id(),
        "promised": promised,
        "yes": YesForm(initial=now_by("signed")),
        "letting_go": YesForm(initial=now_by("call"), auto_id="go_%s"),
        "owed": owed(job),
        "payments": [each for each in job.events if isinstance(each, Payment)],
        "payment": PaymentForm(currency=currency, auto_id="pay_%s"),
        "kept_beside": [(each, (sent_back.get("came") or {}).get(each.id)) for each in _of(job, Account)],
        "beside": BesideForm(currency=currency, auto_id="beside_%s"),
        "find": FindForm(job=job, auto_id="find_%s"),
        "changes": [
            sheet_of(each, context["row"], (sent_back.get("answers") or {}).get(each.id)) for each in _of(job, Find)
        ],
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
