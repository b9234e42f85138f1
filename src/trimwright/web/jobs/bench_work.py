"""What takes a second or more of a file given to the workbench; runs in a process that knows no Django.

photo   a photo with the card of known patches: the colours in its windows, each with how far it may be out
panel   a scan: laid flat, cut along its seams; stretch, pieces, true-size sheets and drawings as files beside it
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import datetime
from pathlib import Path
from typing import Any

from trimwright.craft.asking import Ask, Typed, bare_mm
from trimwright.errors import BadInput, Problem

PHOTO, PANEL = "photo", "panel"
ENDINGS = {PHOTO: (".jpg", ".jpeg", ".png"), PANEL: (".obj", ".ply", ".stl")}
"""What a file may be called at its end."""
MOST_BYTES = {PHOTO: 40_000_000, PANEL: 400_000_000}
UNITS = ("mm", "cm", "m", "in")
PANEL_ASKS = (
    Ask("name", "what the panel is called", "seat back"),
    Ask("unit", "a length of 1 in the scan is", usual="mm", choices=UNITS),
    Ask("smooth", "take out bumps shorter than", "2", usual="0"),
    Ask("limit", "what the material gives, per cent", "5", usual="5"),
    Ask("allowance", "left beyond the seam all round", "10", usual="0"),
    Ask("mirror", "the other side's pieces as well", usual="no", choices=("no", "yes")),
    Ask(
        "seams",
        "seams, a point to a line, a blank line between two",
        "x y in mm on the flat piece, or x y z on the scan",
    ),
)
PHOTO_ASKS = (
    Ask(
        "card", "the print's patches as measured, if they were", "a1, 94.8, 0.3, -1.2: a line for each patch, a1 to e6"
    ),
)
ASKS = {PHOTO: PHOTO_ASKS, PANEL: PANEL_ASKS}
LONG = frozenset({"seams", "card"})
"""Lines of many lines."""
PANEL_FILES = {
    "true-size-a4.pdf": "application/pdf",
    "true-size-letter.pdf": "application/pdf",
    "long-page.pdf": "application/pdf",
    "pieces.svg": "image/svg+xml",
    "pieces.dxf": "application/dxf",
}
"""What comes of a panel, by its name, with what kind of file it is."""

Told = tuple[dict[str, Any] | None, tuple[Problem, ...]]
"""What came of it, or what was wrong: an error with its problems does not come home from another process whole."""


def colours(photo: Path, called: str, card: str) -> Told:
    """The colours in both windows of the card, as they would be typed; `card` are its patches as measured, if any."""
    from trimwright.craft.colour.card import read_card
    from trimwright.craft.colour.photo import read_photo

    def read() -> dict[str, Any]:
        shot = read_photo(photo.read_bytes(), called, read_card(card, "card") if card.strip() else None)
        return {
            "A": str(shot.reading("A")),
            "B": str(shot.reading("B")),
            "apart": f"{shot.apart_spread():.1f}",
            "measured": bool(card.strip()),
            "light_varies": round(shot.light_varies, 2),
        }

    return _told(read)


def panel(scan: Path, asked: Mapping[str, str], made_at: datetime, into: Path) -> Told:
    """The flat pieces of a scan; their files are written beside it."""
    return _told(lambda: _panel(scan, asked, made_at, into))


def refuse_slips(kind: str, asked: Mapping[str, str]) -> None:
    """BadInput with everything that is wrong with what was typed beside a file, before anybody waits for it."""
    from trimwright.craft.colour.card import read_card

    if kind == PANEL:
        panel_lines(asked)
    elif asked["card"].strip():
        read_card(asked["card"], PHOTO_ASKS[0].label)


def panel_lines(asked: Mapping[str, str]) -> dict[str, Any]:
    """What was typed beside a scan, read; BadInput with everything that is wrong."""
    from trimwright.geometry.flat_panel import share_given
    from trimwright.units import parse_number

    lines = Typed(PANEL_ASKS, asked)
    read = {
        "unit": lines.choice("unit"),
        "smooth_mm": lines.take("smooth", bare_mm, 0.0),
        "limit": lines.take("limit", lambda text, where: share_given(float(parse_number(text, where)), where), 0.05),
        "allowance_mm": lines.take("allowance", bare_mm, 0.0),
        "mirror": lines.choice("mirror") == "yes",
        "seams": [
            (f"seam {number}", each)
            for number, each in enumerate(lines.text("seams").replace("\r", "").split("\n\n"), 1)
            if each.strip()
        ],
    }
    lines.refuse_slips()
    return read


def _told(work: Callable[[], dict[str, Any]]) -> Told:
    try:
        return work(), ()
    except BadInput as error:
        return None, error.problems


def _panel(scan: Path, asked: Mapping[str, str], made_at: datetime, into: Path) -> dict[str, Any]:
    from trimwright.charts.flat_stretch import flat_stretch_chart
    from trimwright.facts import load
    from trimwright.geometry import flat_panel
    from trimwright.geometry.dxf import drawing
    from trimwright.geometry.sheet import one_page
    from trimwright.papers.true_size import long_page_pdf, true_size_pdf

    title = asked.get("name") or "panel"
    found = flat_panel.panel_of(scan, title, **panel_lines(asked))
    cautions = (*(load().cautions[each].text for each in flat_panel.CAUTIONS), flat_panel.BEFORE_COVERING)
    page = one_page(found.pieces).svg
    files = {
        "true-size-a4.pdf": true_size_pdf(title, found.pieces, made_at, "a4", cautions),
        "true-size-letter.pdf": true_size_pdf(title, found.pieces, made_at, "us-letter", cautions),
        "long-page.pdf": long_page_pdf(title, found.pieces, made_at),
        "pieces.svg": page.encode(),
        "pieces.dxf": drawing(found.pieces).encode("ascii"),
    }
    for name, data in files.items():
        (into / name).write_bytes(data)
    return {
        "heads": list(flat_panel.heads(found)),
        "rows": [list(each) for each in flat_panel.rows(found)],
        "told": list(flat_panel.told(found, "Write the two points among the seams and lay it flat once more.")),
        "notes": list(found.notes),
        "moved": round(found.moved_mm, 2),
        "cautions": list(cautions),
        "pictures": [
            flat_stretch_chart(patch, found.limit, seams=(dart.drawn,) if dart else (), name=f"flat-{number}")
            for number, (patch, dart) in enumerate(zip(found.cut.patches, found.darts, strict=True), 1)
        ],
        "cut": page,
    }
