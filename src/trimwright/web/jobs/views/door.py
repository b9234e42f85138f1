"""The door: gives a session the way in for the passphrase, and takes it back."""

from __future__ import annotations

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.http import url_has_allowed_host_and_scheme
from django.utils.translation import gettext_lazy as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST

from trimwright.web import security
from trimwright.web.jobs.forms import Form


class PassphraseForm(Form):
    """The passphrase."""

    passphrase = forms.CharField(
        label=_("Passphrase"),
        max_length=200,
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password", "autofocus": True}),
    )


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def door(request: HttpRequest) -> HttpResponse:
    """Ask for the passphrase; lead on to where the person wanted to go."""
    if request.method != "POST":
        return render(request, "jobs/door.html", {"form": PassphraseForm(), "next": request.GET.get("next", "")})
    form, onward = PassphraseForm(request.POST), request.POST.get("next", "")
    status = 422
    if not security.may_try(request):
        form.add_error(None, _("Too many tries. Wait a minute, then try again."))
        status = 429
    elif form.is_valid():
        if security.open_with(request, form.cleaned_data["passphrase"]):
            safe = url_has_allowed_host_and_scheme(onward, {request.get_host()}, require_https=request.is_secure())
            return redirect(onward if safe else "jobs")
        form.add_error("passphrase", _("That is not the passphrase."))
    return render(request, "jobs/door.html", {"form": form, "next": onward}, status=status)


@require_POST
def leave(request: HttpRequest) -> HttpResponse:
    """Close the door behind this session."""
    security.close(request)
    return redirect("door")
