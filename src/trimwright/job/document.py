"""The document: one job, from the car and the sum to every part's finish and faults, as frozen validated models.

Conventions, said once. Money is whole minor units of `money.currency`; areas are mm², lengths mm, times minutes
unless a name says hours; finish runs from 0 (ruined) to 10 (as new). A job never changes: an edit makes a new one
(`edits.py`). What a value means beyond its type is said in its description, which the JSON Schema carries.
What happened is told by events (`events`); what single fields may hold is said in `fields.py`.
"""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterable, Mapping
from datetime import date, time
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, AwareDatetime, Field, PlainSerializer, model_validator

from trimwright.errors import Problem
from trimwright.facts.trade import Body, Cause, Equipment, Extent, Place
from trimwright.job.cutting import Cutting
from trimwright.job.events import Event, Find, Spent
from trimwright.job.fields import (
    IN_ORDER,
    Clash,
    Colour,
    CourseId,
    CourseIds,
    Currency,
    FactId,
    FactIds,
    Figure,
    Finish,
    Line,
    Minor,
    Model,
    Name,
    Slug,
    SlugSet,
    TaskId,
    Text,
    sorted_days,
)
from trimwright.job.wheel import Wheel
from trimwright.units import MAX_AREA_MM2, MAX_LENGTH_MM

MAX_PARTS = 1000

Fitted = Literal["yes", "no", "unknown"]
Covered = Literal["parts", "materials", "tools", "outside work", "labour", "tax"]
OfferSource = Literal["new", "used", "reproduction"]

Capability = Literal["air_fed_mask", "booth"]
CauseSeen = Literal["unknown", "none seen", "seen"]


def ids_given_twice(ids: Iterable[str], where: Literal["parts", "events"]) -> list[Problem]:
    """A problem for each id that stands more than once in a list."""
    return [
        Problem(where, each, f"is the id of {count} {where}.", f"Give each of the {where} an id of its own.")
        for each, count in Counter(ids).items()
        if count > 1
    ]


class EquipmentFitted(Model):
    """Restraint equipment, item by item. Unknown counts as fitted."""

    driver_airbag: Fitted = Field(default="unknown", description="in the steering wheel")
    passenger_airbag: Fitted = Field(default="unknown", description="in the dash before the passenger")
    side_airbag: Fitted = Field(default="unknown", description="in the front seats' backs or the doors")
    curtain_airbag: Fitted = Field(default="unknown", description="along the roof above the doors")
    knee_airbag: Fitted = Field(default="unknown", description="under the dash")
    seat_sensor: Fitted = Field(
        default="unknown", description="in the passenger's cushion: tells whether somebody sits there"
    )
    pretensioner: Fitted = Field(default="unknown", description="on the belts: pulls them tight in a crash")

    def may_have(self, item: Equipment) -> bool:
        """Whether `item` is fitted or not known to be absent."""
        return bool(getattr(self, item) != "no")

    @property
    def any_restraint_electrics(self) -> bool:
        return any(getattr(self, item) != "no" for item in type(self).model_fields)


class Car(Model):
    """The car, as far as the cabin asks."""

    text: Name = Field(description="the car in plain words, no make needed")
    year: int = Field(ge=1900, le=2100, description="model year")
    body: Body = Field(description="it brings its own list of parts")
    equipment: EquipmentFitted = Field(default=EquipmentFitted(), description="restraint equipment, item by item")
    commercial: bool = Field(default=True, description="done for money: cover materials need a burn-rate statement")
    units: Literal["metric", "US customary"] = Field(
        default="metric", description="how sizes and amounts are printed; they are read in either"
    )


