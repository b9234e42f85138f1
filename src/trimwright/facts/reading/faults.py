"""Faults joined to the hidden ones they stand for, looks to the signs of each cause, and usual wear."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from types import MappingProxyType
from typing import get_args

from trimwright.facts.rows import Row, by_id, grouped, rows_of
from trimwright.facts.trade import (
    EQUIPMENT_NAMES,
    EXTENTS,
    Cause,
    Family,
    Fault,
    Find,
    Glance,
    LiesIn,
    PointsAt,
    UsualWear,
)

ANY = "any"
"""Stands for every material family that is not met on restraint parts alone."""
CAUSES: tuple[Cause, ...] = get_args(Cause)
LIES_IN: tuple[LiesIn, ...] = get_args(LiesIn)


def read_faults(families: Mapping[str, Family]) -> MappingProxyType[str, Fault]:
    """Faults with the hidden ones each may stand for."""
    finds = grouped("fault_finds", "fault", lambda row: PointsAt(row.text("find"), row.one_of("from", EXTENTS)))
    unrestrained = tuple(family.id for family in families.values() if not family.restraint)
    return by_id(_fault(row, unrestrained, finds.get(row.text("id"), ())) for row in rows_of("faults"))


def _fault(row: Row, unrestrained: tuple[str, ...], finds: Iterable[PointsAt]) -> Fault:
    materials = row.several("materials")
    return Fault(
        id=row.text("id"),
        name=row.text("name"),
        materials=unrestrained if materials == (ANY,) else materials,
        look_for=row.text("look_for"),
        measure=row.text("measure"),
        grades=(row.text("light"), row.text("medium"), row.text("heavy")),
        likely_cause=row.text("likely_cause"),
        mend_limit=row.text("mend_limit"),
        caps=(row.whole("cap_light"), row.whole("cap_medium"), row.whole("cap_heavy")),
        slide=row.number("slide_a_year"),
        life_years=row.number("life_years"),
        must_deal_from=row.one_of("must_deal_from", EXTENTS) if row.text("must_deal_from") else None,
        stops=row.yes("stops"),
        smells=row.yes("smells"),
        finds=tuple(finds),
        evidence=row.evidence(),
    )


def read_finds() -> MappingProxyType[str, Find]:
    """Hidden faults with the parts each lies behind."""
    parts = grouped("find_parts", "find", lambda row: row.text("part"))
    return by_id(_find(row, parts.get(row.text("id"), ())) for row in rows_of("finds"))


def _find(row: Row, parts: Iterable[str]) -> Find:
    return Find(
        id=row.text("id"),
        name=row.text("name"),
        chance=row.spread("chance_low", "chance_likely", "chance_high"),
        minutes=row.spread("min_low", "min_likely", "min_high"),
        usd=row.spread("low_usd", "likely_usd", "high_usd"),
        cause=row.one_of("cause", CAUSES),
        lies_in=row.one_of("lies_in", LIES_IN),
        must_deal=row.yes("must_deal"),
        evidence=row.evidence(),
        told_by=row.text("told_by") or None,
        seen_off=row.yes("seen_off"),
        only_parts=tuple(parts),
    )


def read_glances() -> MappingProxyType[str, Glance]:
    """Looks worth taking, with the signs of each cause."""
    signs = grouped("look_causes", "look", lambda row: (row.one_of("cause", CAUSES), row.text("sign")))
    return by_id(_glance(row, signs.get(row.text("id"), ())) for row in rows_of("looks"))


def _glance(row: Row, signs: Iterable[tuple[Cause, str]]) -> Glance:
    return Glance(
        id=row.text("id"),
        name=row.text("name"),
        how=row.text("how"),
        minutes=row.whole("minutes"),
        parts=row.several("parts"),
        signs=MappingProxyType(dict(signs)),
        finds=row.several("finds"),
        equipment=row.some_of("equipment", EQUIPMENT_NAMES),
        cautions=row.several("cautions"),
        evidence=row.evidence(),
    )


def read_usual_wear() -> MappingProxyType[str, UsualWear]:
    """What wear usually brings, as it stands."""
    return by_id(map(_usual_wear, rows_of("usual_wear")))


def _usual_wear(row: Row) -> UsualWear:
    used, worn, neglected = (
        row.one_of(each, EXTENTS) if row.text(each) else None for each in ("used", "worn", "neglected")
    )
    return UsualWear(
        id=row.text("id"),
        family=row.text("family"),
        fault=row.text("fault"),
        used=used,
        worn=worn,
        neglected=neglected,
        evidence=row.evidence(),
    )
