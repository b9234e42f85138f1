"""Facts as people browse them: the tables, an entry in a line, an entry field by field, how far to trust it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from typing import Any

from trimwright.facts.trade import Evidence, Trade
from trimwright.facts.workbench import Workbench, load_workbench


def tables() -> tuple[str, ...]:
    """The names of the tables: the trade's, then the workbench's."""
    return tuple(each.name for each in (*fields(Trade), *fields(Workbench)))


def entries(trade: Trade, table: str) -> Mapping[str, Any]:
    """The entries of one table by their ids."""
    held: Mapping[str, Any] = getattr(trade if hasattr(trade, table) else load_workbench(), table)
    return held


def what(row: Any) -> str:
    """What an entry is, in a few words."""
    return str(next((text for name in ("name", "text", "what", "title") if (text := getattr(row, name, ""))), ""))


def trust(row: Any) -> str:
    """How far to trust an entry: its own level, or that of the packs it is sold in."""
    evidence = getattr(row, "evidence", None)
    if isinstance(evidence, Evidence):
        return evidence.level
    if isinstance(evidence, Mapping):
        return ", ".join(dict.fromkeys(each.level for each in evidence.values()))
    return ", ".join(dict.fromkeys(f"price: {pack.evidence.level}" for pack in getattr(row, "packs", ())))


def entry_lines(row: Any) -> list[tuple[str, str]]:
    """An entry field by field, what says only the usual left out; its evidence is told apart (`evidence_lines`)."""
    told_fields = ((name.replace("_", " "), told(value)) for name, value in plain(row, brief=True).items())
    return [(name, text) for name, text in told_fields if name != "evidence" and text]


def evidence_lines(row: Any, trade: Trade) -> list[tuple[str, str]]:
    """How far to trust an entry, where it was read, and its source; nothing for what has no evidence of its own."""
    evidence = getattr(row, "evidence", None)
    if isinstance(evidence, Mapping):
        return [
            (f"how far to trust its {each}", "; ".join(told for _, told in _evidence_told(evidence[each], trade)))
            for each in evidence
        ]
    return _evidence_told(evidence, trade) if isinstance(evidence, Evidence) else []


def _evidence_told(evidence: Evidence, trade: Trade) -> list[tuple[str, str]]:
    lines: list[tuple[str, str]] = [("how far to trust it", evidence.level)]
    if evidence.note and evidence.note != evidence.level:
        lines.append(("read where", evidence.note))
    if evidence.source in trade.sources:
        lines.append(("source", trade.sources[evidence.source].title))
    return lines


def plain(value: Any, *, brief: bool = False) -> Any:
    """Dataclasses, mappings and sets as plain JSON data; `brief` leaves out fields that say only the usual."""
    if is_dataclass(value) and not isinstance(value, type):
        held = {each: getattr(value, each.name) for each in fields(value)}
        return {
            each.name: plain(inside, brief=brief)
            for each, inside in held.items()
            if not (brief and inside == each.default)
        }
    if isinstance(value, Mapping):
        return {str(key): plain(each, brief=brief) for key, each in value.items()}
    if isinstance(value, frozenset | set):
        return sorted(plain(each, brief=brief) for each in value)
    if isinstance(value, tuple | list):
        return [plain(each, brief=brief) for each in value]
    return value


def told(value: Any) -> str:
    """Plain data in a line of words; what says nothing is left out.

    >>> told([{"fault": "L_torn", "upto": "heavy"}]), told(["glue", [{"amount": 0.05, "per": "job"}]]), told(None)
    ('fault L_torn, upto heavy', 'glue (amount 0.05, per job)', '')
    """
    match value:
        case None | "" | False:
            return ""
        case True:
            return "yes"
        case dict():
            return ", ".join(
                f"{name.replace('_', ' ')} {words}" for name, each in value.items() if (words := told(each))
            )
        case [str() as first, [*rest]]:
            return f"{first} ({told(rest)})"
        case list():
            nested = any(isinstance(each, dict | list) for each in value)
            return ("; " if nested else ", ").join(text for each in value if (text := told(each)))
        case _:
            return str(value)
