"""The end of a job and after it: snags, tests, the car given back, the hand-over book, waste, visits."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Annotated, Literal

from pydantic import Field, model_validator

from trimwright.job.events.happened import Happened, Minutes, Yes
from trimwright.job.fields import (
    IN_ORDER,
    FactId,
    Finish,
    Line,
    Name,
    Slug,
    Text,
)

SnagState = Literal["open", "put right", "left"]
Result = Literal["passed", "failed", "not on this car"]


class Snag(Happened):
    """Something that is not right yet at the end, and what putting it right took."""

    kind: Literal["snag"] = Field(default="snag", description="which kind of event it is")
    what: Name = Field(description="what is not right, in a few words")
    part: Slug | None = Field(default=None, description="the part it concerns")
    test: FactId | None = Field(default=None, description="the final test that showed it, by the trade's id")
    state: SnagState = Field(default="open", description="what became of it")
    minutes: Minutes = Field(default=0, description="what putting it right took, all tries together [min]")

    @model_validator(mode="after")
    def _says_why(self) -> Snag:
        if self.state == "left" and not self.note:
            raise ValueError("is left without a reason: say in note why, and who agreed")
        return self


class Tested(Happened):
    """Final tests were made, some or all; with a yes the test sheet is signed."""

    kind: Literal["tested"] = Field(default="tested", description="which kind of event it is")
    results: Annotated[Mapping[FactId, Result], IN_ORDER] = Field(
        default_factory=dict, description="what each test came to, by the trade's ids; a later result holds"
    )
    trained: Line = Field(default="", description="who of licensed practice made those that only they may make")
    yes: Yes | None = Field(default=None, description="who signs for the whole sheet")

    @model_validator(mode="after")
    def _tells_something(self) -> Tested:
        if not self.results and self.yes is None:
            raise ValueError("tells nothing: give a result, or who signs")
        return self


class HandedOver(Happened):
    """The car went back to its owner, and the job is closed."""

    kind: Literal["handed_over"] = Field(default="handed_over", description="which kind of event it is")
    yes: Yes | None = Field(default=None, description="who took it over")


class Pair(Happened):
    """Two photos of one place, before and after, for the hand-over book."""

    kind: Literal["pair"] = Field(default="pair", description="which kind of event it is")
    part: Slug | None = Field(default=None, description="the part they show; none = the cabin")
    before: Name = Field(description="the earlier photo")
    after: Name = Field(description="the later photo")

    @model_validator(mode="after")
    def _are_two(self) -> Pair:
        if self.before == self.after:
            raise ValueError("shows one photo twice: choose two")
        return self


class Disposed(Happened):
    """Waste went away: used solvent, rags, a unit that can fire."""

    kind: Literal["disposed"] = Field(default="disposed", description="which kind of event it is")
    what: Name = Field(description="what it was")
    amount: Line = Field(default="", description="how much, with its unit")
    how: Name = Field(description="where it went, and how")


class OwnersBook(Happened):
    """What the shop says in the hand-over book beside what the job tells; the last holds."""

    kind: Literal["owners_book"] = Field(default="owners_book", description="which kind of event it is")
    warranty: Text = Field(default="", description="the shop's warranty, in its own words")
    care: Text = Field(default="", description="what to look after in this car, beside the usual")
    follow_ups: tuple[date, ...] = Field(default=(), max_length=10, description="days on which the car is seen again")
    shows_money: bool = Field(default=False, description="whether the owner sees what was planned and what was spent")
    yes: Yes | None = Field(default=None, description="the owner's signature for the book")


class Visited(Happened):
    """A part was looked at on a follow-up visit; the shop book learns how long work holds."""

    kind: Literal["visited"] = Field(default="visited", description="which kind of event it is")
    part: Slug = Field(description="the part")
    held: bool = Field(description="whether the work on it has held; else it was put right or has to be done again")
    finish: Finish | None = Field(default=None, description="the finish it has now; none = nobody said")
    moved: Line = Field(default="", description="what has moved, come loose or opened")
    stitched: bool = Field(default=False, description="whether its stitching was gone over")
    wear: Line = Field(default="", description="where it wears, and how")
    minutes: Minutes = Field(default=0, description="what was spent on it, as goodwill: no plan counts it [min]")