class MoneyTerms(Model):
    """The fixed sum, what it has to pay for, and how sure it has to hold."""

    currency: Currency = Field(description="ISO 4217 code")
    sum: Minor = Field(description="the fixed money [minor units]")
    covers: Annotated[frozenset[Covered], PlainSerializer(sorted, when_used="json")] = Field(
        default=frozenset({"parts", "materials", "tools", "outside work"}), description="what the sum has to pay for"
    )
    labour_rate: Minor = Field(default=0, description="one hour of work [minor units], used when the sum covers labour")
    tax_percent: Figure = Field(
        default=0.0, ge=0, le=100, description="added to what is bought, when the sum covers tax"
    )
    sure: Figure = Field(default=0.9, ge=0.5, le=0.995, description="how sure the job must end inside the sum")
    rates: Annotated[Mapping[Currency, Annotated[Figure, Field(gt=0, le=1e6)]], IN_ORDER] = Field(
        default_factory=dict,
        description="how much of the job's currency one USD or one EUR costs, for facts priced in those",
    )

    @model_validator(mode="after")
    def _labour_has_a_rate(self) -> MoneyTerms:
        if "labour" in self.covers and not self.labour_rate:
            raise ValueError(
                "covers labour but labour_rate is 0: give the rate for an hour, or take labour out of covers"
            )
        return self


class Places(Model):
    """How much room the shop has."""

    bench: int = Field(default=3, ge=1, le=100, description="pieces the benches hold at once")
    spray_spot: int = Field(default=1, ge=0, le=20, description="spray spots; 0 = nothing can be sprayed here")
    press: int = Field(default=2, ge=0, le=100, description="pieces under presses, clamps or weights at once")
    line: int = Field(default=3, ge=0, le=100, description="pieces on the line at once, such as wet carpets")
    rack_mm2: int = Field(
        default=4_000_000, ge=10_000, le=MAX_AREA_MM2, description="shelf of the drying rack, all levels together"
    )


class Pin(Model):
    """When one task of the calendar may be made."""

    not_before: AwareDatetime | None = Field(default=None, description="it starts no earlier")
    not_after: AwareDatetime | None = Field(default=None, description="it ends no later")

    @model_validator(mode="after")
    def _leaves_room(self) -> Pin:
        if self.not_before is None and self.not_after is None:
            raise ValueError("holds nothing: give not_before, not_after, or both")
        if self.not_before is not None and self.not_after is not None and self.not_before >= self.not_after:
            raise ValueError("ends before it begins: give a not_after behind not_before")
        return self


class TimeTerms(Model):
    """The hours and hands there are, and when."""

    hours: Figure | None = Field(default=None, ge=0, le=20_000, description="hours on hand; none = no limit")
    hands: int = Field(default=1, ge=1, le=20, description="people who work on it")
    week: tuple[Annotated[Figure, Field(ge=0, le=24)], ...] = Field(
        default=(4, 4, 4, 4, 4, 6, 0), min_length=7, max_length=7, description="working hours, Monday to Sunday"
    )
    start: date | None = Field(default=None, description="first day of work")
    wanted_by: date | None = Field(default=None, description="day the car is wanted back")
    opens: time = Field(default=time(9), description="when the shop opens on a working day")
    zone: Line = Field(default="", description="its time zone, such as Europe/London; empty = the machine's")
    days_off: Annotated[tuple[date, ...], AfterValidator(sorted_days)] = Field(
        default=(), description="days on which nobody works"
    )
    places: Places = Field(default=Places(), description="how much room there is")
    pins: Annotated[Mapping[TaskId, Pin], IN_ORDER] = Field(
        default_factory=dict, description="when single tasks may be made, by their ids (`trimwright bench`)"
    )

    @model_validator(mode="after")
    def _opens_by_the_minute(self) -> TimeTerms:
        if self.opens.tzinfo is not None or self.opens.second or self.opens.microsecond:
            raise ValueError("has an opens that is no time of day: write 09:00, without a zone or seconds")
        return self


class MatchingSet(Model):
    """Parts that are seen together: they end within `within` finish steps of each other, or it costs points."""

    name: Name = Field(description="what the set is called")
    parts: Annotated[SlugSet, Field(min_length=2)] = Field(description="ids of its parts")
    within: int = Field(default=1, ge=0, le=10, description="finish steps they may lie apart for nothing")


