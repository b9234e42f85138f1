"""What one job has shown, taken into the book: its times, redos, finds, what visits showed, the prices paid.

Everything the book holds of a job is what that job says now: it is taken in anew each time, so that once or twice is
the same, and a slip that is put right in the job is put right in the book.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass

from trimwright.book.document import Book, Found, Held, LearnedJob, OwnPrice, OwnSupplier, Redone, Timed
from trimwright.errors import BadInput, Problem
from trimwright.facts.trade import Supplier, Trade
from trimwright.job.document import Job
from trimwright.job.events import Bought
from trimwright.job.fields import free_id
from trimwright.job.starting import id_from

UNKNOWN_DAYS = (3, 7, 14)
"""Delivery of what nobody the trade knows sells; a guess."""


@dataclass(frozen=True, slots=True)
class Shown:
    """What a job's work has shown."""

    timed: tuple[Timed, ...] = ()
    redone: tuple[Redone, ...] = ()
    found: tuple[Found, ...] = ()
    held: tuple[Held, ...] = ()


def taken_in(book: Book, job: Job, shown: Shown, trade: Trade) -> Book:
    """The book with all that the job has shown and paid; BadInput when another job of the same id is in it."""
    for each in book.jobs:
        if each.id == job.id and each.name != job.name:
            what = f"is the id of another job the book has learned from ({each.name})."
            raise BadInput(Problem("id", job.id, what, "Give this job an id of its own."))
    paid = list(paid_by(job, book, trade))
    sellers = {each.id: each for each in book.suppliers}
    for _, seller in paid:
        if seller is not None:
            sellers.setdefault(seller.id, seller)
    return book.changed(
        timed=[*(each for each in book.timed if each.job != job.id), *shown.timed],
        redone=[*(each for each in book.redone if each.job != job.id), *shown.redone],
        found=[*(each for each in book.found if each.job != job.id), *shown.found],
        held=[*(each for each in book.held if each.job != job.id), *shown.held],
        prices=[*(each for each in book.prices if each.job != job.id), *(price for price, _ in paid)],
        suppliers=sellers.values(),
        jobs=({each.id: each for each in book.jobs} | {job.id: LearnedJob(id=job.id, name=job.name)}).values(),
    )


def paid_by(job: Job, book: Book, trade: Trade) -> Iterator[tuple[OwnPrice, OwnSupplier | None]]:
    """The price of each pack the job bought and kept, and its seller where neither trade nor book knows that one.

    What was paid took tax and delivery out of the sum; the tax is taken off again, as prices are before tax. A pack
    without a seller's name was bought where the trade usually buys it.
    """
    usual = {pack.id: trade.suppliers[pack.supplier] for each in trade.materials.values() for pack in each.packs}
    known = {*usual, *(each.id for each in book.packs)}
    sellers = _sellers(book, trade)
    tax = 1 + job.money.tax_percent / 100 if "tax" in job.money.covers else 1.0
    for event in job.events:
        if not isinstance(event, Bought) or event.pack is None or event.returned is not None:
            continue
        pack = listed_pack(event.pack, known)
        if not event.seller and pack not in usual:
            continue
        new = None
        supplier = sellers.get(event.seller.lower()) if event.seller else usual[pack].id
        if supplier is None:
            new = _new_seller(event.seller, usual.get(pack), job.money.currency, sellers.values())
            supplier = sellers[event.seller.lower()] = new.id
        price = OwnPrice(
            pack=pack,
            supplier=supplier,
            currency=job.money.currency,
            price=round(event.paid / event.count / tax),
            on=event.at.date(),
            job=job.id,
            event=event.id,
        )
        yield price, new


def listed_pack(pack_id: str, known: set[str]) -> str:
    """The pack behind the id it has at a seller other than its usual one.

    >>> listed_pack("hide.tannery", {"hide"}), listed_pack("hide", {"hide"})
    ('hide', 'hide')
    """
    ends = [len(pack_id), *(place for place, sign in enumerate(pack_id) if sign == ".")]
    return next((pack_id[:end] for end in ends if pack_id[:end] in known), pack_id)


def _sellers(book: Book, trade: Trade) -> dict[str, str]:
    """Ids of sellers by what people may have written: their names and ids."""
    named = {each.id: each.name for each in trade.suppliers.values()} | {each.id: each.name for each in book.suppliers}
    return {name.lower(): each for each, name in named.items()} | {each.lower(): each for each in named}


def _new_seller(name: str, usual: Supplier | None, currency: str, taken: Collection[str]) -> OwnSupplier:
    """A seller met on a job; carriage is in what was paid, days are those of the usual seller."""
    days = usual.days if usual else UNKNOWN_DAYS
    return OwnSupplier(id=free_id(id_from(name), taken), name=name, currency=currency, days=days)
