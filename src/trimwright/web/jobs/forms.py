"""Text to values: what a person types, in the units of the program; money and lengths by `units.py` alone."""

from __future__ import annotations

from typing import Any, get_args

from django import forms
from django.utils.translation import gettext_lazy as _

from trimwright.errors import BadInput
from trimwright.facts.trade import Body
from trimwright.units import exponent, parse_money

UNITS = (("metric", _("metric: m², litres")), ("US customary", _("US customary: sq ft, fl oz")))
BODY_NAMES = {
    "two-door": _("two-door"),
    "four-door": _("four-door"),
    "open": _("open"),
    "estate": _("estate"),
    "van": _("van"),
    "pickup": _("pickup"),
}


def currency(code: str) -> str:
    """An ISO 4217 code in capitals; ValidationError when it is none."""
    try:
        exponent(code.upper())
    except BadInput as error:
        raise forms.ValidationError(_told(error)) from None
    return code.upper()


def _told(error: BadInput) -> str:
    return " ".join(f"{each.what} {each.way_out}".strip() for each in error.problems)


class Form(forms.Form):
    """A form whose labels end without a colon."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **{"label_suffix": "", **kwargs})


class NewJobForm(Form):
    """A new job in four questions: what car, which body, the sum, when."""

    car = forms.CharField(
        label=_("What car is it?"),
        help_text=_("In plain words, such as “coupé that stood by the sea”. No make needed."),
        max_length=200,
    )
    year = forms.IntegerField(label=_("From which year?"), min_value=1900, max_value=2100)
    body = forms.ChoiceField(
        label=_("Which body?"),
        help_text=_("It brings its usual parts."),
        choices=[(each, BODY_NAMES[each]) for each in get_args(Body)],
        widget=forms.RadioSelect,
    )
    sum = forms.CharField(label=_("What is the fixed sum?"), max_length=40)
    currency = forms.CharField(label=_("Currency"), max_length=3, min_length=3)
    units = forms.ChoiceField(label=_("Units"), choices=UNITS)
    wanted_by = forms.DateField(
        label=_("When is the car wanted back?"),
        help_text=_("Leave it empty when there is no day."),
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
    )

    def clean_currency(self) -> str:
        return currency(self.cleaned_data["currency"])

    def clean(self) -> dict[str, Any]:
        told = self.cleaned_data
        if "sum" in told and "currency" in told:
            try:
                told["sum_minor"] = parse_money(told["sum"], told["currency"])
                if told["sum_minor"] < 0:
                    self.add_error("sum", _("A sum cannot be less than nothing."))
            except BadInput as error:
                self.add_error("sum", _told(error))
        return told


class DeviceForm(Form):
    """What the history calls this browser."""

    name = forms.CharField(label=_("This device is called"), max_length=60)


class ShopForm(Form):
    """What a new job starts with."""

    currency = forms.CharField(label=_("Currency of a new job"), max_length=3, min_length=3)
    units = forms.ChoiceField(label=_("Units of a new job"), choices=UNITS)

    def clean_currency(self) -> str:
        return currency(self.cleaned_data["currency"])
