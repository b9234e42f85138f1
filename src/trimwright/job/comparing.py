"""Two states of a job held against each other: what differs, and the edit that leads from one to the other."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from pydantic import JsonValue

from trimwright.job.document import Job
from trimwright.job.edits import (
    MAPPINGS,
    AddEntry,
    AddPart,
    Edit,
    Path,
    RemoveEntry,
    RemovePart,
    SetField,
    Together,
    change,
)
from trimwright.job.telling import shown, subject

_GROUPS: frozenset[Path] = (
    frozenset({("car",), ("car", "equipment"), ("money",), ("time",), ("time", "places"), ("wishes",)}) | MAPPINGS
)
"""Where fields of their own are compared; everything else is one value."""


@dataclass(frozen=True, slots=True)
class Difference:
    """One field that differs: what it is called, and both values as people read them."""

    path: Path
    what: str
    before: str
    after: str


def differences(old: Job, new: Job) -> tuple[Difference, ...]:
    """Every field in which two states of a job differ, in the order of the document; parts by their ids."""
    raw_old, raw_new = old.model_dump(mode="json"), new.model_dump(mode="json")
    parts_old, parts_new = ({part.id: part for part in job.parts} for job in (old, new))
    found = [
        Difference(path, subject(path, new), shown(path, before, old), shown(path, after, new))
        for path, before, after in _changed(raw_old, raw_new)
    ]
    found += [
        Difference(("parts", part.id), part.name, "there", "removed") for part in old.parts if part.id not in parts_new
    ]
    found += [
        Difference(("parts", part.id), part.name, "not there", "added")
        for part in new.parts
        if part.id not in parts_old
    ]
    return tuple(found)


def edit_between(old: Job, new: Job) -> Edit | None:
    """The edit that makes `new` of `old`; None when they are alike.

    Parts that stand in both keep their places among each other.
    """
    raw_old, raw_new = old.model_dump(mode="json"), new.model_dump(mode="json")
    ids_old, ids_new = ([part.id for part in job.parts] for job in (old, new))
    edits: list[Edit] = [RemovePart(part=part) for part in ids_old if part not in ids_new]
    kept = [part for part in ids_old if part in ids_new]
    for at, part in enumerate(new.parts):
        if part.id not in ids_old:
            before = next((each for each in kept if ids_new.index(each) > at), None) if at == 0 else None
            edits.append(AddPart(part=part, after=ids_new[at - 1] if at else None, before=before))
    # a part takes its wishes with it, so wishes are compared as they stand then, and set last
    for removed in edits:
        if isinstance(removed, RemovePart):
            change(raw_old, removed)
    fields = list(_changed(raw_old, raw_new))
    for path, value, wanted in fields:
        edits += _entry_edits(path, value, wanted) or [SetField(path=path, value=wanted)]
    if not edits:
        return None
    return edits[0] if len(edits) == 1 else Together(edits=tuple(edits))


def _entry_edits(path: Path, old: JsonValue, new: JsonValue) -> list[Edit]:
    """Entries taken out and put at the end, when that is all that happened to a list; else nothing.

    Told so, and not as a whole list, others may change the same list meanwhile.
    """
    if not isinstance(old, list) or not isinstance(new, list):
        return []
    gone, come = [each for each in old if each not in new], [each for each in new if each not in old]
    if [each for each in old if each in new] + come != new:
        return []
    return [
        *(RemoveEntry(path=path, value=each) for each in gone),
        *(AddEntry(path=path, value=each) for each in come),
    ]


def _changed(old: dict[str, Any], new: dict[str, Any]) -> Iterator[tuple[Path, JsonValue, JsonValue]]:
    """Path, value before and value after of each field that differs; parts only where they stand in both."""
    for field, value in new.items():
        if field != "parts":
            yield from _changed_below((field,), old.get(field), value)
    parts = {part["id"]: part for part in old["parts"]}
    for part in new["parts"]:
        was = parts.get(part["id"])
        if was is not None:
            for field in part:
                if was.get(field) != part[field]:
                    yield ("parts", part["id"], field), was.get(field), part[field]


def _changed_below(path: Path, old: Any, new: Any) -> Iterator[tuple[Path, JsonValue, JsonValue]]:
    if old == new:
        return
    if path in _GROUPS:
        for key in dict.fromkeys([*old, *new]):
            yield from _changed_below((*path, key), old.get(key), new.get(key))
    else:
        yield path, old, new
