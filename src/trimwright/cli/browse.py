"""`trimwright facts`: any table of what the trade knows, one row an entry, one entry whole, with its source."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from typing import Any

from trimwright.cli.terminal import console, print_json
from trimwright.errors import BadInput, Problem
from trimwright.facts import load
from trimwright.facts.trade import Evidence, Trade


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


def tables() -> tuple[str, ...]:
    """The names of the tables."""
    return tuple(each.name for each in fields(Trade))


def _show_tables(trade: Trade, *, as_json: bool) -> None:
    from trimwright.cli.tables import plain_table

    counts = {each: len(getattr(trade, each)) for each in tables()}
    if as_json:
        print_json({"tables": counts})
        return
    console().print(plain_table(("Table", "Entries"), ((each, str(counts[each])) for each in counts), frozenset({1})))
    print("\nOne table: trimwright facts treatments. One entry: trimwright facts treatments wheel_rewrap")


def _show_table(name: str, rows: Mapping[str, Any], *, as_json: bool) -> None:
    from trimwright.cli.tables import plain_table

    if as_json:
        print_json({name: [_plain(row) for row in rows.values()]})
        return
    lines = [_line(key, row) for key, row in rows.items()]
    told = any(line[2] for line in lines)
    headings = ("Id", "What", "How far to trust it") if told else ("Id", "What")
    console().print(plain_table(headings, (line[: len(headings)] for line in lines)))


def _show_entry(trade: Trade, entry: Any, *, as_json: bool) -> None:
    if as_json:
        print_json(_plain(entry))
        return
    from rich.table import Table
    from rich.text import Text

    table = Table.grid(padding=(0, 2, 0, 0), pad_edge=False)
    for name, value in _plain(entry, brief=True).items():
        if name != "evidence" and (told := _told(value)):
            table.add_row(Text(name.replace("_", " "), style="dim"), Text(told))
    evidence = getattr(entry, "evidence", None)
    if isinstance(evidence, Evidence):
        table.add_row(Text("how far to trust it", style="dim"), Text(evidence.level, style="bold"))
        if evidence.note and evidence.note != evidence.level:
            table.add_row(Text("read where", style="dim"), Text(evidence.note))
        if evidence.source in trade.sources:
            table.add_row(Text("source", style="dim"), Text(trade.sources[evidence.source].title))
    console().print(table)


def _table(trade: Trade, name: str) -> Mapping[str, Any]:
    if name not in tables():
        raise BadInput(Problem("facts", name, "is no table.", f"There are: {', '.join(tables())}."))
    rows: Mapping[str, Any] = getattr(trade, name)
    return rows


def _line(key: str, row: Any) -> tuple[str, str, str]:
    """An entry's id, what it is, and how far to trust it."""
    what = next((text for name in ("name", "text", "what", "title") if (text := getattr(row, name, ""))), "")
    return key, str(what), _trust(row)


def _trust(row: Any) -> str:
    """How far to trust an entry: its own level, or that of the packs it is sold in."""
    evidence = getattr(row, "evidence", None)
    if isinstance(evidence, Evidence):
        return evidence.level
    return ", ".join(dict.fromkeys(f"price: {pack.evidence.level}" for pack in getattr(row, "packs", ())))


def _plain(value: Any, *, brief: bool = False) -> Any:
    """Dataclasses, mappings and sets as plain JSON data; `brief` leaves out fields that say only the usual."""
    if is_dataclass(value) and not isinstance(value, type):
        held = {each: getattr(value, each.name) for each in fields(value)}
        return {
            each.name: _plain(inside, brief=brief)
            for each, inside in held.items()
            if not (brief and inside == each.default)
        }
    if isinstance(value, Mapping):
        return {str(key): _plain(each, brief=brief) for key, each in value.items()}
    if isinstance(value, frozenset | set):
        return sorted(_plain(each, brief=brief) for each in value)
    if isinstance(value, tuple | list):
        return [_plain(each, brief=brief) for each in value]
    return value


def _told(value: Any) -> str:
    """Plain data in a line of words; what says nothing is left out.

    >>> _told([{"fault": "L_torn", "upto": "heavy"}]), _told(["glue", [{"amount": 0.05, "per": "job"}]]), _told(None)
    ('fault L_torn, upto heavy', 'glue (amount 0.05, per job)', '')
    """
    match value:
        case None | "" | False:
            return ""
        case True:
            return "yes"
        case dict():
            return ", ".join(
                f"{name.replace('_', ' ')} {told}" for name, each in value.items() if (told := _told(each))
            )
        case [str() as first, [*rest]]:
            return f"{first} ({_told(rest)})"
        case list():
            nested = any(isinstance(each, dict | list) for each in value)
            return ("; " if nested else ", ").join(text for each in value if (text := _told(each)))
        case _:
            return str(value)
