"""Treatments of the shop's own: first what they are for, then what they take and give; never for what holds people."""

from __future__ import annotations

from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_http_methods

from trimwright.book.document import Book
from trimwright.book.entries import sound, with_entry, without_entries
from trimwright.book.treatments import OwnTreatment, may_be_settled
from trimwright.errors import BadInput
from trimwright.facts import load
from trimwright.job.fields import free_id
from trimwright.job.starting import id_from
from trimwright.web.jobs import store
from trimwright.web.jobs.devices import device_of
from trimwright.web.jobs.forms import Form
from trimwright.web.jobs.views.shop_book import render_tab

KINDS = (
    ("clean", gettext_lazy("clean")),
    ("mend", gettext_lazy("mend")),
    ("refinish", gettext_lazy("refinish")),
    ("re-cover", gettext_lazy("re-cover")),
)
EXTENTS = (
    ("", gettext_lazy("not")),
    ("light", gettext_lazy("light")),
    ("medium", gettext_lazy("medium")),
    ("heavy", gettext_lazy("heavy")),
)
PERS = (
    ("job", gettext_lazy("for the part")),
    ("m2", gettext_lazy("for each m²")),
    ("m", gettext_lazy("for each metre")),
    ("piece", gettext_lazy("for each piece")),
)
USES = 4
"""Rows for materials."""


