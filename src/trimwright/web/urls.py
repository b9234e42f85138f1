"""Every address of the web."""

from __future__ import annotations

from django.contrib.auth.views import LogoutView
from django.urls import include, path
from django.views.i18n import set_language

from trimwright.web.jobs.views import door

urlpatterns = [
    path("door/", door.Door.as_view(), name="door"),
    path("door/close/", LogoutView.as_view(), name="leave"),
    path("language/", set_language, name="set_language"),
    path("", include("trimwright.web.jobs.urls")),
]
handler400 = "trimwright.web.answers.bad_request"
handler403 = "trimwright.web.answers.forbidden"
handler404 = "trimwright.web.answers.not_found"
handler500 = "trimwright.web.answers.failed"
