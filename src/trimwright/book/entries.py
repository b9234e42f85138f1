"""One entry of the shop book written, put in place of the one that said the same, or taken out."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from pydantic import ValidationError

from trimwright.book.check import checked
from trimwright.book.colours import OwnBase, OwnMix
from trimwright.book.document import Book, LabourRate, OwnPack, OwnPrice, OwnSupplier
from trimwright.book.treatments import OwnTreatment
from trimwright.errors import BadInput
from trimwright.facts.trade import Trade
from trimwright.job.document import StockItem
from trimwright.job.fields import Model
from trimwright.job.refusals import problems_of

LISTS: Mapping[str, tuple[type[Model], tuple[str, ...]]] = {
    "packs": (OwnPack, ("id",)),
    "treatments": (OwnTreatment, ("id",)),
    "suppliers": (OwnSupplier, ("id",)),
    "rates": (LabourRate, ("currency", "on")),
    "prices": (OwnPrice, ("pack", "supplier", "currency", "on", "event")),
    "stock": (StockItem, ("material", "colour")),
    "bases": (OwnBase, ("id",)),
    "mixes": (OwnMix, ("id",)),
}
"""What each list holds, and what tells its entries apart: two that agree in all of it say the same thing."""


def begun(shop: str) -> Book:
    """An empty book of this shop; BadInput when it can't be called so."""
    try:
        return Book(shop=shop)
    except ValidationError as error:
        raise BadInput(problems_of(error, {"shop": shop})) from None


def with_entry(book: Book, field: str, said: Mapping[str, Any]) -> Book:
    """The book with the entry that `said` tells; BadInput with everything that is wrong with it."""
    kind, names = LISTS[field]
    try:
        new = kind.model_validate(dict(said))
        others = [
            each for each in getattr(book, field) if any(getattr(each, name) != getattr(new, name) for name in names)
        ]
        return book.changed(**{field: [*others, new]})
    except ValidationError as error:
        raise BadInput(problems_of(error, dict(said))) from None


def without_entries(book: Book, field: str, **alike: Any) -> Book:
    """The book without the entries of a list that have these values."""
    kept = [each for each in getattr(book, field) if any(getattr(each, name) != value for name, value in alike.items())]
    return book.changed(**{field: kept})


def sound(book: Book, trade: Trade) -> Book:
    """The book itself; BadInput when it names what neither the trade nor it knows."""
    if problems := checked(book, trade):
        raise BadInput(problems)
    return book
