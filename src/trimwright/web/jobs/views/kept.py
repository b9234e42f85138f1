"""What pages that go on without a line ask for: the script that keeps them in the browser, and the server's clock."""

from __future__ import annotations

import time
from importlib.resources import files

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.views.decorators.cache import cache_control, never_cache
from django.views.decorators.http import require_GET


@require_GET
@cache_control(no_cache=True)
def keeper(request: HttpRequest, key: str) -> HttpResponse:
    """The script that keeps the pages of one stage in the browser; served under that stage, it may keep no others."""
    script = files("trimwright.web.jobs").joinpath("static", "jobs", "keeper.js").read_bytes()
    return HttpResponse(script, content_type="text/javascript; charset=utf-8")


@never_cache
@require_GET
def clock(request: HttpRequest) -> JsonResponse:
    """What time it is here [ms since 1970, UTC]: waits run down by this clock on every device."""
    return JsonResponse({"now": time.time_ns() // 1_000_000})