class Wishes(Model):
    """What the person wants beyond the best for the money."""

    zones: Annotated[Mapping[Name, Annotated[Figure, Field(ge=0, le=3)]], IN_ORDER] = Field(
        default_factory=dict, description="how much a zone matters; 1 where nothing is said"
    )
    years: Figure = Field(default=3.0, gt=0, le=30, description="years the result should hold")
    originality: Figure = Field(default=0.0, ge=0, le=1, description="how much keeping the original part is worth")
    floor: Finish | None = Field(default=None, description="no part in plain sight ends below this finish")
    floors: Annotated[Mapping[Slug, Finish], IN_ORDER] = Field(
        default_factory=dict, description="the same for single parts"
    )
    must_do: SlugSet = Field(default=(), description="parts that may not be left as they are")
    leave_alone: SlugSet = Field(default=(), description="parts that are not touched")
    sets: tuple[MatchingSet, ...] = Field(default=(), description="parts that are seen together")


class PartFault(Model):
    """A fault found on a part, and how bad it is."""

    fault: FactId = Field(description="the trade's id for it (`trimwright facts faults`)")
    extent: Extent = Field(description="how bad it is")
    note: Text = Field(default="", description="what else was seen")


class Offer(Model):
    """A price for the part itself: three points, where from, and what it costs to get here."""

    source: OfferSource = Field(description="where the part comes from")
    low: Minor = Field(description="least it will cost [minor units]")
    likely: Minor = Field(description="most likely price [minor units]")
    high: Minor = Field(description="most it will cost [minor units]")
    delivery: Minor = Field(default=0, description="what it costs to get here [minor units]")
    days: int = Field(default=7, ge=0, le=400, description="until it is here")
    seller: Line = Field(default="", description="who offers it")
    finish: Finish | None = Field(default=None, description="what finish it would have, when that is known")

    @model_validator(mode="after")
    def _in_order(self) -> Offer:
        if not self.low <= self.likely <= self.high:
            raise ValueError("low, likely and high must not fall")
        return self


class OwnKind(Model):
    """What the trade's list does not have: a part described by the person."""

    zone: Name = Field(description="where in the cabin it is")
    sight: int = Field(default=2, ge=0, le=3, description="0 never seen … 3 always before the eyes")
    touch: int = Field(default=1, ge=0, le=3, description="0 never touched … 3 always under the hand")
    is_restraint: bool = Field(default=False, description="belt, airbag or a part of them")
    airbag_behind: tuple[Equipment, ...] = Field(default=(), description="what fires from behind it")
    head_impact: bool = Field(default=False, description="a board that catches a head")
    off_minutes: int = Field(default=0, ge=0, le=3000, description="to take it off [min]")
    back_minutes: int = Field(default=0, ge=0, le=3000, description="to put it back [min]")


class Part(Model):
    """One surveyed part; left and right are two parts."""

    id: Slug = Field(description="its own in this job")
    kind: FactId = Field(description="the trade's name for it (`trimwright facts parts`), or 'own'")
    name: Name = Field(description="what people call it")
    place: Place | None = Field(default=None, description="its side, where the kind has sides")
    own: OwnKind | None = Field(default=None, description="only for kind 'own'")
    count: int = Field(default=1, ge=1, le=500, description="like pieces surveyed as one: scales cost, not importance")
    material: FactId = Field(description="its material family (`trimwright facts families`)")
    colour: Colour = Field(default="", description="colours are matched by this name")
    area_mm2: int | None = Field(
        default=None, gt=0, le=MAX_AREA_MM2, description="of all pieces together; none = the trade's figure"
    )
    length_mm: int | None = Field(default=None, gt=0, le=MAX_LENGTH_MM, description="seams and edges together")
    finish_now: Finish | None = Field(default=None, description="0 ruined … 10 as new; none = can't be seen yet")
    faults: tuple[PartFault, ...] = Field(default=(), description="what is wrong with it")
    missing: int = Field(default=0, ge=0, le=500, description="clips, screws and lugs missing or broken")
    offers: tuple[Offer, ...] = Field(default=(), description="prices found for another one")
    pin: CourseId | None = Field(default=None, description="the course or leading treatment it must have")
    bans: CourseIds = Field(default=(), description="treatments or courses it must not have")
    notes: Text = Field(default="", description="anything else")
    photos: tuple[Name, ...] = Field(default=(), description="where its pictures are")
    wheel: Wheel | None = Field(
        default=None, description="measures of a wheel to be wrapped, for its leather and thread"
    )
    cutting: Cutting | None = Field(
        default=None, description="its pieces as drawn and laid, for the material of its cover"
    )


