"""`trimwright air`, `coats` and `torque`: the workbench's questions, a command made from each question's own lines."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from inspect import Parameter, Signature
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from trimwright.cli.options import AsJson, BookFile
from trimwright.craft.workbench import QUESTIONS
from trimwright.craft.workbench import ask as asked_there

if TYPE_CHECKING:
    from rich.console import Console

    from trimwright.craft.answer import Answer
    from trimwright.craft.asking import Ask
    from trimwright.plan.filling import Filled

_TYPED = "typed_"
"""Before the name of a line, so that a line may be called as Python would not let it."""

DRAWN = "air tin"
"""The question whose answer has a picture."""

JobOption = Annotated[
    Path | None, typer.Option("--job", help="Fill in what a job's task knows; with --part.", metavar="JOB")
]
PartOption = Annotated[
    str | None, typer.Option("--part", help="The part of that job; for a bolt, a step too.", metavar="PART")
]
Working = Annotated[bool, typer.Option("--working", help="Show the working of every figure, with its source.")]
Picture = Annotated[
    Path | None,
    typer.Option("--picture", help="Write the course of it over time as a picture: .svg.", metavar="FILE"),
]


def command_of(question_id: str, told: str) -> Callable[..., None]:
    """A command that asks one question; `told` is its help. Its options are the question's lines."""
    question = QUESTIONS[question_id]

    def command(**given: Any) -> None:
        typed = {name.removeprefix(_TYPED): text for name, text in given.items() if name.startswith(_TYPED) and text}
        filled = filled_for(question.id, given["job"], given["part"], given["book"])
        lines = {**(filled.typed if filled else {}), **typed}
        answer = asked_there(question.id, lines)
        if given.get("picture") is not None:
            _draw(answer, given["picture"])
        if given["as_json"]:
            from trimwright.cli.terminal import print_json

            print_json(plain_answer(question.id, lines, filled, answer))
        else:
            print_answer(answer, filled, working=given["working"])

    shared = {"job": JobOption, "part": PartOption, "book": BookFile}
    if question_id == DRAWN:
        shared["picture"] = Picture
    options: list[tuple[str, Any, bool | None]] = [
        *((f"{_TYPED}{line.name}", _option(line), None) for line in question.asks),
        *((name, kind, None) for name, kind in shared.items()),
        ("working", Working, False),
        ("as_json", AsJson, False),
    ]
    command.__doc__ = told
    command.__name__ = question.id.rpartition(" ")[2]
    command.__signature__ = Signature([  # type: ignore[attr-defined]
        Parameter(name, Parameter.KEYWORD_ONLY, annotation=kind, default=usual) for name, kind, usual in options
    ])  # fmt: skip
    command.__annotations__ = {name: kind for name, kind, _ in options}
    return command


def _option(line: Ask) -> Any:
    """The option of one line of a question."""
    choices = ", ".join(line.choices)
    told = f"{line.label}: {choices}." if choices else f"{line.label}, such as {line.example}."
    told = told[0].upper() + told[1:]
    return Annotated[str | None, typer.Option(f"--{line.name}", help=told, metavar="TEXT")]


def filled_for(question: str, job_file: Path | None, part: str | None, book: Path | None) -> Filled | None:
    """What the job's task knows of the question's lines; nothing where no job was named."""
    from trimwright.errors import BadInput, Problem

    if (job_file is None) != (part is None):
        missing = "--part" if part is None else "--job"
        raise BadInput(Problem(missing, "", "is missing.", "A job and one of its parts go together."))
    if job_file is None or part is None:
        return None
    from trimwright.cli.asked import planned
    from trimwright.job.files import read_job
    from trimwright.plan.filling import filled

    plan = planned(read_job(job_file), book)
    return filled(question, part, job=plan.job, trade=plan.trade, quantities=plan.quantities, verdicts=plan.verdicts)


def _draw(answer: Answer, path: Path) -> None:
    from trimwright.charts.fumes import fumes_chart
    from trimwright.craft.vapour import Fumes

    if isinstance(answer.engine, Fumes):
        path.write_text(fumes_chart(answer.engine, style="print"), encoding="utf-8")


# ---- what is printed -------------------------------------------------------------------------------------------------


def plain_answer(question: str, lines: Mapping[str, str], filled: Filled | None, answer: Answer) -> Mapping[str, Any]:
    """The answer as it is printed with --json."""
    return {
        "question": question,
        "task": filled.task if filled else None,
        "typed": dict(lines),
        **answer.plain(),
        "cautions": _cautions(answer),
    }


def _cautions(answer: Answer) -> list[str]:
    from trimwright.facts import load

    known = load().cautions
    return [known[each].text for each in answer.cautions]


def print_answer(answer: Answer, filled: Filled | None, *, working: bool) -> None:
    """The cautions, the answer in a line, its figures, limits and steps, and what should be known with it."""
    from rich.text import Text

    from trimwright.cli.tables import plain_table
    from trimwright.cli.terminal import console

    out = console()
    for each in _cautions(answer):
        out.print(Text(f"! {each}", style="yellow"))
    if filled is not None:
        told = ", ".join(f"{name} {text}" for name, text in filled.typed.items())
        out.print(Text(f"{filled.task} ({told})", style="dim"))
    out.print(Text(answer.told, style="bold red" if answer.refused else "bold"))
    if answer.limits:
        out.print()
        rows = ((each.name, "" if each.holds else "!", each.told, each.source) for each in answer.limits)
        out.print(plain_table(("Against", "", "Found", "Limit by"), rows))
    _print_figures(answer, out, working=working)
    for number, step in enumerate(answer.steps, start=1):
        out.print(Text(f"{number}. {step}"))
    for note in answer.notes:
        out.print(Text(note, style="dim"))


def _print_figures(answer: Answer, out: Console, *, working: bool) -> None:
    from rich.text import Text

    from trimwright.cli.tables import plain_table

    if not answer.figures:
        return
    out.print()
    if working:
        for each in answer.figures:
            out.print(Text(f"{each.name}: {each.shown}"))
            out.print(Text(f"  {each.worked}", style="dim"))
    else:
        out.print(plain_table(("Figure", ""), ((each.name, each.shown) for each in answer.figures), frozenset({1})))
    out.print()


# ---- the commands ----------------------------------------------------------------------------------------------------

air = typer.Typer(
    help="Air at the work: dew point before a coat, vapour of a tin.", no_args_is_help=True, rich_markup_mode=None
)
air.command("coat")(command_of("air coat", "The dew point, and whether the surface may be coated."))
air.command("tin")(command_of("air tin", "Vapour of a tin in a room, against its limits; air flow and wait."))

coats = typer.Typer(
    help="Coats: what to mix and weigh, which film, which papers.", no_args_is_help=True, rich_markup_mode=None
)
coats.command("mix")(command_of("coats mix", "How much to mix, weighed out for the cup at hand."))
coats.command("film")(command_of("coats film", "Wet film, dry film, and how far a litre goes."))
coats.command("grit")(command_of("coats grit", "Papers from where the surface is to where it must be."))

torque = command_of("torque", "A bolt's torque in every unit, its tension and proof load.")
