"""Pieces as files to take away: true-size sheets, one long page, drawings for a plotter or a cutting table."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from trimwright.geometry.pattern import Piece

FILES: Mapping[str, str] = {
    "true-size-a4.pdf": "application/pdf",
    "true-size-letter.pdf": "application/pdf",
    "long-page.pdf": "application/pdf",
    "pieces.svg": "image/svg+xml",
    "pieces.dxf": "application/dxf",
}


def write_pieces(title: str, pieces: Sequence[Piece], cautions: Sequence[str], made_at: datetime, into: Path) -> str:
    """Write all of `FILES` into a folder; the drawing of all pieces side by side, as SVG."""
    from trimwright.geometry.dxf import drawing
    from trimwright.geometry.sheet import one_page
    from trimwright.papers.true_size import long_page_pdf, true_size_pdf

    page = one_page(pieces).svg
    made = (
        true_size_pdf(title, pieces, made_at, "a4", cautions),
        true_size_pdf(title, pieces, made_at, "us-letter", cautions),
        long_page_pdf(title, pieces, made_at, cautions),
        page.encode(),
        drawing(pieces).encode("ascii"),
    )
    for name, data in zip(FILES, made, strict=True):
        (into / name).write_bytes(data)
    return page


def areas_of(pieces: Iterable[tuple[str, Piece]]) -> dict[str, float]:
    """Area of all pieces of each drawing, as often as they are cut [mm²]."""
    found: dict[str, float] = {}
    for drawing, piece in pieces:
        found[drawing] = found.get(drawing, 0.0) + piece.area_mm2 * max(1, piece.cut)
    return found
