"""Files given to the workbench: a photo with the card of known patches, a scan, a photographed part; what comes.

A file is kept under an address of its own and worked out beside the server; its page looks again until it is there.
What was typed beside it stands in the form once more, and the file itself need not be given twice.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Collection, Mapping
from mimetypes import guess_type
from typing import Any

from django.core.files.uploadedfile import UploadedFile
from django.http import FileResponse, Http404, HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.http import urlencode
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_http_methods, require_POST
from django.views.decorators.vary import vary_on_headers

from trimwright.errors import BadInput, Problem
from trimwright.geometry.scan import MM
from trimwright.web.jobs import bench_files, kept_hides, laying, store, workbench
from trimwright.web.jobs.bench_work import KINDS, LAYING, OUTLINE, PANEL, PHOTO, SCAN, outline
from trimwright.web.jobs.bench_work.kind import Kind
from trimwright.web.jobs.bench_work.scan import PICTURE
from trimwright.web.jobs.models import BenchWork, State
from trimwright.web.jobs.views import cut_parts
from trimwright.web.jobs.views.workbench import Standing, benches, page_of_a_bench

PENDING = (State.WAITING, State.RUNNING)


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def colour_photo(request: HttpRequest) -> HttpResponse:
    """A photo with the card in it: posted, it is read."""
    return _given(request, PHOTO)


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def flat_panel(request: HttpRequest) -> HttpResponse:
    """A scan: posted, it is looked at; posted once more, it is laid flat."""
    return _given(request, PANEL)


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def outline_photo(request: HttpRequest) -> HttpResponse:
    """A photo of a part among strips: posted, its outline is read."""
    return _given(request, OUTLINE)


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def lay_pieces(request: HttpRequest) -> HttpResponse:
    """Pieces and what they are laid on: posted, a layout is sought until the time is over, or it is stopped."""
    return _given(request, LAYING, laying.order_of)


@require_POST
def stop_work(_request: HttpRequest, key: str) -> HttpResponse:
    """Let a search be content with the best it has."""
    if KINDS[store.bench_work(key).kind].stops:
        bench_files.stop(key)
    return redirect(f"{reverse('bench_work', args=[key])}#told")


@never_cache
@require_POST
def outline_line(request: HttpRequest, key: str) -> JsonResponse:
    """The outline after changes by hand as it is drawn now, or all that is wrong with them; kept as a draft."""
    found = store.bench_work(key)
    if found.kind != OUTLINE.id or not found.data:
        raise Http404(key)
    moves = request.POST.get("moves", "")[:20_000]
    if request.POST.get("keep"):
        bench_files.keep_draft(key, moves)
    try:
        drawn = outline.redrawn(found.data, moves)
    except BadInput as error:
        wrong = [" ".join(f"{each.where} {each.value} {each.what} {each.way_out}".split()) for each in error.problems]
        return JsonResponse({"wrong": [each[:1].upper() + each[1:] for each in wrong]}, status=422)
    return JsonResponse({"nodes": drawn.seen_nodes, "line": drawn.seen_line, "wrong": []})


@never_cache
@vary_on_headers("HX-Request")
@require_GET
def work(request: HttpRequest, key: str) -> HttpResponse:
    """How far it is, and what came of it; asked for every second until it is there."""
    found = store.bench_work(key)
    draft = bench_files.draft(key) if found.kind == OUTLINE.id else None
    asked = found.asked if draft is None else found.asked | {"moves": draft}
    context = {**_context(KINDS[found.kind], asked), "work": found, "pending": found.state in PENDING}
    again = key if bench_files.given(key) else ""
    context |= {"again": again, **_fields(request, KINDS[found.kind], again), **_came(found)}
    if (bench_files.folder(key) / PICTURE).is_file():
        context |= {"picture": reverse("bench_file", args=[key, PICTURE]), "mm": json.dumps(MM)}
    if context["pending"]:
        waited = (timezone.now() - found.asked_at).total_seconds()
        stops = KINDS[found.kind].stops and found.state == State.RUNNING
        context |= {"doing": bench_files.doing(key), "waited_s": int(waited), "stops": stops}
    else:
        context |= cut_parts.asked(request, found)
    problems = [Problem(**each) for each in found.problems]
    if request.headers.get("HX-Request"):
        return render(request, "jobs/workbench/_work.html", {**context, "problems": problems})
    return _page(request, context | {"problems": problems})


@never_cache
@require_GET
def work_file(request: HttpRequest, key: str, name: str) -> FileResponse:
    """One of the files that came of it."""
    found = store.bench_work(key)
    path = bench_files.folder(key) / name
    files = KINDS[found.kind].files
    if name not in files or not path.is_file():
        raise Http404(name)
    called = f"{found.asked.get('name') or found.kind}-{name}".replace(" ", "-")
    return FileResponse(path.open("rb"), as_attachment=True, filename=called, content_type=files[name])


def _sent(request: HttpRequest) -> UploadedFile[bytes] | None:
    return request.FILES.get("file")


def _given(
    request: HttpRequest, kind: Kind, gather: Callable[[HttpRequest], UploadedFile[bytes] | None] = _sent
) -> HttpResponse:
    if request.method != "POST":
        return _page(request, _context(kind, {}) | _fields(request, kind, ""))
    sent = request.FILES.get("file")
    if kind.look and (sent or request.POST.get("then") == "look"):
        kind = kind.look
    typed = {each.name: request.POST.get(each.name, "")[:20_000] for each in kind.asks}
    for name in kind.long:
        if more := request.POST.get(f"more-{name}"):  # what an answer offers to be added
            typed[name] = f"{typed[name].rstrip()}\n\n{more}".lstrip()
    again = request.POST.get("again", "")
    before = _before(kind, again)
    problems = _slips(kind, typed, before, another=sent is not None)
    try:
        file = gather(request)
        if file or not problems or not bench_files.given(again):
            again = bench_files.keep(kind, file, again)
    except BadInput as error:
        problems += error.problems
    if problems:
        labels = {each.label: each.name for each in kind.asks}
        wrong, beyond = workbench.beside(problems, lambda where: labels.get(where, ""))
        context = _context(kind, typed, wrong) | {"problems": beyond, "again": again if beyond == () else ""}
        context |= _fields(request, kind, context["again"])
        if before and kind is OUTLINE and sent is None:
            context |= {"board": True, "work": before, **_came(before)}
        return _page(request, context, status=422)
    store.ask_bench_work(again, kind.id, typed)
    return redirect(f"{reverse('bench_work', args=[again])}#told")


def _before(kind: Kind, again: str) -> BenchWork | None:
    """The work that is asked for once more, if anything came of it."""
    if not again:
        return None
    try:
        found = store.bench_work(again)
    except store.NoSuchRecord:
        return None
    return found if found.kind == kind.id and found.data else None


def _slips(kind: Kind, typed: Mapping[str, str], before: BenchWork | None, *, another: bool) -> list[Problem]:
    """All that is wrong with what was typed, also after what came before."""
    problems: list[Problem] = []
    try:
        kind.refuse_slips(typed)
        if kind.refuse_again and before:
            kind.refuse_again(typed, before.asked, before.data or {}, another)
    except BadInput as error:
        problems += error.problems
    return problems


def _context(
    kind: Kind, typed: Mapping[str, str], wrong: Mapping[str, tuple[Problem, ...]] | None = None
) -> dict[str, Any]:
    """The form, as it was typed."""
    words = _words()[kind.id]
    choices = words.get("choices", {})
    return {
        **words,
        "kind": kind.id,
        "accept": ",".join((*kind.endings, *_pictures(kind))),
        "camera": bool(_pictures(kind)),
        "lines": workbench.lines(
            kind.asks, typed, wrong, lambda each: choices.get(each) or workbench.choice_name(each)
        ),
        "long": kind.long,
        "wrong": bool(wrong),
    }


def _pictures(kind: Kind) -> list[str]:
    """Its kinds of pictures by the names phones know them by; a phone that saves them otherwise turns them into one."""
    known = {guess_type(f"photo{each}")[0] or "" for each in kind.endings}
    return sorted(each for each in known if each.startswith("image/"))


def _fields(request: HttpRequest, kind: Kind, again: str) -> dict[str, Any]:
    """What stands in the form of pieces to lay instead of one file."""
    return laying.offered(request, again) if kind is LAYING else {}


def _words() -> Mapping[str, Mapping[str, Any]]:
    """What is said round the form of each kind, the template of what comes of it, and the scripts that it needs."""
    panel = {
        "question": PANEL.id,
        "title": _("How does this panel lie flat?"),
        "told": _("A scan as OBJ, PLY or STL, of one panel without holes."),
        "action": reverse("flat_panel"),
        "file": _("Scan"),
        "styles": ("jobs/scan.css",),
        "scripts": ("jobs/scan-mesh.js", "jobs/scan-view.js", "jobs/draw-seams.js"),
    }
    return {
        PHOTO.id: {
            "question": PHOTO.id,
            "title": _("Which colour is in this photo?"),
            "told": _(
                "Lay the printed card on the part, its windows cut out; window A on the colour wanted, B on a swatch "
                "or on white paper. The photo goes as soon as it is read."
            ),
            "action": reverse("colour_photo"),
            "file": _("Photo"),
            "above": "jobs/workbench/_card.html",
            "came": "jobs/workbench/_came_photo.html",
        },
        SCAN.id: panel | {"came": "jobs/workbench/_came_scan.html"},
        PANEL.id: panel | {"came": "jobs/workbench/_came_panel.html"},
        OUTLINE.id: {
            "question": OUTLINE.id,
            "title": _("What is the outline of this part?"),
            "told": _(
                "Lay the part flat on a ground of another shade, the four strips round it, none of them covered; take "
                "the photo from straight above, from as far as the part still fills half of it."
            ),
            "action": reverse("outline_photo"),
            "file": _("Photo"),
            "above": "jobs/workbench/_strips.html",
            "came": "jobs/workbench/_came_outline.html",
            "styles": ("jobs/board.css",),
            "scripts": ("jobs/board.js", "jobs/outline-changes.js", "jobs/outline.js"),
        },
        LAYING.id: {
            "question": LAYING.id,
            "title": _("How do the pieces lie on it?"),
            "told": _("On hides with their flaws and zones, or along a roll; the first hide is filled first."),
            "action": reverse("lay_pieces"),
            "fields": "jobs/workbench/_laying_fields.html",
            "choices": {
                "grain": _("by the grain"),
                "nap": _("one way only"),
                "free": _("any way"),
            },
            "came": "jobs/workbench/_came_laying.html",
            "styles": ("jobs/laying.css",),
        },
    }


def _came(found: BenchWork) -> dict[str, Any]:
    """What came of it, and where it leads."""
    data = found.data
    if not data:
        return {}
    if found.kind == SCAN.id:
        return {"data": data}
    if found.kind == LAYING.id:
        kept = {each.text for each in kept_hides.kept()}
        return {"data": {**data, "hides": [_laid(found.key, each, kept) for each in data["hides"]]}}
    if found.kind in (PANEL.id, OUTLINE.id):
        names = {
            "true-size-a4.pdf": _("True-size sheets, A4"),
            "true-size-letter.pdf": _("True-size sheets, Letter"),
            "long-page.pdf": _("One long page, for a plotter"),
            "pieces.svg": _("SVG in mm"),
            "pieces.dxf": _("DXF in mm"),
        }
        if found.kind == OUTLINE.id:
            data = {**data, "read": {**data["read"], "moves": found.asked["moves"]}}
        return {
            "data": data,
            "files": [(told, reverse("bench_file", args=[found.key, n])) for n, told in names.items()],
        }
    one = {"target": data["A"], "ask": "1"}
    both = one | {"swatch": data["B"], "apart": data["apart"]}
    return {
        "data": data,
        "links": [
            (_("Match what is in window A"), _to("colour-match", one)),
            (_("Mix for it"), _to("colour-mix", one)),
            (_("Check window B against it"), _to("colour-check", both)),
        ],
    }


def _laid(key: str, hide: Mapping[str, Any], kept: Collection[str]) -> dict[str, Any]:
    """One hide with its files, each with what it is, and its offcuts, kept already or not."""
    names = {
        "pdf": _("One long page, true size"),
        "svg": _("SVG in mm"),
        "dxf": _("DXF in mm, the pieces where they lie"),
    }
    links = [(names[each.rpartition(".")[2]], reverse("bench_file", args=[key, each])) for each in hide["files"]]
    return {**hide, "links": links, "offcuts": [{**each, "kept": each["hide"] in kept} for each in hide["offcuts"]]}


def _to(question: str, typed: Mapping[str, str]) -> str:
    return f"{reverse('workbench_question', args=[question])}?{urlencode(typed)}"


def _page(request: HttpRequest, context: dict[str, Any], status: int = 200) -> HttpResponse:
    bench = next(each for each in benches() if context["question"] in each.questions)
    return page_of_a_bench(request, "given", Standing(), bench, context["question"], context, status=status)
