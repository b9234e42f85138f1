"""What the shop book's pages show: own figures beside the built-in ones, packs found by a word, sellers and terms."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from trimwright.book.applied import latest, over_a_year
from trimwright.book.document import Book, OwnPrice, OwnSupplier
from trimwright.facts.trade import Material, Price, Supplier, Trade


@dataclass(frozen=True, slots=True)
class PackPrice:
    """A pack at a seller: what the shop pays, and what the table says."""

    pack: str
    what: str
    sold_as: str
    supplier: str
    seller: str
    own: OwnPrice | None
    is_old: bool
    table: tuple[int, int] | None
    """Low and high in whole hundredths of `table_currency`; None for a pack of the shop's own."""
    table_currency: str
    trust: str


@dataclass(frozen=True, slots=True)
class SellerTerms:
    """A seller: the shop's own terms, and the table's where it knows that seller."""

    id: str
    name: str
    own: OwnSupplier | None
    table: Supplier | None
    carriage: tuple[int, int] | None
    free_over: tuple[int, int] | None
    table_currency: str


def table_currency(currency: str) -> str:
    """The currency that the tables are read in for a shop that reckons in `currency`: they know EUR and USD alone."""
    return "EUR" if currency == "EUR" else "USD"


def packs_found(trade: Trade, book: Book, currency: str, today: date, query: str) -> Iterator[PackPrice]:
    """Packs whose id, material or words hold `query`, the trade's and the shop's own."""
    sellers = sellers_named(trade, book)
    own = {(each.pack, each.supplier): each for each in latest(book) if each.currency == currency}
    words = query.casefold()

    def at(pack: str, material: Material, sold_as: str, seller: str, price: Price | None, trust: str) -> PackPrice:
        paid = own.get((pack, seller))
        old = bool(paid and over_a_year(paid.on, today))
        table = None if price is None else price.eur if currency == "EUR" else price.usd
        name = sellers.get(seller, seller)
        return PackPrice(
            pack, material.name, sold_as, seller, name, paid, old, table, table_currency(currency), trust
        )  # fmt: skip

    for material in trade.materials.values():
        told = f"{material.id} {material.name}".casefold()
        for pack in material.packs:
            if words in told or words in f"{pack.id} {pack.sold_as}".casefold():
                yield at(pack.id, material, pack.sold_as, pack.supplier, pack.price, pack.evidence.level)
                others = [seller for known, seller in own if known == pack.id and seller != pack.supplier]
                for seller in others:
                    yield at(pack.id, material, pack.sold_as, seller, None, "")
        for each in book.packs:
            if each.material == material.id and (words in told or words in f"{each.id} {each.sold_as}".casefold()):
                for seller in [seller for known, seller in own if known == each.id] or [""]:
                    yield at(each.id, material, each.sold_as, seller, None, "")


def terms_of(trade: Trade, book: Book, currency: str) -> Iterator[SellerTerms]:
    """Every seller, those with terms of the shop's own first."""
    own = {each.id: each for each in book.suppliers}

    def told(price: Price | None) -> tuple[int, int] | None:
        return None if price is None else price.eur if currency == "EUR" else price.usd

    def terms(seller: str) -> SellerTerms:
        mine, table = own.get(seller), trade.suppliers.get(seller)
        name = mine.name if mine else table.name if table else seller
        carriage, free_over = (told(table.carriage), told(table.free_over)) if table else (None, None)
        return SellerTerms(seller, name, mine, table, carriage, free_over, table_currency(currency))

    for seller in (*own, *(each for each in trade.suppliers if each not in own)):
        yield terms(seller)


def sellers_named(trade: Trade, book: Book) -> dict[str, str]:
    """What every seller is called, by id."""
    return {**{each.id: each.name for each in trade.suppliers.values()}, **{e.id: e.name for e in book.suppliers}}
