"""The document: one job, from the car and the sum to every part's finish and faults, as frozen validated models.

Conventions, said once. Money is whole minor units of `money.currency`; areas are mm², lengths mm, times minutes
unless a name says hours; finish runs from 0 (ruined) to 10 (as new). A job never changes: an edit makes a new one
(`edits.py`). What a value means beyond its type is said in its description, which the JSON Schema carries.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime
from typing import Annotated, Literal

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, StringConstraints, model_validator

from trimwright.errors import BadInput
from trimwright.facts.trade import Body, Cause, Equipment, Extent, Place
from trimwright.units import MAX_AREA_MM2, MAX_LENGTH_MM, MAX_MONEY_MINOR, exponent

FORMAT = 1
MAX_PARTS = 1000

Fitted = Literal["yes", "no", "unknown"]
Covered = Literal["parts", "materials", "tools", "outside work", "labour", "tax"]
OfferSource = Literal["new", "used", "reproduction"]

Slug = Annotated[str, StringConstraints(pattern=r"^[a-z0-9][a-z0-9_.-]{0,79}$")]
Name = Annotated[str, StringConstraints(strip_whitespace=True, min_length=1, max_length=200)]
Text = Annotated[str, StringConstraints(max_length=20_000)]
Minor = Annotated[int, Field(ge=0, le=MAX_MONEY_MINOR)]
Finish = Annotated[int, Field(ge=0, le=10)]


def _known_currency(code: str) -> str:
    try:
        exponent(code)
    except BadInput as error:
        raise ValueError(str(error.problems[0])) from None
    return code


Currency = Annotated[str, StringConstraints(pattern=r"^[A-Z]{3}$"), AfterValidator(_known_currency)]


class Model(BaseModel):
    """Frozen; refuses what it does not know; no NaN or infinity."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)


class EquipmentFitted(Model):
    """Restraint equipment, item by item. Unknown counts as fitted."""

    driver_airbag: Fitted = "unknown"
    passenger_airbag: Fitted = "unknown"
    side_airbag: Fitted = "unknown"
    curtain_airbag: Fitted = "unknown"
    knee_airbag: Fitted = "unknown"
    seat_sensor: Fitted = "unknown"
    pretensioner: Fitted = "unknown"

    def may_have(self, item: Equipment) -> bool:
        """Whether `item` is fitted or not known to be absent."""
        return bool(getattr(self, item) != "no")

    @property
    def any_restraint_electrics(self) -> bool:
        return any(getattr(self, item) != "no" for item in type(self).model_fields)


class Car(Model):
    text: Name = Field(description="the car in plain words, no make needed")
    year: int = Field(ge=1900, le=2100)
    body: Body
    equipment: EquipmentFitted = EquipmentFitted()
    commercial: bool = Field(True, description="done for money: cover materials need a burn-rate statement")
    units: Literal["metric", "US customary"] = "metric"


class MoneyTerms(Model):
    currency: Currency
    sum: Minor = Field(description="the fixed money [minor units]")
    covers: frozenset[Covered] = Field(
        frozenset({"parts", "materials", "tools", "outside work"}), description="what the sum has to pay for"
    )
    labour_rate: Minor = Field(0, description="one hour of work [minor units], used when the sum covers labour")
    tax_percent: float = Field(0.0, ge=0, le=100, description="added to what is bought, when the sum covers tax")
    sure: float = Field(0.9, ge=0.5, le=0.995, description="how sure the job must end inside the sum")
    rates: Mapping[Currency, Annotated[float, Field(gt=0, le=1e6)]] = Field(
        default_factory=dict, description="how much of the job's currency one USD or one EUR costs, for facts priced in those"
    )

    @model_validator(mode="after")
    def _labour_has_a_rate(self) -> MoneyTerms:
        if "labour" in self.covers and not self.labour_rate:
            raise ValueError("covers labour but labour_rate is 0: give the rate for an hour, or take labour out of covers")
        return self


class TimeTerms(Model):
    hours: float | None = Field(None, ge=0, le=20_000, description="hours on hand; none = no limit")
    hands: int = Field(1, ge=1, le=20)
    week: tuple[Annotated[float, Field(ge=0, le=24)], ...] = Field(
        (4, 4, 4, 4, 4, 6, 0), min_length=7, max_length=7, description="working hours, Monday to Sunday"
    )
    start: date | None = None
    wanted_by: date | None = None


class MatchingSet(Model):
    """Parts that are seen together: they end within `within` finish steps of each other, or it costs points."""

    name: Name
    parts: tuple[Slug, ...] = Field(min_length=2)
    within: int = Field(1, ge=0, le=10)


class Wishes(Model):
    zones: Mapping[str, Annotated[float, Field(ge=0, le=3)]] = Field(
        default_factory=dict, description="how much a zone matters; 1 where nothing is said"
    )
    years: float = Field(3.0, gt=0, le=30, description="years the result should hold")
    originality: float = Field(0.0, ge=0, le=1, description="how much keeping the original part is worth")
    floor: Finish | None = Field(None, description="no part in plain sight ends below this finish")
    floors: Mapping[Slug, Finish] = Field(default_factory=dict, description="the same for single parts")
    must_do: tuple[Slug, ...] = Field((), description="parts that may not be left as they are")
    leave_alone: tuple[Slug, ...] = Field((), description="parts that are not touched")
    sets: tuple[MatchingSet, ...] = ()


