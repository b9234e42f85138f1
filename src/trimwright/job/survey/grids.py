"""The tables of a survey sheet as they were found, whatever the file: cells, rows, and which column is which.

Columns are found by their headers, in any order, below a title if there is one. What is wrong is noted, not raised,
so that every mistake is told at once.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from trimwright.errors import BadInput, Problem
from trimwright.job.refusals import Loc, near
from trimwright.job.survey import layout
from trimwright.job.survey.cells import Kind, Terms
from trimwright.job.survey.layout import Column

HEADER_WITHIN = 10
"""The header row is looked for in so many rows, as another program may have put a title above."""


@dataclass(frozen=True, slots=True)
class Cell:
    """One filled cell as text; `trouble` says what is wrong with it and the way out, whatever stands in it."""

    text: str
    is_date: bool = False
    trouble: tuple[str, str] | None = None


@dataclass(frozen=True, slots=True)
class Grid:
    """One table as it was found: rows of cells, None where empty; `first_row` is the number of the first of them."""

    name: str
    rows: Sequence[Sequence[Cell | None]]
    first_row: int = 1

    def address(self, row: int, column: int) -> str:
        """The name a spreadsheet gives to a cell, both counted from 0.

        >>> Grid("Parts", ()).address(11, 5), Grid("Parts", ()).address(0, 27)
        ('Parts!F12', 'Parts!AB1')
        """
        letters, left = "", column + 1
        while left:
            left, last = divmod(left - 1, 26)
            letters = chr(ord("A") + last) + letters
        return f"{self.name}!{letters}{self.first_row + row}"


@dataclass(slots=True)
class Notes:
    """What is found on the way: mistakes, remarks, and where each field of the new document stands in the sheet."""

    problems: list[Problem] = field(default_factory=list)
    remarks: list[Problem] = field(default_factory=list)
    places: dict[Loc, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Entry:
    """One row of a table: its values by field (absent where empty) and the address of each column in it."""

    values: dict[str, Any]
    at: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Found:
    """A table with its known columns by field, and its filled rows."""

    fields: frozenset[str]
    entries: tuple[Entry, ...]


def table(grid: Grid, name: str, terms: Terms, notes: Notes) -> Found:
    """The rows of a table by field; an unreadable cell is noted and leaves its field out."""
    entries = []
    header_row, columns = _headers(grid, name, terms, notes)
    for number, row in enumerate(grid.rows[header_row + 1 :], header_row + 1):
        cells = {at: row[at] if at < len(row) else None for at in columns}
        if not any(cells.values()):
            continue
        at = {column.field: grid.address(number, index) for index, (column, _) in columns.items()}
        values = {
            column.field: value
            for index, (column, units) in columns.items()
            if (value := read_cell(cells[index], at[column.field], column.kind, units, notes)) is not None
        }
        entries.append(Entry(values, at))
    return Found(frozenset(column.field for column, _ in columns.values()), tuple(entries))


def read_cell(cell: Cell | None, where: str, kind: Kind, terms: Terms, notes: Notes) -> Any:
    """The value of a cell; None when it is empty or wrong, and then noted."""
    if cell is None:
        return None
    if kind is layout.RAW:
        return cell
    trouble = cell.trouble
    if cell.is_date and kind not in layout.DATES:
        trouble = ("was made a date by the program it was typed in.", "Format the cell as text and type it again.")
    if trouble:
        notes.problems.append(Problem(where, cell.text, *trouble))
        return None
    try:
        return kind.read(cell.text, where, terms)
    except BadInput as error:
        notes.problems += error.problems
        return None


def _headers(grid: Grid, name: str, terms: Terms, notes: Notes) -> tuple[int, dict[int, tuple[Column, Terms]]]:
    """The header row, and by position each known column to read, with the units its header names."""
    header_row, columns = _header_row(grid, name)
    found: dict[int, tuple[Column, Terms]] = {}
    known = {column.header.casefold(): column for column in columns}
    missing = dict(known)
    unknown: dict[int, Cell] = {}
    for index, cell in enumerate(grid.rows[header_row] if grid.rows else ()):
        where = grid.address(header_row, index)
        if cell is None:
            continue
        if cell.trouble:
            notes.problems.append(Problem(where, cell.text, *cell.trouble))
        bare = _bare(cell.text)
        if bare not in known:
            unknown[index] = cell
        elif bare not in missing:
            notes.problems.append(Problem(where, cell.text, "is the header of two columns.", "Keep one of them."))
        elif not (column := missing.pop(bare)).shown:
            found[index] = (column, _header_terms(cell, column, where, terms, notes))
    absent = [column for column in missing.values() if not column.shown]
    _note_strangers(grid, header_row, unknown, [column.header for column in absent], notes)
    _note_absent(grid, name, absent, notes)
    return header_row, found


def _header_row(grid: Grid, name: str) -> tuple[int, tuple[Column, ...]]:
    """The row that has most of the table's headers, and all columns the table may have."""
    best, columns = (0, 0), layout.columns(name)
    for number, row in enumerate(grid.rows[:HEADER_WITHIN]):
        headers = {_bare(cell.text) for cell in row if cell}
        numbers = [int(last) for each in headers if (last := each.rpartition(" ")[2]).isascii() and last.isdigit()]
        wide = layout.columns(name, max((each for each in numbers if each <= layout.MOST_FAULTS), default=0))
        matches = sum(column.header.casefold() in headers for column in wide)
        if matches > best[0]:
            best, columns = (matches, number), wide
    return best[1], columns


