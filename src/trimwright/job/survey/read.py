"""The survey sheet back into a job: every mistake is found at once, and with one mistake nothing is taken over.

What the sheet shows, it decides: a part whose row is gone is gone, an empty cell is "not said". What it does not show
stays as the job has it: a table that is missing, a line of the Job table, a column of the Parts table.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from pydantic import ValidationError

from trimwright.errors import BadInput, Problem, UnreadableFile
from trimwright.facts.trade import Trade
from trimwright.job.document import Job
from trimwright.job.fields import free_id
from trimwright.job.refusals import Loc, described, near, problems_of
from trimwright.job.starting import new_part
from trimwright.job.survey import layout
from trimwright.job.survey.cells import Terms
from trimwright.job.survey.grids import Entry, Found, Grid, Notes, read_cell, table
from trimwright.units import exponent


@dataclass(frozen=True, slots=True)
class Reading:
    """The job as the sheet tells it, and what was left out on the way that a person may want to know."""

    job: Job
    remarks: tuple[Problem, ...]


def read_grids(grids: Sequence[Grid], job: Job, trade: Trade) -> Reading:
    """The job that the tables tell, `job` being what they do not show; BadInput with every mistake in them.

    A new part of a kind the trade knows needs no more than its kind: name, count and material are the trade's.
    """
    notes = Notes()
    by_name = _known_grids(grids, notes)
    raw = job.model_dump(mode="json")
    terms = Terms(job.money.currency, job.car.units)
    if "Job" in by_name:
        terms = _take_job_lines(by_name["Job"], raw, terms, notes)
    found = {name: table(grid, name, terms, notes) for name, grid in by_name.items() if name != "Job"}
    if "Parts" in found:
        _take_parts(found["Parts"], raw, trade, notes)
    _take_offers(found.get("Offers"), raw, notes)
    _take_own_parts(found.get("Own parts"), raw, notes)
    _take_lists(found, raw, notes)
    if "Events" in found:
        _take_events(found["Events"], raw, notes)
    _take_promises(found.get("Promises"), raw, notes)
    return Reading(_the_job(raw, notes), tuple(notes.remarks))


def _known_grids(grids: Sequence[Grid], notes: Notes) -> dict[str, Grid]:
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


def _the_job(raw: dict[str, Any], notes: Notes) -> Job:
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


# Taking what was found into the document's plain data.


def _take_job_lines(grid: Grid, raw: dict[str, Any], terms: Terms, notes: Notes) -> Terms:
    """The Job table into `raw`; gives the currency and units that hold for the other tables."""
    lines = table(grid, "Job", terms, notes)
    items = {item.name.casefold(): item for item in layout.items()}
    given: dict[str, Entry] = {}
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
        _put(raw, items[name], read_cell(entry.values.get("value"), where, items[name].kind, terms, notes))
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


def _take_parts(found: Found, raw: dict[str, Any], trade: Trade, notes: Notes) -> None:
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


def _ids(found: Found, notes: Notes) -> list[str | None]:
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


def _faults(entry: Entry, loc: Loc, notes: Notes) -> list[dict[str, Any]]:
    """The faults of a row, gaps closed up."""
    faults: list[dict[str, Any]] = []
    for number in range(1, layout.MOST_FAULTS + 1):
        names = {"fault": f"fault {number}", "extent": f"extent {number}", "note": f"note {number}"}
        told = {name: entry.values[column] for name, column in names.items() if column in entry.values}
        if told:
            notes.places |= {(*loc, len(faults), name): entry.at[at] for name, at in names.items() if at in entry.at}
            faults.append(told)
    return faults


def _take_wishes_of_parts(found: Found, entries: Mapping[str, Entry], wishes: dict[str, Any]) -> None:
    for wish in ("must_do", "leave_alone"):
        if wish in found.fields:
            wishes[wish] = [part_id for part_id, entry in entries.items() if entry.values.get(wish)]
    if "floor" in found.fields:
        wishes["floors"] = {
            part_id: entry.values["floor"] for part_id, entry in entries.items() if "floor" in entry.values
        }


def _take_offers(found: Found | None, raw: dict[str, Any], notes: Notes) -> None:
    if found is None:
        return
    for part in raw["parts"]:
        part["offers"] = []
    for number, part, entry in _of_parts(found, raw, notes):
        loc = ("parts", number, "offers", len(part["offers"]))
        _note_places(loc, entry, notes)
        part["offers"].append({name: value for name, value in entry.values.items() if name != "part"})


def _take_own_parts(found: Found | None, raw: dict[str, Any], notes: Notes) -> None:
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


def _of_parts(found: Found, raw: dict[str, Any], notes: Notes) -> Iterator[tuple[int, dict[str, Any], Entry]]:
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


def _take_lists(found: Mapping[str, Found], raw: dict[str, Any], notes: Notes) -> None:
    """The tables that stand by themselves: lists entry for entry, mappings and sets by their first column."""
    for name, holder, key in (("Sets", raw["wishes"], "sets"), ("Stock", raw, "stock")):
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
    if "Pins" in found:
        pins = Found(found["Pins"].fields, tuple(map(_as_pin, found["Pins"].entries)))
        raw["time"]["pins"] = _mapping(pins, "task", "pin", ("time", "pins"), notes)


def _as_pin(entry: Entry) -> Entry:
    """A row's moments as the one value that its task has."""
    pin = {name: value for name, value in entry.values.items() if name != "task"}
    at = {**entry.at, "pin": next(iter(entry.at.values()), "")}
    return replace(entry, values={**entry.values, "pin": pin}, at=at)


