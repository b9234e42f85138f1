"""Settings: what this device is called, what a new job starts with, the language, one's own passphrase, people."""

from __future__ import annotations

from django import forms
from django.conf import settings as django_settings
from django.contrib import messages
from django.contrib.auth import update_session_auth_hash
from django.contrib.auth.models import User
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods

from trimwright.web.jobs import store
from trimwright.web.jobs.devices import call_device, device_of, may_change_money
from trimwright.web.jobs.forms import DeviceForm, ShopForm
from trimwright.web.jobs.people_forms import OwnPassphraseForm


@sensitive_post_parameters()
@require_http_methods(["GET", "HEAD", "POST"])
def settings(request: HttpRequest) -> HttpResponse:
    """Small forms on one page; `form` says which one was sent."""
    sent = request.POST.get("form", "")
    shown = _forms(request, sent)
    if sent in shown:
        form = shown[sent]
        if form.is_valid():
            _keep(request, form)
            messages.info(request, _("Kept."))
            return redirect("settings")
        return render(request, "jobs/settings.html", {"forms": shown}, status=422)
    return render(request, "jobs/settings.html", {"forms": shown})


def _forms(request: HttpRequest, sent: str) -> dict[str, forms.Form]:
    """Those that are for who asks: the shop's for the owner, the passphrase's for who logged in."""
    given = {sent: request.POST}
    shown: dict[str, forms.Form] = {
        "device": DeviceForm(given.get("device"), initial={"name": device_of(request).name}),
    }
    if may_change_money(request):
        shop = store.shop()
        initial = {"currency": shop.currency, "units": shop.units}
        shown["shop"] = ShopForm(given.get("shop"), initial=initial)
    if django_settings.GUARDED and isinstance(request.user, User):
        shown["passphrase"] = OwnPassphraseForm(request.user, given.get("passphrase"))
    return shown


def _keep(request: HttpRequest, form: forms.Form) -> None:
    """Keep what a right form says."""
    told = form.cleaned_data
    match form:
        case DeviceForm():
            call_device(request, told["name"])
        case ShopForm():
            store.keep_shop(device_of(request), currency=told["currency"], units=told["units"])
        case OwnPassphraseForm():
            store.keep_passphrase(form.save(commit=False), device_of(request))
            update_session_auth_hash(request, form.user)
