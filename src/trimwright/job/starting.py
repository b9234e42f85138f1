"""A job as it starts: the body's own list of parts, none of them surveyed yet."""

from __future__ import annotations

import re
from collections.abc import Container, Mapping
from typing import Any

from pydantic import ValidationError

from trimwright.errors import BadInput
from trimwright.facts.access import cabin_kinds, part_id
from trimwright.facts.trade import PartKind, Place, Trade
from trimwright.job.document import Job, Part
from trimwright.job.fields import free_id
from trimwright.job.refusals import problems_of

_SIDES: dict[Place, str] = {
    "driver": "driver's",
    "passenger": "passenger's",
    "rear_driver": "rear driver's side",
    "rear_passenger": "rear passenger's side",
}


def started(trade: Trade, *, car: Mapping[str, Any], money: Mapping[str, Any], job_id: str = "", name: str = "") -> Job:
    """A job for the car with every part such a body usually has; finish unknown until somebody looks.

    `car` and `money` are fields of the document as plain data; BadInput when they are wrong. The job's name is the
    car's text unless another is given; its id is made of the car, so that the shop's jobs are told apart.
    """
    raw = {
        "id": job_id or id_from(f"{car.get('text', '')} {car.get('year', '')}"),
        "name": name or car.get("text"),
        "car": dict(car),
        "money": dict(money),
        "parts": (),
    }
    try:
        job = Job.model_validate(raw)
    except ValidationError as error:
        raise BadInput(problems_of(error, raw)) from None
    kinds = cabin_kinds(trade, job.car.body, job.car.year, job.car.equipment)
    return job.model_copy(update={"parts": tuple(new_part(kind, place) for kind, place in kinds)})


def id_from(words: str) -> str:
    """An id that tells what it is of.

    >>> id_from("Two-door that stood outside 1994"), id_from("???")
    ('two-door-that-stood-outside-1994', 'job')
    """
    return re.sub(r"[^a-z0-9]+", "-", words.lower()).strip("-")[:80] or "job"


def new_part(kind: PartKind, place: Place | None = None, taken: Container[str] = ()) -> Part:
    """One part of the trade's list, as yet unseen, with an id that is not in `taken`."""
    side = f", {_SIDES[place]}" if place else ""
    return Part(
        id=free_id(part_id(kind.id, place), taken),
        kind=kind.id,
        name=f"{kind.name[:1].upper()}{kind.name[1:]}{side}",
        place=place,
        count=kind.count,
        material=kind.materials[0],
    )
