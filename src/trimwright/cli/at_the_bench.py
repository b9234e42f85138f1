"""What is noted at the bench: `trimwright log worked` for a task of the calendar, `log air` for the shop's air."""

from __future__ import annotations

from typing import Annotated

import typer

from trimwright.cli.noting import About, Took, noted, notes_an_event
from trimwright.cli.options import JobFile

STATES = ("begun", "finished")


@notes_an_event()
def worked(
    job_file: JobFile,
    task: Annotated[
        str, typer.Argument(help="The task, as `trimwright bench` names it.", metavar="TASK", show_default=False)
    ],
    state: Annotated[str, typer.Argument(help=f"One of: {', '.join(STATES)}.", metavar="STATE", show_default=False)],
    hours: Took = "0",
    redone: Annotated[int, typer.Option(help="How often it had to be done again.")] = 0,
    *,
    about: About,
) -> None:
    """A task of the calendar was begun, or is finished.

    Dates go on from there; money and hours are told once more when its part is done.
    """
    from trimwright.errors import BadInput, Problem
    from trimwright.job.refusals import near
    from trimwright.units import parse_minutes

    if state not in STATES:
        raise BadInput(Problem("STATE", state, f"is none of: {', '.join(STATES)}.", near(state, STATES)))
    event = {"kind": "worked", "task": task, "state": state, "minutes": parse_minutes(hours, "--hours"),
             "redone": redone}  # fmt: skip
    noted(job_file, event, about)


@notes_an_event()
def air(
    job_file: JobFile,
    temperature: Annotated[
        str,
        typer.Argument(help='Of the air, with its unit, such as "18 °C" or 64F.', metavar="TEMP", show_default=False),
    ],
    humidity: Annotated[
        str, typer.Argument(help="Relative humidity, such as 55% or 0.55.", metavar="HUMIDITY", show_default=False)
    ],
    *,
    about: About,
) -> None:
    """The shop's air, as it was read.

    Coats and glue dry by it; the calendar goes by what was read last.
    """
    from trimwright.units import parse_share, parse_temperature

    share = parse_share(humidity, "HUMIDITY")
    event = {"kind": "air", "temperature": round(parse_temperature(temperature, "TEMP"), 2),
             "humidity": round(share * 100, 1)}  # fmt: skip
    noted(job_file, event, about)
