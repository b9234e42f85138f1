"""`trimwright wrap`: a wheel wrap from its measures, with true-size sheets, drawings and the lacing card."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from trimwright.cli.options import AsJson, BookFile, Force, Letter
from trimwright.cli.pieces import DxfFile, Sheets, SvgFile, write_drawings, write_sheets
from trimwright.cli.surroundings import keep, today
from trimwright.cli.terminal import console, print_json
from trimwright.cli.written import paper_size, print_written, write_pdfs

if TYPE_CHECKING:
    from trimwright.facts.trade import Trade
    from trimwright.job.document import Job, Part
    from trimwright.job.wheel import Wheel
    from trimwright.plan.wrapping.found import Found


def wrap(
    job: Annotated[
        Path | None,
        typer.Option("--job", help="Fill in what a job's wheel was measured to; with --part.", metavar="JOB"),
    ] = None,
    part: Annotated[str | None, typer.Option("--part", help="The wheel's part of that job.", metavar="PART")] = None,
    outside: Annotated[
        str | None, typer.Option(help="The wheel over all. Lengths are mm, or 14.5 in.", metavar="MM")
    ] = None,
    grip: Annotated[
        list[str] | None,
        typer.Option(
            help="The tape round the bare grip, once or at stations: 94, or 60=98 (degrees from 12 o'clock).",
            metavar="[AT=]MM",
        ),
    ] = None,
    thumb: Annotated[
        list[str] | None, typer.Option(help="A thumb rest by its middle and the grip there: 70=106.", metavar="AT=MM")
    ] = None,
    over_leather: Annotated[str | None, typer.Option(help="Measured over old leather so thick.", metavar="MM")] = None,
    oval: Annotated[
        str | None, typer.Option(help="The section towards the hub over its width; 1 is round.", metavar="RATIO")
    ] = None,
    spoke: Annotated[
        list[str] | None,
        typer.Option(help="A spoke: its middle, width along the rim, thickness: 90=32x18.", metavar="AT=WIDExTHICK"),
    ] = None,
    leather: Annotated[str | None, typer.Option(help="The new leather's thickness; 1.2.", metavar="MM")] = None,
    strip_across: Annotated[
        str | None, typer.Option(help="What 100 mm on a test strip read, pulled, the way round the grip.", metavar="MM")
    ] = None,
    strip_along: Annotated[str | None, typer.Option(help="The same, the way along the rim.", metavar="MM")] = None,
    gap: Annotated[str | None, typer.Option(help="Left between the laced edges; 2.", metavar="MM")] = None,
    margin: Annotated[str | None, typer.Option(help="Hole to edge; 3.5.", metavar="MM")] = None,
    pitch: Annotated[str | None, typer.Option(help="Hole to hole on the wheel, about; 5.", metavar="MM")] = None,
    lacing: Annotated[
        str | None, typer.Option(help="ladder, spiral, v, crossed or herring-bone; v.", metavar="LACING")
    ] = None,
    pieces: Annotated[
        int | None, typer.Option(help="So many pieces, joined under spokes; one a spoke.", metavar="COUNT")
    ] = None,
    join: Annotated[list[str] | None, typer.Option(help="A cross seam; may be repeated.", metavar="AT")] = None,
    halves: Annotated[
        bool | None, typer.Option("--halves/--strip", help="A seam on the outer line as well; or one strip.")
    ] = None,
    fit: Annotated[
        str | None,
        typer.Option(help="Length of the strip: even strain, edges without gathering, leather's limit.", metavar="FIT"),
    ] = None,
    tuck: Annotated[str | None, typer.Option(help="Leather tucked under spokes; 0.", metavar="MM")] = None,
    arm: Annotated[str | None, typer.Option(help="Thread you draw through with ease; 1500.", metavar="MM")] = None,
    sheets: Sheets = None,
    letter: Letter = False,
    svg: SvgFile = None,
    dxf: DxfFile = None,
    note: Annotated[
        bool, typer.Option("--note", help="Keep the measures in the job; the plan then uses them.")
    ] = False,
    force: Force = False,
    working: Annotated[bool, typer.Option("--working", help="Show the working of every figure.")] = False,
    book: BookFile = None,
    as_json: AsJson = False,
) -> None:
    """A wheel wrap from tape measures: pieces, holes, lacing, thread."""
    from trimwright.cli import wrap_tables
    from trimwright.plan.wrapping.found import worked_out
    from trimwright.plan.wrapping.reading import wheel_of

    said = {
        "outside": outside, "grips": grip, "thumbs": thumb, "over_leather": over_leather, "oval": oval,
        "spokes": spoke, "leather": leather, "strip_across": strip_across, "strip_along": strip_along, "gap": gap,
        "margin": margin, "pitch": pitch, "lacing": lacing, "joins": join,
        "pieces": None if pieces is None else str(pieces),
        "halves": None if halves is None else "yes" if halves else "no", "fit": fit, "tuck": tuck, "arm": arm,
    }  # fmt: skip
    typed = {name: [told] if isinstance(told, str) else told for name, told in said.items() if told}
    for path in (svg, dxf):
        if path is not None:
            keep(path, force)
    the_job, the_part, trade = _asked(job, part, book, note)
    wheel = wheel_of(typed, the_part.wheel if the_part else None, called=_option)
    found = worked_out(wheel, trade, the_job)
    written = [
        *write_sheets(found.title, found.wrap.pieces, sheets, letter=letter, cautions=found.cautions("cut")),
        *_card(found, sheets, letter),
        *write_drawings(found.wrap.pieces, svg, dxf),
    ]
    if note and job is not None and the_job is not None and the_part is not None:
        _note(job, the_job, the_part, wheel)
        written.append(job)
    if as_json:
        print_json(wrap_tables.as_plain(found, written))
    else:
        wrap_tables.print_wrap(console(), found, working=working)
        print_written(written)


# ---- what was asked --------------------------------------------------------------------------------------------------


def _asked(
    job_file: Path | None, part_id: str | None, book: Path | None, note: bool
) -> tuple[Job | None, Part | None, Trade]:
    """The job and its wheel, where they are named, and what is known; BadInput with everything that is wrong."""
    from trimwright.cli.asked import known
    from trimwright.errors import BadInput, Problem
    from trimwright.facts import load
    from trimwright.job.files import read_job
    from trimwright.job.refusals import near, shortened
    from trimwright.job.wheel import RIMS

    if job_file is None:
        problems = [
            Problem(name, "", "needs a job.", "Say --job and --part, or leave it out.")
            for name, said in (("--part", part_id), ("--book", book), ("--note", note))
            if said
        ]
        if problems:
            raise BadInput(problems)
        return None, None, load()
    job, trade = known(read_job(job_file), book)
    wheels = {each.id: each for each in job.parts if each.material in RIMS}
    if part_id is None and len(wheels) == 1:
        return job, next(iter(wheels.values())), trade
    if part_id not in wheels:
        what = "is no wheel rim of this job." if part_id else "is not said."
        way_out = near(part_id or "", wheels) or f"Wheel rims: {', '.join(wheels) or 'none'}."
        raise BadInput(Problem("--part", shortened(part_id or ""), what, way_out))
    return job, wheels[part_id], trade


def _option(line: str) -> str:
    """The option that a line of the question is typed in."""
    return f"--{line.replace('_', '-').removesuffix('s')}" if line != "pieces" else "--pieces"


# ---- what is written -------------------------------------------------------------------------------------------------


def _card(found: Found, folder: Path | None, letter: bool) -> list[Path]:
    """The lacing card, where a folder is given."""
    from trimwright.papers.lacing_card import lacing_card_pdf

    paper, cautions = paper_size(letter=letter), found.cautions("lace")
    made = partial(
        lacing_card_pdf, found.title, found.wrap, found.lacing, today(), paper, minutes=found.hours, cautions=cautions
    )
    return write_pdfs(folder, {"lacing-card": made})


def _note(path: Path, job: Job, part: Part, wheel: Wheel) -> None:
    from trimwright.job.edits import SetField, apply
    from trimwright.job.files import write_job

    write_job(apply(job, SetField(path=("parts", part.id, "wheel"), value=wheel.model_dump(mode="json"))), path)
