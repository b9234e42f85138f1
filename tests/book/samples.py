"""A small shop's book, and the facts it is held against."""

from __future__ import annotations

from datetime import date
from typing import Any

from trimwright.book.document import Book
from trimwright.facts import load
from trimwright.facts.trade import Pack

TRADE = load()
TODAY = date(2026, 6, 1)
HALF = "leather_hide-2_4m2"
WHOLE = "leather_hide-4_8m2"
DYE = "leather_recolour"


def a_book(**fields: Any) -> Book:
    return Book.from_plain({"format": 1, **fields})


def price(pack: str = HALF, minor: int = 26_500, on: str = "2026-03-01", **more: Any) -> dict[str, Any]:
    return {"pack": pack, "supplier": "leather_seller", "currency": "EUR", "price": minor, "on": on, **more}


def observed(number: int = 1, **more: Any) -> dict[str, Any]:
    return {"job": "coupe", "event": f"e{number}", "part": "cushion", "on": "2026-05-20", **more}


def found(there: bool, find: str = "foam_crushed", place: str = "seats.driver") -> dict[str, Any]:
    return {"job": "coupe", "on": "2026-05-20", "find": find, "place": place, "there": there}


def timed(number: int, planned: float, real: float, treatment: str = DYE) -> dict[str, Any]:
    return observed(number, treatment=treatment, planned=planned, real=real)


def packs_of(material: str, trade: Any = TRADE) -> dict[str, Pack]:
    return {each.id: each for each in trade.materials[material].packs}
