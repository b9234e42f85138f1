"""What every command of `trimwright log` does alike: ask when, by whom and with what pictures, and note one event."""

from __future__ import annotations

import inspect
import sys
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import wraps
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from trimwright.cli.options import AsJson
from trimwright.cli.surroundings import now
from trimwright.cli.terminal import print_json

if TYPE_CHECKING:
    from trimwright.job.document import Job
    from trimwright.job.edits import Edit

Took = Annotated[str, typer.Option("--hours", help="Real time, such as 0:45 or 1.5.", metavar="TIME")]
OnPart = Annotated[str | None, typer.Option("--part", help="The part, by its id.", metavar="PART")]
YesName = Annotated[str | None, typer.Option("--yes", help="Who said yes.", metavar="NAME")]
YesHow = Annotated[str, typer.Option("--how", help="How: call, message, in person, signed.", metavar="HOW")]
YesAt = Annotated[str | None, typer.Option("--yes-at", help="When the yes was given; as the event if not said.")]


@dataclass(frozen=True, slots=True)
class About:
    """The options that events share, as they were typed."""

    at: Annotated[
        str | None, typer.Option("--at", help="When, such as 2026-05-31T14:30; now if not said.", metavar="TIME")
    ] = None
    by: Annotated[str, typer.Option("--by", help="Who notes it.", metavar="NAME")] = ""
    photos: Annotated[list[str] | None, typer.Option("--photo", help="Where a picture is; may be repeated.")] = None
    note: Annotated[str, typer.Option("--note", help="Anything else.", metavar="TEXT")] = ""
    as_json: AsJson = False


def notes_an_event(*, but: tuple[str, ...] = ()) -> Callable[[Callable[..., None]], Callable[..., None]]:
    """A command that notes an event: it is asked the options of `About` (`but` for those it has no use for) behind its
    own, and gets them as its argument `about`."""
    shared = inspect.signature(About, eval_str=True).parameters
    asked = [each.replace(kind=each.KEYWORD_ONLY) for name, each in shared.items() if name not in but]

    def with_options(command: Callable[..., None]) -> Callable[..., None]:
        signature = inspect.signature(command, eval_str=True)
        own = [each for name, each in signature.parameters.items() if name != "about"]

        @wraps(command)
        def run(**given: Any) -> None:
            about = About(**{each.name: given.pop(each.name) for each in asked})
            command(**given, about=about)

        every = [*own, *asked]
        run.__signature__ = signature.replace(parameters=every)  # type: ignore[attr-defined]
        run.__annotations__ = {each.name: each.annotation for each in every}
        return run

    return with_options


def noted(job_file: Path, event: dict[str, Any], about: About, event_id: str | None = None) -> str:
    """Put an event behind the others, by `event_id` or an id found for it; its id.

    BadInput, and the job as it was, when it can't be or names what is not there. Typed money (`paid`, `money`) is read
    in the job's currency.
    """
    from trimwright.job.edits import AddEntry
    from trimwright.job.fields import free_id
    from trimwright.job.files import read_job

    job = read_job(job_file)
    name = event_id or free_id(event["kind"], {each.id for each in job.events})
    told = {"at": about.at or now().isoformat(timespec="seconds"), "by": about.by, "photos": about.photos,
            "note": about.note}  # fmt: skip
    value = {"id": name} | _in_figures(event, job) | {field: given for field, given in told.items() if given}
    value = {field: given for field, given in value.items() if given not in (None, "", [])}
    changed(job_file, job, AddEntry(path=("events",), value=value), name, about.as_json)
    return name


def changed(job_file: Path, job: Job, edit: Edit, event_id: str, as_json: bool) -> None:
    """Make the change to the job's events, write it, and print the line of the event it is about."""
    from trimwright.cli.told_at_once import refuse_with_fuel, told_at_once
    from trimwright.errors import BadInput
    from trimwright.facts import load
    from trimwright.job.check_events import event_problems, event_remarks
    from trimwright.job.edits import apply
    from trimwright.job.files import write_job
    from trimwright.job.history import told

    after = apply(job, edit)
    trade = load()
    found = [*event_problems(after, trade), *event_remarks(after, trade)]
    slips = [
        each for each in found if each.where.startswith(f"events › {event_id} ›") and each.what.startswith("is no ")
    ]
    if slips:
        raise BadInput(replace(each, what=f"{each.what.partition(';')[0].rstrip('.')}.") for each in slips)
    event = next(each for each in after.events if each.id == event_id)
    refuse_with_fuel(event, job)
    write_job(after, job_file)
    plain = event.model_dump(mode="json")
    if as_json:
        print_json({"job": str(job_file), "event": plain})
    else:
        print(f"{event_id}: {told(plain, after)}")
    for each in told_at_once(event, job, after, trade, now()):
        print(f"! {each}", file=sys.stderr)


def _in_figures(event: dict[str, Any], job: Job) -> dict[str, Any]:
    """The event with typed money as whole minor units."""
    from trimwright.units import parse_money

    typed = {name: event[name] for name in ("paid", "money") if isinstance(event.get(name), str)}
    return event | {name: parse_money(text, job.money.currency, name) for name, text in typed.items()}


def minutes(typed: str) -> int:
    """Typed time as whole minutes."""
    from trimwright.units import parse_minutes

    return parse_minutes(typed, "--hours")


def yes_of(name: str | None, how: str, at: str | None) -> dict[str, str] | None:
    """Somebody's yes as an event tells it; None where nobody said it."""
    return None if name is None else {"name": name, "how": how, "at": at or now().isoformat(timespec="seconds")}
