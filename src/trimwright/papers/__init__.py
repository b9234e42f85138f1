"""The papers of a plan as PDF: the owner's quote, the verdict sheet, the buying list, a work sheet a part; the pocket
list, once most-to-pay prices are known; of the strip-down, its sheet, the rebuild, the tests and bag labels; of the
calendar, its own sheet and that of a day; and at the end the hand-over book.

Each paper is one module that puts the plan into words (plain text, nothing left to add up) and one template beside
it; `look.typ` is the look they share.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from datetime import datetime
from pathlib import Path
from typing import Any, Literal

from trimwright.book.document import Book
from trimwright.facts.trade import Trade
from trimwright.job.document import Job
from trimwright.job.events import Intake
from trimwright.papers import (
    bag_labels,
    bench_calendar,
    buying_list,
    change_sheet,
    day_sheet,
    hand_over_book,
    intake_sheet,
    pocket_list,
    press,
    quote,
    rebuild_sheet,
    strip_sheet,
    tests_sheet,
    verdict_sheet,
    work_sheets,
)
from trimwright.plan.calendar.promise import Promise
from trimwright.plan.calendar.tasks import Calendar
from trimwright.plan.changes import ChangeSheet, HandOvers
from trimwright.plan.plan import Plan
from trimwright.plan.sequence import Sequence
from trimwright.plan.verdicts.staircase import Staircase
from trimwright.plan.verdicts.stop_loss import Stops
from trimwright.plan.verdicts.walkaway import PairWorth, WalkAway

PaperName = Literal["quote", "verdict-sheet", "buying-list", "work-sheets"]
SequencePaper = Literal["strip-down-sheet", "bag-labels", "rebuild-sheet", "test-sheet"]
BenchPaper = Literal["bench-calendar", "day-sheet"]
WAY_IN: tuple[SequencePaper, ...] = ("strip-down-sheet", "bag-labels")
WAY_BACK: tuple[SequencePaper, ...] = ("rebuild-sheet", "test-sheet")
PaperSize = press.PaperSize
PocketSize = press.PocketSize

_IN_WORDS: Mapping[PaperName, Callable[[Plan, Trade, Staircase | None, Stops | None], dict[str, Any]]] = {
    "quote": lambda plan, trade, staircase, _: quote.in_words(plan, trade, staircase),
    "verdict-sheet": lambda plan, trade, *_: verdict_sheet.in_words(plan, trade),
    "buying-list": lambda plan, trade, *_: buying_list.in_words(plan, trade),
    "work-sheets": lambda plan, trade, _, stops: work_sheets.in_words(plan, trade, stops),
}
PAPERS = tuple(_IN_WORDS)


def paper_pdf(
    name: PaperName,
    plan: Plan,
    made_at: datetime,
    paper: PaperSize = "a4",
    staircase: Staircase | None = None,
    stops: Stops | None = None,
) -> bytes:
    """One paper as PDF; the same plan, moment, size, staircase and stops always give the same bytes.

    The quote sets offers for less and for more beside the plan where it is given the staircase, the work sheets say
    where to stop where they are given the stops.
    """
    return press.printed(name.replace("-", "_"), _IN_WORDS[name](plan, plan.trade, staircase, stops), made_at, paper)


def paper_pages(
    name: PaperName, plan: Plan, made_at: datetime, paper: PaperSize = "a4", staircase: Staircase | None = None
) -> list[bytes]:
    """The pages of a paper as PNG, as they print."""
    return press.pictured(name.replace("-", "_"), _IN_WORDS[name](plan, plan.trade, staircase, None), made_at, paper)


def write_papers(
    plan: Plan,
    folder: Path,
    made_at: datetime,
    paper: PaperSize = "a4",
    staircase: Staircase | None = None,
    stops: Stops | None = None,
) -> list[Path]:
    """All papers of a plan into `folder`, made when it is not there; the files written."""
    folder.mkdir(parents=True, exist_ok=True)
    written = []
    for name in PAPERS:
        path = folder / f"{name}.pdf"
        path.write_bytes(paper_pdf(name, plan, made_at, paper, staircase, stops))
        written.append(path)
    return written


def sequence_pdf(
    name: SequencePaper, plan: Plan, sequence: Sequence, made_at: datetime, paper: PaperSize = "a4"
) -> bytes:
    """One paper of the strip-down as PDF; the same plan, sequence, moment and size always give the same bytes."""
    match name:
        case "strip-down-sheet":
            return press.printed("strip_sheet", strip_sheet.in_words(plan, sequence), made_at, paper)
        case "bag-labels":
            return press.printed("bag_labels", bag_labels.in_words(plan, sequence), made_at, paper)
        case "rebuild-sheet":
            return press.printed("rebuild_sheet", rebuild_sheet.in_words(plan, sequence), made_at, paper)
        case "test-sheet":
            return press.printed("tests_sheet", tests_sheet.in_words(plan), made_at, paper)


def bench_pdf(
    name: BenchPaper,
    plan: Plan,
    calendar: Calendar,
    names: Mapping[str, str],
    made_at: datetime,
    paper: PaperSize = "a4",
    promise: Promise | None = None,
) -> bytes:
    """One paper of the calendar as PDF; `names` are the parts' by id. The same input always gives the same bytes."""
    match name:
        case "bench-calendar":
            told = bench_calendar.in_words(plan, calendar, names, promise)
            return press.printed("bench_calendar", told, made_at, paper)
        case "day-sheet":
            return press.printed("day_sheet", day_sheet.in_words(plan, calendar, names), made_at, paper)


def change_sheet_pdf(
    sheet: ChangeSheet, made_at: datetime, paper: PaperSize = "a4", dates: HandOvers | None = None
) -> bytes:
    """The change sheet of a find as PDF; the same sheet, moment, size and dates always give the same bytes."""
    return press.printed("change_sheet", change_sheet.in_words(sheet, dates), made_at, paper)


def intake_sheet_pdf(job: Job, intake: Intake, made_at: datetime, paper: PaperSize = "a4") -> bytes:
    """The intake as PDF, a page to sign; the same intake, moment and size always give the same bytes."""
    return press.printed("intake_sheet", intake_sheet.in_words(job, intake), made_at, paper)


def hand_over_book_pdf(
    plan: Plan,
    made_at: datetime,
    paper: PaperSize = "a4",
    book: Book | None = None,
    photos: Mapping[str, bytes] | None = None,
) -> bytes:
    """The hand-over book as PDF, with those pairs of which both photos are given, by their names.

    The same plan, book, photos, moment and size always give the same bytes.
    """
    words = {**hand_over_book.of_the_plan(plan), **hand_over_book.of_the_job(plan.job, plan.trade, book)}
    return hand_over_book.hand_over_pdf(plan.job, words, made_at, paper, photos)


def pocket_list_pdf(
    plan: Plan,
    worth: Iterable[WalkAway],
    made_at: datetime,
    size: PocketSize = "a6",
    pairs: Iterable[PairWorth] = (),
) -> bytes:
    """The pocket list as PDF: what to look for at a breaker's, and the most to pay for it."""
    return press.printed("pocket_list", pocket_list.in_words(plan, plan.trade, worth, pairs), made_at, size)
