"""The commands. Each reads, calls the stages, prints; libraries are imported where they are used, so help is quick."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, get_args

import typer

from trimwright.cli import after, at_the_bench, bench, ending, intake, ledger, looks, money, sequence, what_if
from trimwright.cli.asked import as_row, asked, end, planned
from trimwright.cli.book import app as book_app
from trimwright.cli.change import change, found
from trimwright.cli.colour import app as colour_app
from trimwright.cli.flatten import flatten
from trimwright.cli.log import app as log_app
from trimwright.cli.nest import nest
from trimwright.cli.options import AsJson, BookFile, Force, JobFile, Letter
from trimwright.cli.outline import outline
from trimwright.cli.surroundings import keep, today
from trimwright.cli.terminal import console, dumped, print_json, progress
from trimwright.cli.workbench import air, coats, torque
from trimwright.cli.wrap import wrap
from trimwright.cli.written import paper_size
from trimwright.facts.trade import Body

if TYPE_CHECKING:
    from trimwright.job.document import Job
    from trimwright.plan.plan import Plan
    from trimwright.plan.verdicts.stop_loss import Stops

app = typer.Typer(
    name="trimwright",
    help="The best cabin a fixed sum can buy: verdicts, packs and papers for an older car's worn cabin.",
    no_args_is_help=True,
    add_completion=False,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
)

app.add_typer(book_app, name="book")
app.add_typer(log_app, name="log")
log_app.command()(intake.intake)
log_app.command()(ledger.bag)
log_app.command()(ledger.fixing)
log_app.command()(ledger.tightened)
log_app.command("book-wait")(ledger.book_wait)
log_app.command()(at_the_bench.worked)
log_app.command()(at_the_bench.air)
log_app.command()(ending.check)
log_app.command()(ending.snag)
log_app.command("put-right")(ending.put_right)
log_app.command("tested")(ending.final_tests)
log_app.command("handed-over")(ending.handed_over)
log_app.command()(after.pair)
log_app.command()(after.disposed)
log_app.command("hand-over-book")(after.hand_over_book)
log_app.command()(after.visited)


@app.callback(invoke_without_command=True)
def root(version: Annotated[bool, typer.Option("--version", help="Print the version.")] = False) -> None:
    """Answer `--version`; everything else is a command."""
    if version:
        from trimwright import __version__

        print(f"trimwright {__version__}")
        raise typer.Exit


@app.command()
def new(
    out: Annotated[Path, typer.Argument(help="Where to write the new job.", metavar="JOB")],
    car: Annotated[str | None, typer.Option(help="The car in plain words.", metavar="TEXT")] = None,
    body: Annotated[Body | None, typer.Option(help="The body; it brings the parts.")] = None,
    year: Annotated[int | None, typer.Option(help="Model year.", metavar="YEAR")] = None,
    money: Annotated[str | None, typer.Option("--sum", help="The fixed sum of money.", metavar="MONEY")] = None,
    currency: Annotated[
        str | None, typer.Option(help="ISO 4217 code; EUR when nothing is said.", metavar="CODE")
    ] = None,
    us_units: Annotated[bool, typer.Option("--us-units", help="US customary units instead of metric.")] = False,
    force: Force = False,
    as_json: AsJson = False,
) -> None:
    """Start a job: the body's usual parts, to be surveyed.

    What is not given on the line is asked for.
    """
    from trimwright.errors import BadInput, Problem
    from trimwright.job.files import write_job

    keep(out, force)
    told = None not in (car, body, year, money)
    try:
        car = car or typer.prompt("The car in plain words", err=True)
        body = body or typer.prompt(f"Body ({', '.join(get_args(Body))})", err=True, value_proc=_body)
        year = year or typer.prompt("Model year", err=True, type=int)
        currency = currency or ("EUR" if told else typer.prompt("Currency (three letters)", default="EUR", err=True))
        currency = currency.upper()
        money = money or typer.prompt(f"The fixed sum ({currency})", err=True)
    except typer.Abort:
        what = "ended before every question was answered, and nothing is written."
        raise BadInput(Problem("new", "", what, "Answer them, or give --car, --body, --year and --sum.")) from None
    job = _begun(car=car, year=year, body=body, us_units=us_units, money=money, currency=currency)
    write_job(job, out)
    if as_json:
        print_json({"job": str(out), "parts": len(job.parts)})
    else:
        print(f"{out}: {len(job.parts)} parts to look over. Next: trimwright sheet {out} walk-round.xlsx")


@app.command()
def sheet(
    job_file: JobFile,
    sheet_file: Annotated[Path, typer.Argument(help="The survey sheet: .xlsx, or .csv.", metavar="SHEET")],
    bring_back: Annotated[bool, typer.Option("--read", help="Bring a filled-in sheet back into the job.")] = False,
    force: Force = False,
    as_json: AsJson = False,
) -> None:
    """Write the survey sheet; with --read, bring it back filled in."""
    from trimwright.facts import load
    from trimwright.job.files import read_job, write_job
    from trimwright.job.survey import read_sheet, write_sheet

    job = read_job(job_file)
    if not bring_back:
        keep(sheet_file, force)
        write_sheet(job, load(), sheet_file)
        if as_json:
            print_json({"sheet": str(sheet_file), "parts": len(job.parts)})
        else:
            print(f"{sheet_file}: {len(job.parts)} parts to fill in beside the car.")
            print(f"Next: trimwright sheet {job_file} {sheet_file} --read")
        return
    reading = read_sheet(sheet_file, job, load())
    write_job(reading.job, job_file)
    seen, parts = sum(part.finish_now is not None for part in reading.job.parts), len(reading.job.parts)
    if as_json:
        remarks = [as_row(each) for each in reading.remarks]
        print_json({"job": str(job_file), "parts": parts, "seen": seen, "remarks": remarks})
    else:
        for remark in reading.remarks:
            print(remark)
        print(f"{job_file}: {seen} of {parts} parts seen. Next: trimwright check {job_file}")


@app.command()
def check(job_file: JobFile, as_json: AsJson = False) -> None:
    """Look a job over: what is wrong, what deserves a second look."""
    from trimwright.facts import load
    from trimwright.job.check import checked
    from trimwright.job.files import read_job

    findings = checked(read_job(job_file), load())
    problems, remarks = findings.problems, findings.remarks
    if as_json:
        print_json({"problems": [as_row(each) for each in problems], "remarks": [as_row(each) for each in remarks]})
    else:
        for title, found in (("wrong", problems), ("worth a second look", remarks)):
            print(f"{len(found) or 'nothing'} {title}")
            for each in found:
                print(f"  {each}")
    if problems:
        raise typer.Exit(2)


@app.command()
def decide(
    job_file: JobFile,
    sum_: Annotated[
        str | None, typer.Option("--sum", help="Ask with another sum, in the job's currency.", metavar="MONEY")
    ] = None,
    sure: Annotated[
        float | None, typer.Option(help="How sure the job must end inside the sum: 0.5 to 0.995.", metavar="CHANCE")
    ] = None,
    hours: Annotated[float | None, typer.Option(help="Ask with other hours on hand.", metavar="HOURS")] = None,
    pin: Annotated[
        list[str] | None,
        typer.Option("--pin", help="Hold a part to a course or treatment; may be repeated.", metavar="PART=COURSE"),
    ] = None,
    book: BookFile = None,
    as_json: AsJson = False,
    mps: Annotated[
        Path | None, typer.Option(help="Write the first stage's model (minimise −points): .mps.", metavar="FILE")
    ] = None,
) -> None:
    """The verdict for every part: the best cabin for the sum."""
    from trimwright.cli import shapes, tables
    from trimwright.job.files import read_job

    job = asked(read_job(job_file), sum_=sum_, sure=sure, hours=hours, pins=pin or [])
    if mps is not None:
        _begin_mps(mps)
    plan = planned(job, book)
    if mps is not None:
        from trimwright.plan.verdicts import write_mps

        write_mps(plan.quantities, plan.verdicts.proof.z, mps)
    if as_json:
        print_json(shapes.decide(plan))
    else:
        tables.print_verdicts(console(), plan)
    end(plan)


@app.command()
def buy(
    job_file: JobFile,
    out: Annotated[Path | None, typer.Option(help="Write the list as .csv or .xlsx.", metavar="FILE")] = None,
    book: BookFile = None,
    as_json: AsJson = False,
) -> None:
    """What to buy by seller, with carriage, and what is left over."""
    from trimwright.cli import shapes, tables
    from trimwright.job.files import read_job

    plan = planned(read_job(job_file), book)
    if out is not None:
        from trimwright.plan.buying import export

        export(plan.buying, out)
    if as_json:
        print_json(shapes.buying(plan))
    else:
        tables.print_buying(console(), plan)
        if out is not None:
            print(f"\nwritten: {out}")
    end(plan)


@app.command()
def papers(
    job_file: JobFile,
    folder: Annotated[Path, typer.Argument(help="The folder to write them to.", metavar="FOLDER")] = Path("papers"),
    letter: Letter = False,
    stop_at: Annotated[
        bool, typer.Option("--stop-at", help="Work out where to stop with each mend; takes half a minute or more.")
    ] = False,
    hand_over: Annotated[bool, typer.Option("--hand-over", help="Print the hand-over book too.")] = False,
    photos: Annotated[
        Path | None, typer.Option(help="Where the photos of its pairs lie, by their names.", metavar="FOLDER")
    ] = None,
    book: BookFile = None,
    as_json: AsJson = False,
) -> None:
    """Quote, verdict sheet, buying list, work sheets, book, as PDF."""
    from trimwright.cli import tables
    from trimwright.job.files import read_job

    plan = planned(read_job(job_file), book)
    written = write_papers(plan, folder, letter=letter, stops=looks.stops_of(plan) if stop_at else None)
    if hand_over:
        written.append(after.write_book(plan, folder, letter=letter, photos=photos, book=book))
    if as_json:
        print_json({"papers": [str(path) for path in written]})
    else:
        for path in written:
            print(path)
        tables.print_short(console(), plan.verdicts)
    end(plan)


app.command()(money.stairs)
app.command()(money.worth)
app.command()(what_if.why)
app.command()(what_if.replay)
app.command()(looks.looks)
app.command()(looks.reserve)
app.command()(sequence.strip)
app.command()(sequence.rebuild)
app.command()(bench.bench)
app.command()(bench.today)
app.add_typer(air, name="air")
app.add_typer(coats, name="coats")
app.add_typer(colour_app, name="colour")
app.command()(torque)
app.command()(wrap)
app.command()(flatten)
app.command()(outline)
app.command()(nest)


app.command()(found)
app.command()(change)


@app.command()
def facts(
    table: Annotated[str | None, typer.Argument(help="A table, such as treatments.", show_default=False)] = None,
    entry: Annotated[str | None, typer.Argument(help="The id of one entry.", show_default=False)] = None,
    as_json: AsJson = False,
) -> None:
    """What the trade knows, with sources and how far to trust it."""
    from trimwright.cli.browse import show

    show(table, entry, as_json=as_json)


@app.command()
def schema() -> None:
    """The JSON Schema of a job file, for other programs."""
    from trimwright.job.document import Job

    print_json(Job.model_json_schema())


@app.command()
def demo(
    out: Annotated[Path, typer.Option(help="The folder to leave everything in.", metavar="FOLDER")] = Path("out/demo"),
    as_json: AsJson = False,
) -> None:
    """Decide a cabin of our own; leave job, plan and papers."""
    from trimwright.cli import shapes, tables
    from trimwright.demo import demo_job
    from trimwright.job.files import write_job

    out.mkdir(parents=True, exist_ok=True)
    job = demo_job()
    write_job(job, out / "job.json")
    plan = planned(job)
    answer = shapes.decide(plan)
    (out / "plan.json").write_text(dumped(answer), encoding="utf-8")
    written = write_papers(plan, out, letter=False)
    if as_json:
        print_json(answer)
    else:
        tables.print_verdicts(console(), plan)
        print(f"\nleft in {out}: job.json, plan.json, {', '.join(path.name for path in written)}")
    end(plan)


@app.command()
def serve(
    lan: Annotated[bool, typer.Option("--lan", help="Open to phones in this network, for people who log in.")] = False,
    port: Annotated[int, typer.Option(help="The port to serve on.", metavar="PORT", min=1024, max=65535)] = 8417,
) -> None:
    """The shop in the browser, kept in one folder of this machine.

    The folder is TRIMWRIGHT_DATA, or this person's usual place for data.
    """
    from trimwright.cli.serve import serve as run

    run(lan=lan, port=port)


# ---- shared by the commands ------------------------------------------------------------------------------------


def _begun(*, car: str, year: int, body: str, us_units: bool, money: str, currency: str) -> Job:
    """A new job; BadInput with everything that is wrong with what was typed."""
    from trimwright.errors import BadInput, Problem
    from trimwright.facts import load
    from trimwright.job.starting import started
    from trimwright.units import parse_money

    problems: list[Problem] = []
    amount = 0
    try:
        amount = parse_money(money, currency, "--sum")
    except BadInput as error:
        problems += [each for each in error.problems if each.where == "--sum"]
    try:
        job = started(
            load(),
            car={"text": car, "year": year, "body": body, "units": "US customary" if us_units else "metric"},
            money={"currency": currency, "sum": amount},
        )
    except BadInput as error:
        problems += error.problems
    if problems:
        raise BadInput(problems)
    return job


def _begin_mps(path: Path) -> None:
    """Refuse what the solver would pass over in silence: another ending, a place that cannot be written."""
    from trimwright.errors import BadInput, Problem

    if path.suffix.lower() != ".mps":
        raise BadInput(Problem("--mps", str(path), "does not end in .mps.", "Give the file that ending."))
    path.write_bytes(b"")


def write_papers(plan: Plan, folder: Path, *, letter: bool, stops: Stops | None = None) -> list[Path]:
    """All papers into `folder`, dated today, with what more and less would buy in the quote."""
    from trimwright.papers import write_papers as write

    staircase = None if plan.verdicts.short else money.staircase_of(plan)
    with progress("setting the papers"):
        return write(plan, folder, today(), paper_size(letter=letter), staircase, stops)


def _body(typed: str) -> str:
    """One of the bodies, however it is spaced or capitalised; typer asks again after a BadParameter."""
    body = typed.strip().lower().replace(" ", "-")
    if body not in get_args(Body):
        raise typer.BadParameter("choose one of those in brackets.")
    return body