def _header_terms(cell: Cell, column: Column, where: str, terms: Terms, notes: Notes) -> Terms:
    """The units of a column's bare figures, as its header says them."""
    named = re.search(r"\[([^\[\]]*)\]", cell.text)
    if not named:
        return terms
    for system in layout.SYSTEMS:
        if named[1].strip() == layout.unit_of(column.kind, replace(terms, system=system)):
            return replace(terms, system=system)
    if layout.unit_of(column.kind, terms):
        known = " or ".join(
            dict.fromkeys(layout.unit_of(column.kind, Terms(terms.currency, s)) for s in layout.SYSTEMS)
        )
        notes.problems.append(Problem(where, cell.text, "names a unit that does not fit.", f"It should say {known}."))
    return terms


def _note_strangers(
    grid: Grid, header_row: int, unknown: Mapping[int, Cell], absent: Sequence[str], notes: Notes
) -> None:
    """A header that may be a misspelt one of ours is a mistake; other columns are somebody's own and left out."""
    for index, cell in unknown.items():
        where = grid.address(header_row, index)
        if meant := near(_bare(cell.text).capitalize(), absent):
            notes.problems.append(Problem(where, cell.text, "is no column of this table.", meant))
        else:
            notes.remarks.append(Problem(where, cell.text, "is no column of this table and was left out."))
    width = max((len(row) for row in grid.rows), default=0)
    heads = grid.rows[header_row] if grid.rows else ()
    for index in range(width):
        headless = index >= len(heads) or heads[index] is None
        if headless and any(index < len(row) and row[index] for row in grid.rows[header_row + 1 :]):
            notes.remarks.append(Problem(grid.address(header_row, index), "", "heads no column; it was left out."))


def _note_absent(grid: Grid, name: str, absent: Sequence[Column], notes: Notes) -> None:
    """Parts keep what a missing column would say, as their ids tell them apart; entries of other tables cannot."""
    for column in absent:
        fault = column.field.partition(" ")[0] in ("fault", "extent", "note")
        if name == "Parts" and column.field != "id" and not fault:
            notes.remarks.append(
                Problem(grid.name, "", f"has no column {column.header!r}: parts keep what they had there.")
            )
        else:
            what = f"has no column {column.header!r}."
            notes.problems.append(Problem(grid.name, "", what, "Put it back, empty if need be."))


def _bare(header: str) -> str:
    """A header without its unit, spaced and cased alike."""
    return " ".join(re.sub(r"\[[^\[\]]*\]", "", header).split()).casefold()