class StockItem(Model):
    """Material on the shelf."""

    material: FactId = Field(description="the trade's id for it (`trimwright facts materials`)")
    colour: Colour = Field(default="", description="of what comes in colours")
    amount: Figure = Field(gt=0, le=10_000, description="in the material's own unit")


class Job(Model):
    """One job, whole."""

    format: Literal[2] = Field(default=2, description="of this document; older ones are upgraded when read")
    id: Slug = Field(description="names the job among others")
    name: Name = Field(description="what people call the job")
    car: Car = Field(description="the car")
    money: MoneyTerms = Field(description="the fixed sum")
    time: TimeTerms = Field(default=TimeTerms(), description="hours and dates")
    wishes: Wishes = Field(default=Wishes(), description="what the owner wants beyond the best for the money")
    causes: Annotated[Mapping[Cause, CauseSeen], IN_ORDER] = Field(
        default_factory=dict, description="what a look has told about damp, sun, wear, earlier work"
    )
    parts: tuple[Part, ...] = Field(max_length=MAX_PARTS, description="everything surveyed")
    stock: tuple[StockItem, ...] = Field(default=(), description="materials on the shelf, used before any is bought")
    tools: FactIds = Field(default=(), description="tools owned")
    capabilities: Annotated[frozenset[Capability], PlainSerializer(sorted, when_used="json")] = Field(
        default=frozenset(), description="what two-pack spraying needs; declared by the shop, never bought by the plan"
    )
    events: tuple[Event, ...] = Field(default=(), description="what happened, in its order")

    @classmethod
    def from_plain(cls, raw: Mapping[str, Any]) -> Job:
        """The job in plain data as JSON has it, types taken at their word ("4" is no number); ValidationError."""
        # json lets NaN and Infinity through on purpose: the models refuse them by name and place
        return cls.model_validate_json(json.dumps(raw), strict=True)

    def find(self, event_id: str) -> Find:
        """The find of this id; KeyError when no event of this id is one."""
        for event in self.events:
            if isinstance(event, Find) and event.id == event_id:
                return event
        raise KeyError(event_id)

    def part(self, part_id: str) -> Part:
        """The part with this id; KeyError when there is none."""
        for part in self.parts:
            if part.id == part_id:
                return part
        raise KeyError(part_id)

    @model_validator(mode="after")
    def _ids_are_unique_and_known(self) -> Job:
        ids = [part.id for part in self.parts]
        known = set(ids)
        wrong = ids_given_twice(ids, "parts") + ids_given_twice((each.id for each in self.events), "events")
        wrong += [
            Problem(f"parts › {part.id}", part.kind, "'own' describes parts of kind 'own', and only those.")
            for part in self.parts
            if (part.kind == "own") != (part.own is not None)
        ]
        named = {
            "wishes › must_do": self.wishes.must_do,
            "wishes › leave_alone": self.wishes.leave_alone,
            "wishes › floors": tuple(self.wishes.floors),
            **{f"wishes › sets › {each.name}": each.parts for each in self.wishes.sets},
        }
        wrong += [
            Problem(where, part_id, "is the id of no part.", "Take it out, or add the part.")
            for where, named_there in named.items()
            for part_id in named_there
            if part_id not in known
        ]
        wrong += [
            Problem("wishes", part_id, "is both a must-do and to be left alone.", "Take it out of one of the two.")
            for part_id in sorted(set(self.wishes.must_do) & set(self.wishes.leave_alone))
        ]
        finds = {each.id for each in self.events if isinstance(each, Find)}
        wrong += [
            Problem(f"events › {each.id} › find", each.find, "is the id of no find.", "Name the event that found it.")
            for each in self.events
            if isinstance(each, Spent) and each.find is not None and each.find not in finds
        ]
        if wrong:
            raise Clash(wrong)
        return self
