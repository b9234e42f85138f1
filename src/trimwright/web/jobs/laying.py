"""What pieces are laid on, as its page gathers it: pieces given or worked out before, hides given or kept."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from django.core.files.uploadedfile import SimpleUploadedFile, UploadedFile
from django.http import HttpRequest
from django.utils.translation import gettext as _

from trimwright.errors import BadInput, Problem
from trimwright.web.jobs import bench_files, kept_hides, store
from trimwright.web.jobs.bench_work import LAYING, OUTLINE, PANEL
from trimwright.web.jobs.bench_work.laying import Order, Text, read_order

PIECES = "pieces.dxf"
"""What the works that make pieces write them into."""


def order_of(request: HttpRequest) -> UploadedFile[bytes]:
    """What was chosen and sent as one file; of pieces or hides chosen anew, else those given before stay.

    BadInput when there are no pieces, or nothing to lay them on.
    """
    before = _before(request.POST.get("again", ""))
    drawings = tuple(_drawings(request)) or before.drawings
    hides = tuple(_hides(request)) or before.hides
    problems = []
    if not drawings:
        way_out = _("Choose .dxf files, or what was photographed or scanned before.")
        problems.append(Problem(_("pieces"), "", _("are missing."), way_out))
    if not hides and not request.POST.get("roll", "").strip():
        problems.append(Problem(_("hides"), "", _("are missing."), _("Choose one, or say how wide a roll is.")))
    if problems:
        raise BadInput(problems)
    return SimpleUploadedFile("order.json", Order(drawings, hides).written())


def offered(request: HttpRequest, again: str) -> dict[str, Any]:
    """What may be chosen, what is, and what was given before."""
    before, told = _before(again), request.POST or request.GET
    works, hides = set(told.getlist("work")), set(told.getlist("hide"))
    return {
        "works": [
            {"key": each.key, "name": each.asked.get("name") or _("without a name"), "kind": each.kind,
             "on": each.asked_at, "chosen": each.key in works}
            for each in store.finished_bench_work((OUTLINE.id, PANEL.id))
            if (bench_files.folder(each.key) / PIECES).is_file()
        ],
        "kept_hides": [{"hide": each, "chosen": each.key in hides} for each in kept_hides.kept()],
        "given_pieces": [each.name for each in before.drawings],
        "given_hides": [each.name for each in before.hides],
    }  # fmt: skip


def _before(again: str) -> Order:
    if not bench_files.KEY.fullmatch(again):
        return Order((), ())
    file = bench_files.given(again)
    return read_order(file.read_bytes()) if file and file.suffix in LAYING.endings else Order((), ())


def _drawings(request: HttpRequest) -> Iterator[Text]:
    """Drawings sent, and those of works; a work's pieces go by its name."""
    yield from _sent(request.FILES.getlist("pieces"))
    for key in request.POST.getlist("work"):
        file = bench_files.folder(key) / PIECES if bench_files.KEY.fullmatch(key) else None
        if file is None or not file.is_file():
            raise BadInput(Problem(_("pieces"), key, _("are no longer there."), _("Choose them anew.")))
        yield Text(store.bench_work(key).asked.get("name") or PIECES, file.read_text(encoding="ascii"))


def _hides(request: HttpRequest) -> Iterator[Text]:
    yield from _sent(request.FILES.getlist("hides"))
    for key in request.POST.getlist("hide"):
        try:
            hide = kept_hides.one(key)
        except kept_hides.NoSuchHide:
            way_out = _("Choose them anew.")
            raise BadInput(Problem(_("hides"), key, _("are no longer there."), way_out)) from None
        yield Text(hide.name, hide.text)


def _sent(files: Sequence[UploadedFile[bytes]]) -> Iterator[Text]:
    for each in files:
        if (each.size or 0) > LAYING.most_bytes:
            raise BadInput(Problem(each.name or "", "", _("is too large."), _("Give single drawings.")))
        yield Text(each.name or "", each.read().decode(errors="replace"))
