"""Kinds of parts, joined to what must come off before, what holds them, how they are handled and what they touch."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from types import MappingProxyType
from typing import Any, get_args

from trimwright.facts.fixings import Doing, Fixing, Form, Handling, Holds, Once, When
from trimwright.facts.rows import Row, by_id, grouped, rows_of
from trimwright.facts.trade import (
    EQUIPMENT_NAMES,
    Body,
    Buys,
    PartKind,
    Place,
    Spread3,
)

BODIES: tuple[Body, ...] = get_args(Body)
BOUGHT: tuple[Buys, ...] = get_args(Buys)
DOINGS: tuple[Doing, ...] = get_args(Doing)
FORMS: tuple[Form, ...] = get_args(Form)
HOLDS: tuple[Holds, ...] = get_args(Holds)
ONCE: tuple[Once, ...] = get_args(Once)
PLACES: tuple[Place, ...] = get_args(Place)
WHENS: tuple[When, ...] = get_args(When)


def read_parts() -> MappingProxyType[str, PartKind]:
    """Part kinds with what must come off before, what holds them, how they are handled, what they touch (told once a
    pair) and guessed prices."""
    held = grouped("part_fixings", "part", _fixing)
    handled = grouped("part_handling", "part", _handling)
    after = grouped("part_after", "part", lambda row: row.several("after", "/"))
    touches: defaultdict[str, list[str]] = defaultdict(list)
    for row in rows_of("part_touches"):
        touches[row.text("part")].append(row.text("beside"))
        touches[row.text("beside")].append(row.text("part"))
    prices: defaultdict[str, dict[str, Spread3]] = defaultdict(dict)
    for row in rows_of("part_prices"):
        prices[row.text("part")][row.one_of("bought", BOUGHT)] = row.spread("low_usd", "likely_usd", "high_usd")
    return by_id(
        _part(
            row,
            prices.get(row.text("id"), {}),
            comes_off_after=tuple(after.get(row.text("id"), ())),
            fixings=tuple(held.get(row.text("id"), ())),
            handling=tuple(handled.get(row.text("id"), ())),
            touches=tuple(touches.get(row.text("id"), ())),
        )
        for row in rows_of("parts")
    )


def _part(row: Row, prices: Mapping[str, Spread3], **relations: Any) -> PartKind:
    low, likely, high = (round(each * 1e6) for each in row.spread("area_low_m2", "area_m2", "area_high_m2"))
    return PartKind(
        id=row.text("id"),
        name=row.text("name"),
        zone=row.text("zone"),
        bodies=frozenset(row.some_of("bodies", BODIES)),
        places=row.some_of("places", PLACES),
        usual=row.yes("usual"),
        years=(row.whole("first_year"), row.whole("last_year")),
        needs_equipment=row.one_of("needs", EQUIPMENT_NAMES) if row.text("needs") else None,
        without_equipment=row.one_of("without", EQUIPMENT_NAMES) if row.text("without") else None,
        count=row.whole("count"),
        materials=row.several("materials"),
        area_mm2=(low, likely, high),
        length_mm=round(row.number("length_m") * 1000),
        sight=row.whole("sight"),
        touch=row.whole("touch"),
        wear=row.number("wear"),
        is_restraint=row.yes("restraint"),
        airbag_behind=row.some_of("airbag_behind", EQUIPMENT_NAMES),
        head_impact=row.yes("head_impact"),
        needs_hold=row.yes("hold"),
        burn_rate=row.yes("burn_rate"),
        part_of=row.text("part_of") or None,
        rests_on=row.several("rests_on"),
        matching_set=row.text("matching_set") or None,
        is_step=row.yes("step"),
        clips=row.whole("clips"),
        clip_loss=row.number("clip_loss"),
        off_min=(row.whole("off_low_min"), row.whole("off_high_min")),
        back_min=(row.whole("back_low_min"), row.whole("back_high_min")),
        guessed_prices_usd=MappingProxyType(dict(prices)),
        note=row.text("note"),
        evidence=row.evidence(),
        by_door=row.yes("by_door"),
        wear_driver=row.number("wear_driver"),
        **relations,
    )


def _fixing(row: Row) -> Fixing:
    return Fixing(
        name=row.text("fixing"),
        form=row.one_of("form", FORMS),
        least=row.whole("least") if row.text("least") else None,
        most=row.whole("most") if row.text("most") else None,
        drive=row.text("drive"),
        used_once=row.one_of("used_once", ONCE),
        holds=row.one_of("holds", HOLDS) if row.text("holds") else None,
        fires=row.one_of("fires", EQUIPMENT_NAMES) if row.text("fires") else None,
        evidence=row.evidence(),
    )


def _handling(row: Row) -> Handling:
    return Handling(
        when=row.one_of("when", WHENS),
        doing=row.one_of("what", DOINGS),
        text=row.text("text"),
        fitted=row.one_of("fitted", EQUIPMENT_NAMES) if row.text("fitted") else None,
        evidence=row.evidence(),
    )
