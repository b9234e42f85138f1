"""What the buying page asks: what came and for how much, a price, what a delivery's carriage cost."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from trimwright.web.jobs.forms import Form
from trimwright.web.jobs.money_field import MoneyField


class ArrivedForm(Form):
    """What came, and what was paid for it."""

    count = forms.IntegerField(label=gettext_lazy("How many came"), min_value=1, max_value=10_000, initial=1)

    def __init__(self, *args: Any, currency: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["paid"] = MoneyField(label=gettext_lazy("Paid for it"), currency=currency)


class DeliveredForm(ArrivedForm):
    """One line of an order that came: how many, for how much; what of it went straight back, and what never comes.

    Not `priced`, it asks only how many: for a hand, who notes it at the price it was ordered for.
    """

    rest_off = forms.BooleanField(label=gettext_lazy("The rest is not coming"), required=False)

    def __init__(self, *args: Any, currency: str, priced: bool, **kwargs: Any) -> None:
        super().__init__(*args, currency=currency, **kwargs)
        self.fields["back"] = MoneyField(label=gettext_lazy("Money back"), currency=currency, required=False)
        if not priced:
            for name in ("paid", "back", "rest_off"):
                del self.fields[name]

    def clean(self) -> dict[str, Any]:
        told = self.cleaned_data
        if told.get("back") is not None and told["back"] > told.get("paid", told["back"]):
            self.add_error("back", _("That is more than was paid."))
        return told


class CarriageForm(Form):
    """What a delivery's carriage cost."""

    def __init__(self, *args: Any, currency: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["carriage"] = MoneyField(label=gettext_lazy("Carriage"), currency=currency, required=False)


class PriceForm(Form):
    """One price."""

    def __init__(self, *args: Any, currency: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["price"] = MoneyField(label=gettext_lazy("Price"), currency=currency)
