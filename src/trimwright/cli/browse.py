"""`trimwright facts`: any table of what the trade knows, one row an entry, one entry whole, with its source."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from typing import Any

from trimwright.errors import BadInput, Problem
from trimwright.facts import load
from trimwright.facts.trade import Evidence, Trade


def show(table: str | None, entry: str | None, *, as_json: bool) -> None:
    """Print the list of tables, one table, or one entry."""
    from trimwright.cli.commands import console, print_json
    from trimwright.cli.tables import plain_table

    trade = load()
    if table is None:
        counts = {each: len(getattr(trade, each)) for each in tables()}
        if as_json:
            print_json({"tables": counts})
        else:
            console().print(plain_table(("table", "entries"), ((each, str(count)) for each, count in counts.items()), frozenset({1})))
            print("\nOne table: trimwright facts treatments. One entry: trimwright facts treatments wheel_rewrap")
        return
    rows = _table(trade, table)
    if entry is None:
        if as_json:
            print_json({table: [_plain(row) for row in rows.values()]})
        else:
            console().print(plain_table(("id", "what", "how far to trust it"), (_line(key, row) for key, row in rows.items())))
        return
    if entry not in rows:
        from trimwright.job.refusals import near

        raise BadInput(Problem(f"facts {table}", entry, "is not among them.", near(entry, list(rows))))
    whole = _plain(rows[entry])
    if as_json:
        print_json(whole)
    else:
        for name, value in _flat(whole):
            print(f"{name:<24}{value}")
        source = trade.sources.get(getattr(getattr(rows[entry], "evidence", None), "source", ""))
        if source is not None:
            print(f"{'source':<24}{source.title}")


def tables() -> tuple[str, ...]:
    """The names of the tables."""
    return tuple(each.name for each in fields(Trade))


def _table(trade: Trade, name: str) -> Mapping[str, Any]:
    if name not in tables():
        raise BadInput(Problem("facts", name, "is no table.", f"There are: {', '.join(tables())}."))
    rows: Mapping[str, Any] = getattr(trade, name)
    return rows


def _line(key: str, row: Any) -> tuple[str, str, str]:
    what = getattr(row, "name", None) or getattr(row, "text", None) or getattr(row, "what", None) or getattr(row, "title", "")
    evidence = getattr(row, "evidence", None)
    return key, str(what), evidence.level if isinstance(evidence, Evidence) else ""


def _plain(value: Any) -> Any:
    """Dataclasses, mappings and sets as plain JSON data."""
    if is_dataclass(value) and not isinstance(value, type):
        return {each.name: _plain(getattr(value, each.name)) for each in fields(value)}
    if isinstance(value, Mapping):
        return {str(key): _plain(each) for key, each in value.items()}
    if isinstance(value, frozenset | set):
        return sorted(_plain(each) for each in value)
    if isinstance(value, tuple | list):
        return [_plain(each) for each in value]
    return value


def _flat(whole: Mapping[str, Any], above: str = "") -> list[tuple[str, str]]:
    """Name and text of every field that says something; nested ones by dotted name, lists line by line."""
    lines: list[tuple[str, str]] = []
    for name, value in whole.items():
        label = f"{above}{name}"
        if isinstance(value, dict):
            lines += _flat(value, f"{label}.")
        elif isinstance(value, list) and any(isinstance(each, dict | list) for each in value):
            for number, each in enumerate(value, 1):
                lines += _flat(each if isinstance(each, dict) else {"": each}, f"{label} {number} ")
        elif isinstance(value, list):
            if value:
                lines.append((label, ", ".join(str(each) for each in value)))
        elif value not in (None, "", False):
            lines.append((label.strip(), str(value)))
    return lines
