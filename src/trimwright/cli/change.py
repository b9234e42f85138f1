"""`trimwright found` and `trimwright change`: a find noted, and what each answer to it comes to."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from trimwright.cli.log import Answers
from trimwright.cli.noting import About, noted, notes_an_event
from trimwright.cli.options import AsJson, BookFile, JobFile, Letter
from trimwright.cli.surroundings import today
from trimwright.cli.terminal import console, print_json, progress
from trimwright.cli.written import paper_size

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from rich.console import Console

    from trimwright.facts.trade import Trade
    from trimwright.plan.changes import Changed, ChangeSheet, HandOvers, Way

PATIENCE = 10.0
"""Seconds for the best drop, where nobody says how long; most are proven sooner."""


@notes_an_event()
def found(
    job_file: JobFile,
    what: Annotated[str, typer.Argument(help="What was found, in a few words.", metavar="WHAT", show_default=False)],
    part: Annotated[str | None, typer.Option("--part", help="The part it was found on.", metavar="PART")] = None,
    step: Annotated[str | None, typer.Option(help="Or the strip-down step that showed it.", metavar="STEP")] = None,
    fault: Annotated[
        str | None, typer.Option(help="The suspected fault it is (trimwright facts finds).", metavar="FAULT")
    ] = None,
    money: Annotated[str, typer.Option(help="What it takes: 80, or least, likely, most: 40/80/140.")] = "0",
    hours: Annotated[str, typer.Option(help="Hands-on time, likewise: 0:45, or 0:30/0:45/1:30.")] = "0",
    must: Annotated[bool, typer.Option("--must", help="It has to be dealt with; else it may be left.")] = False,
    left_finish: Annotated[
        int | None, typer.Option(help="The finish its part can't pass while it is left.", metavar="FINISH")
    ] = None,
    event_id: Annotated[str | None, typer.Option("--id", help="An id of its own; found if not said.")] = None,
    *,
    about: About,
) -> None:
    """Note what strip-down found, and what it takes."""
    from trimwright.job.files import read_job
    from trimwright.units import parse_minutes, parse_money

    currency = read_job(job_file).money.currency
    event = {
        "kind": "find", "what": what, "part": part, "step": step, "find": fault, "must": must,
        "money": _three(money, lambda text: parse_money(text, currency, "--money"), "--money"),
        "minutes": _three(hours, lambda text: parse_minutes(text, "--hours"), "--hours"),
        "left_finish": left_finish,
    }  # fmt: skip
    name = noted(job_file, event, about, event_id)
    if not about.as_json:
        print(f"Next: trimwright change {job_file} {name}")


def change(
    job_file: JobFile,
    find: Annotated[str, typer.Argument(help="The find, by its event.", metavar="FIND", show_default=False)],
    out: Annotated[Path | None, typer.Option(help="Write the change sheet as .pdf.", metavar="FILE")] = None,
    letter: Letter = False,
    seconds: Annotated[float, typer.Option(help="How long to look for the best drop.", metavar="SECONDS")] = PATIENCE,
    days: Annotated[
        bool, typer.Option("--days", help="Also what each answer does to the hand-over; some ten seconds more.")
    ] = False,
    book: BookFile = None,
    as_json: AsJson = False,
) -> None:
    """A find's change sheet: what each answer would do."""
    from trimwright.cli.asked import known
    from trimwright.job.files import read_job
    from trimwright.plan.changes import change_sheet

    if out is not None:
        _ends_in_pdf(out)
    with progress("weighing the answers"):
        job, trade = known(read_job(job_file), book)
        sheet = change_sheet(job, trade, find, seconds=seconds)
    dates = _dates(sheet, trade) if days else None
    if out is not None:
        from trimwright.papers import change_sheet_pdf

        out.write_bytes(change_sheet_pdf(sheet, today(), paper_size(letter=letter), dates))
    if as_json:
        print_json(shape(sheet, dates))
        return
    print_sheet(console(), sheet, str(job_file), dates)
    if out is not None:
        print(f"\nwritten: {out}")


def _dates(sheet: ChangeSheet, trade: Trade) -> HandOvers:
    """When the car is handed over with each answer, worked from now on."""
    from trimwright.cli.bench import Asked, start_of
    from trimwright.plan.changes import hand_overs

    start, air = start_of(sheet.job, Asked(None, None, None))
    with progress("laying out each answer"):
        return hand_overs(sheet, trade, start=start, air=air)


# ---- on the terminal -------------------------------------------------------------------------------------------------


