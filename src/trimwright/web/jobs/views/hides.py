"""Hides and offcuts: drawn on a photo or typed, kept by name, taken away as files, taken out when they are cut up."""

from __future__ import annotations

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.text import slugify
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from trimwright.errors import BadInput
from trimwright.web.jobs import kept_hides, store
from trimwright.web.jobs.bench_work import LAYING
from trimwright.web.jobs.views.workbench import HIDES, Standing, benches, page_of_a_bench

MOST_TEXT = 200_000


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def hides(request: HttpRequest) -> HttpResponse:
    """Every hide that is kept, and the board to draw one on; posted, one is kept, or changed."""
    key = (request.POST or request.GET).get("key", "")
    typed = {"key": key, "name": "", "text": ""}
    if request.method == "POST":
        typed |= {"name": request.POST.get("name", "")[:200], "text": request.POST.get("text", "")[:MOST_TEXT]}
        try:
            hide = kept_hides.keep(typed["name"], typed["text"].replace("\r", ""), key)
        except BadInput as error:
            if request.headers.get("HX-Request"):
                return render(request, "jobs/workbench/_hide_wrong.html", {"problems": error.problems}, status=422)
            return _page(request, {"typed": typed, "problems": error.problems}, status=422)
        messages.info(request, _("Kept: {name}, {area} m².").format(name=hide.name, area=hide.area_m2))
        if request.headers.get("HX-Request"):
            return HttpResponse(status=204, headers={"HX-Redirect": reverse("hides")})
        return redirect("hides")
    if key:
        hide = _one(key)
        typed |= {"name": hide.name, "text": hide.text}
    return _page(request, {"typed": typed})


@never_cache
@require_GET
def hide_file(_request: HttpRequest, key: str) -> HttpResponse:
    """A hide as the file that `trimwright nest --hide` reads."""
    hide = _one(key)
    response = HttpResponse(hide.text, content_type="text/plain; charset=utf-8")
    response["Content-Disposition"] = f'attachment; filename="{slugify(hide.name) or "hide"}.txt"'
    return response


@require_POST
def drop_hide(request: HttpRequest) -> HttpResponse:
    """Take out a hide that is cut up."""
    try:
        gone = kept_hides.drop(request.POST.get("key", ""))
    except kept_hides.NoSuchHide:
        raise Http404 from None
    messages.info(request, _("Taken out: {name}.").format(name=gone.name))
    return redirect("hides")


@require_POST
def keep_offcut(request: HttpRequest, key: str) -> HttpResponse:
    """Keep what a layout leaves over as a hide of its own."""
    found = store.bench_work(key)
    if found.kind != LAYING.id or not found.data:
        raise Http404(key)
    hide, _at, number = request.POST.get("offcut", "").partition("-")
    try:
        offcut = found.data["hides"][int(hide)]["offcuts"][int(number)]
    except (ValueError, IndexError):
        raise Http404(key) from None
    kept = kept_hides.keep(offcut["name"], offcut["hide"])
    told = _("Kept: {name}, {area} m². It is among the hides to lay on from now on.")
    messages.info(request, told.format(name=kept.name, area=kept.area_m2))
    return redirect("bench_work", key)


def _one(key: str) -> kept_hides.KeptHide:
    try:
        return kept_hides.one(key)
    except kept_hides.NoSuchHide:
        raise Http404(key) from None


def _page(request: HttpRequest, context: dict[str, object], status: int = 200) -> HttpResponse:
    bench = next(each for each in benches() if HIDES in each.questions)
    shown = {"kept": kept_hides.kept(), **context}
    return page_of_a_bench(request, "hides", Standing(), bench, HIDES, shown, status=status)
