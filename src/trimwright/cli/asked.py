"""The question as it stands on the command line: the job in a file, changed by the options, and its plan."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

import typer

from trimwright.cli.surroundings import today
from trimwright.cli.terminal import progress

if TYPE_CHECKING:
    from pathlib import Path

    from trimwright.errors import Problem
    from trimwright.facts.trade import Trade
    from trimwright.job.document import Job
    from trimwright.job.edits import SetField
    from trimwright.plan.plan import Plan

SHORT = 3
"""Exit code when the sum or the hours cannot pay what must be paid."""
_OPTIONS = {"money › sum": "--sum", "money › sure": "--sure", "time › hours": "--hours"}
"""Fields of the job by the option that sets them."""


def asked(job: Job, *, sum_: str | None, sure: float | None, hours: float | None, pins: Sequence[str]) -> Job:
    """The job with another sum, sureness, hours and pins; BadInput with everything that is wrong with them."""
    from trimwright.errors import BadInput, Problem
    from trimwright.job.edits import SetField, apply

    problems: list[Problem] = []
    for change in _changes(job, sum_, sure, hours, pins):
        if isinstance(change, Problem):
            problems.append(change)
            continue
        try:
            job = apply(job, SetField(path=change.path, value=change.value))
        except BadInput as error:
            problems += [replace(each, where=_OPTIONS.get(each.where, "--pin")) for each in error.problems]
    if problems:
        raise BadInput(problems)
    return job


def _changes(
    job: Job, sum_: str | None, sure: float | None, hours: float | None, pins: Sequence[str]
) -> Iterator[SetField | Problem]:
    """What each option changes, or what is wrong with it."""
    from trimwright.errors import BadInput, Problem
    from trimwright.job.edits import SetField
    from trimwright.job.refusals import near, shortened
    from trimwright.units import parse_money

    if sum_ is not None:
        try:
            yield SetField(path=("money", "sum"), value=parse_money(sum_, job.money.currency, "--sum"))
        except BadInput as error:
            yield from error.problems
    if sure is not None:
        yield SetField(path=("money", "sure"), value=sure)
    if hours is not None:
        yield SetField(path=("time", "hours"), value=hours)
    pinned: dict[str, str] = {}
    for pin in pins:
        part, equals, course = pin.partition("=")
        if not equals or not course:
            yield Problem("--pin", shortened(pin), "is no pin.", "Write PART=COURSE.")
        elif part not in {each.id for each in job.parts}:
            ids = [each.id for each in job.parts]
            way_out = near(part, ids) or "`trimwright decide JOB --json` lists the parts by id."
            yield Problem("--pin", shortened(part), "is no part of this job.", way_out)
        elif pinned.setdefault(part, course) != course:
            yield Problem("--pin", part, f"is pinned to {pinned[part]} and to {course}.", "Keep one of the two.")
        else:
            yield SetField(path=("parts", part, "pin"), value=course)


def known(job: Job, book_file: Path | None) -> tuple[Job, Trade]:
    """The job in its shop, and all that is known for it: the trade's figures, the shop's own before them.

    BadInput when the job does not fit what is known.
    """
    from trimwright.errors import BadInput
    from trimwright.facts import load
    from trimwright.job.check import checked

    trade = load()
    if book_file is not None:
        from trimwright.book.applied import apply_book, equipped
        from trimwright.book.files import read_book

        book = read_book(book_file)
        job, trade = equipped(job, book), apply_book(trade, book, job.money.currency, today().date())
    findings = checked(job, trade)
    if findings.problems:
        raise BadInput(findings.problems)
    return job, trade


def planned(job: Job, book_file: Path | None = None) -> Plan:
    """The job checked against what is known and planned, with progress on a terminal."""
    from trimwright.plan.plan import make_plan

    with progress("looking over the job") as told:
        return make_plan(*known(job, book_file), progress=told)


def end(plan: Plan) -> None:
    """Leave with the exit code of a short sum when it is one."""
    if plan.verdicts.status == "short":
        raise typer.Exit(SHORT)


def as_row(problem: Problem) -> Mapping[str, str]:
    """A problem as plain data."""
    return {"where": problem.where, "value": problem.value, "what": problem.what, "way_out": problem.way_out}