def print_sheet(console: Console, sheet: ChangeSheet, job_file: str, dates: HandOvers | None) -> None:
    """What was found, the three answers side by side, what each changes, and the lines that note the answer."""
    from rich.padding import Padding
    from rich.text import Text

    from trimwright.cli.tables import plain_table
    from trimwright.job.history import told

    console.print(Text(told(sheet.find.model_dump(mode="json"), sheet.job), style="bold"))
    for photo in sheet.find.photos:
        console.print(Text(f"photo: {photo}", style="dim"))
    console.print()
    headings = ("", "before", *(each.answer for each in sheet.ways))
    figures = [(name, *(tell(each) for each in (sheet.before, *(way.verdicts for way in sheet.ways))))
               for name, tell in _figures(sheet)]  # fmt: skip
    if dates is not None:
        from trimwright.papers.change_sheet import date_rows

        figures += [(name.lower(), *cells) for name, cells in date_rows(sheet, dates)]
    console.print(plain_table(headings, figures, frozenset(range(1, len(headings)))))
    for way in sheet.ways:
        console.print()
        console.print(Text(way.answer, style="bold"))
        for line in (*(_changed(each) for each in way.changed), *_remarks(way, sheet)):
            console.print(Padding(Text(line), (0, 0, 0, 2)))
        console.print(Text(f"  {_command(way, sheet, job_file)}", style="dim"), soft_wrap=True)


def _figures(sheet: ChangeSheet) -> Iterator[tuple[str, Callable[[Any], str]]]:
    from trimwright import units

    currency = sheet.before.money.currency
    yield f"firm ({currency})", lambda each: units.money(each.money.firm, currency)
    yield "reserve", lambda each: units.money(each.money.reserve, currency)
    yield "left", lambda each: units.money(each.money.left, currency)
    yield "chance it ends inside", lambda each: f"{each.money.chance:.0%}"
    yield "cabin's finish", lambda each: str(each.finish_after)
    yield "hours", lambda each: units.hours(each.minutes)


def _changed(each: Changed) -> str:
    before, after = (_verdict(verdict) for verdict in (each.before, each.after))
    finish = f"finish {each.before.finish_after} → {each.after.finish_after}"
    told = finish if each.same_course else f"{before} → {after}, {finish}"
    return f"{each.before.name}: {told}" + (", promised" if each.promised and not each.same_course else "")


def _verdict(verdict: Any) -> str:
    if verdict.settled_by:
        return "with its whole"
    return verdict.course.name if verdict.course else ""


def _remarks(way: Way, sheet: ChangeSheet) -> Iterator[str]:
    from trimwright import units

    short = way.verdicts.short
    if not way.changed:
        yield "every verdict stands"
    if short and short.money:
        over = units.money(short.money, sheet.job.money.currency, code=True)
        yield f"less sure than the {sheet.job.money.sure:.0%} asked for: that would take {over} more"
    if short and short.minutes:
        yield f"over the hours on hand by {units.hours(short.minutes)}"
    if way.verdicts.proof.gap > 0:
        yield f"not proven best: at most {way.verdicts.proof.gap:.1%} of the gain is missing"


def _command(way: Way, sheet: ChangeSheet, job_file: str) -> str:
    word = next(word for word, answer in Answers.items() if answer == way.answer)
    drops = "".join(f" --drop {each}" for each in way.lets_go)
    return f"trimwright log answer {job_file} {sheet.find.id} {word}{drops} --yes NAME"


# ---- as JSON ---------------------------------------------------------------------------------------------------------


def shape(sheet: ChangeSheet, dates: HandOvers | None) -> dict[str, Any]:
    """What `change --json` prints; money in whole minor units, time in whole minutes, instants in ISO 8601."""
    from trimwright.cli import shapes

    def comes_to(verdicts: Any) -> dict[str, Any]:
        return {
            "status": verdicts.status,
            "money": shapes.money(verdicts),
            "minutes": verdicts.minutes,
            "finish": verdicts.finish_after,
            "points": verdicts.points,
            "gap": verdicts.proof.gap,
        }

    return {
        "find": sheet.find.model_dump(mode="json"),
        "before": {**comes_to(sheet.before), **({"hand_over": dates.before.isoformat()} if dates else {})},
        "ways": [
            {
                "answer": way.answer,
                **comes_to(way.verdicts),
                **({"hand_over": dates.after[way.answer].isoformat()} if dates else {}),
                "lets_go": list(way.lets_go),
                "changed": [
                    {
                        "part": each.before.part,
                        "from": each.before.course.id if each.before.course else "",
                        "to": each.after.course.id if each.after.course else "",
                        "finish_before": each.before.finish_after,
                        "finish_after": each.after.finish_after,
                        "promised": each.promised,
                    }
                    for each in way.changed
                ],
            }
            for way in sheet.ways
        ],
        "seconds": sheet.seconds,
    }


def _three(typed: str, read: Callable[[str], int], where: str) -> dict[str, int]:
    """One figure, or three with slashes between."""
    from trimwright.errors import BadInput, Problem

    figures = [read(each) for each in typed.split("/")]
    if len(figures) not in (1, 3):
        raise BadInput(Problem(where, typed, "is neither one figure nor three.", "Write 80 or 40/80/140."))
    low, likely, high = figures if len(figures) == 3 else figures * 3
    return {"low": low, "likely": likely, "high": high}


def _ends_in_pdf(path: Path) -> None:
    from trimwright.errors import BadInput, Problem

    if path.suffix.lower() != ".pdf":
        raise BadInput(Problem("--out", str(path), "does not end in .pdf.", "Give the file that ending."))
