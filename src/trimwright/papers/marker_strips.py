"""The printed strips for reading an outline from a photo: two sheets, true to size, and how to lay them."""

from __future__ import annotations

from datetime import datetime

from trimwright.charts.marker_strips import SHEET_HIGH_MM, SHEET_WIDE_MM, marker_strips
from trimwright.geometry.outline.strips import BAR_LONG_MM, BAR_SHORT_MM
from trimwright.papers import press
from trimwright.papers.true_size import unscaled

PAIRS = ("ab", "cd")


def marker_strips_pdf(made_at: datetime, paper: press.PaperSize = "a4") -> bytes:
    """Two sheets of strips and a page that says what to do, as a PDF that asks not to be scaled."""
    words = {
        "wide": SHEET_WIDE_MM,
        "high": SHEET_HIGH_MM,
        "bars": f"{BAR_LONG_MM:g} and {BAR_SHORT_MM:g} mm",
        "pairs": [{"strips": pair, "svg": marker_strips(pair)} for pair in PAIRS],
    }
    return unscaled(press.printed("marker_strips", words, made_at, paper))
