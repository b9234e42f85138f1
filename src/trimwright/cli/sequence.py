"""`trimwright strip` and `trimwright rebuild`: the way in and the way back, with their holds, bags and torques."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from trimwright.cli.asked import end, planned
from trimwright.cli.options import AsJson, BookFile, JobFile, Letter, PaperFolder
from trimwright.cli.surroundings import now, today
from trimwright.cli.terminal import console, print_json
from trimwright.cli.written import paper_size, print_written, write_pdfs

if TYPE_CHECKING:
    from collections.abc import Iterable

    from trimwright.papers import SequencePaper
    from trimwright.plan.plan import Plan
    from trimwright.plan.sequence import Sequence
    from trimwright.plan.sequence.holds import Hold

First = Annotated[
    list[str] | None,
    typer.Option("--first", help="A step wanted early, as far as access lets it; may be repeated.", metavar="STEP"),
]


def strip(
    job_file: JobFile,
    first: First = None,
    out: PaperFolder = None,
    letter: Letter = False,
    book: BookFile = None,
    as_json: AsJson = False,
) -> None:
    """The least strip-down that the verdicts need, in order.

    The papers are the strip-down sheet and the bag labels: A4 sheets of 3 × 7 labels of 63.5 × 38.1 mm, or US Letter
    sheets of 3 × 10 of 2⅝ × 1 in, printed at full size.
    """
    from trimwright.cli import sequence_shapes, sequence_tables
    from trimwright.papers import WAY_IN

    plan, sequence = arranged(job_file, book, first or [])
    written = _write(WAY_IN, plan, sequence, out, letter)
    if as_json:
        print_json(sequence_shapes.strip(plan, sequence, written))
    else:
        sequence_tables.print_strip(console(), plan, sequence)
        print_written(written)
    end(plan)


def rebuild(
    job_file: JobFile,
    first: First = None,
    out: PaperFolder = None,
    letter: Letter = False,
    book: BookFile = None,
    as_json: AsJson = False,
) -> None:
    """The way back: holds, cures, bags, torques, and what is open.

    The papers are the rebuild and torque sheet and the test sheet.
    """
    from trimwright.cli import sequence_shapes, sequence_tables
    from trimwright.papers import WAY_BACK

    plan, sequence = arranged(job_file, book, first or [])
    written = _write(WAY_BACK, plan, sequence, out, letter)
    if as_json:
        print_json(sequence_shapes.rebuild(plan, sequence, open_ends_of(plan, sequence), written))
    else:
        sequence_tables.print_rebuild(console(), plan, sequence, open_ends_of(plan, sequence))
        print_written(written)
    end(plan)


def arranged(job_file: Path, book: Path | None, first: list[str]) -> tuple[Plan, Sequence]:
    """The plan and its sequence; BadInput with every step wanted early that the cabin has not."""
    from trimwright.cli.told_at_once import warn_of_fuel
    from trimwright.errors import BadInput, Problem
    from trimwright.facts import load
    from trimwright.job.check_events import steps_known
    from trimwright.job.files import read_job
    from trimwright.job.refusals import near, shortened
    from trimwright.plan.sequence import arrange

    job = read_job(job_file)
    known = dict.fromkeys(steps_known(job, load()))
    problems = [
        Problem("--first", shortened(each), "is no strip-down step of this cabin.", near(each, known))
        for each in first
        if each not in known
    ]
    if problems:
        raise BadInput(problems)
    warn_of_fuel(job)
    plan = planned(job, book)
    return plan, arrange(plan.job, plan.trade, plan.quantities, plan.verdicts, first=tuple(first))


def _write(
    papers: Iterable[SequencePaper], plan: Plan, sequence: Sequence, out: Path | None, letter: bool
) -> list[Path]:
    from trimwright.papers import sequence_pdf

    paper = paper_size(letter=letter)
    return write_pdfs(out, {each: partial(sequence_pdf, each, plan, sequence, today(), paper) for each in papers})


def open_ends_of(plan: Plan, sequence: Sequence) -> tuple[Hold, ...]:
    """All that keeps the job from being closed, now."""
    from trimwright.plan.sequence.closing import must_dos, open_ends

    musts = must_dos(plan.job, plan.trade, plan.verdicts)
    return open_ends(sequence, musts, plan.job, plan.trade, now())
