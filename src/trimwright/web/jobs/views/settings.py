"""Settings: what this device is called, what a new job starts with, the language, the passphrase."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from trimwright.errors import BadInput
from trimwright.web import security
from trimwright.web.jobs import store
from trimwright.web.jobs.devices import call_device, device_of
from trimwright.web.jobs.forms import DeviceForm, Form, NewPassphraseForm, ShopForm


@require_http_methods(["GET", "HEAD", "POST"])
def settings(request: HttpRequest) -> HttpResponse:
    """Three small forms on one page; `form` says which one was sent."""
    shop, sent = store.shop(), request.POST.get("form", "")
    forms: dict[str, Form] = {
        "device": DeviceForm(initial={"name": device_of(request).name}),
        "shop": ShopForm(initial={"currency": shop.currency, "units": shop.units}),
        "passphrase": NewPassphraseForm(),
    }
    if sent in forms:
        form = forms[sent] = type(forms[sent])(request.POST)
        if form.is_valid() and _kept(request, sent, form):
            messages.info(request, _("Kept."))
            return redirect("settings")
        return render(request, "jobs/settings.html", {"forms": forms}, status=422)
    return render(request, "jobs/settings.html", {"forms": forms})


def _kept(request: HttpRequest, sent: str, form: Form) -> bool:
    """Keep what a right form says; False when it is refused after all."""
    told = form.cleaned_data
    if sent == "device":
        call_device(request, told["name"])
    elif sent == "shop":
        store.keep_shop(currency=told["currency"], units=told["units"])
    else:
        try:
            security.keep_passphrase(told["passphrase"])
        except BadInput as error:
            form.add_error("passphrase", error.problems[0].what)
            return False
        security.open_with(request, told["passphrase"])
    return True
