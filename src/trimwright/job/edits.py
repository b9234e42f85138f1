"""Every change to a job as a frozen value, and the one pure function that applies it.

A path is a tuple of names from the document down: ("money", "sum"), ("car", "equipment", "driver_airbag"),
("wishes", "zones", "dash"), ("parts", "door_card_f.driver", "finish_now"); a part is named by its id, an entry of
another list by its number, from 0. Values are plain data as they stand in the job file.
"""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import ConfigDict, Field, JsonValue, TypeAdapter, ValidationError

from trimwright.errors import BadEdit, Problem
from trimwright.job.document import Job, Part
from trimwright.job.fields import Model, Slug
from trimwright.job.history import told
from trimwright.job.refusals import near, problems_of, shortened
from trimwright.job.telling import part_name, shown, subject

Path = Annotated[tuple[str | int, ...], Field(min_length=1, max_length=8)]

MAPPINGS: frozenset[Path] = frozenset(
    {("wishes", "zones"), ("wishes", "floors"), ("money", "rates"), ("time", "pins"), ("causes",)}
)
"""Where keys are the person's own and come and go."""


class Change(Model):
    """What every change is; a value may be anything, even no number: only applied does it have to fit."""

    model_config = ConfigDict(allow_inf_nan=True)


class SetField(Change):
    """Give one field a value; of a mapping (zones, floors, causes, rates, pins) none takes the entry out."""

    do: Literal["set"] = "set"
    path: Path
    value: JsonValue


class AddEntry(Change):
    """Put an entry at the end of a list: a fault, an offer, a ban, stock, a tool, an event, a matching set."""

    do: Literal["add"] = "add"
    path: Path
    value: JsonValue


class RemoveEntry(Change):
    """Take the first entry equal to `value` out of a list."""

    do: Literal["remove"] = "remove"
    path: Path
    value: JsonValue


class AddPart(Change):
    """Add a part: behind the part `after`, in front of the part `before`, or at the end."""

    do: Literal["add part"] = "add part"
    part: Part
    after: Slug | None = None
    before: Slug | None = None


class RemovePart(Change):
    """Remove a part, and every wish about it; events keep its id, they tell what was."""

    do: Literal["remove part"] = "remove part"
    part: Slug


class Together(Change):
    """Several changes as one: only the whole must leave a job that is right."""

    do: Literal["together"] = "together"
    edits: tuple[Edit, ...] = Field(min_length=1, max_length=20_000)


Edit = Annotated[SetField | AddEntry | RemoveEntry | AddPart | RemovePart | Together, Field(discriminator="do")]
Together.model_rebuild()
EDIT: TypeAdapter[Edit] = TypeAdapter(Edit)
"""Reads and writes an edit as JSON."""


def apply(job: Job, edit: Edit) -> Job:
    """The job after `edit`; BadEdit with every problem when the result would be no right job."""
    raw = job.model_dump(mode="json")
    change(raw, edit)
    try:
        return Job.from_plain(raw)
    except ValidationError as error:
        raise BadEdit(problems_of(error, raw)) from None


def read_edit(text: str | bytes) -> Edit:
    """The edit written as JSON; BadEdit when it is none."""
    try:
        return EDIT.validate_json(text, strict=True)
    except ValidationError as error:
        raise BadEdit(problems_of(error)) from None


def describe(edit: Edit, job: Job) -> str:
    """The line of the history with the values before and after, told of the job before the edit.

    Such as "Front cushion cover, driver's: finish 4 → 2". BadEdit when the path leads nowhere.
    """
    match edit:
        case SetField():
            holder, key = reach(job.model_dump(mode="json"), edit.path)
            before = holder.get(key) if isinstance(holder, dict) else holder[key]
            return f"{subject(edit.path, job)} {shown(edit.path, before, job)} → {shown(edit.path, edit.value, job)}"
        case AddEntry(path=("events",)):
            return told(edit.value, job)
        case RemoveEntry(path=("events",)):
            return f"Taken back: {told(edit.value, job)}"
        case AddEntry():
            return f"{subject(edit.path, job)} + {shown(edit.path, edit.value, job)}"
        case RemoveEntry():
            return f"{subject(edit.path, job)} − {shown(edit.path, edit.value, job)}"
        case AddPart():
            return f"Part added: {edit.part.name}"
        case RemovePart():
            return f"Part removed: {part_name(edit.part, job)}"
        case Together():
            return "; ".join(describe(each, job) for each in edit.edits)


