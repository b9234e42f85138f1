"""`trimwright log intake`: how the car came in, before anybody touched it."""

from __future__ import annotations

from typing import Annotated

import typer

from trimwright.cli.noting import About, YesAt, YesHow, YesName, noted, notes_an_event, yes_of
from trimwright.cli.options import JobFile

LAMP = {
    "ok": "lights, then goes out",
    "on": "stays on",
    "dark": "does not light",
    "no-current": "no current",
    "none": "none fitted",
}
Each = list[str] | None


@notes_an_event()
def intake(
    job_file: JobFile,
    lamp: Annotated[
        str, typer.Argument(help=f"The restraint lamp: {', '.join(LAMP)}.", metavar="LAMP", show_default=False)
    ],
    fault: Annotated[Each, typer.Option(help="What does not work, before any work; may be repeated.")] = None,
    other_lamp: Annotated[Each, typer.Option(help="Another warning lamp that stays on; may be repeated.")] = None,
    left_in: Annotated[Each, typer.Option(help="What lies in the car; may be repeated.")] = None,
    keys: Annotated[int, typer.Option(help="How many keys came with it.")] = 1,
    radio_code: Annotated[str, typer.Option(help="The radio's code.", metavar="CODE")] = "",
    odometer: Annotated[str, typer.Option(help="What it says, with its unit.", metavar="TEXT")] = "",
    fuel_smell: Annotated[bool, typer.Option("--fuel-smell", help="Fuel can be smelt: nothing comes off.")] = False,
    yes: YesName = None,
    how: YesHow = "signed",
    yes_at: YesAt = None,
    *,
    about: About,
) -> None:
    """The car is taken in: lamps, faults, keys, belongings.

    `--yes` is the owner's signature to it. The end of the job is held to what the restraint lamp did.
    """
    from trimwright.errors import BadInput, Problem
    from trimwright.job.refusals import near

    if lamp not in LAMP:
        raise BadInput(Problem("LAMP", lamp, f"is none of: {', '.join(LAMP)}.", near(lamp, LAMP)))
    event = {
        "kind": "intake", "restraint_lamp": LAMP[lamp], "faults": fault or [], "lamps": other_lamp or [],
        "belongings": left_in or [], "keys": keys, "radio_code": radio_code, "odometer": odometer,
        "fuel_smell": fuel_smell, "yes": yes_of(yes, how, yes_at or about.at),
    }  # fmt: skip
    noted(job_file, event, about)
