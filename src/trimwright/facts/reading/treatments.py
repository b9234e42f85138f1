"""Treatments joined to what each suits, needs first, uses and takes, step by step."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import replace
from types import MappingProxyType
from typing import Any, get_args

from trimwright.facts.reading.parts import BOUGHT
from trimwright.facts.rows import Row, by_id, grouped, rows_of
from trimwright.facts.trade import (
    EXTENTS,
    First,
    Look,
    NeedsAir,
    PartKind,
    Pause,
    Per,
    Rate,
    Reach,
    RecipeStep,
    Suits,
    Treatment,
    TreatmentKind,
    Wait,
    WorkPlace,
)

COATS = "coats"
"""Stands for as many times as the treatment has coats."""
MOVED_BY = ("warmth", "damp")
KINDS: tuple[TreatmentKind, ...] = get_args(TreatmentKind)
LOOKS: tuple[Look, ...] = get_args(Look)
NEEDS_AIR: tuple[NeedsAir, ...] = get_args(NeedsAir)
PAUSES: tuple[Pause, ...] = get_args(Pause)
PERS: tuple[Per, ...] = get_args(Per)
REACHES: tuple[Reach, ...] = get_args(Reach)
WORK_PLACES: tuple[WorkPlace, ...] = get_args(WorkPlace)


def read_treatments(parts: Mapping[str, PartKind]) -> MappingProxyType[str, Treatment]:
    """Treatments with what each suits, needs first, uses and takes, step by step."""
    uses: defaultdict[str, dict[str, list[Rate]]] = defaultdict(dict)
    for row in rows_of("treatment_uses"):
        uses[row.text("treatment")].setdefault(row.text("material"), []).append(_rate(row))
    hours = grouped("treatment_hours", "treatment", _hours)
    steps = grouped("treatment_steps", "treatment", _recipe_step)
    suits = grouped("treatment_suits", "treatment", _suits)
    firsts = grouped("treatment_first", "treatment", _first)
    limits = grouped("treatment_parts", "treatment", lambda row: (row.text("part"), row.yes("only")))
    return by_id(
        _treatment(
            row,
            suits=tuple(suits.get(row.text("id"), ())),
            only_parts=_only_parts(limits.get(row.text("id"), ()), parts),
            first=tuple(firsts.get(row.text("id"), ())),
            uses=tuple((material, tuple(rates)) for material, rates in uses.get(row.text("id"), {}).items()),
            hours=tuple(hours.get(row.text("id"), ())),
            steps=_made(steps.get(row.text("id"), ()), row.whole("coats")),
        )
        for row in rows_of("treatments")
    )


def _made(steps: Iterable[tuple[RecipeStep, bool]], coats: int) -> tuple[RecipeStep, ...]:
    """The steps, those of a coat as often as there are coats."""
    return tuple(replace(step, times=coats) if each_coat else step for step, each_coat in steps)


def _only_parts(limits: Iterable[tuple[str, bool]], parts: Mapping[str, PartKind]) -> tuple[str, ...]:
    """The kinds a treatment is for: those named, or all but those named; empty means any."""
    named = tuple(part for part, only in limits if only)
    barred = {part for part, only in limits if not only}
    if named or not barred:
        return named
    return tuple(kind.id for kind in parts.values() if not (kind.id in barred or kind.is_step or kind.is_restraint))


def _treatment(row: Row, **relations: Any) -> Treatment:
    low, high = row.number("hours_low"), row.number("hours_high")
    return Treatment(
        id=row.text("id"),
        name=row.text("name"),
        kind=row.one_of("kind", KINDS),
        materials=row.several("materials"),
        suits_any=row.yes("settles_all"),
        reach=row.one_of("reach", REACHES),
        hours_spread=(low, high),
        coats=row.whole("coats"),
        temp_min_c=row.number_or_none("temp_min_c"),
        temp_best_c=row.number_or_none("temp_best_c"),
        rh_max_pct=row.number_or_none("rh_max_pct"),
        abrasives=row.text("abrasives"),
        finish=row.whole_spread("finish_low", "finish", "finish_high"),
        life_years=row.spread("life_low", "life", "life_high"),
        redo=(row.number("redo_low"), row.number("redo_high")),
        skill=row.whole("skill"),
        tools=row.several("tools"),
        batch=row.text("batch") or None,
        batch_minutes=row.whole("batch_min"),
        visit=row.text("visit") or None,
        buys=row.one_of("buys", BOUGHT) if row.text("buys") else None,
        on_restraint=row.yes("on_restraint"),
        over_airbag=row.yes("over_airbag"),
        on_sensor_seat=row.yes("on_sensor_seat"),
        on_head_impact=row.yes("on_head_impact"),
        needs_capability=row.several("needs_capability"),
        kept=row.number("kept"),
        look=row.one_of("look", LOOKS),
        lasts=row.yes("lasts"),
        wish=row.yes("wish"),
        cautions=row.several("cautions"),
        not_for=row.text("not_for"),
        evidence=row.evidence(),
        **relations,
    )


def _rate(row: Row) -> Rate:
    return Rate(
        amount=row.number("amount"),
        per=row.one_of("per", PERS),
        each_coat=row.yes("each_coat"),
        waste=row.number("waste"),
        divisor=row.number("divisor"),
        divisor_name=row.text("divisor_name"),
    )


def _hours(row: Row) -> Rate:
    return Rate(amount=row.number("hours"), per=row.one_of("per", PERS), each_coat=row.yes("each_coat"))


def _recipe_step(row: Row) -> tuple[RecipeStep, bool]:
    """The step, and whether it is made once for each of the treatment's coats."""
    each_coat = row.text("times") == COATS
    step = RecipeStep(
        text=row.text("step"),
        share=row.number("share") / 100,
        times=1 if each_coat else row.whole("times"),
        place=row.one_of("place", WORK_PLACES),
        pause=row.one_of("pause", PAUSES),
        air=row.one_of("air", NEEDS_AIR) if row.text("air") else None,
        materials=row.yes("materials"),
        wait=_wait(row) if row.text("wait") else None,
        evidence=row.evidence(),
    )
    return step, each_coat


def _wait(row: Row) -> Wait:
    moved_by = row.some_of("moved_by", MOVED_BY)
    return Wait(
        name=row.text("wait"),
        hours=row.spread("low_h", "likely_h", "high_h"),
        place=row.text("wait_place"),
        closes=row.yes("closes"),
        warmth="warmth" in moved_by,
        damp="damp" in moved_by,
    )


def _suits(row: Row) -> Suits:
    return Suits(row.text("fault"), row.one_of("upto", EXTENTS))


def _first(row: Row) -> First:
    return First(row.text("first"), row.text("if_fault") or None, row.text("if_material") or None)
