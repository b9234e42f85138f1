"""Materials joined to their packs, tools, and kinds of sellers."""

from __future__ import annotations

from collections.abc import Iterable
from types import MappingProxyType

from trimwright.facts.rows import Row, by_id, grouped, rows_of
from trimwright.facts.trade import (
    Material,
    Pack,
    Supplier,
    Tool,
)


def read_materials() -> MappingProxyType[str, Material]:
    """Materials with the packs they are sold in."""
    packs = grouped("packs", "material", _pack)
    return by_id(_material(row, packs.get(row.text("id"), ())) for row in rows_of("materials"))


def _material(row: Row, packs: Iterable[Pack]) -> Material:
    return Material(
        id=row.text("id"),
        name=row.text("name"),
        unit=row.text("unit"),
        coloured=row.yes("coloured"),
        one_batch=row.yes("one_batch"),
        least_mix=row.number("least_mix"),
        shelf_months=row.whole("shelf_months") if row.text("shelf_months") else None,
        handling=row.text("handling"),
        packs=tuple(packs),
    )


def _pack(row: Row) -> Pack:
    price = row.price("low", "high")
    return Pack(row.text("id"), row.text("sold_as"), row.number("size"), price, row.text("supplier"), row.evidence())


def read_tools() -> MappingProxyType[str, Tool]:
    """Tools, as they stand."""
    return by_id(map(_tool, rows_of("tools")))


def _tool(row: Row) -> Tool:
    return Tool(
        id=row.text("id"),
        name=row.text("name"),
        price=row.price("low", "high"),
        jobs=row.whole("jobs"),
        hand_tool=row.yes("hand_tool"),
        evidence=row.evidence(),
    )


def read_suppliers() -> MappingProxyType[str, Supplier]:
    """Kinds of sellers, as they stand."""
    return by_id(map(_supplier, rows_of("suppliers")))


def _supplier(row: Row) -> Supplier:
    return Supplier(
        id=row.text("id"),
        name=row.text("name"),
        carriage=row.price("carriage_low", "carriage_high"),
        free_over=row.price("free_over_low", "free_over_high") if row.text("free_over_low") else None,
        least_order=row.price("least_order_low", "least_order_high") if row.text("least_order_low") else None,
        days=row.whole_spread("days_low", "days_likely", "days_high"),
        evidence=row.evidence(),
    )