# Changing plain data.


def change(raw: dict[str, Any], edit: Edit) -> None:
    """Change plain data in place, unchecked; BadEdit when a path leads nowhere."""
    match edit:
        case SetField():
            holder, key = reach(raw, edit.path)
            if edit.path[:-1] in MAPPINGS and edit.value is None:
                holder.pop(key, None)
            else:
                holder[key] = edit.value
        case AddEntry():
            entries_at(raw, edit.path).append(edit.value)
        case RemoveEntry():
            entries = entries_at(raw, edit.path)
            if edit.value not in entries:
                raise _bad(edit.path, edit.value, "is not in the list.", "It may have been taken out already.")
            entries.remove(edit.value)
        case AddPart():
            parts = entries_at(raw, ("parts",))
            at = len(parts)
            if edit.before is not None:
                at = reach(raw, ("parts", edit.before))[1]
            elif edit.after is not None:
                at = reach(raw, ("parts", edit.after))[1] + 1
            parts.insert(at, edit.part.model_dump(mode="json"))
        case RemovePart():
            parts, at = reach(raw, ("parts", edit.part))
            del parts[at]
            _forget(raw, edit.part)
        case Together():
            for each in edit.edits:
                change(raw, each)


def reach(raw: Any, path: Path) -> tuple[Any, Any]:
    """The group or list that holds the end of `path`, and the key or number in it."""
    holder: Any = None
    key: Any = None
    here = raw
    for depth, step in enumerate(path):
        holder, key = here, _key(here, step, path[:depth])
        here = here[key] if isinstance(here, list) else here.get(key)
    return holder, key


def _key(here: Any, step: str | int, above: Path) -> str | int:
    """What `step` is called inside `here`; BadEdit when there is no such thing."""
    if isinstance(here, dict) and (step in here or (above in MAPPINGS and isinstance(step, str))):
        return step
    if isinstance(here, list):
        ids = [each.get("id") if isinstance(each, dict) else None for each in here]
        if isinstance(step, str) and step in ids:
            return ids.index(step)
        if isinstance(step, int) and 0 <= step < len(here):
            return step
    known = list(here) if isinstance(here, dict) else [each for each in ids if each] if isinstance(here, list) else []
    raise _bad((*above, step), "", "leads nowhere in this job.", near(str(step), known))


def entries_at(raw: dict[str, Any], path: Path) -> list[JsonValue]:
    """The list at the end of `path`, itself; BadEdit when there is none."""
    holder, key = reach(raw, path)
    entries = holder.get(key) if isinstance(holder, dict) else holder[key]
    if not isinstance(entries, list):
        raise _bad(path, "", "is no list.", "Set the field instead.")
    return entries


def _forget(raw: dict[str, Any], part_id: str) -> None:
    """Take a part out of every wish; a matching set of one is none."""
    sets = entries_at(raw, ("wishes", "sets"))
    members = [entries_at(raw, ("wishes", "sets", number, "parts")) for number in range(len(sets))]
    for ids in (entries_at(raw, ("wishes", "must_do")), entries_at(raw, ("wishes", "leave_alone")), *members):
        ids[:] = [each for each in ids if each != part_id]
    sets[:] = [each for each, ids in zip(sets, members, strict=True) if len(ids) > 1]
    change(raw, SetField(path=("wishes", "floors", part_id), value=None))


def _bad(path: Path, value: object, what: str, way_out: str) -> BadEdit:
    return BadEdit(Problem(" › ".join(str(step) for step in path), shortened(value), what, way_out))
