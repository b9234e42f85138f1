"""Somebody's yes on a form: who, when, how; as it can be shown later."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils import timezone
from django.utils.translation import gettext_lazy

from trimwright.web.jobs.forms import Form

HOW = (
    ("signed", gettext_lazy("signed")),
    ("in person", gettext_lazy("in person")),
    ("call", gettext_lazy("call")),
    ("message", gettext_lazy("message")),
)


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


def now_by(how: str) -> dict[str, Any]:
    """What a form for a yes starts with."""
    return {"at": timezone.localtime().replace(second=0, microsecond=0), "how": how}
