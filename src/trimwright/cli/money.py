"""What more and less money would buy, and what a part is worth: `stairs`, `worth`."""

from __future__ import annotations

from pathlib import Path
from time import monotonic
from typing import TYPE_CHECKING, Annotated

import typer

from trimwright.cli.asked import end, planned
from trimwright.cli.options import AsJson, BookFile, JobFile
from trimwright.cli.surroundings import today
from trimwright.cli.terminal import console, counting, print_json

if TYPE_CHECKING:
    from trimwright.plan.plan import Plan
    from trimwright.plan.verdicts.staircase import Limit, Staircase

Seconds = Annotated[
    float | None,
    typer.Option(help="Time to look; more of it proves more. As the cabin's size asks.", metavar="SECONDS", min=0.1),
]


def stairs(
    job_file: JobFile,
    hours: Annotated[bool, typer.Option("--hours", help="What more hours buy, at the job's sum.")] = False,
    seconds: Seconds = None,
    book: BookFile = None,
    as_json: AsJson = False,
) -> None:
    """What more buys: the best cabin for every sum, and what changes."""
    from trimwright.cli import money_tables, shapes
    from trimwright.job.files import read_job

    plan = planned(read_job(job_file), book)
    found = staircase_of(plan, "hours" if hours else "money", seconds)
    if as_json:
        print_json(shapes.stairs(found, plan.verdicts.money.currency))
    else:
        money_tables.print_stairs(console(), plan, found)
    end(plan)


def worth(
    job_file: JobFile,
    parts: Annotated[
        list[str] | None, typer.Argument(help="Only these parts, by id.", metavar="[PART]...", show_default=False)
    ] = None,
    seconds: Seconds = None,
    out: Annotated[Path | None, typer.Option(help="Write the pocket list as .pdf.", metavar="FILE")] = None,
    phone: Annotated[bool, typer.Option("--phone", help="The pocket list for a phone's screen, not A6.")] = False,
    book: BookFile = None,
    as_json: AsJson = False,
) -> None:
    """The most to pay for each part on offer, and the price to jump at."""
    from trimwright.cli import money_tables, shapes
    from trimwright.job.files import read_job
    from trimwright.plan.verdicts.walkaway import walk_away

    job = read_job(job_file)
    wanted = _known_parts(parts or [], [part.id for part in job.parts])
    if out is not None:
        _is_pdf(out)
    plan, started = planned(job, book), monotonic()
    with counting("what each part is worth") as answered:
        found = walk_away(plan.quantities, plan.verdicts, parts=wanted, seconds=seconds, answered=answered)
    taken = monotonic() - started
    if out is not None:
        from trimwright.papers import pocket_list_pdf
        from trimwright.plan.verdicts.walkaway import pairs_worth

        with counting("what both of a pair are worth"):
            pairs = pairs_worth(plan.quantities, plan.verdicts, found)
        out.write_bytes(pocket_list_pdf(plan, found, today(), "phone" if phone else "a6", pairs))
    if as_json:
        print_json(shapes.worth(found, plan.verdicts.money.currency, taken))
    else:
        money_tables.print_worth(console(), plan, found)
        if out is not None:
            print(f"\nwritten: {out}")
    end(plan)


def staircase_of(plan: Plan, of: Limit = "money", seconds: float | None = None) -> Staircase:
    """The staircase through a plan, with progress on a terminal."""
    from trimwright.plan.verdicts.staircase import climb

    with counting(f"what more {of} buys" if of == "hours" else "what more buys") as answered:
        return climb(plan.quantities, plan.verdicts, of=of, seconds=seconds, answered=answered)


def _known_parts(asked: list[str], known: list[str]) -> list[str] | None:
    """The parts asked for, None for all; BadInput with every one that the job has not."""
    from trimwright.errors import BadInput, Problem
    from trimwright.job.refusals import near, shortened

    way_out = "`trimwright decide JOB --json` lists the parts by id."
    problems = [
        Problem("PART", shortened(each), "is no part of this job.", near(each, known) or way_out)
        for each in asked
        if each not in known
    ]
    if problems:
        raise BadInput(problems)
    return asked or None


def _is_pdf(path: Path) -> None:
    """Refuse another ending before anything is worked out."""
    from trimwright.errors import BadInput, Problem

    if path.suffix.lower() != ".pdf":
        raise BadInput(Problem("--out", str(path), "does not end in .pdf.", "Give the file that ending."))
