"""Two people at one job: an edit made on an older state of it, carried over to the newest.

Edits of different fields both stand. Where the same field was changed meanwhile nobody is overruled in silence:
`ChangedMeanwhile` carries what it was, what the other made of it and what was wanted, for a person to choose.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from pydantic import JsonValue

from trimwright.errors import BadEdit, TrimwrightError
from trimwright.job.document import Job
from trimwright.job.edits import (
    AddEntry,
    AddPart,
    Edit,
    Path,
    RemoveEntry,
    RemovePart,
    SetField,
    Together,
    change,
    entries_at,
    reach,
)
from trimwright.job.telling import shown, subject

_TWIN_KEYS = ("id", "fault", "name")
"""Entries of a list that agree in one of these are about the same thing."""


@dataclass(frozen=True, slots=True)
class Clash:
    """A field that both changed: what it was, what stands there now, what was wanted; as people read them."""

    what: str
    seen: str
    theirs: str
    mine: str


class ChangedMeanwhile(TrimwrightError):
    """The same field was changed by somebody else since; `clashes` has every such field."""

    def __init__(self, clashes: tuple[Clash, ...]) -> None:
        self.clashes = clashes
        super().__init__("; ".join(f"{each.what} {each.theirs}, wanted {each.mine}" for each in clashes))


def rebased(edit: Edit, seen: Job, newest: Job) -> Edit | None:
    """The edit, made on `seen`, as it applies to `newest`; None when nothing of it is left to do.

    ChangedMeanwhile with every clash; BadEdit when it fits neither.
    """
    carrying = _Carrying(seen, newest)
    edits = [each for each in (carrying.over(single) for single in _singles(edit)) if each is not None]
    if carrying.clashes:
        raise ChangedMeanwhile(tuple(carrying.clashes))
    if not edits:
        return None
    return edits[0] if len(edits) == 1 else Together(edits=tuple(edits))


def _singles(edit: Edit) -> Iterator[Edit]:
    if isinstance(edit, Together):
        for each in edit.edits:
            yield from _singles(each)
    else:
        yield edit


class _Carrying:
    """Both states as plain data, moved along edit by edit, and the clashes met so far."""

    def __init__(self, seen: Job, newest: Job) -> None:
        self.job = newest
        self.old: dict[str, Any] = seen.model_dump(mode="json")
        self.new: dict[str, Any] = newest.model_dump(mode="json")
        self.clashes: list[Clash] = []

    def over(self, edit: Edit) -> Edit | None:
        carried = self._carried(edit)
        change(self.old, edit)
        if carried is not None:
            change(self.new, carried)
        return carried

    def _carried(self, edit: Edit) -> Edit | None:
        match edit:
            case SetField():
                return self._set(edit)
            case AddEntry():
                return self._add(edit)
            case RemoveEntry():
                return self._remove(edit)
            case AddPart():
                return self._add_part(edit)
            case RemovePart():
                return self._remove_part(edit)
            case Together():
                raise TypeError("taken apart before")

    def _set(self, edit: SetField) -> Edit | None:
        before = _value(self.old, edit.path)
        path = self._moved(edit.path)
        if path is None:
            self._clash(edit.path, before, "removed", edit.value)
            return None
        now = _value(self.new, path)
        if now == edit.value:
            return None
        if now != before:
            self._clash(edit.path, before, self._shown(path, now), edit.value)
            return None
        return edit.model_copy(update={"path": path})

    def _add(self, edit: AddEntry) -> Edit | None:
        before = entries_at(self.old, edit.path)
        path = self._moved(edit.path)
        if path is None:
            self._clash(edit.path, None, "removed", edit.value)
            return None
        added = [each for each in entries_at(self.new, path) if each not in before]
        if edit.value in added:
            return None
        twin = next((each for each in added if _twins(each, edit.value)), None)
        if twin is not None:
            self._clash(edit.path, None, self._shown(path, twin), edit.value)
            return None
        return edit.model_copy(update={"path": path})

    def _remove(self, edit: RemoveEntry) -> Edit | None:
        path = self._moved(edit.path)
        if path is None:
            return None
        now = entries_at(self.new, path)
        if edit.value not in now and edit.value in entries_at(self.old, edit.path):
            twin = next((each for each in now if _twins(each, edit.value)), None)
            if twin is not None:
                self._clash(edit.path, edit.value, self._shown(path, twin), None)
            return None
        return edit.model_copy(update={"path": path})

    def _add_part(self, edit: AddPart) -> Edit | None:
        ids = [part["id"] for part in self.new["parts"]]
        if edit.part.id in ids and edit.part.id not in [part["id"] for part in self.old["parts"]]:
            path: Path = ("parts", edit.part.id)
            same = self.new["parts"][ids.index(edit.part.id)] == edit.part.model_dump(mode="json")
            if not same:
                self._clash(path, None, "another part", edit.part.name)
            return None
        after, before = (each if each in ids else None for each in (edit.after, edit.before))
        return edit.model_copy(update={"after": after, "before": before})

    def _remove_part(self, edit: RemovePart) -> Edit | None:
        path: Path = ("parts", edit.part)
        if self._moved(path) is None:
            return None
        if _value(self.old, path) != _value(self.new, path):
            self._clash(path, "there", "changed", "removed")
            return None
        return edit

    def _clash(self, path: Path, seen: JsonValue, theirs: str, mine: JsonValue) -> None:
        self.clashes.append(Clash(subject(path, self.job), self._shown(path, seen), theirs, self._shown(path, mine)))

    def _shown(self, path: Path, value: JsonValue) -> str:
        return shown(path, value, self.job)

    def _moved(self, path: Path) -> Path | None:
        """Where the path's end stands in the newest state: an entry may have another number there, or be gone."""
        moved: list[str | int] = []
        for depth, step in enumerate(path):
            if isinstance(step, int):
                at = _same_entry(step, entries_at(self.old, path[:depth]), entries_at(self.new, tuple(moved)))
                if at is None:
                    return None
                moved.append(at)
                continue
            moved.append(step)
            try:
                reach(self.new, tuple(moved))
            except BadEdit:
                return None
        return tuple(moved)


def _value(raw: dict[str, Any], path: Path) -> Any:
    holder, key = reach(raw, path)
    return holder.get(key) if isinstance(holder, dict) else holder[key]


def _same_entry(number: int, old: list[JsonValue], new: list[JsonValue]) -> int | None:
    """The number in `new` of what is number `number` in `old`; None when it cannot be told."""
    if number >= len(old):
        return None
    others_alike = len(old) == len(new) and old[:number] == new[:number] and old[number + 1 :] == new[number + 1 :]
    if others_alike:
        return number
    places = [at for at, each in enumerate(new) if each == old[number]]
    if number in places:
        return number
    return places[0] if len(places) == 1 else None


def _twins(one: JsonValue, other: JsonValue) -> bool:
    if not isinstance(one, dict) or not isinstance(other, dict):
        return False
    return any(one.get(key) is not None and one.get(key) == other.get(key) for key in _TWIN_KEYS)
