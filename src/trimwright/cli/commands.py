"""The commands. Each reads, calls the stages, prints; libraries are imported where they are used, so help is quick."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

if TYPE_CHECKING:
    from rich.console import Console

    from trimwright.job.document import Job
    from trimwright.plan.plan import Plan
    from trimwright.plan.verdicts.program import Progress

SHORT = 3
"""Exit code when the sum or the hours cannot pay what must be paid."""

app = typer.Typer(
    name="trimwright",
    help="The best cabin a fixed sum can buy: verdicts, packs and papers for an older car's worn cabin.",
    no_args_is_help=True,
    add_completion=False,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
)

JobFile = Annotated[Path, typer.Argument(help="The job file (JSON).", metavar="JOB", show_default=False)]
AsJson = Annotated[bool, typer.Option("--json", help="Print one JSON object instead of tables.")]
Sum = Annotated[str | None, typer.Option("--sum", help="Ask with another sum, in the job's currency.", metavar="MONEY")]
Sure = Annotated[
    float | None, typer.Option(help="How sure the job must end inside the sum, such as 0.9.", min=0.5, max=0.995)
]
Hours = Annotated[float | None, typer.Option(help="Ask with other hours on hand.", min=0)]
Pins = Annotated[
    list[str] | None, typer.Option("--pin", help="Hold a part to a course or treatment; may be repeated.", metavar="PART=COURSE")
]


@app.callback(invoke_without_command=True)
def root(version: Annotated[bool, typer.Option("--version", help="Print the version.")] = False) -> None:
    if version:
        from trimwright import __version__

        print(f"trimwright {__version__}")
        raise typer.Exit


@app.command()
def new(
    out: Annotated[Path, typer.Argument(help="Where to write the new job.", metavar="JOB")],
    car: Annotated[str, typer.Option(prompt="The car in plain words", help="The car in plain words.")],
    body: Annotated[
        str,
        typer.Option(
            prompt="Body (two-door, four-door, open, estate, van, pickup)",
            help="two-door, four-door, open, estate, van or pickup.",
        ),
    ],
    year: Annotated[int, typer.Option(prompt="Model year", help="Model year.")],
    money: Annotated[str, typer.Option("--sum", prompt="The fixed sum", help="The fixed sum of money.", metavar="MONEY")],
    currency: Annotated[str, typer.Option(prompt="Currency (three letters)", help="ISO 4217 code, such as EUR.")] = "EUR",
    us_units: Annotated[bool, typer.Option("--us-units", help="US customary units instead of metric.")] = False,
    force: Annotated[bool, typer.Option("--force", help="Write over a job that is there.")] = False,
) -> None:
    """Start a job: the body's usual parts, to be surveyed."""
    from trimwright.errors import BadInput, Problem
    from trimwright.facts import load
    from trimwright.job.files import write_job
    from trimwright.job.starting import started
    from trimwright.units import parse_money

    if out.exists() and not force:
        raise BadInput(Problem(str(out), "", "is already there.", "Choose another name, or say --force."))
    job = started(
        load(),
        car={"text": car, "year": year, "body": body, "units": "US customary" if us_units else "metric"},
        money={"currency": currency, "sum": parse_money(money, currency, "--sum")},
    )
    write_job(job, out)
    print(f"{out}: {len(job.parts)} parts to look over. Next: trimwright sheet {out} walk-round.xlsx")


@app.command()
def check(job_file: JobFile, as_json: AsJson = False) -> None:
    """Look a job over: what is wrong, and what is worth a second look."""
    from trimwright.facts import load
    from trimwright.job.check import checked

    findings = checked(read(job_file), load())
    if as_json:
        print_json({"problems": [as_row(each) for each in findings.problems], "remarks": [as_row(each) for each in findings.remarks]})
    else:
        for title, found in (("wrong", findings.problems), ("worth a second look", findings.remarks)):
            print(f"{len(found)} {title}")
            for each in found:
                print(f"  {each}")
    if findings.problems:
        raise typer.Exit(2)


