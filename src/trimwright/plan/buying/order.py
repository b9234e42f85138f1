"""The nouns of the third stage: orders by supplier, materials from shelf to leftover, and what is paid once.

Conventions, said once. Money is whole minor units, tax and coverage applied (what the sum does not cover costs 0);
amounts are whole thousandths of the material's unit; days are calendar days (low, likely, high).
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Literal

from trimwright.plan.verdicts.verdict import Bought


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
    """"offer" when the job holds the seller's price, else how far the trade's figure may be trusted."""


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
    """The whole buying list. Its `total` and the hours charged to the sum are the plan's firm money."""

    currency: str
    orders: tuple[Order, ...]
    materials: tuple[MaterialUse, ...]
    once: tuple[Once, ...]
    sundries: int
    """The share for small things beside the packs."""
    whole_job: int
    """Money of the lines of the whole job."""
    burn_rate: tuple[str, ...]
    """Parts, by id, whose new cover material needs the seller's burn-rate statement."""

    @property
    def total(self) -> int:
        """All that is bought and charged for certain, hours aside."""
        orders = sum(order.total for order in self.orders)
        return orders + sum(each.money for each in self.once) + self.sundries + self.whole_job
