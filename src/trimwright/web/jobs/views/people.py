"""People with an account: who there is, a new one, another passphrase, put away and brought back. The owner's pages."""

from __future__ import annotations

from django.contrib import messages
from django.contrib.auth import update_session_auth_hash
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST

from trimwright.web.jobs import store
from trimwright.web.jobs.devices import device_of
from trimwright.web.jobs.people_forms import NewPersonForm, ResetForm


@sensitive_post_parameters()
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def people(request: HttpRequest) -> HttpResponse:
    """Everyone, and a form for somebody new."""
    form = NewPersonForm(request.POST if request.method == "POST" else None)
    if form.is_valid():
        new = store.add_person(form.save(commit=False), device_of(request), is_owner=form.cleaned_data["is_owner"])
        messages.info(request, _("%(name)s has an account.") % {"name": new.get_username()})
        return redirect("people")
    if store.owner() is None:  # the first is the owner, whatever is ticked
        del form.fields["is_owner"]
    context = {"people": store.people(), "form": form}
    return render(request, "jobs/people.html", context, status=422 if form.is_bound else 200)


@sensitive_post_parameters()
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def person(request: HttpRequest, pk: int) -> HttpResponse:
    """Somebody's page: a new passphrase, and put away."""
    of = store.person(pk)
    form = ResetForm(of, request.POST if request.method == "POST" else None)
    if form.is_valid():
        store.keep_passphrase(form.save(commit=False), device_of(request))
        if of == request.user:
            update_session_auth_hash(request, of)
        messages.info(request, _("%(name)s has a new passphrase.") % {"name": of.get_username()})
        return redirect("people")
    return render(request, "jobs/person.html", {"of": of, "form": form}, status=422 if form.is_bound else 200)


@require_POST
def away(request: HttpRequest, pk: int) -> HttpResponse:
    """Nobody comes in by this account any more."""
    gone = store.put_person_away(pk, device_of(request))
    messages.info(request, _("%(name)s is put away.") % {"name": gone.get_username()})
    return redirect("people")


@require_POST
def back(request: HttpRequest, pk: int) -> HttpResponse:
    """They may come in again."""
    again = store.bring_person_back(pk, device_of(request))
    messages.info(request, _("%(name)s may come in again.") % {"name": again.get_username()})
    return redirect("people")
