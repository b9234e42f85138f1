"""The door: Django's own way in, with tries counted and wrong ones told as every form of ours tells them."""

from __future__ import annotations

from typing import Any

from django.contrib.auth.forms import AuthenticationForm
from django.contrib.auth.views import LoginView
from django.http import HttpRequest, HttpResponse
from django.utils.translation import gettext_lazy as _

from trimwright.web import security
from trimwright.web.jobs.people_forms import LogInForm


class Door(LoginView):
    """Ask for name and passphrase; lead on to where the person wanted to go."""

    http_method_names = ["get", "head", "post"]  # noqa: RUF012
    authentication_form = LogInForm
    template_name = "jobs/door.html"

    def post(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        """A try; one too many is not looked at."""
        if security.may_try(request):
            return super().post(request, *args, **kwargs)
        form = LogInForm(request)
        context = self.get_context_data(form=form, too_many=_("Too many tries. Wait a minute, then try again."))
        return self.render_to_response(context, status=429)

    def form_invalid(self, form: AuthenticationForm) -> HttpResponse:
        """Sent back with what is wrong."""
        return self.render_to_response(self.get_context_data(form=form), status=422)
