"""The document: what one shop pays, owns and has on the shelf, and what its own jobs have shown, as frozen models.

Conventions, said once. Money is whole minor units of the currency beside it, before tax; times are minutes. What jobs
have shown is kept as it was seen, observation by observation, and never as a mean: `learning.py` can always learn it
again. Lists are kept sorted, so that equal books are equal bytes.
"""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from datetime import date
from typing import Annotated, Any, Literal, TypeVar

from pydantic import AfterValidator, Field, model_validator

from trimwright.book.colours import OwnBase, OwnMix
from trimwright.book.treatments import OwnTreatment
from trimwright.errors import Problem
from trimwright.job.document import StockItem
from trimwright.job.fields import Clash, Currency, FactId, FactIds, Figure, Line, Minor, Model, Name, Slug

MAX_MINUTES = 60_000
"""A step that took longer than a thousand hours is a slip."""

Days = Annotated[int, Field(ge=0, le=400)]


class OwnPrice(Model):
    """What a pack cost, at whom, on which day."""

    pack: FactId = Field(description="the trade's id for it (`trimwright facts materials ID`), or an own pack's")
    supplier: FactId = Field(description="the trade's id for the seller, or an own seller's")
    currency: Currency = Field(description="ISO 4217 code")
    price: Minor = Field(description="of one pack, before tax [minor units]")
    on: date = Field(description="the day it was asked or paid")
    job: Slug | None = Field(default=None, description="the job it was paid for")
    event: Slug | None = Field(default=None, description="that job's event")


class OwnPack(Model):
    """A pack that the trade's list does not have."""

    id: FactId = Field(description="its own in this book")
    material: FactId = Field(description="the trade's id for what is in it")
    sold_as: Name = Field(description="the pack in words")
    size: Figure = Field(gt=0, le=100_000, description="in the material's own unit")


class OwnSupplier(Model):
    """A seller of the shop's own, or its own terms with one of the trade's."""

    id: FactId = Field(description="its own in this book, or the trade's")
    name: Name = Field(description="what people call it")
    currency: Currency = Field(description="of the money below")
    carriage: Minor = Field(default=0, description="for one order [minor units]")
    free_over: Minor | None = Field(default=None, description="orders above this are carried free; none = never")
    least_order: Minor | None = Field(default=None, description="what an order must come to; none = anything")
    days: tuple[Days, Days, Days] = Field(description="until it is here: fewest, usual, most")

    @model_validator(mode="after")
    def _in_order(self) -> OwnSupplier:
        if list(self.days) != sorted(self.days):
            raise ValueError("has days that fall: write the fewest, the usual and the most")
        return self


class LabourRate(Model):
    """What the shop asks for an hour, since when."""

    currency: Currency = Field(description="ISO 4217 code")
    hour: Minor = Field(description="one hour of work [minor units]")
    on: date = Field(description="since when")


class Observation(Model):
    """Something a job has shown, once."""

    job: Slug = Field(description="the job it was seen on")
    on: date = Field(description="when")


class Try(Observation):
    """A treatment done on a part."""

    event: Slug = Field(description="the job's event that tells of it")
    part: Slug = Field(description="the part it was done on")
    treatment: FactId = Field(description="the trade's id for it")


class Timed(Try):
    """How long a treatment took beside what the trade's table says."""

    planned: Figure = Field(gt=0, le=MAX_MINUTES, description="by the table [min]")
    real: Figure = Field(gt=0, le=MAX_MINUTES, description="by the clock [min]")


class Redone(Try):
    """Whether a treatment had to be done again."""

    again: bool = Field(description="it had to be done again")


class Held(Try):
    """How long a treatment has been in use since it was done or put right, and whether it had failed by then."""

    years: Figure = Field(gt=0, le=200, description="years, times how much harder the part is used than usual")
    failed: bool = Field(description="it had moved, opened or worn, and was put right or has to be done again")


class Found(Observation):
    """Whether a suspected hidden fault was there, once its place was open to sight."""

    find: FactId = Field(description="the trade's id for it (`trimwright facts finds`)")
    place: Line = Field(default="", description="where in the cabin; empty = the whole of it")
    there: bool = Field(description="it was there")


class LearnedJob(Model):
    """A job that the book has learned from; two jobs may not share an id."""

    id: Slug = Field(description="the job's id")
    name: Name = Field(description="the job's name")


