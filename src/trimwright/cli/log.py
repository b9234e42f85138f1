"""`trimwright log`: what happens on a job, noted in its file, one command a kind of event.

Every command notes one event, or the answer to one, and prints the line that the history keeps. An event that names
what the job and the trade do not have is refused: it is a slip of the hand as long as it can be corrected.
"""

from __future__ import annotations

from typing import Annotated, Any

import typer

from trimwright.cli.noting import (
    About,
    OnPart,
    Took,
    YesAt,
    YesHow,
    YesName,
    changed,
    minutes,
    noted,
    notes_an_event,
    yes_of,
)
from trimwright.cli.options import AsJson, BookFile, JobFile
from trimwright.cli.terminal import print_json

app = typer.Typer(
    help="What happens on a job: opened, bought, done, promised.",
    no_args_is_help=True,
    rich_markup_mode=None,
)

Answers = {"reserve": "from the reserve", "drop": "drop others for it", "leave": "leave and record"}


@app.command()
def show(job_file: JobFile, as_json: AsJson = False) -> None:
    """The history of a job, a line an event."""
    from trimwright.job.files import read_job
    from trimwright.job.history import told

    job = read_job(job_file)
    lines = [(each.id, each.at, told(each.model_dump(mode="json"), job)) for each in job.events]
    if as_json:
        print_json({"events": [{"id": name, "at": at.isoformat(), "told": line} for name, at, line in lines]})
    for name, at, line in lines if not as_json else ():
        print(f"{at:%Y-%m-%d %H:%M}  {name}: {line}")
    if not lines and not as_json:
        print("nothing has happened yet")


@app.command()
@notes_an_event(but=("note",))
def note(
    job_file: JobFile,
    text: Annotated[str, typer.Argument(help="What happened.", metavar="TEXT", show_default=False)],
    part: OnPart = None,
    *,
    about: About,
) -> None:
    """Note anything worth remembering."""
    noted(job_file, {"kind": "note", "part": part, "note": text}, about)


@app.command()
@notes_an_event()
def look(
    job_file: JobFile,
    find: Annotated[
        str, typer.Argument(help="The fault looked for (trimwright facts finds).", metavar="FAULT", show_default=False)
    ],
    there: Annotated[bool, typer.Option("--there/--not-there", help="What the look told.", show_default=False)],
    part: OnPart = None,
    *,
    about: About,
) -> None:
    """A look was taken for a suspected fault.

    At a part or in the whole cabin, without opening anything.
    """
    event = {"kind": "look", "find": find, "part": part, "there": there}
    noted(job_file, event, about)


@app.command()
@notes_an_event()
def opened(
    job_file: JobFile,
    step: Annotated[str, typer.Argument(help="The step, such as carpet_main.", metavar="STEP", show_default=False)],
    hours: Took = "0",
    back_on: Annotated[bool, typer.Option("--back-on", help="It is back on as well.")] = False,
    *,
    about: About,
) -> None:
    """A strip-down step is done.

    What anybody would see there now, and nobody notes, is taken as not there.
    """
    event = {"kind": "opened", "step": step, "minutes": minutes(hours), "back_on": back_on}
    noted(job_file, event, about)


@app.command()
@notes_an_event()
def done(
    job_file: JobFile,
    part: Annotated[str, typer.Argument(help="The part, by its id.", metavar="PART", show_default=False)],
    course: Annotated[
        str | None, typer.Option(help="The course done; the promised one if not said.", metavar="COURSE")
    ] = None,
    hours: Took = "0",
    finish: Annotated[int | None, typer.Option(help="The finish it has now; as planned if not said.")] = None,
    redone: Annotated[int, typer.Option(help="How often it had to be done again.")] = 0,
    *,
    about: About,
) -> None:
    """A part is done, with time and finish."""
    from trimwright.errors import BadInput, Problem
    from trimwright.job.files import read_job
    from trimwright.plan.quantities.so_far import promises

    course = course or promises(read_job(job_file).events).get(part)
    if course is None:
        raise BadInput(Problem("--course", "", "is not said, and nothing is promised for the part.", "Say which."))
    event = {"kind": "done", "part": part, "course": course, "minutes": minutes(hours), "finish": finish,
             "redone": redone}  # fmt: skip
    noted(job_file, event, about)


@app.command()
@notes_an_event()
def bought(
    job_file: JobFile,
    paid: Annotated[str, typer.Argument(help="For all of it.", metavar="MONEY", show_default=False)],
    material: Annotated[str | None, typer.Option(help="A material, by its id.", metavar="ID")] = None,
    colour: Annotated[str, typer.Option(help="Of a material that comes in colours.", metavar="COLOUR")] = "",
    pack: Annotated[str | None, typer.Option(help="Which pack of it.", metavar="ID")] = None,
    count: Annotated[int, typer.Option(help="How many packs.")] = 1,
    amount: Annotated[float | None, typer.Option(help="How much, in no pack of the trade's.")] = None,
    part: OnPart = None,
    source: Annotated[
        str | None, typer.Option(help="Of a part: new, used, reproduction; service = sent out.", metavar="SOURCE")
    ] = None,
    finish: Annotated[int | None, typer.Option(help="Of a part: the finish it has.")] = None,
    tool: Annotated[str | None, typer.Option(help="A tool, by its id.", metavar="ID")] = None,
    visit: Annotated[str | None, typer.Option(help="A visit, such as trained_person.", metavar="ID")] = None,
    carriage: Annotated[bool, typer.Option("--carriage", help="Carriage of an order.")] = False,
    sundries: Annotated[bool, typer.Option("--sundries", help="Small things beside the packs.")] = False,
    seller: Annotated[str, typer.Option(help="Who sold it.", metavar="NAME")] = "",
    *,
    about: About,
) -> None:
    """Something was bought and paid.

    Packs of a material, a part, a tool, a visit, carriage, or small things.
    """
    from trimwright.errors import BadInput, Problem

    things = {"material": material, "part": part, "tool": tool, "visit": visit, "carriage": carriage,
              "sundries": sundries}  # fmt: skip
    named = [thing for thing, told in things.items() if told]
    if len(named) != 1:
        what = "names nothing that was bought." if not named else f"names {' and '.join(named)} at once."
        raise BadInput(Problem("bought", "", what, f"Say one of: {', '.join(f'--{each}' for each in things)}."))
    event = {
        "kind": "bought", "thing": named[0], "paid": paid, "material": material, "colour": colour, "pack": pack,
        "count": count, "amount": amount, "part": part, "source": source, "finish": finish, "tool": tool or visit,
        "seller": seller,
    }  # fmt: skip
    noted(job_file, event, about)


