"""What happened on a job, as frozen values: intake, looks, finds, what was opened, bagged, tightened, ordered, bought,
done, spent, promised, checked, tested, handed over and looked at again on a visit.

Conventions, said once. Events stand in the order in which they happened: of two promises about a part the later
holds. Money is whole minor units of the job's currency, tax and delivery inside: what it took out of the sum. Minutes
are real ones, by the clock. The part, step or pack an event names may be gone by now: it tells what was. Orders, what
the owner pays and what is kept in the account beside the sum change no plan; single tasks worked on and the shop's
air move dates, never money.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import date, datetime
from typing import Annotated, Literal, Self, get_args

from pydantic import AfterValidator, Field, TypeAdapter, model_validator

from trimwright.facts.fixings import Grade
from trimwright.job.fields import (
    IN_ORDER,
    Colour,
    CourseId,
    FactId,
    Figure,
    FilledText,
    Finish,
    Line,
    Minor,
    Model,
    Name,
    Slug,
    SlugSet,
    StepId,
    TaskId,
    Text,
)
from trimwright.units import MAX_TORQUE_NM

MAX_MINUTES = 100_000

Minutes = Annotated[int, Field(ge=0, le=MAX_MINUTES)]
How = Literal["call", "message", "in person", "signed"]
Answer = Literal["undecided", "from the reserve", "drop others for it", "leave and record"]
Source = Literal["new", "used", "reproduction", "service"]
Thing = Literal["material", "part", "tool", "visit", "carriage", "sundries"]
Paid = Literal["deposit", "stage", "balance", "given back"]
Beside = Literal["owner's material", "core", "left-over"]
WorkState = Literal["begun", "finished"]
BagState = Literal["filled", "back", "written off"]
RestraintLamp = Literal["lights, then goes out", "stays on", "does not light", "no current", "none fitted"]
Angle = Literal[
    "dash", "driver's door open", "passenger's door open", "front seats", "rear seats", "roof", "floor", "boot",
]  # fmt: skip
Checked = Literal["clips in hand", "floor dry", "drains tested", "looms tested"]
SnagState = Literal["open", "put right", "left"]
Result = Literal["passed", "failed", "not on this car"]


def _a_thread(text: str) -> str:
    if not re.fullmatch(r"M\d{1,2}(\.5)?(x\d(\.\d{1,2})?)?", text, re.ASCII):
        raise ValueError("is no metric thread: write M8, or M10x1.25")
    return text


Thread = Annotated[str, AfterValidator(_a_thread)]
TorqueNm = Annotated[Figure, Field(gt=0, le=MAX_TORQUE_NM)]


class Yes(Model):
    """Somebody's yes, as it can be shown later: when, who, how."""

    at: datetime = Field(description="when it was given")
    name: Name = Field(description="who gave it")
    how: How = Field(description="how it was given")


class Range(Model):
    """A figure that is not known yet: least, most likely, most; all three alike once it is."""

    low: int = Field(ge=0, le=10**12, description="the least")
    likely: int = Field(ge=0, le=10**12, description="most likely")
    high: int = Field(ge=0, le=10**12, description="the most")

    @model_validator(mode="after")
    def _in_order(self) -> Range:
        if not self.low <= self.likely <= self.high:
            raise ValueError("low, likely and high must not fall")
        return self


NOTHING = Range(low=0, likely=0, high=0)


class Happened(Model):
    """What every event tells."""

    id: Slug = Field(description="its own in this job")
    at: datetime = Field(description="when")
    by: Line = Field(default="", description="who noted it")
    photos: tuple[Name, ...] = Field(default=(), description="where its pictures are")
    note: Text = Field(default="", description="anything else")


class Note(Happened):
    """Something worth remembering: a call, a question, an agreement beside the plan."""

    kind: Literal["note"] = Field(default="note", description="which kind of event it is")
    part: Slug | None = Field(default=None, description="the part it concerns")
    note: FilledText = Field(description="what happened")


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


class Done(Happened):
    """A part's course is done."""

    kind: Literal["done"] = Field(default="done", description="which kind of event it is")
    part: Slug = Field(description="the part")
    course: CourseId = Field(description="the course done, or leave")
    minutes: Minutes = Field(default=0, description="what it took, all tries together [min]")
    finish: Finish | None = Field(default=None, description="the finish it has now; none = as planned")
    redone: int = Field(default=0, ge=0, le=50, description="times it had to be done again")


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


class Worked(Happened):
    """A task of the calendar was begun, or is finished; what it took is told once more when its part is done."""

    kind: Literal["worked"] = Field(default="worked", description="which kind of event it is")
    task: TaskId = Field(description="the task, as the calendar names it (`trimwright bench`)")
    state: WorkState = Field(description="whether it was begun or is finished")
    minutes: Minutes = Field(default=0, description="hands-on time so far [min]; 0 = nobody looked at the clock")
    redone: int = Field(default=0, ge=0, le=50, description="times it had to be done again")


class Air(Happened):
    """What the thermometer and the hygrometer of the shop read."""

    kind: Literal["air"] = Field(default="air", description="which kind of event it is")
    temperature: Annotated[Figure, Field(ge=-30, le=60)] = Field(description="of the air [°C]")
    humidity: Annotated[Figure, Field(gt=0, le=100)] = Field(description="relative humidity [%]")


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


Event = Annotated[
    Note
    | Intake
    | Look
    | Find
    | Opened
    | Ordered
    | Bought
    | Done
    | Spent
    | Promised
    | Released
    | Payment
    | Account
    | Bag
    | FixingKnown
    | Tightened
    | BookWait
    | Check
    | Snag
    | Tested
    | Worked
    | Air
    | HandedOver
    | Pair
    | Disposed
    | OwnersBook
    | Visited,
    Field(discriminator="kind"),
]
EVENT: TypeAdapter[Event] = TypeAdapter(Event)
"""Reads and writes an event as JSON."""
KINDS: tuple[str, ...] = tuple(each.model_fields["kind"].default for each in get_args(get_args(Event)[0]))
"""Every kind of event."""
