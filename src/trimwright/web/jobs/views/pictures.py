"""The look of the pictures that pages carry: one stylesheet, made by the charts themselves."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.views.decorators.cache import cache_control
from django.views.decorators.http import require_GET

from trimwright.charts.look import stylesheet


@require_GET
@cache_control(private=True, max_age=3600)
def pictures(request: HttpRequest) -> HttpResponse:
    """Classes and colour tokens of all pictures, light and dark."""
    return HttpResponse(stylesheet(), content_type="text/css; charset=utf-8")
