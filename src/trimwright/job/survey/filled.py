"""A job laid out in the rows of the survey sheet, with the drop-downs and the help its facts give."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import partial
from typing import Any

from trimwright.facts.fixings import held_by
from trimwright.facts.trade import Fault, PartKind, Trade
from trimwright.job.document import Job, Part
from trimwright.job.survey import layout
from trimwright.job.survey.layout import Column, Item
from trimwright.units import System, area

Row = Mapping[str, Any]
DropDown = Callable[[Row], tuple[str, ...]]


@dataclass(frozen=True, slots=True)
class Table:
    """A named table with its rows; `drop_downs` gives, by field, what a row may choose from."""

    name: str
    columns: tuple[Column, ...]
    rows: tuple[Row, ...]
    drop_downs: Mapping[str, DropDown] = field(default_factory=dict)


def job_lines(job: Job) -> tuple[tuple[Item, Any], ...]:
    """The lines of the Job table with what the document says to each; None where it says nothing."""
    raw = job.model_dump(mode="json")
    return tuple((item, _value(item, raw)) for item in layout.items())


def tables(job: Job, trade: Trade) -> tuple[Table, ...]:
    """Every table but Job, in the order of the sheet."""
    raw = job.model_dump(mode="json")
    faults = max([layout.LEAST_FAULTS, *(len(part.faults) for part in job.parts)])
    rows: dict[str, list[Row]] = {
        "Offers": [{"part": part["id"]} | offer for part in raw["parts"] for offer in part["offers"]],
        "Own parts": [{"part": part["id"]} | part["own"] for part in raw["parts"] if part["own"]],
        "Zones": [{"zone": zone, "weight": weight} for zone, weight in _weights(job, trade).items()],
        "Sets": raw["wishes"]["sets"],
        "Rates": [{"currency": code, "rate": rate} for code, rate in raw["money"]["rates"].items()],
        "Pins": [{"task": task} | pin for task, pin in raw["time"]["pins"].items()],
        "Stock": [each | {"unit": _unit(trade, each["material"])} for each in raw["stock"]],
        "Tools": [{"tool": tool} for tool in raw["tools"]],
        "Events": [_event_row(each) for each in raw["events"]],
        "Promises": [
            {"event": each["id"], "part": part, "course": course}
            for each in raw["events"]
            for part, course in each.get("verdicts", {}).items()
        ],
    }
    drop_downs: dict[str, dict[str, DropDown]] = {
        "Stock": {"material": lambda _row: tuple(sorted(trade.materials))},
        "Tools": {"tool": lambda _row: tuple(sorted(trade.tools))},
    }
    return (
        Table("Parts", layout.parts(faults), tuple(_part_rows(job, raw, trade)), _part_drop_downs(trade, faults)),
        *(Table(name, columns, tuple(rows[name]), drop_downs.get(name, {})) for name, columns in layout.LISTS.items()),
    )


def faults_of(part: Row, trade: Trade) -> tuple[Fault, ...]:
    """The faults a row's part may have: those of its material, or of all its kind's materials while none is chosen."""
    kind = trade.parts.get(part.get("kind", ""))
    families = (part["material"],) if part.get("material") else kind.materials if kind else tuple(trade.families)
    return tuple(
        fault for fault in trade.faults.values() if any(trade.is_for(each, fault.materials) for each in families)
    )


def _part_rows(job: Job, raw: Row, trade: Trade) -> Iterator[Row]:
    wishes = raw["wishes"]
    for part, plain in zip(job.parts, raw["parts"], strict=True):
        row = {name: value for name, value in plain.items() if name not in ("faults", "offers", "own")}
        for number, fault in enumerate(plain["faults"], 1):
            label = trade.faults[fault["fault"]].name if fault["fault"] in trade.faults else ""
            row[f"fault {number}"] = _named(label, fault["fault"])
            row[f"extent {number}"] = fault["extent"]
            row[f"note {number}"] = fault["note"]
        row |= {
            "missing": plain["missing"] or None,
            "must_do": part.id in wishes["must_do"],
            "leave_alone": part.id in wishes["leave_alone"],
            "floor": wishes["floors"].get(part.id),
            "zone": _zone(part, trade),
            "help": _help(trade.parts.get(part.kind), job.car.units),
        }
        yield row


def _event_row(event: Row) -> Row:
    """What every event has in columns of its own, the rest of its kind together; promises have their own table."""
    columns = {column.field for column in layout.EVENTS}
    more = {name: value for name, value in event.items() if name not in columns and name != "verdicts"}
    return {name: value for name, value in event.items() if name in columns} | {"more": more or None}


def _part_drop_downs(trade: Trade, faults: int) -> dict[str, DropDown]:
    kinds = (*sorted(kind.id for kind in trade.parts.values() if not kind.is_step), "own")

    def materials(row: Row) -> tuple[str, ...]:
        kind = trade.parts.get(row.get("kind", ""))
        return kind.materials if kind else tuple(trade.families)

    def suiting(row: Row) -> tuple[str, ...]:
        return tuple(_named(fault.name, fault.id) for fault in faults_of(row, trade))

    return {
        "kind": lambda _row: kinds,
        "material": materials,
        **{f"fault {number}": suiting for number in range(1, faults + 1)},
    }


def _help(kind: PartKind | None, system: System) -> str:
    """What helps beside the car: the trade's figures, and where the hand has to stop."""
    if kind is None:
        return "Described by you on the sheet Own parts."
    size = partial(area, system=system)
    words = []
    if kind.is_restraint:
        words.append(
            "Restraint part: look only, don't open, mend or test it. Wiped as its maker allows, or a new one fitted by "
            "licensed practice."
        )
    if kind.airbag_behind:
        words.append("May have an airbag behind it: look only; the car's own manual comes first.")
    if kind.materials:
        words.append(f"Usually {', '.join(kind.materials)}.")
    if kind.area_mm2[1]:
        words.append(f"Usually {size(kind.area_mm2[1])} ({size(kind.area_mm2[0])} to {size(kind.area_mm2[2])}).")
    if kind.fixings:
        words.append(f"Held by {held_by(kind.fixings)}.")
    return " ".join(words)


def _weights(job: Job, trade: Trade) -> dict[str, float | None]:
    """Every zone of the job with the weight given to it, or None."""
    zones: dict[str, float | None] = dict.fromkeys(zone for part in job.parts if (zone := _zone(part, trade)))
    return zones | dict(job.wishes.zones)


def _zone(part: Part, trade: Trade) -> str:
    if part.own:
        return part.own.zone
    return trade.parts[part.kind].zone if part.kind in trade.parts else ""


def _unit(trade: Trade, material: str) -> str:
    return trade.materials[material].unit if material in trade.materials else ""


def _named(label: str, each_id: str) -> str:
    return f"{label.replace('[', '(').replace(']', ')')} [{each_id}]" if label else each_id


def _value(item: Item, raw: Row) -> Any:
    value: Any = raw
    for step in item.path[:-1]:
        value = value[step]
    last: Any = item.path[-1]
    if item.member:
        return last in value
    return value[last] if isinstance(value, list) else value.get(last)
