"""What is said on the strip-down, from text to values: a step off with its bag, the book's wait, a find."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from trimwright.facts import load
from trimwright.job.document import Job
from trimwright.web.jobs import stripping
from trimwright.web.jobs.forms import Form
from trimwright.web.jobs.money_field import MoneyField

MOST_FIXINGS = 500
OTHER = "other"


def _figure(label: Any, most: int, **more: Any) -> forms.IntegerField:
    how = {"inputmode": "numeric", "autocomplete": "off"}
    return forms.IntegerField(
        label=label, min_value=0, max_value=most, required=False, widget=forms.NumberInput(attrs=how), **more
    )


class OffForm(Form):
    """A step is off: what went into its bag, what broke, what it took."""

    counted = _figure(gettext_lazy("Fixings in the bag"), MOST_FIXINGS)
    broken = _figure(gettext_lazy("Clips and fixings broken"), MOST_FIXINGS)
    missing = _figure(gettext_lazy("Missing"), MOST_FIXINGS)
    minutes = _figure(gettext_lazy("Minutes it took"), 6000)
    note = forms.CharField(label=gettext_lazy("Note"), max_length=2000, required=False)


class BookWaitForm(Form):
    """The wait of the car's own book."""

    minutes = forms.IntegerField(label=gettext_lazy("Minutes, rounded up"), min_value=1, max_value=24 * 60)
    page = forms.CharField(label=gettext_lazy("Where it stands in the book"), max_length=200)


class FoundForm(Form):
    """Something was found: what it is, how bad, and what it takes where that is known better than by the trade."""

    step = forms.CharField(widget=forms.HiddenInput)
    find = forms.ChoiceField(label=gettext_lazy("What is it?"), widget=forms.RadioSelect)
    what = forms.CharField(label=gettext_lazy("In a few words"), max_length=200, required=False)
    extent = forms.ChoiceField(
        label=gettext_lazy("How bad is it?"), choices=stripping.EXTENTS, widget=forms.RadioSelect, initial="medium"
    )
    hours = forms.DecimalField(
        label=gettext_lazy("Hours it takes"), min_value=0, max_value=1000, required=False,
        widget=forms.NumberInput(attrs={"inputmode": "decimal", "autocomplete": "off", "step": "any"}),
    )  # fmt: skip
    left_finish = forms.TypedChoiceField(
        label=gettext_lazy("While it is left, the part is no better than"), coerce=int, empty_value=None,
        required=False, choices=[("", gettext_lazy("it does not show")), *((at, at) for at in map(str, range(11)))],
    )  # fmt: skip
    must = forms.BooleanField(label=gettext_lazy("It has to be dealt with"), required=False)

    def __init__(self, *args: Any, job: Job, screens: Sequence[stripping.Screen], **kwargs: Any) -> None:
        super().__init__(*args, auto_id="found_%s", **kwargs)
        self.job, self.trade = job, load()
        self.steps = {each.id: each for each in screens}
        self.suspects = stripping.suspects(screens, self.trade)
        named = {name: self.trade.finds[name].name for names in self.suspects.values() for name in names}
        choices = [*((name, told[:1].upper() + told[1:]) for name, told in named.items())]
        self.fields["find"] = forms.ChoiceField(
            label=gettext_lazy("What is it?"), widget=forms.RadioSelect, initial=OTHER,
            choices=[*choices, (OTHER, gettext_lazy("Something else"))],
        )  # fmt: skip
        self.fields["money"] = MoneyField(
            label=gettext_lazy("Money it takes"), currency=job.money.currency, required=False
        )

    @property
    def choices_here(self) -> list[dict[str, Any]]:
        """What may be chosen, with the steps that may show it."""
        chosen = self["find"].value() or OTHER
        return [
            {"id": name, "name": told, "chosen": name == chosen,
             "steps": " ".join(step for step, names in self.suspects.items() if name in names)}
            for name, told in self.fields["find"].choices  # type: ignore[attr-defined]
        ]  # fmt: skip

    def clean_step(self) -> str:
        step = str(self.cleaned_data["step"])
        if step not in self.steps or self.steps[step].kind != "off":
            raise forms.ValidationError(_("Say at which step it was found."))
        return step

    def clean(self) -> dict[str, Any]:
        told = self.cleaned_data
        if told.get("find") == OTHER and not told.get("what"):
            self.add_error("what", _("Say what it is."))
        if told.get("find") == OTHER and told.get("money") is None and told.get("hours") is None:
            self.add_error("money", _("Nobody knows what this takes: give the money, the hours, or both."))
        return told

    @property
    def event(self) -> dict[str, Any]:
        """As an event tells it, all but when and by whom; what is not said is the trade's figure."""
        told = self.cleaned_data
        suspected = self.trade.finds.get(told["find"])
        usual = stripping.takes(suspected, told["extent"], self.job, self.trade) if suspected else None
        money = _given(told["money"]) or (usual.money if usual else (0, 0, 0))
        minutes = _given(None if told["hours"] is None else round(told["hours"] * 60))
        minutes = minutes or (usual.minutes if usual else (0, 0, 0))
        must = told["must"] or bool(suspected and suspected.must_deal)
        part = stripping.part_at(self.job, told["step"])
        name = told["what"] or (suspected.name if suspected else "")
        return {
            "what": name if told["find"] == OTHER else f"{name}, {told['extent']}"[:200],
            "find": suspected.id if suspected else None,
            "part": part.id if part else None,
            "step": None if part else told["step"],
            "money": dict(zip(POINTS, money, strict=True)),
            "minutes": dict(zip(POINTS, minutes, strict=True)),
            "must": must,
            "left_finish": told["left_finish"] if part and not must else None,
        }


POINTS = ("low", "likely", "high")


def _given(figure: int | None) -> tuple[int, int, int] | None:
    return None if figure is None else (figure, figure, figure)
