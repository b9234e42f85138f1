"""What is noted at the hand-over and after it: `trimwright log pair`, `disposed`, `hand-over-book`, `visited`.

The book itself is one of the papers: `trimwright papers --hand-over`.
"""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from trimwright.cli.noting import About, OnPart, Took, YesAt, YesHow, YesName, minutes, noted, notes_an_event, yes_of
from trimwright.cli.options import JobFile
from trimwright.cli.written import paper_size

if TYPE_CHECKING:
    from trimwright.plan.plan import Plan


@notes_an_event(but=("photos",))
def pair(
    job_file: JobFile,
    before: Annotated[str, typer.Argument(help="The earlier photo, by its name.", metavar="BEFORE")],
    after: Annotated[str, typer.Argument(help="The later one.", metavar="AFTER")],
    part: OnPart = None,
    *,
    about: About,
) -> None:
    """Two photos of one place stand side by side in the hand-over book."""
    event = {"kind": "pair", "before": before, "after": after, "part": part}
    noted(job_file, event, about)


@notes_an_event()
def disposed(
    job_file: JobFile,
    what: Annotated[str, typer.Argument(help="What it was, such as dirty thinner.", metavar="WHAT")],
    how: Annotated[str, typer.Argument(help="Where it went, and how.", metavar="HOW")],
    amount: Annotated[str, typer.Option(help="How much, with its unit.", metavar="AMOUNT")] = "",
    *,
    about: About,
) -> None:
    """Waste went away: solvent, rags, a unit that can fire."""
    event = {"kind": "disposed", "what": what, "how": how, "amount": amount}
    noted(job_file, event, about)


@notes_an_event(but=("photos", "note"))
def hand_over_book(
    job_file: JobFile,
    warranty: Annotated[str, typer.Option(help="Your warranty, in your own words.", metavar="TEXT")] = "",
    care: Annotated[str, typer.Option(help="Care of this car, beside the usual.", metavar="TEXT")] = "",
    again: Annotated[
        list[str] | None, typer.Option("--again", help="A day to see the car again; may be repeated.", metavar="DAY")
    ] = None,
    money: Annotated[bool, typer.Option("--money", help="The owner sees what was agreed and what was spent.")] = False,
    yes: YesName = None,
    how: YesHow = "signed",
    yes_at: YesAt = None,
    *,
    about: About,
) -> None:
    """What you say in the hand-over book; `--yes` is the owner's signature for it."""
    days = [_day(each) for each in again or []]
    event = {
        "kind": "owners_book", "warranty": warranty, "care": care, "follow_ups": days, "shows_money": money,
        "yes": yes_of(yes, how, yes_at or about.at),
    }  # fmt: skip
    noted(job_file, event, about)


@notes_an_event()
def visited(
    job_file: JobFile,
    part: Annotated[str, typer.Argument(help="The part, by its id.", metavar="PART", show_default=False)],
    held: Annotated[
        bool, typer.Option("--held/--failed", help="Has the work on it held, or is it put right or to be redone?")
    ] = True,
    finish: Annotated[int | None, typer.Option(help="The finish it has now.")] = None,
    moved: Annotated[str, typer.Option(help="What has moved, come loose or opened.", metavar="TEXT")] = "",
    wear: Annotated[str, typer.Option(help="Where it wears, and how.", metavar="TEXT")] = "",
    stitched: Annotated[bool, typer.Option("--stitched", help="Its stitching was gone over.")] = False,
    hours: Took = "0",
    *,
    about: About,
) -> None:
    """A part was looked at on a follow-up visit; `book learn` learns from it how long work holds."""
    event = {
        "kind": "visited", "part": part, "held": held, "finish": finish, "moved": moved, "wear": wear,
        "stitched": stitched, "minutes": minutes(hours),
    }  # fmt: skip
    noted(job_file, event, about)


def write_book(plan: Plan, folder: Path, *, letter: bool, photos: Path | None, book: Path | None) -> Path:
    """The hand-over book into `folder`, with the pairs whose photos lie in `photos` under their names."""
    from trimwright.book.files import read_book
    from trimwright.cli.surroundings import today
    from trimwright.job.hand_over import pairs_of
    from trimwright.papers import hand_over_book_pdf

    names = [name for each in pairs_of(plan.job) for name in (each.before, each.after)]
    found = {name: path for name in names if photos and (path := _photo(photos, name))}
    held = {name: path.read_bytes() for name, path in found.items()}
    path = folder / "hand-over-book.pdf"
    shop = read_book(book) if book else None
    path.write_bytes(hand_over_book_pdf(plan, today(), paper_size(letter=letter), shop, held))
    return path


def _photo(folder: Path, name: str) -> Path | None:
    """The file of a photo, by its name with or without its ending."""
    ways = (folder / name, folder / f"{name}.jpg", folder / f"{name}.png")
    return next((each for each in ways if each.parent == folder and each.is_file()), None)


def _day(text: str) -> str:
    from trimwright.errors import BadInput, Problem

    try:
        return date.fromisoformat(text).isoformat()
    except ValueError:
        raise BadInput(Problem("--again", text, "is no date.", "Write it like 2026-05-31.")) from None
