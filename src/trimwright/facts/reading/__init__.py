"""The tables of the trade become typed values: one function a table, each relation joined to what it belongs to.

Ids are not looked up here: a test proves that every one resolves, so that reading stays quick.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from importlib.resources import files
from types import MappingProxyType

from trimwright.facts.reading.faults import read_faults, read_finds, read_glances, read_usual_wear
from trimwright.facts.reading.goods import read_materials, read_suppliers, read_tools
from trimwright.facts.reading.parts import read_parts
from trimwright.facts.reading.treatments import read_treatments
from trimwright.facts.rows import Row, by_id, grouped, rows_of
from trimwright.facts.trade import EQUIPMENT_NAMES, Care, Caution, Family, FinalTest, Practice, Source, Trade


def read_trade() -> Trade:
    """Every table of the package."""
    care = grouped("care", "family", lambda row: Care(row.text("text"), row.evidence()))
    families = by_id(_family(row, care) for row in rows_of("families"))
    parts = read_parts()
    return Trade(
        parts=parts,
        faults=read_faults(families),
        finds=read_finds(),
        treatments=read_treatments(parts),
        materials=read_materials(),
        tools=read_tools(),
        suppliers=read_suppliers(),
        glances=read_glances(),
        cautions=by_id(map(_caution, rows_of("cautions"))),
        final_tests=by_id(map(_final_test, rows_of("final_tests"))),
        practice=by_id(map(_practice, rows_of("practice"))),
        sources=read_sources(),
        families=families,
        usual_wear=read_usual_wear(),
    )


def _family(row: Row, care: Mapping[str, list[Care]]) -> Family:
    return Family(row.text("id"), row.text("name"), row.yes("restraint"), tuple(care.get(row.text("id"), ())))


def _caution(row: Row) -> Caution:
    return Caution(row.text("id"), row.text("text"), row.evidence())


def _final_test(row: Row) -> FinalTest:
    return FinalTest(
        id=row.text("id"),
        subject=row.text("subject"),
        text=row.text("text"),
        trained=row.yes("trained"),
        fitted=row.one_of("fitted", EQUIPMENT_NAMES) if row.text("fitted") else None,
        evidence=row.evidence(),
    )


def _practice(row: Row) -> Practice:
    return Practice(row.text("id"), row.number("value"), row.text("unit"), row.text("what"), row.evidence())


def read_sources() -> MappingProxyType[str, Source]:
    """Where rows are from, by the id they give."""
    listed = tomllib.loads((files("trimwright.facts") / "sources.toml").read_text(encoding="utf-8"))
    return by_id(Source(source_id, entry["title"], entry["note"]) for source_id, entry in listed.items())
