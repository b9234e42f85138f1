"""The book's figures and the table's beside each other, for people to compare."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from typing import Literal

from trimwright.book.applied import latest, over_a_year, told, with_own_treatments
from trimwright.book.check import checked
from trimwright.book.document import Book
from trimwright.book.learning import lessons
from trimwright.errors import BadInput
from trimwright.facts.trade import Trade


@dataclass(frozen=True, slots=True)
class Difference:
    """A figure of the shop's own beside the table's.

    A price is in whole minor units of `unit`, an ISO 4217 code; hours are "times" the table's; a redo and a find are a
    "chance"; a life is in "years". `table` is low and high in `table_unit`, None where the table has nothing.
    """

    what: Literal["price", "hours", "redo", "find", "life"]
    id: str
    name: str
    own: float
    unit: str
    table: tuple[float, float] | None
    table_unit: str
    known: str
    """Where it is from: the day and the seller, or how often it was seen."""
    old: bool = False
    """A price over a year old."""


def differences(trade: Trade, book: Book, today: date) -> tuple[Difference, ...]:
    """Every figure the book has one of its own for, prices first; BadInput when it names what is not known."""
    if problems := checked(book, trade):
        raise BadInput(problems)
    trade = with_own_treatments(trade, book)
    return (*_prices(trade, book, today), *_taught(trade, book))


def _prices(trade: Trade, book: Book, today: date) -> Iterator[Difference]:
    sellers = {**{each.id: each.name for each in trade.suppliers.values()}, **{e.id: e.name for e in book.suppliers}}
    listed = {pack.id: (material, pack) for material in trade.materials.values() for pack in material.packs}
    own_packs = {each.id: each for each in book.packs}
    for price in latest(book):
        table, table_unit = None, ""
        if price.pack in listed:
            material, pack = listed[price.pack]
            name = f"{material.name}, {pack.sold_as}"
            table_unit = "EUR" if price.currency == "EUR" else "USD"
            table = pack.price.eur if price.currency == "EUR" else pack.price.usd
        else:
            own = own_packs[price.pack]
            name = f"{trade.materials[own.material].name}, {own.sold_as}"
        known = f"{told(price, today)}, {sellers[price.supplier]}"
        old = over_a_year(price.on, today)
        yield Difference("price", price.pack, name, price.price, price.currency, table, table_unit, known, old)


def _taught(trade: Trade, book: Book) -> Iterator[Difference]:
    taught = lessons(book, trade)
    for each, pace in taught.paces.items():
        yield Difference("hours", each, trade.treatments[each].name, pace.times, "times", (1, 1), "times", str(pace))
    for each, redo in taught.redos.items():
        found = trade.treatments[each]
        yield Difference("redo", each, found.name, redo.chance, "chance", found.redo, "chance", str(redo))
    for each, seen in taught.finds.items():
        find = trade.finds[each]
        table = (find.chance[0], find.chance[2])
        yield Difference("find", each, find.name, seen.chance, "chance", table, "chance", str(seen))
    for each, life in taught.lives.items():
        made = trade.treatments[each]
        table = (made.life_years[0], made.life_years[2])
        yield Difference("life", each, made.name, life.years, "years", table, "years", str(life))
