"""`trimwright bench` and `trimwright today`: when each thing is done, what holds the date, and what today is for."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from trimwright.cli.asked import end, known, planned
from trimwright.cli.options import AsJson, BookFile, JobFile, Letter, PaperFolder
from trimwright.cli.surroundings import now
from trimwright.cli.surroundings import today as this_day
from trimwright.cli.terminal import console, print_json, progress
from trimwright.cli.written import paper_size, print_written, write_pdfs

if TYPE_CHECKING:
    from collections.abc import Callable

    from trimwright.errors import Problem
    from trimwright.job.document import Job
    from trimwright.papers import BenchPaper
    from trimwright.plan.calendar.freeing import Freed
    from trimwright.plan.calendar.promise import Promise
    from trimwright.plan.calendar.tasks import Air, Bench, Calendar
    from trimwright.plan.plan import Plan

SECONDS = 15.0
TODAY_SECONDS = 5.0
SHARE = 10
"""Each change that might free the date is tried in this part of the seconds, in a second and a half at the most."""
MOST_SECONDS = 1.5

From = Annotated[str | None, typer.Option("--from", help="First day of work: 2026-03-02.", metavar="DATE")]
Temp = Annotated[float | None, typer.Option("--temp", help="Temperature of the shop [°C].", metavar="C")]
Humidity = Annotated[float | None, typer.Option("--rh", help="Relative humidity of its air [%].", metavar="%")]
Seconds = Annotated[
    float, typer.Option("--seconds", help="How long to look for an earlier hand-over.", min=0.1, max=3600)
]


def bench(
    job_file: JobFile,
    from_: From = None,
    temp: Temp = None,
    rh: Humidity = None,
    beside: Annotated[
        list[Path] | None,
        typer.Option("--beside", help="Another job over the same hands; may be repeated.", metavar="JOB"),
    ] = None,
    seconds: Seconds = SECONDS,
    ics: Annotated[
        Path | None, typer.Option("--ics", help="Write a calendar for the phone: .ics.", metavar="FILE")
    ] = None,
    out: PaperFolder = None,
    letter: Letter = False,
    book: BookFile = None,
    as_json: AsJson = False,
) -> None:
    """The calendar: when each thing is done, and the hand-over.

    It says what holds the date and what would free it, and which day can be promised.
    """
    from trimwright.cli import bench_tables

    asked = Asked(from_, temp, rh)
    laid = laid_out([job_file, *(beside or [])], asked, book, seconds)
    told = promised(laid)
    written = _papers("bench-calendar", laid, told, out, letter)
    if ics is not None:
        written.append(_phone(laid, ics))
    if as_json:
        print_json(bench_tables.as_plain(laid.calendar, told))
    else:
        freed = _freed(laid, seconds)
        bench_tables.print_bench(console(), laid, told, freed)
        print_written(written)
    end(laid.plan)


def today(
    job_file: JobFile,
    temp: Temp = None,
    rh: Humidity = None,
    seconds: Seconds = TODAY_SECONDS,
    out: PaperFolder = None,
    letter: Letter = False,
    book: BookFile = None,
    as_json: AsJson = False,
) -> None:
    """Today: on the bench, next window closing, fill-in work.

    On a day without work it is the next one with some.
    """
    from trimwright.cli import bench_tables
    from trimwright.plan.calendar.day_list import day_list, day_with_work

    laid = laid_out([job_file], Asked(None, temp, rh), book, seconds)
    listed = day_list(laid.calendar, day_with_work(laid.calendar, laid.calendar.bench.start))
    written = _papers("day-sheet", laid, None, out, letter)
    if as_json:
        print_json(bench_tables.day_as_plain(listed))
    else:
        bench_tables.print_day(console(), listed, laid.names)
        print_written(written)
    end(laid.plan)


# ---- what is asked ---------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Asked:
    """The options as they were typed."""

    from_: str | None
    temp: float | None
    rh: float | None


@dataclass(frozen=True)
class Laid:
    """A calendar and the plan it is of; with others beside it, every job's part has its id in front."""

    plan: Plan
    calendar: Calendar
    names: dict[str, str]
    """Of the parts, by the id they have in the calendar."""
    jobs: dict[str, str]
    """Names of the jobs by their ids, where there are several."""


def start_of(job: Job, asked: Asked) -> tuple[datetime, Air]:
    """The first instant and the shop's air; BadInput with everything that is wrong with hours, date and air."""
    from trimwright.errors import BadInput
    from trimwright.plan.calendar.shop_air import air_of
    from trimwright.plan.calendar.shop_hours import hours_of, starting
    from trimwright.plan.calendar.tasks import Air

    problems: list[Problem] = list(_wrong_air(asked))
    begun = any(event.kind in ("opened", "done", "worked") for event in job.events)
    start = None
    with _gathered(problems):
        wanted = _day(asked.from_)
        start = starting(job.time, hours_of(job.time), now(), wanted, begun=begun)
    if problems or start is None:
        raise BadInput(problems)
    read = air_of(job)
    return start, Air(
        read.temperature if asked.temp is None else asked.temp, read.humidity if asked.rh is None else asked.rh
    )