@app.command()
def returned(
    job_file: JobFile,
    event: Annotated[str, typer.Argument(help="The purchase, by its event.", metavar="EVENT", show_default=False)],
    money: Annotated[str, typer.Argument(help="What came back.", metavar="MONEY", show_default=False)],
    as_json: AsJson = False,
) -> None:
    """Something bought went back for money."""
    from trimwright.job.edits import SetField
    from trimwright.job.files import read_job
    from trimwright.units import parse_money

    job = read_job(job_file)
    value = parse_money(money, job.money.currency, "MONEY")
    changed(job_file, job, SetField(path=("events", event, "returned"), value=value), event, as_json)


@app.command()
@notes_an_event()
def spent(
    job_file: JobFile,
    what: Annotated[str, typer.Argument(help="On what, in words.", metavar="WHAT", show_default=False)],
    money: Annotated[str, typer.Option(help="Money.", metavar="MONEY")] = "0",
    hours: Took = "0",
    part: OnPart = None,
    find: Annotated[str | None, typer.Option(help="The find this dealt with, by its event.", metavar="FIND")] = None,
    line: Annotated[
        str | None, typer.Option(help="The line of the whole job this was: make_safe, photographs.", metavar="LINE")
    ] = None,
    *,
    about: About,
) -> None:
    """Money or time went elsewhere.

    Hours lost, a wrong part, a find dealt with.
    """
    event = {"kind": "spent", "what": what, "money": money, "minutes": minutes(hours), "part": part, "find": find,
             "line": line}  # fmt: skip
    noted(job_file, event, about)


@app.command()
@notes_an_event(but=("photos",))
def promised(
    job_file: JobFile,
    yes: Annotated[str, typer.Option("--yes", help="Who said yes.", metavar="NAME")],
    how: YesHow = "signed",
    yes_at: YesAt = None,
    book: BookFile = None,
    *,
    about: About,
) -> None:
    """The owner said yes: the plan is promised.

    It is decided once more, and every verdict of it is kept from then on.
    """
    from trimwright.cli.asked import planned
    from trimwright.job.files import read_job
    from trimwright.plan.verdicts.asking import courses_of

    plan = planned(read_job(job_file), book)
    verdicts = {each.part: each.id for each in courses_of(plan.verdicts)}
    event = {
        "kind": "promised",
        "verdicts": verdicts,
        "sum": plan.job.money.sum,
        "yes": yes_of(yes, how, yes_at or about.at),
    }
    noted(job_file, event, about)


@app.command()
@notes_an_event(but=("photos",))
def released(
    job_file: JobFile,
    parts: Annotated[list[str], typer.Argument(help="The parts, by their ids.", metavar="PART...", show_default=False)],
    yes: YesName = None,
    how: YesHow = "call",
    yes_at: YesAt = None,
    *,
    about: About,
) -> None:
    """Parts are let go of: nothing is promised."""
    event = {"kind": "released", "parts": parts, "yes": yes_of(yes, how, yes_at or about.at)}
    noted(job_file, event, about)


@app.command()
def answer(
    job_file: JobFile,
    find: Annotated[str, typer.Argument(help="The find, by its event.", metavar="FIND", show_default=False)],
    given: Annotated[str, typer.Argument(help=f"One of: {', '.join(Answers)}.", metavar="ANSWER", show_default=False)],
    drop: Annotated[
        list[str] | None, typer.Option("--drop", help="A promised part let go of for it; may be repeated.")
    ] = None,
    yes: YesName = None,
    how: YesHow = "call",
    yes_at: YesAt = None,
    as_json: AsJson = False,
) -> None:
    """What the owner says to a find.

    The reserve pays, others are dropped for it, or it is left and recorded.
    """
    from trimwright.errors import BadInput, Problem
    from trimwright.job.edits import SetField, Together
    from trimwright.job.files import read_job
    from trimwright.job.refusals import near

    if given not in Answers:
        raise BadInput(Problem("ANSWER", given, f"is none of: {', '.join(Answers)}.", near(given, Answers)))
    job = read_job(job_file)
    told: dict[str, Any] = {"answer": Answers[given], "drops": drop or [], "yes": yes_of(yes, how, yes_at)}
    edits = tuple(SetField(path=("events", find, name), value=value) for name, value in told.items())
    changed(job_file, job, Together(edits=edits), find, as_json)
