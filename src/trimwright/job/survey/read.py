"""The survey sheet back into a job: every mistake is found at once, and with one mistake nothing is taken over.

What the sheet shows, it decides: a part whose row is gone is gone, an empty cell is "not said". What it does not show
stays as the job has it: a table that is missing, a line of the Job table, a column of the Parts table. Columns are
found by their headers, in any order; figures are in the unit of the header.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from pydantic import ValidationError

from trimwright.errors import BadInput, Problem, UnreadableFile
from trimwright.facts.trade import Trade
from trimwright.job.document import Job
from trimwright.job.refusals import Loc, described, near, problems_of
from trimwright.job.starting import free_id, new_part
from trimwright.job.survey import layout
from trimwright.job.survey.cells import Kind, Terms
from trimwright.job.survey.layout import Column
from trimwright.units import exponent

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


@dataclass(frozen=True, slots=True)
class Reading:
    """The job as the sheet tells it, and what was left out on the way that a person may want to know."""

    job: Job
    remarks: tuple[Problem, ...]


@dataclass(slots=True)
class _Notes:
    """What is found on the way: mistakes, remarks, and where each field of the new document stands in the sheet."""

    problems: list[Problem] = field(default_factory=list)
    remarks: list[Problem] = field(default_factory=list)
    places: dict[Loc, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class _Entry:
    """One row of a table: its values by field (absent where empty) and the address of each column in it."""

    values: dict[str, Any]
    at: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class _Found:
    """A table with its known columns by field, and its filled rows."""

    fields: frozenset[str]
    entries: tuple[_Entry, ...]


def read_grids(grids: Sequence[Grid], job: Job, trade: Trade) -> Reading:
    """The job that the tables tell, `job` being what they do not show; BadInput with every mistake in them.

    A new part of a kind the trade knows needs no more than its kind: name, count and material are the trade's.
    """
    notes = _Notes()
    by_name = _known_grids(grids, notes)
    raw = job.model_dump(mode="json")
    terms = Terms(job.money.currency, job.car.units)
    if "Job" in by_name:
        terms = _take_job_lines(by_name["Job"], raw, terms, notes)
    found = {name: _table(grid, name, terms, notes) for name, grid in by_name.items() if name != "Job"}
    if "Parts" in found:
        _take_parts(found["Parts"], raw, trade, notes)
    _take_offers(found.get("Offers"), raw, notes)
    _take_own_parts(found.get("Own parts"), raw, notes)
    _take_lists(found, raw, notes)
    return Reading(_the_job(raw, notes), tuple(notes.remarks))


def _known_grids(grids: Sequence[Grid], notes: _Notes) -> dict[str, Grid]:
    names = {name.casefold(): name for name in ("Job", "Parts", *layout.LISTS)}
    found = {names[key]: grid for grid in grids if (key := grid.name.strip().casefold()) in names}
    if not found:
        what = "holds none of the tables of a survey sheet."
        raise UnreadableFile(Problem("file", "", what, f"It needs one of: {', '.join(names.values())}."))
    notes.remarks += [
        Problem(
            grid.name, "", "is no table of the survey sheet and was left out.", near(grid.name, list(names.values()))
        )
        for grid in grids
        if grid.name.strip().casefold() not in names
    ]
    return found


def _the_job(raw: dict[str, Any], notes: _Notes) -> Job:
    """The document, once everything is right; what pydantic refuses is told by the cell it stands in."""

    def place(loc: Loc) -> str:
        for end in range(len(loc), 0, -1):
            if loc[:end] in notes.places:
                return notes.places[loc[:end]]
        return described(loc, raw)

    told = {problem.where for problem in notes.problems}
    try:
        job = Job.from_plain(raw)
    except ValidationError as error:
        notes.problems += [each for each in problems_of(error, raw, place) if each.where not in told]
        raise BadInput(notes.problems) from None
    if notes.problems:
        raise BadInput(notes.problems)
    return job


# Finding tables in grids.


def _table(grid: Grid, name: str, terms: Terms, notes: _Notes) -> _Found:
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
            if (value := _read(cells[index], at[column.field], column.kind, units, notes)) is not None
        }
        entries.append(_Entry(values, at))
    return _Found(frozenset(column.field for column, _ in columns.values()), tuple(entries))


def _read(cell: Cell | None, where: str, kind: Kind, terms: Terms, notes: _Notes) -> Any:
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


def _headers(grid: Grid, name: str, terms: Terms, notes: _Notes) -> tuple[int, dict[int, tuple[Column, Terms]]]:
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


def _header_terms(cell: Cell, column: Column, where: str, terms: Terms, notes: _Notes) -> Terms:
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
    grid: Grid, header_row: int, unknown: Mapping[int, Cell], absent: Sequence[str], notes: _Notes
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


def _note_absent(grid: Grid, name: str, absent: Sequence[Column], notes: _Notes) -> None:
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


# Taking what was found into the document's plain data.


def _take_job_lines(grid: Grid, raw: dict[str, Any], terms: Terms, notes: _Notes) -> Terms:
    """The Job table into `raw`; gives the currency and units that hold for the other tables."""
    lines = _table(grid, "Job", terms, notes)
    items = {item.name.casefold(): item for item in layout.items()}
    given: dict[str, _Entry] = {}
    for entry in lines.entries:
        name = " ".join(str(entry.values.get("item", "")).split()).casefold()
        if name not in items:
            where = entry.at.get("item", grid.name)
            shown = str(entry.values.get("item", ""))
            notes.problems.append(
                Problem(where, shown, "is no line of this table.", near(shown, [i.name for i in items.values()]))
            )
        elif name in given:
            notes.problems.append(Problem(entry.at["item"], entry.values["item"], "stands twice.", "Keep one of them."))
        else:
            given[name] = entry
    currency = given["currency"].values.get("value") if "currency" in given else None
    if currency is not None and _is_currency(currency.text):
        terms = replace(terms, currency=currency.text)
    for name, entry in given.items():
        where = entry.at["value"]
        notes.places[items[name].path] = where
        _put(raw, items[name], _read(entry.values.get("value"), where, items[name].kind, terms, notes))
    return replace(terms, system=raw["car"].get("units", "metric"))


def _put(raw: dict[str, Any], item: layout.Item, value: Any) -> None:
    """A line's value into its place; an empty line leaves the field out, so that the document's own default holds."""
    above = item.path[:-1]
    last: Any = item.path[-1]
    holder: Any = raw
    for step in above:
        holder = holder[step]
    if item.member:
        holder[:] = [each for each in holder if each != last] + ([last] if value else [])
    elif isinstance(holder, list):
        holder[last] = value or 0
    elif value is None:
        holder.pop(last, None)
    else:
        holder[last] = value


def _take_parts(found: _Found, raw: dict[str, Any], trade: Trade, notes: _Notes) -> None:
    """The Parts table into `raw`: parts with their faults, and the wishes that stand in their rows."""
    before = {part["id"]: part for part in raw["parts"]}
    ids = _ids(found, notes)
    entries = {part_id: entry for part_id, entry in zip(ids, found.entries, strict=True) if part_id is not None}
    parts = []
    for number, (part_id, entry) in enumerate(entries.items()):
        kept = before.get(part_id, {})
        faults = _faults(entry, ("parts", number, "faults"), notes)
        own = {name: kept[name] for name in ("offers", "own") if name in kept}
        unseen = {name: value for name, value in kept.items() if name in _PART_FIELDS - found.fields}
        if not kept and (kind := trade.parts.get(entry.values.get("kind", ""))):
            usual = new_part(kind)
            unseen = {"name": usual.name, "count": usual.count, "material": usual.material}
        seen = {name: value for name, value in entry.values.items() if name in _PART_FIELDS}
        parts.append(unseen | seen | own | {"id": part_id, "faults": faults})
        notes.places |= {("parts", number, name): entry.at[name] for name in _PART_FIELDS & entry.at.keys()}
        notes.places.setdefault(("parts", number), entry.at.get("id", "Parts"))
    raw["parts"] = parts
    _take_wishes_of_parts(found, entries, raw["wishes"])
    notes.remarks += [
        Problem("Parts", part_id, "is no longer in the sheet and was taken out of the job.")
        for part_id in before
        if part_id not in entries
    ]


_PART_FIELDS = frozenset(column.field for column in layout.parts(0) if not column.shown) - layout.WISHES


def _ids(found: _Found, notes: _Notes) -> list[str | None]:
    """An id for each row: the one given, or a free one for a new row; None for a row that repeats another's id."""
    given = [entry.values.get("id") for entry in found.entries]
    taken: dict[str, str] = {}
    ids: list[str | None] = []
    for part_id, entry in zip(given, found.entries, strict=True):
        if part_id is None:
            wanted = ".".join(str(entry.values[name]) for name in ("kind", "place") if entry.values.get(name))
            part_id = free_id(wanted or "part", taken.keys() | {each for each in given if each})
        if part_id in taken:
            where = entry.at["id"]
            what = f"is the id of another part too, in {taken[part_id]}."
            notes.problems.append(Problem(where, part_id, what, "Give it an id of its own, or empty the cell."))
            ids.append(None)
        else:
            taken[part_id] = entry.at.get("id", "Parts")
            ids.append(part_id)
    return ids


