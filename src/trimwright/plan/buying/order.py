"""The nouns of the third stage: orders by supplier, materials from shelf to leftover, and what is paid once.

Conventions, said once. Money is whole minor units, tax and coverage applied (what the sum does not cover costs 0);
amounts are whole thousandths of the material's unit; days are calendar days (low, likely, high).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Literal, get_args

from trimwright.facts.trade import Level
from trimwright.plan.verdicts.verdict import Bought

_LEVELS: tuple[str, ...] = get_args(Level)


def how_known(evidence: str) -> str:
    """How far a price is known, in words.

    >>> how_known("offer"), how_known("guess"), how_known("own price, 2026-03-01")
    ('an offer', "the trade's figure (guess)", 'own price, 2026-03-01')
    """
    if evidence == "offer":
        return "an offer"
    return f"the trade's figure ({evidence})" if evidence in _LEVELS else evidence


def is_own(evidence: str) -> bool:
    """Whether a price is neither an offer nor the trade's, but out of the shop's own book."""
    return evidence != "offer" and evidence not in _LEVELS


@dataclass(frozen=True, slots=True)
class Whole:
    """A part bought whole, or work sent out, for one part's course. `money` is the mean of the price's spread."""

    part: str
    name: str
    """The part's name in the survey."""
    what: str
    source: Literal["new", "used", "reproduction", "service"]
    money: int
    low: int
    high: int
    days: tuple[int, int, int]
    evidence: str
    """"offer" when the job holds the seller's price, the level of the trade's figure, or what the shop's book says."""


@dataclass(frozen=True, slots=True)
class Order:
    """Everything from one seller. `carriage` includes what makes a small order up to the least order."""

    supplier: str
    name: str
    """The seller in words; empty where an offer names none."""
    packs: tuple[Bought, ...]
    wholes: tuple[Whole, ...]
    carriage: int
    free_over: int
    """Packs above this are carried free; 0 = never."""
    days: tuple[int, int, int]
    """The slowest of what is ordered here."""
    order_by: date | None
    """The last day to order and still have all of it at the start of the work; None without a start."""

    @property
    def goods(self) -> int:
        return sum(each.money for each in self.packs) + sum(each.money for each in self.wholes)

    @property
    def total(self) -> int:
        return self.goods + self.carriage

    @property
    def to_free(self) -> int:
        """How much more in packs would have the order carried free; 0 where carriage is free, or never is."""
        if not self.carriage or not self.free_over:
            return 0
        return max(0, self.free_over - sum(each.money for each in self.packs))


@dataclass(frozen=True, slots=True)
class MaterialUse:
    """One material of the plan: what is used, from the shelf and from packs, and what is left over of both."""

    key: str
    name: str
    unit: str
    used_milli: int
    stock_milli: int
    """On the shelf before the job."""
    bought_milli: int
    one_batch: bool
    handling: str

    @property
    def from_stock_milli(self) -> int:
        """What the shelf gives before a pack is opened."""
        return min(self.stock_milli, self.used_milli)

    @property
    def left_milli(self) -> int:
        return self.stock_milli + self.bought_milli - self.used_milli


@dataclass(frozen=True, slots=True)
class Once:
    """A tool, or a trained person's visit: paid once however many parts ask for it."""

    id: str
    name: str
    what: Literal["tool", "visit"]
    money: int
    parts: tuple[str, ...]
    """The parts that ask for it, by id."""


@dataclass(frozen=True)
class Buying:
    """All that is still to buy. Its `total`, the hours charged to the sum and what is spent already are the plan's firm
    money."""

    currency: str
    orders: tuple[Order, ...]
    materials: tuple[MaterialUse, ...]
    once: tuple[Once, ...]
    sundries: int
    """The share for small things beside the packs."""
    whole_job: int
    """Money of the lines of the whole job."""
    evidence: Mapping[str, str]
    """How the price of each pack bought is known, by its id: as of a `Whole`."""
    burn_rate: tuple[str, ...]
    """Parts, by id, whose new cover material needs the seller's burn-rate statement."""

    @property
    def total(self) -> int:
        """All that is bought and charged for certain, hours aside."""
        orders = sum(order.total for order in self.orders)
        return orders + sum(each.money for each in self.once) + self.sundries + self.whole_job
