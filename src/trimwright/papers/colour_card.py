"""The printed card for reading colours from a photo: one sheet, true to size, with what to do with it."""

from __future__ import annotations

from datetime import datetime

from trimwright.charts.colour_card import colour_card
from trimwright.papers import press


def colour_card_pdf(made_at: datetime, paper: press.PaperSize = "a4") -> bytes:
    """The sheet as PDF."""
    return press.printed("colour_card", {"card": colour_card()}, made_at, paper)