def _faults(entry: _Entry, loc: Loc, notes: _Notes) -> list[dict[str, Any]]:
    """The faults of a row, gaps closed up."""
    faults: list[dict[str, Any]] = []
    for number in range(1, layout.MOST_FAULTS + 1):
        names = {"fault": f"fault {number}", "extent": f"extent {number}", "note": f"note {number}"}
        told = {name: entry.values[column] for name, column in names.items() if column in entry.values}
        if told:
            notes.places |= {(*loc, len(faults), name): entry.at[at] for name, at in names.items() if at in entry.at}
            faults.append(told)
    return faults


def _take_wishes_of_parts(found: _Found, entries: Mapping[str, _Entry], wishes: dict[str, Any]) -> None:
    for wish in ("must_do", "leave_alone"):
        if wish in found.fields:
            wishes[wish] = [part_id for part_id, entry in entries.items() if entry.values.get(wish)]
    if "floor" in found.fields:
        wishes["floors"] = {
            part_id: entry.values["floor"] for part_id, entry in entries.items() if "floor" in entry.values
        }


def _take_offers(found: _Found | None, raw: dict[str, Any], notes: _Notes) -> None:
    if found is None:
        return
    for part in raw["parts"]:
        part["offers"] = []
    for number, part, entry in _of_parts(found, raw, notes):
        loc = ("parts", number, "offers", len(part["offers"]))
        _note_places(loc, entry, notes)
        part["offers"].append({name: value for name, value in entry.values.items() if name != "part"})


