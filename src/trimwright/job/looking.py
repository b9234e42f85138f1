"""The looks worth taking in one cabin: which there are, where, which are taken, and what an answer changes."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime

from trimwright.facts.trade import Cause, Find, Glance, Trade
from trimwright.job.document import CauseSeen, Job, Part
from trimwright.job.edits import AddEntry, Edit, SetField, Together
from trimwright.job.events import Event, Look, Note


@dataclass(frozen=True, slots=True)
class LookHere:
    """A look worth taking in this cabin. `spots` are where it can be taken: the parts at each, the driver's first."""

    glance: Glance
    spots: tuple[tuple[Part, ...], ...]
    taken: tuple[str, ...]
    """Ids of the events that told of it."""
    make_safe_first: bool

    def finds_at(self, spot: Iterable[Part], trade: Trade) -> tuple[Find, ...]:
        """The hidden faults that this spot's parts can hide and the look may show."""
        parts = tuple(spot)
        finds = (trade.finds[each] for each in self.glance.finds)
        return tuple(find for find in finds if any(find.lies_behind(part.kind) for part in parts))


def looks_here(job: Job, trade: Trade) -> tuple[LookHere, ...]:
    """Every look that this cabin has something to look at for."""
    found = []
    for glance in trade.glances.values():
        spots: dict[str | None, list[Part]] = {}
        for part in job.parts:
            if part.kind in glance.parts:
                spots.setdefault(part.place, []).append(part)
        if spots:
            taken = tuple(event.id for event in job.events if event.id.startswith(_stem(glance)))
            waits = glance.waits_for_make_safe(job.car.equipment.may_have)
            found.append(LookHere(glance, tuple(map(tuple, spots.values())), taken, waits))
    return tuple(found)


def look_edit(
    job: Job,
    trade: Trade,
    look: LookHere,
    spot: tuple[Part, ...],
    *,
    causes: Mapping[Cause, CauseSeen],
    finds: Mapping[str, bool],
    note: str,
    at: datetime,
    by: str,
    stamp: str,
) -> Edit:
    """What a look told, as one edit: the causes, an event a find that was answered, a note where nothing else is.

    What one look has seen another that has not seen it does not undo. `stamp` keeps the events' ids apart from those
    that another device adds at the same time.
    """
    edits: list[Edit] = [
        SetField(path=("causes", cause), value=told)
        for cause, told in causes.items()
        if told != "unknown" and told != job.causes.get(cause) and job.causes.get(cause) != "seen"
    ]
    events: list[Event] = []
    for find in look.finds_at(spot, trade):
        if find.id in finds:
            for part in _told_of(find, spot, trade):
                name = f"{_stem(look.glance)}{stamp}-{len(events) + 1}"
                events.append(Look(id=name, at=at, by=by, find=find.id, part=part.id, there=finds[find.id]))
    if note or not events:
        name = f"{_stem(look.glance)}{stamp}-{len(events) + 1}"
        events.append(Note(id=name, at=at, by=by, part=spot[0].id, note=note or f"Looked {look.glance.name}."))
    edits += [AddEntry(path=("events",), value=each.model_dump(mode="json")) for each in events]
    return Together(edits=tuple(edits))


def _told_of(find: Find, spot: tuple[Part, ...], trade: Trade) -> list[Part]:
    """The parts an answer is about: those whose faults point at the find, else the first that can hide it."""
    hiding = [part for part in spot if find.lies_behind(part.kind)]
    pointing = [
        part
        for part in hiding
        if any(
            find.id == each.find
            for found in part.faults
            if found.fault in trade.faults
            for each in trade.faults[found.fault].finds
        )
    ]
    return pointing or hiding[:1]


def _stem(glance: Glance) -> str:
    return f"look-{glance.id}-"