def _take_events(found: Found, raw: dict[str, Any], notes: Notes) -> None:
    """Events with what only their kind has; what was promised stays until the Promises table is read."""
    promised = {each["id"]: each["verdicts"] for each in raw["events"] if each["kind"] == "promised"}
    raw["events"] = []
    for number, entry in enumerate(found.entries):
        told = {"kind": "note"} | entry.values
        more = told.pop("more", {})
        if told["kind"] == "promised":
            more = {"verdicts": promised.get(told.get("id"), {})} | more
        raw["events"].append(more | told)
        _note_places(("events", number), entry, notes)
        notes.places |= {("events", number, name): entry.at["more"] for name in more if "more" in entry.at}


def _take_promises(found: Found | None, raw: dict[str, Any], notes: Notes) -> None:
    """The courses promised, each into its event."""
    if found is None:
        return
    promises = {each.get("id"): each for each in raw["events"] if each["kind"] == "promised"}
    numbers = {each.get("id"): number for number, each in enumerate(raw["events"])}
    for each in promises.values():
        each["verdicts"] = {}
    for entry in found.entries:
        event, part = entry.values.get("event"), entry.values.get("part")
        if event not in promises:
            way_out = near(event or "", [each for each in promises if each]) or "Take the row out, or add the event."
            where = entry.at.get("event", "Promises")
            notes.problems.append(Problem(where, event or "", "is the id of no promise.", way_out))
        elif part is None or part in promises[event]["verdicts"]:
            what = "is missing." if part is None else "stands twice in one promise."
            notes.problems.append(Problem(entry.at.get("part", "Promises"), part or "", what, "One row for each part."))
        else:
            promises[event]["verdicts"][part] = entry.values.get("course", "")
            loc: Loc = ("events", numbers[event], "verdicts", part)
            notes.places |= {loc: entry.at.get("course", ""), (*loc, "[key]"): entry.at["part"]}


def _mapping(found: Found, key: str, value: str, loc: Loc, notes: Notes) -> dict[str, Any]:
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


def _note_places(loc: Loc, entry: Entry, notes: Notes) -> None:
    notes.places[loc] = next(iter(entry.at.values()), "")
    notes.places |= {(*loc, name): where for name, where in entry.at.items()}


def _is_currency(code: str) -> bool:
    try:
        exponent(code)
    except BadInput:
        return False
    return True
