"""A form's field for a sum of money: typed in figures, told in whole minor units of one currency."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from trimwright.errors import BadInput
from trimwright.units import parse_money


class MoneyField(forms.CharField):
    """Minor units of `currency`, or None where nothing is typed and nothing is required; never less than nothing."""

    def __init__(self, *, currency: str, **how: Any) -> None:
        self.currency = currency
        attributes = {"inputmode": "decimal", "autocomplete": "off", **how.pop("attrs", {})}
        super().__init__(max_length=40, widget=forms.TextInput(attrs=attributes), **how)

    def clean(self, value: Any) -> Any:
        typed = super().clean(value)
        if not typed:
            return None
        try:
            minor = parse_money(typed, self.currency)
        except BadInput as error:
            told = " ".join(f"{each.what} {each.way_out}".strip() for each in error.problems)
            raise forms.ValidationError(told[:1].upper() + told[1:]) from None
        if minor < 0:
            raise forms.ValidationError(_("A sum cannot be less than nothing."))
        return minor
