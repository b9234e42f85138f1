"""What a word about restraint equipment changes: the car, and the parts that come and go with it."""

from __future__ import annotations

from collections.abc import Mapping

from trimwright.facts.access import cabin_kinds
from trimwright.facts.trade import Equipment, Trade
from trimwright.job.document import Fitted, Job, Part
from trimwright.job.edits import AddPart, Edit, RemovePart, SetField, Together
from trimwright.job.starting import new_part


def equipment_edit(job: Job, trade: Trade, answers: Mapping[Equipment, Fitted]) -> Edit | None:
    """The answers as one edit; None when all of them stand already.

    Parts such a car has no more go, unless somebody has said something of them; parts it has now come to the others
    of their zone.
    """
    equipment = job.car.equipment
    new = {item: answer for item, answer in answers.items() if getattr(equipment, item) != answer}
    if not new:
        return None
    changed = equipment.model_copy(update={str(item): answer for item, answer in new.items()})
    before, after = (
        {(kind.id, place): kind for kind, place in cabin_kinds(trade, job.car.body, job.car.year, each)}
        for each in (equipment, changed)
    )
    edits: list[Edit] = [SetField(path=("car", "equipment", item), value=answer) for item, answer in new.items()]
    edits += [
        RemovePart(part=part.id)
        for part in job.parts
        if (part.kind, part.place) in before.keys() - after.keys() and _untouched(part)
    ]
    there = {(part.kind, part.place) for part in job.parts}
    taken = {part.id for part in job.parts}
    for (kind_id, place), kind in after.items():
        if (kind_id, place) in after.keys() - before.keys() - there:
            part = new_part(kind, place, taken)
            taken.add(part.id)
            edits.append(AddPart(part=part, after=last_of_zone(job, trade, kind.zone)))
    return edits[0] if len(edits) == 1 else Together(edits=tuple(edits))


def last_of_zone(job: Job, trade: Trade, zone: str) -> str | None:
    """The last part of a zone, behind which one more belongs; None when the zone has none."""
    return next((part.id for part in reversed(job.parts) if zone_of(part, trade) == zone), None)


def zone_of(part: Part, trade: Trade) -> str:
    """Where in the cabin a part is; nowhere in particular where the trade does not know its kind."""
    if part.own:
        return part.own.zone
    kind = trade.parts.get(part.kind)
    return kind.zone if kind else "elsewhere"


def _untouched(part: Part) -> bool:
    said = (part.faults, part.photos, part.offers, part.notes, part.pin, part.bans, part.missing)
    return part.finish_now is None and not any(said)
