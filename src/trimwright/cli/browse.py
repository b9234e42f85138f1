"""`trimwright facts`: any table of what the trade knows, one row an entry, one entry whole, with its source."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from trimwright.cli.terminal import console, print_json
from trimwright.errors import BadInput, Problem
from trimwright.facts import load
from trimwright.facts.telling import entries, entry_lines, evidence_lines, plain, tables, trust, what
from trimwright.facts.trade import Trade


def show(table: str | None, entry: str | None, *, as_json: bool) -> None:
    """Print the list of tables, one table, or one entry."""
    trade = load()
    if table is None:
        _show_tables(trade, as_json=as_json)
        return
    rows = _table(trade, table)
    if entry is None:
        _show_table(table, rows, as_json=as_json)
    elif entry in rows:
        _show_entry(trade, rows[entry], as_json=as_json)
    else:
        from trimwright.job.refusals import near

        way_out = near(entry, list(rows)) or f"`trimwright facts {table}` lists them."
        raise BadInput(Problem(f"facts {table}", entry, "is not among them.", way_out))


def _show_tables(trade: Trade, *, as_json: bool) -> None:
    from trimwright.cli.tables import plain_table

    counts = {each: len(entries(trade, each)) for each in tables()}
    if as_json:
        print_json({"tables": counts})
        return
    console().print(plain_table(("Table", "Entries"), ((each, str(counts[each])) for each in counts), frozenset({1})))
    print("\nOne table: trimwright facts treatments. One entry: trimwright facts treatments wheel_rewrap")


def _show_table(name: str, rows: Mapping[str, Any], *, as_json: bool) -> None:
    from trimwright.cli.tables import plain_table

    if as_json:
        print_json({name: [plain(row) for row in rows.values()]})
        return
    lines = [(key, what(row), trust(row)) for key, row in rows.items()]
    told = any(line[2] for line in lines)
    headings = ("Id", "What", "How far to trust it") if told else ("Id", "What")
    console().print(plain_table(headings, (line[: len(headings)] for line in lines)))


def _show_entry(trade: Trade, entry: Any, *, as_json: bool) -> None:
    if as_json:
        print_json(plain(entry))
        return
    from rich.table import Table
    from rich.text import Text

    table = Table.grid(padding=(0, 2, 0, 0), pad_edge=False)
    for name, told in entry_lines(entry):
        table.add_row(Text(name, style="dim"), Text(told))
    for name, told in evidence_lines(entry, trade):
        table.add_row(Text(name, style="dim"), Text(told, style="bold" if name == "how far to trust it" else ""))
    console().print(table)


def _table(trade: Trade, name: str) -> Mapping[str, Any]:
    if name not in tables():
        raise BadInput(Problem("facts", name, "is no table.", f"There are: {', '.join(tables())}."))
    return entries(trade, name)