@app.command()
def sheet(
    job_file: JobFile,
    sheet_file: Annotated[Path, typer.Argument(help="The survey sheet: .xlsx, or .csv.", metavar="SHEET")],
    bring_back: Annotated[bool, typer.Option("--read", help="Bring a filled-in sheet back into the job.")] = False,
) -> None:
    """Write the survey sheet to fill in beside the car, or read it back with --read."""
    from trimwright.facts import load
    from trimwright.job.files import write_job
    from trimwright.job.survey import read_sheet, write_sheet

    job = read(job_file)
    if not bring_back:
        write_sheet(job, load(), sheet_file)
        print(f"{sheet_file}: {len(job.parts)} parts. Bring it back with: trimwright sheet {job_file} {sheet_file} --read")
        return
    reading = read_sheet(sheet_file, job, load())
    surveyed = reading.job
    for remark in reading.remarks:
        print(remark)
    write_job(surveyed, job_file)
    seen = sum(part.finish_now is not None for part in surveyed.parts)
    print(f"{job_file}: {seen} of {len(surveyed.parts)} parts seen. Next: trimwright check {job_file}")


@app.command()
def decide(
    job_file: JobFile,
    sum_: Sum = None,
    sure: Sure = None,
    hours: Hours = None,
    pin: Pins = None,
    as_json: AsJson = False,
    mps: Annotated[
        Path | None, typer.Option(help="Write the first stage's model (minimise −points) as an MPS file.", metavar="FILE")
    ] = None,
) -> None:
    """The verdict for every part: the best cabin the sum can buy, surely inside it."""
    from trimwright.cli import shapes

    plan = planned(asked(read(job_file), sum_, sure, hours, pin or []))
    if mps is not None:
        from trimwright.plan.verdicts import write_mps

        write_mps(plan.quantities, plan.verdicts.proof.z, mps)
    if as_json:
        print_json(shapes.decide(plan))
    else:
        from trimwright.cli import tables

        tables.print_verdicts(console(), plan)
    if plan.verdicts.status == "short":
        raise typer.Exit(SHORT)


@app.command()
def buy(
    job_file: JobFile,
    out: Annotated[Path | None, typer.Option(help="Write the list as .csv or .xlsx.", metavar="FILE")] = None,
    as_json: AsJson = False,
) -> None:
    """What to buy: packs by supplier with carriage, what comes from stock, what will be left over."""
    from trimwright.cli import shapes, tables

    plan = planned(read(job_file))
    if out is not None:
        from trimwright.plan.buying import export

        export(plan.buying, out)
    if as_json:
        print_json(shapes.buying(plan))
    else:
        tables.print_buying(console(), plan)
        if out is not None:
            print(f"written: {out}")
    if plan.verdicts.status == "short":
        raise typer.Exit(SHORT)


@app.command()
def papers(
    job_file: JobFile,
    folder: Annotated[Path, typer.Argument(help="The folder to write them to.", metavar="FOLDER")] = Path("papers"),
    letter: Annotated[bool, typer.Option("--letter", help="US Letter instead of A4.")] = False,
    as_json: AsJson = False,
) -> None:
    """The owner's quote, the verdict sheet, the buying list and a work sheet a part, as PDF."""
    plan = planned(read(job_file))
    written = write_papers(plan, folder, letter=letter)
    if as_json:
        print_json({"papers": [str(path) for path in written]})
    else:
        for path in written:
            print(path)
    if plan.verdicts.status == "short":
        raise typer.Exit(SHORT)


@app.command()
def facts(
    table: Annotated[
        str | None, typer.Argument(help="parts, faults, treatments, materials, … (none: what tables there are).")
    ] = None,
    entry: Annotated[str | None, typer.Argument(help="One entry by its id, whole.")] = None,
    as_json: AsJson = False,
) -> None:
    """Browse what the trade knows, each row with its source and how far it can be trusted."""
    from trimwright.cli import browse

    browse.show(table, entry, as_json=as_json)


@app.command()
def schema() -> None:
    """The JSON Schema of a job."""
    from trimwright.job.document import Job

    print_json(Job.model_json_schema())


