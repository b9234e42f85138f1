"""The papers of a plan as PDF: the owner's quote, the verdict sheet, the buying list, a work sheet a part.

Each paper is one module that puts the plan into words (plain text, nothing left to add up) and one template beside
it; `look.typ` is the look they share.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import datetime
from pathlib import Path
from typing import Any, Literal

from trimwright.facts import load
from trimwright.facts.trade import Trade
from trimwright.papers import buying_list, press, quote, verdict_sheet, work_sheets
from trimwright.plan.plan import Plan

PaperName = Literal["quote", "verdict-sheet", "buying-list", "work-sheets"]
PaperSize = press.PaperSize

_IN_WORDS: Mapping[PaperName, Callable[[Plan, Trade], dict[str, Any]]] = {
    "quote": quote.in_words,
    "verdict-sheet": verdict_sheet.in_words,
    "buying-list": buying_list.in_words,
    "work-sheets": work_sheets.in_words,
}
PAPERS = tuple(_IN_WORDS)


def paper_pdf(name: PaperName, plan: Plan, made_at: datetime, paper: PaperSize = "a4") -> bytes:
    """One paper as PDF; the same plan, moment and size always give the same bytes."""
    return press.printed(name.replace("-", "_"), _IN_WORDS[name](plan, load()), made_at, paper)


def paper_pages(name: PaperName, plan: Plan, made_at: datetime, paper: PaperSize = "a4") -> list[bytes]:
    """The pages of a paper as PNG, as they print."""
    return press.pictured(name.replace("-", "_"), _IN_WORDS[name](plan, load()), made_at, paper)


def write_papers(plan: Plan, folder: Path, made_at: datetime, paper: PaperSize = "a4") -> list[Path]:
    """All papers of a plan into `folder`, made when it is not there; the files written."""
    folder.mkdir(parents=True, exist_ok=True)
    written = []
    for name in PAPERS:
        path = folder / f"{name}.pdf"
        path.write_bytes(paper_pdf(name, plan, made_at, paper))
        written.append(path)
    return written
