"""What is bought: materials in packs, tools, and the kinds of sellers."""

from __future__ import annotations

from dataclasses import dataclass

from trimwright.facts.trade.evidence import Evidence, Price


@dataclass(frozen=True, slots=True)
class Pack:
    """A pack as it is sold: `size` in the material's unit."""

    id: str
    sold_as: str
    size: float
    price: Price
    supplier: str
    evidence: Evidence


@dataclass(frozen=True, slots=True)
class Material:
    """Something bought by the pack. `one_batch`: all of one colour from one batch, with spare; `least_mix` > 0: each
    separate use is rounded up to whole mixes because what is left dies."""

    id: str
    name: str
    unit: str
    coloured: bool
    one_batch: bool
    least_mix: float
    shelf_months: int | None
    handling: str
    packs: tuple[Pack, ...]


@dataclass(frozen=True, slots=True)
class Tool:
    """A tool bought once; a shop is charged price ÷ `jobs`, an owner with one car the whole price."""

    id: str
    name: str
    price: Price
    jobs: int
    hand_tool: bool
    """Anyone who does this work is taken to own it."""
    evidence: Evidence


@dataclass(frozen=True, slots=True)
class Supplier:
    """A kind of seller: carriage, the order value above which it is free, its least order, days to deliver."""

    id: str
    name: str
    carriage: Price
    free_over: Price | None
    least_order: Price | None
    days: tuple[int, int, int]
    evidence: Evidence