@contextmanager
def _gathered(problems: list[Problem]) -> Iterator[None]:
    """What is refused inside joins the other problems."""
    from trimwright.errors import BadInput

    try:
        yield
    except BadInput as error:
        problems += error.problems


def _day(typed: str | None) -> date | None:
    from trimwright.errors import BadInput, Problem

    try:
        return None if typed is None else date.fromisoformat(typed)
    except ValueError:
        raise BadInput(Problem("--from", typed or "", "is no date.", "Write it as 2026-03-02.")) from None


def _wrong_air(asked: Asked) -> Iterator[Problem]:
    from trimwright.errors import Problem

    if asked.rh is not None and not 1 <= asked.rh <= 100:
        yield Problem("--rh", f"{asked.rh:g}", "is no relative humidity.", "Read it off again: 1 to 100 %.")
    if asked.temp is not None and not -10 <= asked.temp <= 45:
        what = "is no temperature to work at."
        yield Problem("--temp", f"{asked.temp:g}", what, "Give it in °C, from -10 to 45.")


# ---- what is worked out ----------------------------------------------------------------------------------------------


def laid_out(job_files: list[Path], asked: Asked, book: Path | None, seconds: float) -> Laid:
    """The calendar of one job, or of several over the same hands, with progress on a terminal."""
    from trimwright.cli.told_at_once import warn_of_fuel
    from trimwright.errors import BadInput, Problem
    from trimwright.job.files import read_job
    from trimwright.plan.calendar.schedule import schedule
    from trimwright.plan.calendar.together import BETWEEN, together
    from trimwright.plan.plan import bench_of

    jobs = [read_job(each) for each in job_files]
    if len({job.id for job in jobs}) < len(jobs):
        raise BadInput(Problem("--beside", "", "names a job twice.", "Give each job once."))
    for job in jobs:
        warn_of_fuel(job)
    firsts = {job.id: start_of(known(job, book)[0], asked) for job in jobs}
    plans = {job.id: planned(job, book) for job in jobs}
    benches = {each: bench_of(plan, start=firsts[each][0], air=firsts[each][1]) for each, plan in plans.items()}
    first = jobs[0]
    single = len(jobs) == 1
    one: Bench = benches[first.id] if single else together(benches)
    with progress("laying out the bench") as told:
        calendar = schedule(one, seconds=seconds, progress=_telling(told))
    names = {
        part.id if single else f"{job.id}{BETWEEN}{part.id}": part.name if single else f"{job.name}: {part.name}"
        for job in jobs
        for part in job.parts
    }
    return Laid(plans[first.id], calendar, names, {} if single else {job.id: job.name for job in jobs})


def _telling(told: Callable[[str, float, float], None] | None) -> Callable[[Calendar], None] | None:
    """A line that says how good the calendar is by now."""
    if told is None:
        return None

    def better(calendar: Calendar) -> None:
        since = calendar.bench.start.timestamp()
        stage = f"laying out the bench, hand-over {calendar.end:%a %d %b %H:%M}"
        told(stage, calendar.end.timestamp() - since, calendar.bound.timestamp() - since)

    return better


def promised(laid: Laid) -> Promise:
    """The day for 8 in 10, by the hours factor's own spread."""
    from trimwright.plan.calendar.promise import promise

    terms = laid.plan.quantities.terms
    with progress("living it through"):
        return promise(laid.calendar, hours_spread=terms.hours_spread / terms.hours_factor)


def _freed(laid: Laid, seconds: float) -> tuple[Freed, ...]:
    """What would bring the hand-over forward, each solved again."""
    from trimwright.plan.calendar.freeing import freeing
    from trimwright.plan.calendar.holding import holding

    with progress("what would free the date") as told:
        return freeing(
            laid.calendar,
            holding(laid.calendar),
            {**laid.names, **{each.id: each.name for each in laid.plan.trade.treatments.values()}},
            seconds=min(MOST_SECONDS, seconds / SHARE),
            told=None if told is None else lambda name: told(f"what would free the date: {name}", 0, 10),
        )


def _papers(name: BenchPaper, laid: Laid, told: Promise | None, out: Path | None, letter: bool) -> list[Path]:
    from trimwright.papers import bench_pdf

    paper = paper_size(letter=letter)
    return write_pdfs(
        out, {name: lambda: bench_pdf(name, laid.plan, laid.calendar, laid.names, this_day(), paper, promise=told)}
    )


def _phone(laid: Laid, path: Path) -> Path:
    """The calendar for the phone; BadInput where the file has another ending."""
    from trimwright.papers.ical import calendar_file

    path.write_bytes(calendar_file(laid.calendar, laid.plan.job.id, laid.plan.job.name, laid.names, now()))
    return path
