"""The shop's own base colours and kept mixes, as its pages show, take in and take out; each goes into the shop book."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from trimwright.book.document import Book
from trimwright.craft.asking import Ask
from trimwright.errors import BadInput, Problem
from trimwright.facts import load
from trimwright.web.jobs import workbench
from trimwright.web.jobs.workbench import Form

BASES = "bases"
MIX = "colour mix"
ASKS = (
    Ask("id", "an id of its own", "white"),
    Ask("name", "what the bottle says", "White 10"),
    Ask("lab", "the dried coat by itself, L* a* b*", "95.1 0.2 2.4"),
    Ask("drop", "one drop from its bottle, in grams", "0.05", usual="0.05"),
    Ask("tints", "trials in another base, one to a line", "10% white 62 4 9"),
)
LONG = frozenset({"tints"})
_LINE_OF = {"LAB": "lab", "--tint": "tints"}
"""Where the book's own words for a slip stand here."""


def form(typed: Mapping[str, str], error: BadInput | None = None) -> Form:
    """The form of a base, with what is wrong beside its line."""
    names = {each.name for each in ASKS}

    def line_of(where: str) -> str:
        first = where.partition(" ")[0]
        return _LINE_OF.get(where, first if first in names else "")

    wrong, beyond = workbench.beside(error.problems if error else (), line_of)
    return Form(id=BASES, title="A base colour of your own", lines=workbench.lines(ASKS, typed, wrong), problems=beyond)


def with_base(book: Book, typed: Mapping[str, str]) -> Book:
    """The book with the base that was typed; BadInput with everything that is wrong with it."""
    from trimwright.book.colours import base_said
    from trimwright.book.entries import sound, with_entry
    from trimwright.units import parse_number

    tints = [each.strip() for each in typed["tints"].splitlines() if each.strip()]
    if any(each.lower().endswith((".csv", ".txt")) for each in (typed["lab"].strip(), *tints)):
        raise BadInput(Problem("LAB", "", "is no reading.", "Spectra are read by `trimwright book base --spectrum`."))
    drop = float(parse_number(typed["drop"].strip() or "0.05", "drop"))
    said = base_said(
        typed["id"].strip(), typed["lab"].strip(), name=typed["name"].strip(), spectrum=None, drop=drop, tints=tints
    )
    return sound(with_entry(book, BASES, said), load())


def without_base(book: Book, base: str) -> Book:
    """The book without a base; BadInput while a kept mix is made of it."""
    from trimwright.book.entries import sound, without_entries

    return sound(without_entries(book, BASES, id=base), load())


def with_mix(book: Book, typed: Mapping[str, str], mix: str, bottles: str, on: date) -> Book:
    """The book with the mix that these lines come to; BadInput when its id is taken, or there is no such mix."""
    from trimwright.book.colours import mix_said
    from trimwright.book.entries import sound, with_entry
    from trimwright.craft.colour.mixing import Mixed

    if mix in {each.id for each in book.mixes}:
        raise BadInput(Problem("id", mix, "is kept already.", "Choose another id."))
    mixed = workbench.question(MIX, book).answer(typed).engine
    assert isinstance(mixed, Mixed)
    return sound(with_entry(book, "mixes", mix_said(mix, mixed, on, bottles=bottles)), load())