Entry = TypeVar("Entry", bound=Model)


def _in_order(entries: tuple[Entry, ...]) -> tuple[Entry, ...]:
    """Each entry once, sorted by what it holds."""
    return tuple(sorted(dict.fromkeys(entries), key=lambda each: each.model_dump_json()))


_SORTED = AfterValidator(_in_order)


class Book(Model):
    """One shop's book, whole."""

    format: Literal[1] = Field(default=1, description="of this document; older ones are upgraded when read")
    shop: Line = Field(default="", description="whose book it is")
    rates: Annotated[tuple[LabourRate, ...], _SORTED] = Field(default=(), description="what an hour is sold for")
    packs: Annotated[tuple[OwnPack, ...], _SORTED] = Field(default=(), description="packs the trade's list lacks")
    suppliers: Annotated[tuple[OwnSupplier, ...], _SORTED] = Field(default=(), description="own sellers, own terms")
    prices: Annotated[tuple[OwnPrice, ...], _SORTED] = Field(
        default=(), description="every price known; the latest of a pack at a seller counts"
    )
    treatments: Annotated[tuple[OwnTreatment, ...], _SORTED] = Field(
        default=(), description="treatments the trade's list lacks"
    )
    tools: FactIds = Field(default=(), description="tools owned")
    stock: Annotated[tuple[StockItem, ...], _SORTED] = Field(default=(), description="what lies on the shelf")
    timed: Annotated[tuple[Timed, ...], _SORTED] = Field(default=(), description="hours by the clock")
    redone: Annotated[tuple[Redone, ...], _SORTED] = Field(default=(), description="what was done again, and what not")
    found: Annotated[tuple[Found, ...], _SORTED] = Field(default=(), description="what strip-down found, and what not")
    held: Annotated[tuple[Held, ...], _SORTED] = Field(default=(), description="what visits showed of how work holds")
    bases: Annotated[tuple[OwnBase, ...], _SORTED] = Field(default=(), description="base colours to mix from")
    mixes: Annotated[tuple[OwnMix, ...], _SORTED] = Field(default=(), description="colour recipes kept")
    jobs: Annotated[tuple[LearnedJob, ...], _SORTED] = Field(default=(), description="jobs it has learned from")

    @classmethod
    def from_plain(cls, raw: Mapping[str, Any]) -> Book:
        """The book in plain data as JSON has it, types taken at their word ("4" is no number); ValidationError."""
        return cls.model_validate_json(json.dumps(raw), strict=True)

    def changed(self, **fields: Iterable[Any]) -> Book:
        """The book with whole fields replaced, checked and sorted anew; ValidationError when they do not fit."""
        held = {name: getattr(self, name) for name in type(self).model_fields}
        return type(self).model_validate(held | {name: tuple(entries) for name, entries in fields.items()})

    @model_validator(mode="after")
    def _keys_are_unique(self) -> Book:
        wrong = [
            Problem(field, " ".join(map(str, key)), f"stands {count} times, not alike.", "Keep one of them.")
            for field, keys in self._keys()
            for key, count in Counter(keys).items()
            if count > 1
        ]
        if wrong:
            raise Clash(wrong)
        return self

    def _keys(self) -> Iterator[tuple[str, list[tuple[object, ...]]]]:
        """What may be said only once, field by field."""
        yield "packs", [(each.id,) for each in self.packs]
        yield "treatments", [(each.id,) for each in self.treatments]
        yield "suppliers", [(each.id,) for each in self.suppliers]
        yield "stock", [(each.material, each.colour) for each in self.stock]
        yield "bases", [(each.id,) for each in self.bases]
        yield "mixes", [(each.id,) for each in self.mixes]
        yield "jobs", [(each.id,) for each in self.jobs]
        yield "rates", [(each.currency, each.on) for each in self.rates]
        yield (
            "prices",
            [(each.pack, each.supplier, each.currency, each.on, each.job, each.event) for each in self.prices],
        )
        yield "timed", [(each.job, each.event, each.part, each.treatment) for each in self.timed]
        yield "redone", [(each.job, each.event, each.part, each.treatment) for each in self.redone]
        yield "held", [(each.job, each.event, each.part, each.treatment) for each in self.held]
        yield "found", [(each.job, each.find, each.place) for each in self.found]
