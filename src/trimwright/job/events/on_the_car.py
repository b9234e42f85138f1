"""What is noted at the car, from its intake to the rebuild: looks, finds, steps, bags, fixings, holds."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Annotated, Literal

from pydantic import AfterValidator, Field, model_validator

from trimwright.facts.fixings import Grade
from trimwright.job.events.happened import NOTHING, Happened, Minutes, Range, Yes
from trimwright.job.fields import (
    IN_ORDER,
    FactId,
    Figure,
    Finish,
    Line,
    Name,
    Slug,
    SlugSet,
    StepId,
)
from trimwright.units import MAX_TORQUE_NM

Answer = Literal["undecided", "from the reserve", "drop others for it", "leave and record"]
BagState = Literal["filled", "back", "written off"]
RestraintLamp = Literal["lights, then goes out", "stays on", "does not light", "no current", "none fitted"]
Angle = Literal[
    "dash", "driver's door open", "passenger's door open", "front seats", "rear seats", "roof", "floor", "boot",
]  # fmt: skip
Checked = Literal["clips in hand", "floor dry", "drains tested", "looms tested"]


def _a_thread(text: str) -> str:
    if not re.fullmatch(r"M\d{1,2}(\.5)?(x\d(\.\d{1,2})?)?", text, re.ASCII):
        raise ValueError("is no metric thread: write M8, or M10x1.25")
    return text


Thread = Annotated[str, AfterValidator(_a_thread)]
TorqueNm = Annotated[Figure, Field(gt=0, le=MAX_TORQUE_NM)]


class Intake(Happened):
    """The car came in: how it was before any work, so that nobody has to argue about it afterwards."""

    kind: Literal["intake"] = Field(default="intake", description="which kind of event it is")
    restraint_lamp: RestraintLamp = Field(
        description="what the airbag and belt lamp does when the key is turned; the end of the job is held to it"
    )
    lamps: tuple[Name, ...] = Field(default=(), description="other warning lamps that stay on")
    faults: tuple[Name, ...] = Field(default=(), description="what did not work before: windows, locks, heater, seats")
    radio_code: Line = Field(default="", description="the radio's code, to be typed in when the battery is back on")
    keys: int = Field(default=1, ge=0, le=20, description="how many keys came with it")
    belongings: tuple[Name, ...] = Field(default=(), description="what lay in the car")
    odometer: Line = Field(default="", description="what the odometer says, with its unit")
    fuel_smell: bool = Field(default=False, description="whether fuel can be smelt: nothing comes off until it is not")
    angles: Annotated[Mapping[Angle, Name], IN_ORDER] = Field(
        default_factory=dict, description="the picture from each angle; the same are taken at the end"
    )
    yes: Yes | None = Field(default=None, description="the owner's signature to all of it")


class Look(Happened):
    """A look was taken, without opening anything, for a fault that was only suspected."""

    kind: Literal["look"] = Field(default="look", description="which kind of event it is")
    find: FactId = Field(description="the trade's id of the fault looked for (`trimwright facts finds`)")
    part: Slug | None = Field(default=None, description="the part looked at; none = the whole cabin")
    there: bool = Field(description="whether it is there")


class Find(Happened):
    """Strip-down found something: what it asks for, and what the owner says to it."""

    kind: Literal["find"] = Field(default="find", description="which kind of event it is")
    part: Slug | None = Field(default=None, description="the part it was found on")
    step: StepId | None = Field(default=None, description="or the strip-down step that showed it")
    find: FactId | None = Field(default=None, description="the suspected fault it is, by the trade's id")
    what: Name = Field(description="what was found, in a few words")
    money: Range = Field(default=NOTHING, description="what dealing with it takes out of the sum [minor units]")
    minutes: Range = Field(default=NOTHING, description="hands-on time of dealing with it [min]")
    must: bool = Field(default=False, description="whether it has to be dealt with; else it may be left")
    left_finish: Finish | None = Field(
        default=None, description="the finish the part can't pass while the find is left; none = it does not show"
    )
    answer: Answer = Field(default="undecided", description="what becomes of it; undecided counts as dealt with")
    drops: SlugSet = Field(default=(), description="promised parts that the answer lets go of")
    yes: Yes | None = Field(default=None, description="the owner's yes to the answer")

    @model_validator(mode="after")
    def _may_be_answered_so(self) -> Find:
        if (self.part is None) == (self.step is None):
            raise ValueError("names a part and a step, or neither: name the one of the two where it was found")
        if self.left_finish is not None and (self.part is None or self.must):
            raise ValueError("has a finish when left but can't be left on a part: take left_finish out")
        if self.must and self.answer == "leave and record":
            raise ValueError("has to be dealt with and is left: choose another answer")
        if self.drops and self.answer != "drop others for it":
            raise ValueError("drops parts though nothing is dropped for it: take drops out, or change the answer")
        return self

    @property
    def is_left(self) -> bool:
        return self.answer == "leave and record"


class Opened(Happened):
    """A strip-down step is done: what it takes off is off, and what lay behind it can be seen."""

    kind: Literal["opened"] = Field(default="opened", description="which kind of event it is")
    step: StepId = Field(description="the strip-down step, such as carpet_main or door_card_f.driver")
    minutes: Minutes = Field(default=0, description="what it took [min]")
    back_on: bool = Field(default=False, description="it is back on as well: nothing of it is left to do")


class Bag(Happened):
    """A bag of fixings: filled as its step came off, emptied as it went back, or written off with a reason."""

    kind: Literal["bag"] = Field(default="bag", description="which kind of event it is")
    step: StepId = Field(description="the strip-down step whose fixings it holds")
    state: BagState = Field(description="what became of it")
    missing: int = Field(default=0, ge=0, le=500, description="fixings that are not there, in all so far")
    broken: int = Field(default=0, ge=0, le=500, description="fixings that broke, in all so far")
    counted: int | None = Field(default=None, ge=0, le=500, description="fixings in it; none = nobody counted")

    @model_validator(mode="after")
    def _says_why(self) -> Bag:
        if self.state == "written off" and not self.note:
            raise ValueError("is written off without a reason: say why in note")
        return self


class FixingKnown(Happened):
    """What is known of one fixing of this car: read off its head, or in the car's own book."""

    kind: Literal["fixing"] = Field(default="fixing", description="which kind of event it is")
    step: StepId = Field(description="the strip-down step it belongs to")
    fixing: Name = Field(description="the trade's name of it (`trimwright facts parts`)")
    there: bool = Field(default=True, description="whether this car has it at all")
    thread: Thread | None = Field(default=None, description="its thread, such as M8 or M10x1.25")
    grade: Grade | None = Field(default=None, description="the property class on its head (ISO 898-1)")
    newton_metres: TorqueNm | None = Field(default=None, description="the torque in the car's own book [N·m]")
    page: Line = Field(default="", description="where that stands in the book")

    @model_validator(mode="after")
    def _tells_something(self) -> FixingKnown:
        told = [each for each in (self.thread, self.grade, self.newton_metres) if each is not None]
        if self.there and not told:
            raise ValueError("tells nothing: give a thread, a class, or the torque in the car's own book")
        if told and not self.there:
            raise ValueError("is not there and yet described: take there out, or the description")
        return self


class Tightened(Happened):
    """A fixing was tightened with a torque wrench."""

    kind: Literal["tightened"] = Field(default="tightened", description="which kind of event it is")
    step: StepId = Field(description="the strip-down step it belongs to")
    fixing: Name = Field(description="the trade's name of it")
    newton_metres: TorqueNm = Field(description="what the wrench was set to [N·m]")


class BookWait(Happened):
    """How long the car's own book has one wait between taking the battery off and touching restraint connectors."""

    kind: Literal["book_wait"] = Field(default="book_wait", description="which kind of event it is")
    minutes: int = Field(ge=1, le=24 * 60, description="the wait, rounded up [min]")
    page: Name = Field(description="where that stands in the book")


class Check(Happened):
    """A hold of the way back was seen to: it stands until what it looks at is laid open again."""

    kind: Literal["check"] = Field(default="check", description="which kind of event it is")
    what: Checked = Field(description="what was found to be so")
