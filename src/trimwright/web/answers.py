"""What goes wrong, as a page or a fragment: the one place where an error gets its status.

404 no such job · 409 changed meanwhile by somebody else · 422 the input is wrong, with everything that is wrong.
A request that asks for JSON gets the same as JSON.
"""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.translation import gettext as _

from trimwright.errors import BadInput
from trimwright.web.jobs.store import ChangedMeanwhile, NoSuchRecord, TooEarly
from trimwright.web.security import Answer


class ErrorsAsPages:
    """Turns our errors into answers; all others are slips of ours and stay what they are."""

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_exception(self, request: HttpRequest, error: Exception) -> HttpResponse | None:
        """Django's hook for what a view raises."""
        match error:
            case ChangedMeanwhile():
                return changed_meanwhile(request, error)
            case BadInput():
                return refused(request, error)
            case NoSuchRecord():
                return not_found(request, error)
        return None


def wants_json(request: HttpRequest) -> bool:
    """Whether a script of ours asks, and not a page."""
    return request.get_preferred_type(["text/html", "application/json"]) == "application/json"


def refused(request: HttpRequest, error: BadInput) -> HttpResponse:
    """422 with every problem."""
    if wants_json(request):
        rows = [{"where": e.where, "value": e.value, "what": e.what, "way_out": e.way_out} for e in error.problems]
        return JsonResponse({"problems": rows, **_wait(error)}, status=422)
    return _answer(request, "problems", 422, {"problems": error.problems, "title": _("That cannot be taken as it is")})


def _wait(error: BadInput) -> dict[str, float]:
    """How long until it may be sent again, where nothing but a hold refuses it [s]."""
    if not isinstance(error, TooEarly) or error.until is None:
        return {}
    return {"wait_s": max(0.0, (error.until - timezone.now()).total_seconds())}


def changed_meanwhile(request: HttpRequest, error: ChangedMeanwhile) -> HttpResponse:
    """409 with what stands there now and what was wanted, to choose from."""
    context = {"clash": error, "title": _("Changed meanwhile")}
    if wants_json(request):
        shown = render(request, "jobs/_changed_meanwhile.html", context).content.decode()
        rows = [{"what": e.what, "seen": e.seen, "theirs": e.theirs, "mine": e.mine} for e in error.fields]
        return JsonResponse({"revision": error.revision, "fields": rows, "html": shown}, status=409)
    return _answer(request, "changed_meanwhile", 409, context)


def not_found(request: HttpRequest, exception: Exception) -> HttpResponse:
    """404."""
    return _page(request, 404, _("There is nothing here"), _("It may have been put away, or the address has a slip."))


def forbidden(request: HttpRequest, exception: Exception) -> HttpResponse:
    """403."""
    return _page(request, 403, _("This is not open to you"), _("Go back to the jobs and come in from there."))


def bad_request(request: HttpRequest, exception: Exception) -> HttpResponse:
    """400; without our page, which would ask for the host that was just refused."""
    return HttpResponse(_("This request cannot be answered."), status=400, content_type="text/plain; charset=utf-8")


def failed(request: HttpRequest) -> HttpResponse:
    """500: our own slip. What was acknowledged is stored."""
    return _page(
        request, 500, _("That was our slip"), _("What was saved is safe. Go back and try again; the log tells more.")
    )


def csrf_failure(request: HttpRequest, reason: str = "") -> HttpResponse:
    """403: a form that did not come from this page."""
    return _page(request, 403, _("This form is out of date"), _("Reload the page you came from and send it once more."))


def _answer(request: HttpRequest, name: str, status: int, context: dict[str, Any]) -> HttpResponse:
    template = f"jobs/_{name}.html" if request.headers.get("HX-Request") else f"jobs/{name}.html"
    response = render(request, template, context, status=status)
    if request.headers.get("HX-Request"):
        response["HX-Retarget"], response["HX-Reswap"], response["HX-Reselect"] = "#answer", "innerHTML", "section"
    return response


def _page(request: HttpRequest, status: int, title: str, text: str) -> HttpResponse:
    if wants_json(request):
        return JsonResponse({"problems": [{"where": "", "value": "", "what": title, "way_out": text}]}, status=status)
    return render(request, "jobs/error.html", {"title": title, "text": text, "status": status}, status=status)