class TreatmentForm(Form):
    """What a treatment takes and gives."""

    name = forms.CharField(label=gettext_lazy("What it is called"), max_length=200)
    kind = forms.ChoiceField(label=gettext_lazy("What is done"), choices=KINDS)
    reach = forms.ChoiceField(
        label=gettext_lazy("Where it is done"),
        choices=(("in place", gettext_lazy("in the car")), ("off", gettext_lazy("off the car"))),
    )
    hours = forms.FloatField(label=gettext_lazy("Hours of a practised hand"), min_value=0.01, max_value=200)
    hours_per = forms.ChoiceField(label=gettext_lazy("counted"), choices=PERS)
    finish_low = forms.IntegerField(label=gettext_lazy("Finish at worst"), min_value=0, max_value=10)
    finish = forms.IntegerField(label=gettext_lazy("usually"), min_value=0, max_value=10)
    finish_high = forms.IntegerField(label=gettext_lazy("at best"), min_value=0, max_value=10)
    life_low = forms.FloatField(label=gettext_lazy("Years it holds, fewest"), min_value=0.1, max_value=60)
    life = forms.FloatField(label=gettext_lazy("usually"), min_value=0.1, max_value=60)
    life_high = forms.FloatField(label=gettext_lazy("most"), min_value=0.1, max_value=60)
    redo_low = forms.FloatField(label=gettext_lazy("Done again, of a hundred: low"), min_value=0, max_value=100)
    redo_high = forms.FloatField(label=gettext_lazy("high"), min_value=0, max_value=100)
    not_for = forms.CharField(label=gettext_lazy("What it is not for"), max_length=200, required=False)

    def __init__(self, *args: Any, families: list[str], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        trade = load()
        self.families = families
        self.faults = [
            each
            for each in trade.faults.values()
            if may_be_settled(each) and any(trade.is_for(family, each.materials) for family in families)
        ]
        for fault in self.faults:
            met = [trade.families[each].name for each in families if trade.is_for(each, fault.materials)]
            label = fault.name if len(met) == len(families) else f"{fault.name} ({', '.join(met)})"
            self.fields[f"fault-{fault.id}"] = forms.ChoiceField(label=label, choices=EXTENTS, required=False)
        materials = sorted(trade.materials.values(), key=lambda each: each.name)
        named = [("", _("none")), *((each.id, f"{each.name} ({each.unit})") for each in materials)]
        for row in range(USES):
            self.fields[f"use-{row}"] = forms.ChoiceField(label=_("Material"), choices=named, required=False)
            self.fields[f"amount-{row}"] = forms.FloatField(label=_("How much"), min_value=0, required=False)
            self.fields[f"per-{row}"] = forms.ChoiceField(label=_("counted"), choices=PERS, required=False)
        cautions = [(each.id, each.text) for each in trade.cautions.values()]
        tools = [(each.id, each.name) for each in trade.tools.values() if not each.hand_tool]
        ticks = forms.CheckboxSelectMultiple
        self.fields["cautions"] = forms.MultipleChoiceField(
            label=_("Cautions that go with it"), choices=cautions, required=False, widget=ticks
        )
        self.fields["tools"] = forms.MultipleChoiceField(
            label=_("Tools it needs"), choices=tools, required=False, widget=ticks
        )

    @property
    def fault_fields(self) -> list[Any]:
        """One for each fault that it may settle."""
        return [self[f"fault-{each.id}"] for each in self.faults]

    @property
    def use_fields(self) -> list[tuple[Any, Any, Any]]:
        """Material, amount and what it is counted by, row by row."""
        return [(self[f"use-{row}"], self[f"amount-{row}"], self[f"per-{row}"]) for row in range(USES)]

    def entry(self, treatment: str) -> dict[str, Any]:
        """What the form says, as the book has it."""
        told = self.cleaned_data
        suits = [{"fault": each.id, "upto": upto} for each in self.faults if (upto := told[f"fault-{each.id}"])]
        uses = [
            {"material": told[f"use-{row}"], "amount": told[f"amount-{row}"], "per": told[f"per-{row}"] or "job"}
            for row in range(USES)
            if told[f"use-{row}"] and told[f"amount-{row}"]
        ]
        return {
            "id": treatment,
            **{name: told[name] for name in ("name", "kind", "reach", "not_for", "cautions", "tools")},
            "families": self.families,
            "suits": suits,
            "uses": uses,
            "hours": [{"amount": told["hours"], "per": told["hours_per"]}],
            **{name: (told[f"{name}_low"], told[name], told[f"{name}_high"]) for name in ("finish", "life")},
            "redo": (told["redo_low"] / 100, told["redo_high"] / 100),
        }


@never_cache
@require_GET
def own_treatments(request: HttpRequest) -> HttpResponse:
    """Every treatment of the shop's own, and the way to a new one: first what it is made of."""
    trade = load()
    families = [each for each in trade.families.values() if not each.restraint]
    context = {"treatments": store.book().treatments, "families": families, "known": trade.families}
    return render_tab(request, "treatments", context)


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def new_treatment(request: HttpRequest) -> HttpResponse:
    """A new treatment for the `family` that are chosen."""
    families = _families(request)
    if not families:
        messages.info(request, _("Choose first what the part is made of."))
        return redirect("own_treatments")
    first = {"redo_low": 2, "redo_high": 10}
    return _form(request, TreatmentForm(request.POST or None, families=families, initial=first), "")


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def own_treatment(request: HttpRequest, treatment: str) -> HttpResponse:
    """One treatment of the shop's own, to change or to take out."""
    own = next((each for each in store.book().treatments if each.id == treatment), None)
    if own is None:
        raise store.NoSuchRecord(f"treatment {treatment}")
    if "gone" in request.POST:
        line = _("Own treatment taken out: %(what)s") % {"what": own.name}
        store.change_book(lambda book: without_entries(book, "treatments", id=treatment), device_of(request), line)
        messages.info(request, line)
        return redirect("own_treatments")
    form = TreatmentForm(request.POST or None, families=list(own.families), initial=_first(own))
    return _form(request, form, treatment)


def _form(request: HttpRequest, form: TreatmentForm, treatment: str) -> HttpResponse:
    """The form, and once it is right the way back; what the trade refuses is told over it."""
    if form.is_valid():
        line = _("Own treatment: %(what)s") % {"what": form.cleaned_data["name"]}

        def change(book: Book) -> Book:
            taken = {*load().treatments, *(each.id for each in book.treatments)}
            named = treatment or free_id(id_from(form.cleaned_data["name"]).replace("-", "_"), taken)
            return sound(with_entry(book, "treatments", form.entry(named)), load())

        try:
            store.change_book(change, device_of(request), line)
        except BadInput as error:
            for each in error.problems:
                form.add_error(None, f"{each.where}: {each.what} {each.way_out}".strip())
        else:
            messages.info(request, line)
            return redirect("own_treatments")
    names = [load().families[each].name for each in form.families]
    context = {"form": form, "treatment": treatment, "families": form.families, "family_names": names}
    context["currency"] = store.shop().currency
    return render(request, "jobs/shop_book/treatment.html", context, status=422 if form.is_bound else 200)


def _families(request: HttpRequest) -> list[str]:
    known = load().families
    asked = (request.POST or request.GET).getlist("family")
    return [each for each in dict.fromkeys(asked) if each in known and not known[each].restraint]


def _first(own: OwnTreatment) -> dict[str, Any]:
    """What stands in the form before anybody types."""
    first: dict[str, Any] = {
        **{name: getattr(own, name) for name in ("name", "kind", "reach", "not_for")},
        "cautions": list(own.cautions), "tools": list(own.tools),
        "hours": own.hours[0].amount, "hours_per": own.hours[0].per,
        "redo_low": 100 * own.redo[0], "redo_high": 100 * own.redo[1],
        **{f"fault-{each.fault}": each.upto for each in own.suits},
    }  # fmt: skip
    for name in ("finish", "life"):
        first |= dict(zip((f"{name}_low", name, f"{name}_high"), getattr(own, name), strict=True))
    for row, use in enumerate(own.uses[:USES]):
        first |= {f"use-{row}": use.material, f"amount-{row}": use.amount, f"per-{row}": use.per}
    return first
