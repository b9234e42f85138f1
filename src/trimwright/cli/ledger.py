"""The fixings ledger on the command line: `trimwright log bag`, `fixing`, `tightened`, `book-wait`."""

from __future__ import annotations

from typing import Annotated

import typer

from trimwright.cli.noting import About, noted, notes_an_event
from trimwright.cli.options import JobFile

Step = Annotated[
    str, typer.Argument(help="The strip-down step, such as carpet_main.", metavar="STEP", show_default=False)
]
FixingName = Annotated[
    str, typer.Argument(help="Its name in `trimwright rebuild`.", metavar="FIXING", show_default=False)
]
STATES = {"filled": "filled", "back": "back", "written-off": "written off"}


@notes_an_event()
def bag(
    job_file: JobFile,
    step: Step,
    state: Annotated[str, typer.Argument(help=f"One of: {', '.join(STATES)}.", metavar="STATE", show_default=False)],
    missing: Annotated[int, typer.Option(help="Fixings that are not there, in all so far.")] = 0,
    broken: Annotated[int, typer.Option(help="Fixings that broke, in all so far.")] = 0,
    *,
    about: About,
) -> None:
    """A bag of fixings was filled, came back, or is written off.

    What is missing or broken goes on the buying list. Writing it off asks for the reason in --note.
    """
    from trimwright.errors import BadInput, Problem
    from trimwright.job.refusals import near

    if state not in STATES:
        raise BadInput(Problem("STATE", state, f"is none of: {', '.join(STATES)}.", near(state, STATES)))
    event = {"kind": "bag", "step": step, "state": STATES[state], "missing": missing, "broken": broken}
    noted(job_file, event, about)


@notes_an_event(but=("photos",))
def fixing(
    job_file: JobFile,
    step: Step,
    name: FixingName,
    torque: Annotated[
        str, typer.Option(help="By the car's own book, with its unit, N·m or lbf·ft.", metavar="TORQUE")
    ] = "",
    page: Annotated[str, typer.Option(help="Where that stands in the book.", metavar="TEXT")] = "",
    thread: Annotated[str | None, typer.Option(help="Such as M8 or M10x1.25.", metavar="THREAD")] = None,
    grade: Annotated[str | None, typer.Option(help="The class on its head: 5.8, 8.8, 10.9, 12.9.")] = None,
    none: Annotated[bool, typer.Option("--none", help="This car has no such fixing.")] = False,
    *,
    about: About,
) -> None:
    """What is known of a fixing: its torque by the car's own book, its size and class."""
    from trimwright.units import parse_torque

    event = {
        "kind": "fixing", "step": step, "fixing": name, "there": False if none else None, "thread": thread,
        "grade": grade, "newton_metres": parse_torque(torque, "--torque") if torque else None, "page": page,
    }  # fmt: skip
    noted(job_file, event, about)


@notes_an_event(but=("photos",))
def tightened(
    job_file: JobFile,
    step: Step,
    name: FixingName,
    torque: Annotated[
        str, typer.Argument(help="What the wrench was set to, with its unit.", metavar="TORQUE", show_default=False)
    ],
    *,
    about: About,
) -> None:
    """A fixing was tightened with a torque wrench."""
    from trimwright.units import parse_torque

    event = {"kind": "tightened", "step": step, "fixing": name, "newton_metres": parse_torque(torque, "TORQUE")}
    noted(job_file, event, about)


@notes_an_event(but=("photos",))
def book_wait(
    job_file: JobFile,
    minutes: Annotated[int, typer.Argument(help="Rounded up to whole minutes.", metavar="MINUTES", show_default=False)],
    page: Annotated[str, typer.Option(help="Where that stands in the book.", metavar="TEXT")],
    *,
    about: About,
) -> None:
    """The wait after the battery is off, by the car's own book.

    Until it is entered, the longest in print is waited for.
    """
    event = {"kind": "book_wait", "minutes": minutes, "page": page}
    noted(job_file, event, about)
