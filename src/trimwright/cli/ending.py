"""The end of a job on the command line: `trimwright log check`, `snag`, `put-right`, `tested`, `handed-over`."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from trimwright.cli.noting import (
    About,
    OnPart,
    Took,
    YesAt,
    YesHow,
    YesName,
    changed,
    minutes,
    noted,
    notes_an_event,
    yes_of,
)
from trimwright.cli.options import AsJson, BookFile, JobFile

if TYPE_CHECKING:
    from trimwright.errors import Problem

CHECKS = {"clips": "clips in hand", "floor": "floor dry", "drains": "drains tested", "looms": "looms tested"}


@notes_an_event()
def check(
    job_file: JobFile,
    what: Annotated[str, typer.Argument(help=f"One of: {', '.join(CHECKS)}.", metavar="WHAT", show_default=False)],
    *,
    about: About,
) -> None:
    """A check of the way back was made.

    Clips in hand, floor dry, drains and looms tested, each before it is covered. It stands until that is laid open
    again.
    """
    from trimwright.errors import BadInput, Problem
    from trimwright.job.refusals import near

    if what not in CHECKS:
        raise BadInput(Problem("WHAT", what, f"is none of: {', '.join(CHECKS)}.", near(what, CHECKS)))
    noted(job_file, {"kind": "check", "what": CHECKS[what]}, about)


@notes_an_event(but=("note",))
def snag(
    job_file: JobFile,
    what: Annotated[str, typer.Argument(help="What is not right.", metavar="WHAT", show_default=False)],
    part: OnPart = None,
    *,
    about: About,
) -> None:
    """Something is not right yet, at the end."""
    noted(job_file, {"kind": "snag", "what": what, "part": part}, about)


def put_right(
    job_file: JobFile,
    snag: Annotated[str, typer.Argument(help="The snag, by its event.", metavar="SNAG", show_default=False)],
    hours: Took = "0",
    left: Annotated[str, typer.Option("--left", help="It is left as it is: why, and who agreed.", metavar="WHY")] = "",
    as_json: AsJson = False,
) -> None:
    """A snag is put right, or left with a reason."""
    from trimwright.job.edits import SetField, Together
    from trimwright.job.files import read_job

    job = read_job(job_file)
    told: dict[str, str | int] = {"state": "left", "note": left} if left else {"state": "put right"}
    told |= {"minutes": minutes(hours)}
    edits = tuple(SetField(path=("events", snag, name), value=value) for name, value in told.items())
    changed(job_file, job, Together(edits=edits), snag, as_json)


Tests = Annotated[list[str] | None, typer.Option(help="A test, by its id (trimwright facts final_tests).")]


@notes_an_event()
def final_tests(
    job_file: JobFile,
    passed: Tests = None,
    failed: Tests = None,
    not_here: Annotated[
        list[str] | None, typer.Option("--not-here", help="A test of what this car has not, by its id.")
    ] = None,
    all_passed: Annotated[bool, typer.Option("--all-passed", help="Every test not named passed.")] = False,
    trained: Annotated[
        str, typer.Option("--trained", help="Who of licensed practice made those that ask for it.", metavar="NAME")
    ] = "",
    yes: Annotated[str | None, typer.Option("--yes", help="Who signs the sheet.", metavar="NAME")] = None,
    how: YesHow = "signed",
    yes_at: YesAt = None,
    *,
    about: About,
) -> None:
    """Final tests were made; with --yes the test sheet is signed."""
    from trimwright.facts import load
    from trimwright.job.files import read_job
    from trimwright.plan.sequence.closing import asked_tests

    results = {each.id: "passed" for each in asked_tests(read_job(job_file), load())} if all_passed else {}
    for named, result in ((passed, "passed"), (failed, "failed"), (not_here, "not on this car")):
        results |= dict.fromkeys(named or [], result)
    event = {"kind": "tested", "results": results, "trained": trained, "yes": yes_of(yes, how, yes_at or about.at)}
    noted(job_file, event, about)


@notes_an_event(but=("photos",))
def handed_over(
    job_file: JobFile,
    yes: YesName = None,
    how: YesHow = "in person",
    yes_at: YesAt = None,
    book: BookFile = None,
    *,
    about: About,
) -> None:
    """The car went back to its owner, and the job is closed.

    Refused while something is off, a bag or a snag is open, a check is missing, what holds people is not tightened to
    the car's own book, what must be dealt with is not done and paid, or the test sheet is not signed.
    """
    from trimwright.errors import BadInput

    if still_open := _open_ends(job_file, book):
        raise BadInput(still_open)
    event = {"kind": "handed_over", "yes": yes_of(yes, how, yes_at or about.at)}
    noted(job_file, event, about)


def _open_ends(job_file: Path, book: Path | None) -> tuple[Problem, ...]:
    """All that keeps the job from being closed."""
    from trimwright.cli.sequence import arranged, open_ends_of
    from trimwright.cli.way_out import problem

    plan, sequence = arranged(job_file, book, [])
    return tuple(problem(each) for each in open_ends_of(plan, sequence))
