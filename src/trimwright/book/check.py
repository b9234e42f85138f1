"""The book held against the facts: every name must be one that the trade, or the book itself, knows."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from trimwright.book.document import Book
from trimwright.book.treatments import problems_of_treatment
from trimwright.errors import Problem
from trimwright.facts.trade import Trade
from trimwright.job.refusals import near


def checked(book: Book, trade: Trade) -> tuple[Problem, ...]:
    """Everything in `book` that does not fit the facts, each with its way out."""
    return tuple(dict.fromkeys(_problems(book, trade)))


def _problems(book: Book, trade: Trade) -> Iterator[Problem]:
    listed = {pack.id: None for material in trade.materials.values() for pack in material.packs}
    packs = {**listed, **{each.id: None for each in book.packs}}
    treatments = {**trade.treatments, **{each.id: None for each in book.treatments}}
    suppliers = {**trade.suppliers, **{each.id: None for each in book.suppliers}}
    named: list[tuple[str, str, str, Mapping[str, object]]] = [
        *(("packs", "material", each.material, trade.materials) for each in book.packs),
        *(("prices", "pack", each.pack, packs) for each in book.prices),
        *(("prices", "seller", each.supplier, suppliers) for each in book.prices),
        *(("tools", "tool", each, trade.tools) for each in book.tools),
        *(("stock", "material", each.material, trade.materials) for each in book.stock),
        *(("timed", "treatment", each.treatment, treatments) for each in book.timed),
        *(("redone", "treatment", each.treatment, treatments) for each in book.redone),
        *(("held", "treatment", each.treatment, treatments) for each in book.held),
        *(("found", "hidden fault", each.find, trade.finds) for each in book.found),
    ]
    for where, what, given, known in named:
        if given not in known:
            what = f"is no {what} that the trade or this book knows."
            yield Problem(where, given, what, near(given, known) or "See `trimwright facts`.")
    yield from _problems_of_colours(book)
    for own in book.treatments:
        yield from problems_of_treatment(own, trade)
    for each in book.packs:
        if each.id in listed:
            yield Problem("packs", each.id, "is a pack of the trade's list.", "Give a price for it instead.")


def _problems_of_colours(book: Book) -> Iterator[Problem]:
    bases: dict[str, object] = {each.id: None for each in book.bases}
    named = [("bases", tint.beside) for each in book.bases for tint in each.tints]
    named += [("mixes", part.base) for each in book.mixes for part in each.drops]
    for where, given in named:
        if given not in bases:
            yield Problem(where, given, "is no base colour of this book.", near(given, bases) or "Add it first.")
