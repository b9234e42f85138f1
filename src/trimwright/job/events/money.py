"""What was promised for the sum, and what was ordered, bought, spent and paid; and the account beside it."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from trimwright.job.events.happened import Happened, Minutes, Yes
from trimwright.job.fields import (
    IN_ORDER,
    Colour,
    CourseId,
    FactId,
    Figure,
    Finish,
    Line,
    Minor,
    Name,
    Slug,
    SlugSet,
)

Source = Literal["new", "used", "reproduction", "service"]
Thing = Literal["material", "part", "tool", "visit", "carriage", "sundries"]
Paid = Literal["deposit", "stage", "balance", "given back"]
Beside = Literal["owner's material", "core", "left-over"]


class OfAThing(Happened):
    """What an event of something bought names: what it is, and whose."""

    thing: Thing = Field(description="what it is")
    material: FactId | None = Field(default=None, description="of a material: the trade's id")
    colour: Colour = Field(default="", description="of a material that comes in colours")
    pack: FactId | None = Field(default=None, description="of a material: the trade's pack")
    count: int = Field(default=1, ge=1, le=10_000, description="of a material: how many packs")
    part: Slug | None = Field(default=None, description="of a part, or of work sent out: the part it is for")
    source: Source | None = Field(default=None, description="of a part: where it comes from; service = work sent out")
    seller: Line = Field(default="", description="who sells it")
    tool: FactId | None = Field(default=None, description="of a tool or a visit: the trade's id")

    @model_validator(mode="after")
    def _names_its_thing(self) -> Self:
        wanted = {
            "material": {"material"},
            "part": {"part", "source"},
            "tool": {"tool"},
            "visit": {"tool"},
            "carriage": set[str](),
            "sundries": set[str](),
        }[self.thing]
        named = {each for each in ("material", "part", "source", "tool") if getattr(self, each) is not None}
        if named != wanted:
            told = " and ".join(sorted(wanted)) or "nothing of material, part, source, tool"
            raise ValueError(f"is {self.thing} and must name {told}: correct what it names")
        return self

    @property
    def named(self) -> tuple[str | None, ...]:
        """What tells it from other things, whoever sells it."""
        return self.thing, self.material, self.colour.casefold(), self.pack, self.part, self.source, self.tool


class Ordered(OfAThing):
    """Something was ordered; nothing is paid yet, and the plan does not count on it."""

    kind: Literal["ordered"] = Field(default="ordered", description="which kind of event it is")
    expected: Minor = Field(default=0, description="what all of it should cost [minor units]; 0 = nobody said")
    off: bool = Field(default=False, description="what has not come of it is no longer waited for")

    @model_validator(mode="after")
    def _names_its_pack(self) -> Ordered:
        if self.thing == "material" and self.pack is None:
            raise ValueError("must say which pack: name the trade's, or one of the shop's own")
        return self


class Bought(OfAThing):
    """Something was bought and paid."""

    kind: Literal["bought"] = Field(default="bought", description="which kind of event it is")
    paid: Minor = Field(description="for all of it [minor units]")
    amount: Figure | None = Field(
        default=None, gt=0, le=10_000, description="of a material in no pack of the trade's: how much, in its own unit"
    )
    finish: Finish | None = Field(default=None, description="of a part: the finish it has, when that is known")
    returned: Minor | None = Field(
        default=None, description="it went back and so much money came back [minor units]; none = it is here"
    )
    order: Slug | None = Field(default=None, description="the order it came of, by its event")

    @model_validator(mode="after")
    def _adds_up(self) -> Bought:
        if self.thing == "material" and (self.pack is None) == (self.amount is None):
            raise ValueError("must say which pack, or how much where it is none of the trade's: give one of the two")
        if self.returned is not None and self.returned > self.paid:
            raise ValueError("brought back more than was paid: check the two sums")
        return self

    @property
    def cost(self) -> int:
        """What it took out of the sum for good [minor]."""
        return self.paid - (self.returned or 0)


class Spent(Happened):
    """Money or time that went elsewhere: hours lost, a wrong part, a find dealt with."""

    kind: Literal["spent"] = Field(default="spent", description="which kind of event it is")
    what: Name = Field(description="on what")
    part: Slug | None = Field(default=None, description="the part it concerns")
    money: Minor = Field(default=0, description="money [minor units]")
    minutes: Minutes = Field(default=0, description="time [min]")
    find: Slug | None = Field(default=None, description="the find this dealt with, by its event: it asks no more")
    line: FactId | None = Field(
        default=None, description="the line of the whole job this was (make_safe, photographs): it asks no more"
    )


class Promised(Happened):
    """The owner was promised what happens to these parts, for a sum."""

    kind: Literal["promised"] = Field(default="promised", description="which kind of event it is")
    verdicts: Annotated[Mapping[Slug, CourseId], IN_ORDER, Field(min_length=1)] = Field(
        description="the course promised for each part, by their ids"
    )
    sum: Minor = Field(description="the sum it was promised for [minor units]")
    yes: Yes = Field(description="the owner's yes")


class Released(Happened):
    """Parts about which nothing is promised any more."""

    kind: Literal["released"] = Field(default="released", description="which kind of event it is")
    parts: Annotated[SlugSet, Field(min_length=1)] = Field(description="ids of the parts")
    yes: Yes | None = Field(default=None, description="the owner's yes")


class Payment(Happened):
    """The owner paid, or was given something back."""

    kind: Literal["payment"] = Field(default="payment", description="which kind of event it is")
    what: Paid = Field(description="what it was for; given back = to the owner")
    money: Minor = Field(description="how much [minor units]")
    how: Line = Field(default="", description="how it was paid, such as cash or transfer")


class Account(Happened):
    """Something kept in the account beside the sum: what the owner brings, a core to return, a left-over to sell."""

    kind: Literal["account"] = Field(default="account", description="which kind of event it is")
    what: Beside = Field(description="which of the three")
    name: Name = Field(description="what it is, in a few words")
    part: Slug | None = Field(default=None, description="the part it concerns")
    material: FactId | None = Field(default=None, description="of a left-over put on the shelf: the trade's id")
    colour: Colour = Field(default="", description="its colour, where it comes in colours")
    money: Minor = Field(
        default=0,
        description="of the owner's material, the fee for working it; of a core, what the seller holds; of a "
        "left-over, what it should bring [minor units]",
    )
    until: date | None = Field(default=None, description="the last day for it")
    came: Minor | None = Field(
        default=None, description="what came of it in the end [minor units]; none = it is still open"
    )
    for_owner: bool = Field(default=False, description="what comes of it is taken off the owner's bill")
