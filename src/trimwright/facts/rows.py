"""A row of a facts table that knows where it stands, so that a slip in it is named by file, line and column."""

from __future__ import annotations

import csv
from collections import defaultdict
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from importlib.resources import files
from types import MappingProxyType
from typing import Protocol, TypeVar

from trimwright.errors import BadInput, Problem
from trimwright.facts.trade import Evidence, Level, Price, Spread3


class _HasId(Protocol):
    @property
    def id(self) -> str: ...


Word = TypeVar("Word", bound=str)
Entry = TypeVar("Entry", bound=_HasId)
Value = TypeVar("Value")
_LEVELS: tuple[Level, ...] = ("pages", "common practice", "guess")


class Row:
    """One line of a table; every reader raises BadInput naming its place."""

    __slots__ = ("_cells", "_place")

    def __init__(self, place: str, cells: dict[str, str]) -> None:
        self._place = place
        self._cells = cells

    def text(self, column: str) -> str:
        """The cell as it stands."""
        return self._cells[column]

    def number(self, column: str) -> float:
        """A finite number."""
        try:
            value = float(self._cells[column])
        except ValueError:
            raise self._wrong(column, "is not a number.") from None
        if value - value != 0:  # infinity and NaN
            raise self._wrong(column, "is not a finite number.")
        return value

    def number_or_none(self, column: str) -> float | None:
        """A number, None where the cell is empty."""
        return self.number(column) if self._cells[column] else None

    def whole(self, column: str) -> int:
        """A whole number."""
        value = self.number(column)
        if value != int(value):
            raise self._wrong(column, "is not a whole number.")
        return int(value)

    def yes(self, column: str) -> bool:
        """Whether the cell says yes."""
        if self._cells[column] not in ("yes", "no"):
            raise self._wrong(column, "must be yes or no.")
        return self._cells[column] == "yes"

    def several(self, column: str, separator: str = ";") -> tuple[str, ...]:
        """The entries of a list, empty for an empty cell."""
        cell = self._cells[column]
        return tuple(entry.strip() for entry in cell.split(separator)) if cell else ()

    def one_of(self, column: str, allowed: Iterable[Word]) -> Word:
        """A word out of a closed list."""
        for word in allowed:
            if word == self._cells[column]:
                return word
        raise self._wrong(column, "is not one of the words allowed here.")

    def some_of(self, column: str, allowed: Collection[Word]) -> tuple[Word, ...]:
        """Words out of a closed list, in the order of the cell."""
        found = tuple(word for entry in self.several(column) for word in allowed if word == entry)
        if len(found) != len(self.several(column)):
            raise self._wrong(column, "holds a word that is not allowed here.")
        return found

    def spread(self, low: str, likely: str, high: str) -> Spread3:
        """Three numbers that do not fall."""
        three = (self.number(low), self.number(likely), self.number(high))
        if not three[0] <= three[1] <= three[2]:
            raise self._wrong(likely, "must lie between low and high.")
        return three

    def whole_spread(self, low: str, likely: str, high: str) -> tuple[int, int, int]:
        """Three whole numbers that do not fall."""
        a, b, c = self.spread(low, likely, high)
        return int(a), int(b), int(c)

    def price(self, low: str, high: str) -> Price:
        """Low and high in USD and EUR; a column without a currency behind its name serves both."""
        usd, eur = ((self._hundredths(low, code), self._hundredths(high, code)) for code in ("usd", "eur"))
        if usd[0] > usd[1] or eur[0] > eur[1]:
            raise BadInput(Problem(self._place, f"{usd} {eur}", "has a low price above the high one."))
        return Price(usd, eur)

    def evidence(self) -> Evidence:
        """How far the row may be trusted."""
        return Evidence(self.one_of("level", _LEVELS), self.text("source"), self._cells.get("evidence", ""))

    def _hundredths(self, column: str, currency: str) -> int:
        own = f"{column}_{currency}"
        return round(self.number(own if own in self._cells else column) * 100)

    def _wrong(self, column: str, what: str) -> BadInput:
        return BadInput(Problem(f"{self._place}, {column}", self._cells[column], what))


def rows_of(table: str) -> Iterator[Row]:
    """Every row of `table`.csv of this package."""
    name = f"{table}.csv"
    reader = csv.reader((files("trimwright.facts") / name).read_text(encoding="utf-8").splitlines())
    header = next(reader)
    for cells in reader:
        place = f"facts/{name} line {reader.line_num}"
        if len(cells) != len(header):
            raise BadInput(Problem(place, "", f"has {len(cells)} cells where the header has {len(header)}."))
        yield Row(place, dict(zip(header, cells, strict=True)))


def by_id(entries: Iterable[Entry]) -> MappingProxyType[str, Entry]:
    """Entries by the ids they bear, in their order."""
    return MappingProxyType({entry.id: entry for entry in entries})


def grouped(table: str, owner: str, value: Callable[[Row], Value]) -> Mapping[str, list[Value]]:
    """The rows of a relation as values, by the id in their `owner` column; nothing for an id without rows."""
    found: defaultdict[str, list[Value]] = defaultdict(list)
    for row in rows_of(table):
        found[row.text(owner)].append(value(row))
    return found
