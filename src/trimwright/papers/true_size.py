"""Pieces at true size in words and pictures: check bars and the joining plan, then a page a sheet; or one long page.

A reader is told not to scale what it prints; since some do, the bars are measured before anything is cut.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import datetime

from trimwright.errors import BadInput, Problem
from trimwright.geometry import sheet
from trimwright.geometry.pattern import Piece
from trimwright.papers import press
from trimwright.papers.wording import Words, text

BAR_ACROSS_MM, BAR_DOWN_MM = 180, 240
"""Check bars, as long as a sheet lets them be."""
PLAN_WIDE_MM, PLAN_HIGH_MM, FEW_PLANS = 165.0, 78.0, 4
"""Room for one joining plan on the first sheet; half as high where there are more than a few."""


def true_size_pdf(
    title: str, pieces: Sequence[Piece], made_at: datetime, paper: press.PaperSize = "a4", cautions: Sequence[str] = ()
) -> bytes:
    """The pieces on sheets of the paper. BadInput when a piece would take a book of them."""
    words = {**_head(title), "cautions": [text(each) for each in cautions], **in_words(pieces)}
    return unscaled(press.printed("true_size", words, made_at, paper))


def in_words(pieces: Sequence[Piece]) -> Words:
    """All that the sheets print."""
    tilings = [sheet.tiled(each) for each in pieces]
    shrunk = _plan_scale(tilings)
    return {
        "across": BAR_ACROSS_MM,
        "down": BAR_DOWN_MM,
        "tile": {"wide": sheet.TILE_WIDE_MM, "high": sheet.TILE_HIGH_MM, "overlap": sheet.OVERLAP_MM},
        "pieces": [
            {
                "number": number,
                "name": text(found.piece.name),
                "cut": f"cut {found.piece.cut}" if found.piece.cut > 1 else "",
                "plan": sheet.plan_picture(found),
                "wide": found.box[2] * shrunk,
                "sheets": [
                    {"name": f"{number}-{tile.name}", "svg": sheet.tile_picture(found, tile)} for tile in found.tiles
                ],
            }
            for number, found in enumerate(tilings, 1)
        ],
    }


def _plan_scale(tilings: Sequence[sheet.Tiling]) -> float:
    """One scale for all joining plans, so that few fill the first sheet and many fit on it."""
    high = PLAN_HIGH_MM if len(tilings) <= FEW_PLANS else PLAN_HIGH_MM / 2
    return min(PLAN_WIDE_MM / max(each.box[2] for each in tilings), high / max(each.box[3] for each in tilings))


def long_page_pdf(
    title: str, pieces: Sequence[Piece], made_at: datetime, cautions: Sequence[str] = (), *, laid: bool = False
) -> bytes:
    """The pieces on one long page for a plotter, where they lie if they are `laid`.

    BadInput when the page would be longer than a reader takes."""
    page = sheet.one_page(pieces, laid=laid)
    long = max(page.wide_mm, page.high_mm)
    if long > sheet.MOST_PAGE_MM:
        what = f"is longer than a page can be ({sheet.MOST_PAGE_MM:.0f} mm)."
        raise BadInput(Problem("long page", f"{long:.0f} mm", what, "Print the sheets, or fewer pieces at once."))
    drawn = {"wide": page.wide_mm, "high": page.high_mm, "svg": page.svg}
    told = {"cautions": [text(each) for each in cautions], "drawn": drawn, "across": _bar(page)}
    return unscaled(press.printed("long_page", {**_head(title), **told}, made_at, "a4"))


def _bar(page: sheet.Page) -> int:
    """The longest round bar that the page has room for."""
    return max(50, min(1000, int((page.wide_mm - 20) // 50) * 50))


def _head(title: str) -> Words:
    return {"title": text(title), "job": text(title), "car": ""}


# ---- no scaling ------------------------------------------------------------------------------------------------------


def unscaled(pdf: bytes) -> bytes:
    """The PDF asking its reader not to scale: /PrintScaling /None among the viewer's preferences.

    Typst has no word for it, so the catalogue is written once more behind the end, as ISO 32000-1, 7.5.6 lets one do.
    """
    before = int(pdf[pdf.rindex(b"startxref") :].split()[1])
    trailer = pdf[pdf.rindex(b"trailer") :]
    root = _found(rb"/Root (\d+) 0 R", trailer)
    catalogue = _found(rb"\b" + root + rb" 0 obj\s*(<<.*?>>)\s*endobj", pdf)
    asked = catalogue.replace(b"/ViewerPreferences<<", b"/ViewerPreferences<</PrintScaling/None", 1)
    if asked == catalogue:
        asked = catalogue.replace(b"<<", b"<</ViewerPreferences<</PrintScaling/None>>", 1)
    kept = _found(rb"trailer\s*<<(.*)>>\s*startxref", trailer)
    body = root + b" 0 obj\n" + asked + b"\nendobj\n"
    at = len(pdf) + 1
    return (
        pdf
        + b"\n"
        + body
        + b"xref\n0 1\n0000000000 65535 f\r\n"
        + root
        + b" 1\n%010d 00000 n\r\n" % at
        + b"trailer\n<<%s/Prev %d>>\nstartxref\n%d\n%%%%EOF\n" % (kept, before, at + len(body))
    )


def _found(pattern: bytes, among: bytes) -> bytes:
    return re.search(pattern, among, re.DOTALL)[1]  # type: ignore[index]