def _take_own_parts(found: _Found | None, raw: dict[str, Any], notes: _Notes) -> None:
    if found is None:
        return
    for part in raw["parts"]:
        part.pop("own", None)
    for number, part, entry in _of_parts(found, raw, notes):
        if "own" in part:
            part_id = entry.values["part"]
            notes.problems.append(Problem(entry.at["part"], part_id, "is described twice.", "Keep one of the rows."))
        _note_places(("parts", number, "own"), entry, notes)
        part["own"] = {name: value for name, value in entry.values.items() if name != "part"}


def _of_parts(found: _Found, raw: dict[str, Any], notes: _Notes) -> Iterator[tuple[int, dict[str, Any], _Entry]]:
    """Each row that names a part, with the part and its number; rows that name none are noted."""
    numbers = {part.get("id"): number for number, part in enumerate(raw["parts"])}
    for entry in found.entries:
        part_id = entry.values.get("part")
        if part_id in numbers:
            yield numbers[part_id], raw["parts"][numbers[part_id]], entry
        else:
            where = entry.at.get("part", "")
            way_out = near(part_id or "", [each for each in numbers if each]) or "Take the row out, or add the part."
            notes.problems.append(Problem(where, part_id or "", "is the id of no part.", way_out))


def _take_lists(found: Mapping[str, _Found], raw: dict[str, Any], notes: _Notes) -> None:
    """The tables that stand by themselves: lists entry for entry, mappings and sets by their first column."""
    for name, holder, key in (("Sets", raw["wishes"], "sets"), ("Stock", raw, "stock"), ("Events", raw, "events")):
        if name in found:
            holder[key] = [entry.values for entry in found[name].entries]
            above: Loc = ("wishes", key) if holder is not raw else (key,)
            for number, entry in enumerate(found[name].entries):
                _note_places((*above, number), entry, notes)
    if "Tools" in found:
        raw["tools"] = [entry.values["tool"] for entry in found["Tools"].entries if "tool" in entry.values]
        notes.places |= {
            ("tools", number): entry.at["tool"] for number, entry in enumerate(found["Tools"].entries) if entry.at
        }
    if "Zones" in found:
        raw["wishes"]["zones"] = _mapping(found["Zones"], "zone", "weight", ("wishes", "zones"), notes)
    if "Rates" in found:
        raw["money"]["rates"] = _mapping(found["Rates"], "currency", "rate", ("money", "rates"), notes)


def _mapping(found: _Found, key: str, value: str, loc: Loc, notes: _Notes) -> dict[str, Any]:
    """Rows of a key and a value; a row without a value says nothing."""
    mapping: dict[str, Any] = {}
    for entry in found.entries:
        name = entry.values.get(key)
        if value not in entry.values:
            continue
        if name is None or name in mapping:
            what = "is missing." if name is None else "stands twice."
            notes.problems.append(Problem(entry.at.get(key, ""), name or "", what, "One row for each."))
            continue
        mapping[name] = entry.values[value]
        notes.places[*loc, name] = entry.at[value]
        notes.places[*loc, name, "[key]"] = entry.at[key]
    return mapping


def _note_places(loc: Loc, entry: _Entry, notes: _Notes) -> None:
    notes.places[loc] = next(iter(entry.at.values()), "")
    notes.places |= {(*loc, name): where for name, where in entry.at.items()}


def _is_currency(code: str) -> bool:
    try:
        exponent(code)
    except BadInput:
        return False
    return True
