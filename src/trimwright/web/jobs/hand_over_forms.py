"""What is said at the end and after it, from text to events: pairs of photos, the shop's words, waste, a visit."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from trimwright.web.jobs.forms import Form


class PairForm(Form):
    """Two photos of one place."""

    note = forms.CharField(label=gettext_lazy("What they show"), max_length=200, required=False)

    def __init__(self, *args: Any, photos: Sequence[str], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name, label in (("before", _("Before")), ("after", _("After"))):
            self.fields[name] = forms.ChoiceField(
                label=label, choices=[(each, each) for each in photos], widget=forms.RadioSelect
            )

    def clean(self) -> dict[str, Any]:
        told = self.cleaned_data
        if told.get("before") and told.get("before") == told.get("after"):
            self.add_error("after", _("Choose two different photos."))
        return told


class BookForm(Form):
    """What the shop says in the book."""

    warranty = forms.CharField(
        label=gettext_lazy("Warranty, in your own words"), max_length=4000, required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
    )  # fmt: skip
    care = forms.CharField(
        label=gettext_lazy("Care of this car, beside the usual"), max_length=4000, required=False,
        widget=forms.Textarea(attrs={"rows": 2}),
    )  # fmt: skip
    first_visit = forms.DateField(
        label=gettext_lazy("We see it again: first"), required=False,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
    )  # fmt: skip
    next_visit = forms.DateField(
        label=gettext_lazy("and then"), required=False,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
    )  # fmt: skip
    shows_money = forms.BooleanField(
        label=gettext_lazy("The owner sees what was agreed beside what was spent"), required=False
    )

    @property
    def told(self) -> dict[str, Any]:
        """As an event holds it."""
        said = self.cleaned_data
        days = sorted({each for each in (said["first_visit"], said["next_visit"]) if each})
        return {
            "warranty": said["warranty"],
            "care": said["care"],
            "follow_ups": [each.isoformat() for each in days],
            "shows_money": said["shows_money"],
        }


class WasteForm(Form):
    """Waste that went away."""

    what = forms.CharField(label=gettext_lazy("What it was, such as dirty thinner or rags"), max_length=200)
    amount = forms.CharField(label=gettext_lazy("How much, with its unit"), max_length=200, required=False)
    how = forms.CharField(label=gettext_lazy("Where it went, and how"), max_length=200)


class SeenForm(Form):
    """One part on a follow-up visit; where nobody says whether it has held, it was not looked at."""

    held = forms.ChoiceField(
        label=gettext_lazy("Has it held?"), required=False, widget=forms.RadioSelect,
        choices=(("yes", gettext_lazy("it has held")), ("no", gettext_lazy("it has not: put right or to be redone"))),
    )  # fmt: skip
    finish = forms.IntegerField(label=gettext_lazy("Finish now, 0 to 10"), min_value=0, max_value=10, required=False)
    moved = forms.CharField(label=gettext_lazy("What has moved or opened"), max_length=200, required=False)
    wear = forms.CharField(label=gettext_lazy("Where it wears"), max_length=200, required=False)
    stitched = forms.BooleanField(label=gettext_lazy("Stitching gone over"), required=False)
    minutes = forms.IntegerField(label=gettext_lazy("Minutes"), min_value=0, max_value=6000, required=False)

    def clean(self) -> dict[str, Any]:
        told = self.cleaned_data
        said = (
            any(told.get(each) for each in ("moved", "wear", "stitched", "minutes")) or told.get("finish") is not None
        )
        if said and not told.get("held"):
            self.add_error("held", _("Say whether it has held."))
        return told

    @property
    def told(self) -> dict[str, Any] | None:
        """As an event holds it; None where the part was not looked at."""
        said = self.cleaned_data
        if not said["held"]:
            return None
        return {**said, "held": said["held"] == "yes", "minutes": said["minutes"] or 0}