@app.command()
def demo(
    out: Annotated[Path, typer.Option(help="The folder to leave everything in.", metavar="FOLDER")] = Path("out/demo"),
    as_json: AsJson = False,
) -> None:
    """Decide a cabin of our own and leave the job, the plan and all papers in a folder."""
    from trimwright.cli import shapes, tables
    from trimwright.demo import demo_job
    from trimwright.job.files import write_job

    out.mkdir(parents=True, exist_ok=True)
    job = demo_job()
    write_job(job, out / "job.json")
    plan = planned(job)
    (out / "plan.json").write_text(dumped(shapes.decide(plan)), encoding="utf-8")
    written = write_papers(plan, out, letter=False)
    if as_json:
        print_json(shapes.decide(plan))
        return
    tables.print_verdicts(console(), plan)
    print(f"\nleft in {out}: job.json, plan.json, {', '.join(path.name for path in written)}")


# ---- shared by the commands ------------------------------------------------------------------------------------


def read(job_file: Path) -> Job:
    """The job in a file; BadInput when it is not one."""
    from trimwright.job.files import read_job

    return read_job(job_file)


def asked(job: Job, sum_: str | None, sure: float | None, hours: float | None, pins: list[str]) -> Job:
    """The job as asked on the command line: another sum, sureness, hours, pins."""
    from trimwright.errors import BadInput, Problem
    from trimwright.job.edits import SetField, apply
    from trimwright.units import parse_money

    changes: list[tuple[tuple[str | int, ...], Any]] = []
    if sum_ is not None:
        changes.append((("money", "sum"), parse_money(sum_, job.money.currency, "--sum")))
    if sure is not None:
        changes.append((("money", "sure"), sure))
    if hours is not None:
        changes.append((("time", "hours"), hours))
    for pin in pins:
        part, equals, course = pin.partition("=")
        if not equals or not course:
            raise BadInput(Problem("--pin", pin, "is no pin.", "Write PART=COURSE."))
        if part not in {each.id for each in job.parts}:
            from trimwright.job.refusals import near

            raise BadInput(Problem("--pin", part, "is no part of this job.", near(part, [each.id for each in job.parts])))
        changes.append((("parts", part, "pin"), course))
    for path, value in changes:
        job = apply(job, SetField(path=path, value=value))
    return job


def planned(job: Job) -> Plan:
    """The job checked against the facts and planned, with progress on a terminal."""
    from trimwright.errors import BadInput
    from trimwright.facts import load
    from trimwright.job.check import checked
    from trimwright.plan.plan import make_plan

    trade = load()
    findings = checked(job, trade)
    if findings.problems:
        raise BadInput(findings.problems)
    with progress() as told:
        return make_plan(job, trade, progress=told)


@contextmanager
def progress() -> Iterator[Progress | None]:
    """A line on the terminal that says what is being worked out and how near the proof is; nothing elsewhere."""
    if not sys.stderr.isatty():
        yield None
        return
    from rich.console import Console

    with Console(stderr=True).status("looking over the job …") as status:

        def told(stage: str, best: float, bound: float) -> None:
            near = abs(best - bound) / max(1.0, abs(best))
            status.update(f"{stage} …" + (f" within {near:.1%} of proven" if near < 1 else ""))

        yield told


def write_papers(plan: Plan, folder: Path, *, letter: bool) -> list[Path]:
    """All papers into `folder`, dated now."""
    from datetime import datetime

    from trimwright.papers import write_papers as write

    return write(plan, folder, made_at=datetime.now().astimezone(), paper="us-letter" if letter else "a4")


def console() -> Console:
    """The terminal; in a pipe it is as wide as the tables need."""
    from rich.console import Console

    return Console(width=None if sys.stdout.isatty() else 118, highlight=False, soft_wrap=False)


def as_row(problem: Any) -> dict[str, str]:
    """A problem as plain data."""
    return {"where": problem.where, "value": problem.value, "what": problem.what, "way_out": problem.way_out}


def dumped(value: Any) -> str:
    """JSON as it is printed and written."""
    return json.dumps(value, ensure_ascii=False, indent=2) + "\n"


def print_json(value: Any) -> None:
    sys.stdout.write(dumped(value))
