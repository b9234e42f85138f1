"""What is said at the bench, from text to values: the air, a task begun or finished, when one may be made."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from trimwright.errors import BadInput
from trimwright.units import System, parse_share, parse_temperature
from trimwright.web.jobs.forms import Form

MOST_MINUTES = 24 * 60


class AirForm(Form):
    """What thermometer and hygrometer read; a temperature without its unit is in the job's own."""

    temperature = forms.CharField(label=gettext_lazy("Temperature"), max_length=20)
    humidity = forms.CharField(label=gettext_lazy("Relative humidity, %"), max_length=20)

    def __init__(self, *args: Any, system: System, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.unit = "°F" if system == "US customary" else "°C"
        self.fields["temperature"].label = _("Temperature, %(unit)s") % {"unit": self.unit}
        for each in self.fields.values():
            each.widget.attrs |= {"inputmode": "decimal", "autocomplete": "off"}

    def clean_temperature(self) -> float:
        typed = self.cleaned_data["temperature"].replace(",", ".")
        return round(_read(parse_temperature, typed if typed[-1:].isalpha() else f"{typed} {self.unit}"), 2)

    def clean_humidity(self) -> float:
        typed = self.cleaned_data["humidity"].replace(",", ".").removesuffix("%").strip()
        return round(100 * _read(parse_share, f"{typed}%"), 1)


class WorkedForm(Form):
    """A task begun, finished or to do again, and its minutes; empty, the clock tells them."""

    minutes = forms.IntegerField(
        label=gettext_lazy("Minutes it took"), min_value=0, max_value=MOST_MINUTES, required=False
    )
    note = forms.CharField(label=gettext_lazy("Note"), max_length=2000, required=False)


class DatesForm(Form):
    """When a task may be made; both empty, whenever it fits."""

    task = forms.CharField(max_length=256, widget=forms.HiddenInput)
    not_before = forms.DateField(label=gettext_lazy("Not before"), required=False)
    not_after = forms.DateField(label=gettext_lazy("Not after"), required=False)

    def clean(self) -> dict[str, Any]:
        told = self.cleaned_data
        first, last = told.get("not_before"), told.get("not_after")
        if first and last and last < first:
            self.add_error("not_after", _("Lies before the first day: give a later one, or leave one of them empty."))
        return told


def _read(parse: Any, typed: str) -> float:
    try:
        return float(parse(typed))
    except BadInput as error:
        told = " ".join(f"{each.what} {each.way_out}".strip() for each in error.problems)
        raise forms.ValidationError(told[:1].upper() + told[1:]) from None