class PartFault(Model):
    fault: Slug
    extent: Extent
    note: Text = ""


class Offer(Model):
    """A price for the part itself: three points, where from, and what it costs to get here."""

    source: OfferSource
    low: Minor
    likely: Minor
    high: Minor
    delivery: Minor = 0
    days: int = Field(7, ge=0, le=400)
    seller: Annotated[str, StringConstraints(max_length=200)] = ""
    finish: Finish | None = Field(None, description="what finish it would have, when that is known")

    @model_validator(mode="after")
    def _in_order(self) -> Offer:
        if not self.low <= self.likely <= self.high:
            raise ValueError("low, likely and high must not fall")
        return self


class OwnKind(Model):
    """What the trade's list does not have: a part described by the person."""

    zone: Name
    sight: int = Field(2, ge=0, le=3)
    touch: int = Field(1, ge=0, le=3)
    is_restraint: bool = False
    airbag_behind: tuple[Equipment, ...] = ()
    head_impact: bool = False
    off_minutes: int = Field(0, ge=0, le=3000)
    back_minutes: int = Field(0, ge=0, le=3000)


class Part(Model):
    """One surveyed part; left and right are two parts."""

    id: Slug
    kind: Slug = Field(description="the trade's name for it (`trimwright facts parts`), or 'own'")
    name: Name
    place: Place | None = None
    own: OwnKind | None = Field(None, description="only for kind 'own'")
    count: int = Field(1, ge=1, le=500, description="like pieces surveyed as one: scales cost, not importance")
    material: Slug
    colour: Annotated[str, StringConstraints(max_length=60)] = ""
    area_mm2: int | None = Field(None, gt=0, le=MAX_AREA_MM2, description="of all pieces together; none = the trade's figure")
    length_mm: int | None = Field(None, gt=0, le=MAX_LENGTH_MM, description="seams and edges together")
    finish_now: Finish | None = Field(None, description="0 ruined … 10 as new; none = can't be seen yet")
    faults: tuple[PartFault, ...] = ()
    missing: int = Field(0, ge=0, le=500, description="clips, screws and lugs missing or broken")
    offers: tuple[Offer, ...] = ()
    pin: Annotated[str, StringConstraints(max_length=400)] | None = Field(
        None, description="the course or leading treatment it must have"
    )
    bans: tuple[Slug, ...] = Field((), description="treatments it must not have")
    notes: Text = ""
    photos: tuple[Name, ...] = ()


class StockItem(Model):
    material: Slug
    colour: Annotated[str, StringConstraints(max_length=60)] = ""
    amount: float = Field(gt=0, le=10_000, description="in the material's own unit")


class Event(Model):
    """Something that happened, with its date: a note, a call, a look taken. The job's memory."""

    id: Slug
    at: datetime
    part: Slug | None = None
    what: Annotated[str, StringConstraints(min_length=1, max_length=20_000)]
    by: Annotated[str, StringConstraints(max_length=200)] = ""
    photos: tuple[Name, ...] = ()


class Job(Model):
    """One job, whole."""

    format: Literal[1] = FORMAT
    id: Slug
    name: Name
    car: Car
    money: MoneyTerms
    time: TimeTerms = TimeTerms()
    wishes: Wishes = Wishes()
    causes: Mapping[Cause, Literal["unknown", "none seen", "seen"]] = Field(
        default_factory=dict, description="what a look has told about damp, sun, wear, earlier work"
    )
    parts: tuple[Part, ...] = Field(max_length=MAX_PARTS)
    stock: tuple[StockItem, ...] = ()
    tools: tuple[Slug, ...] = Field((), description="tools owned")
    capabilities: frozenset[Literal["air_fed_mask", "booth"]] = Field(
        frozenset(), description="what two-pack spraying needs; declared by the shop, never bought by the plan"
    )
    events: tuple[Event, ...] = ()

    def part(self, part_id: str) -> Part:
        """The part with this id; KeyError when there is none."""
        for part in self.parts:
            if part.id == part_id:
                return part
        raise KeyError(part_id)

    @model_validator(mode="after")
    def _ids_are_unique_and_known(self) -> Job:
        wrong: list[str] = []
        seen: set[str] = set()
        for part in self.parts:
            if part.id in seen:
                wrong.append(f"part id {part.id!r} stands twice: give one of them another id")
            seen.add(part.id)
            if (part.kind == "own") != (part.own is not None):
                wrong.append(f"part {part.id!r}: 'own' describes parts of kind 'own', and only those")
        named = {
            "wishes.must_do": self.wishes.must_do,
            "wishes.leave_alone": self.wishes.leave_alone,
            "wishes.floors": tuple(self.wishes.floors),
            **{f"wishes.sets {each.name!r}": each.parts for each in self.wishes.sets},
            "events": tuple(event.part for event in self.events if event.part),
        }
        for place, ids in named.items():
            wrong += [f"{place}: no part has the id {part_id!r}" for part_id in ids if part_id not in seen]
        both = set(self.wishes.must_do) & set(self.wishes.leave_alone)
        wrong += [f"wishes: {part_id!r} is both a must-do and to be left alone" for part_id in sorted(both)]
        if wrong:
            raise ValueError("; ".join(wrong))
        return self
