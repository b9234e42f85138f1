"""Treatments of the shop's own: what it can do that the trade's list does not have, as frozen models.

Never for what holds people: no family met only on restraint parts, no fault that must be dealt with or stops a part,
and nothing where an airbag or a sensor lies or a head may strike. Those are settled by the trade's own ways alone.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Annotated, Literal

from pydantic import Field, model_validator

from trimwright.errors import Problem
from trimwright.facts.trade import Evidence, Extent, Fault, Look, Per, Rate, Reach, RecipeStep, Suits, Trade, Treatment
from trimwright.job.fields import FactId, FactIds, Figure, Finish, Line, Model, Name
from trimwright.job.refusals import near

OwnKind = Literal["clean", "mend", "refinish", "re-cover"]
LOOKS: Mapping[OwnKind, Look] = {
    "clean": "original", "mend": "original", "refinish": "recoloured", "re-cover": "re-covered",
}  # fmt: skip
KEPT: Mapping[OwnKind, float] = {"clean": 1.0, "mend": 0.92, "refinish": 0.8, "re-cover": 0.3}
"""How much of the original part is kept; the middle of what the trade's treatments of the kind keep."""
SKILL = 2
"""What is learned on a few jobs; the shop that has a way of its own has learned it."""

Share = Annotated[Figure, Field(ge=0, le=1)]
Years = Annotated[Figure, Field(gt=0, le=60)]


class OwnSuit(Model):
    """A fault that it settles, and how bad it may be."""

    fault: FactId = Field(description="the trade's id for it (`trimwright facts faults`)")
    upto: Extent = Field(description="the worst extent it settles")


class OwnHours(Model):
    """Hands-on time of a practised hand."""

    amount: Figure = Field(gt=0, le=200, description="hours")
    per: Per = Field(default="job", description="for the part, or for each m², m or piece of it")


class OwnUse(Model):
    """A material that it uses up."""

    material: FactId = Field(description="the trade's id for it (`trimwright facts materials`)")
    amount: Figure = Field(gt=0, le=1000, description="in the material's own unit, waste inside")
    per: Per = Field(default="job", description="for the part, or for each m², m or piece of it")


class OwnTreatment(Model):
    """A treatment that the trade's list does not have."""

    id: FactId = Field(description="its own in this book")
    name: Name = Field(description="what it is called")
    kind: OwnKind = Field(description="what is done to the part")
    families: Annotated[FactIds, Field(min_length=1)] = Field(description="materials it is for, by family")
    suits: Annotated[tuple[OwnSuit, ...], Field(min_length=1, max_length=40)] = Field(description="faults it settles")
    hours: Annotated[tuple[OwnHours, ...], Field(min_length=1, max_length=4)] = Field(description="added up")
    hours_spread: tuple[Annotated[Figure, Field(gt=0, le=1)], Annotated[Figure, Field(ge=1, le=10)]] = Field(
        default=(0.7, 1.6), description="quickest and slowest, as multiples of the hours"
    )
    uses: Annotated[tuple[OwnUse, ...], Field(max_length=40)] = Field(default=(), description="materials it uses")
    finish: tuple[Finish, Finish, Finish] = Field(description="finish it gives: at worst, usually, at best")
    life: tuple[Years, Years, Years] = Field(description="years it holds: fewest, usual, most")
    redo: tuple[Share, Share] = Field(description="chance it has to be done again: low and high")
    reach: Reach = Field(default="in place", description="whether the part comes off for it")
    tools: FactIds = Field(default=(), description="tools it needs, by the trade's ids")
    cautions: FactIds = Field(default=(), description="usual cautions, by the trade's ids")
    not_for: Line = Field(default="", description="what it is not for")

    @model_validator(mode="after")
    def _in_order(self) -> OwnTreatment:
        for name, values in (("finish", self.finish), ("life", self.life), ("redo", self.redo)):
            if list(values) != sorted(values):
                raise ValueError(f"has a {name} that falls: write the low figure first")
        if len({each.fault for each in self.suits}) < len(self.suits):
            raise ValueError("names a fault twice: keep its worst extent")
        return self


def as_treatment(own: OwnTreatment, source: str) -> Treatment:
    """The treatment as the engine knows it: on no restraint part, over no airbag or sensor, where no head strikes."""
    uses: dict[str, list[Rate]] = {}
    for use in own.uses:
        uses.setdefault(use.material, []).append(Rate(use.amount, use.per))
    return Treatment(
        id=own.id,
        name=own.name,
        kind=own.kind,
        materials=own.families,
        suits=tuple(Suits(each.fault, each.upto) for each in own.suits),
        suits_any=False,
        only_parts=(),
        first=(),
        reach=own.reach,
        steps=(RecipeStep(own.name, 1.0, 1, "bench", "any", None, True, None, Evidence("own book", source)),),
        uses=tuple((material, tuple(rates)) for material, rates in uses.items()),
        hours=tuple(Rate(each.amount, each.per) for each in own.hours),
        hours_spread=own.hours_spread,
        coats=0,
        temp_min_c=None,
        temp_best_c=None,
        rh_max_pct=None,
        abrasives="",
        finish=own.finish,
        life_years=own.life,
        redo=own.redo,
        skill=SKILL,
        tools=own.tools,
        batch=None,
        batch_minutes=0,
        visit=None,
        buys=None,
        on_restraint=False,
        over_airbag=False,
        on_sensor_seat=False,
        on_head_impact=False,
        needs_capability=(),
        kept=KEPT[own.kind],
        look=LOOKS[own.kind],
        lasts=True,
        cautions=own.cautions,
        not_for=own.not_for,
        evidence=Evidence("own book", source, "own treatment"),
    )


def may_be_settled(fault: Fault) -> bool:
    """Whether a treatment of one's own may settle it: not what must be dealt with, nor what stops all other work."""
    return not fault.must_deal and not fault.stops


def problems_of_treatment(own: OwnTreatment, trade: Trade) -> Iterator[Problem]:
    """What of it the trade does not know, or may never be treated by a way of one's own."""
    where = f"treatments › {own.id}"
    if own.id in trade.treatments:
        yield Problem(where, own.id, "is a treatment of the trade's list.", "Give yours another id.")
    for field, given, known in (
        ("families", own.families, trade.families),
        ("suits", [each.fault for each in own.suits], trade.faults),
        ("uses", [each.material for each in own.uses], trade.materials),
        ("tools", own.tools, trade.tools),
        ("cautions", own.cautions, trade.cautions),
    ):
        for each in given:
            if each not in known:
                way_out = near(each, known) or "See `trimwright facts`."
                yield Problem(f"{where} › {field}", each, "is nothing that the trade knows.", way_out)
    for each in own.families:
        if each in trade.families and trade.families[each].restraint:
            what = "is what holds people: it is replaced new, or wiped as its maker allows, and nothing else."
            yield Problem(f"{where} › families", each, what, "Take it out.")
    for suit in own.suits:
        fault = trade.faults.get(suit.fault)
        if fault is None:
            continue
        if not may_be_settled(fault):
            what = "is settled by the trade's own ways alone: it holds people, or stops all other work on the part."
            yield Problem(f"{where} › suits", suit.fault, what, "Take it out.")
        elif not any(trade.is_for(each, fault.materials) for each in own.families):
            yield Problem(f"{where} › suits", suit.fault, "is met on none of its materials.", "Take it out.")
