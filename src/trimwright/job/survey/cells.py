"""What may stand in one cell of the sheet: how a value is shown there, and how what was typed becomes a value again.

A cell gives text (numbers as plain figures); an empty one never reaches a reader. Sizes and money are shown in the
unit of the column's header and read in any unit. A choice may be shown as "name [id]"; only the id counts.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from trimwright import units
from trimwright.errors import BadInput, Problem
from trimwright.job.refusals import near

Shown = str | int | float | None


@dataclass(frozen=True, slots=True)
class Terms:
    """What the figures of a column are in: the currency, and metric or US customary units."""

    currency: str
    system: units.System


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of cell: `show` gives what is written, `read` takes (text, where, terms) and raises BadInput."""

    show: Callable[[Any, Terms], Shown]
    read: Callable[[str, str, Terms], Any]
    choices: tuple[str, ...] = ()
    """For a drop-down; empty = anything of the kind."""


def choice(*ids: str) -> Kind:
    """One of `ids` and nothing else; capitals do not matter."""

    def read(text: str, where: str, _terms: Terms) -> str:
        found = named_id(text).casefold()
        for each in ids:
            if each.casefold() == found:
                return each
        raise BadInput(Problem(where, text, f"is not one of: {', '.join(ids)}.", near(text, ids)))

    return Kind(lambda value, _terms: value, read, ids)


def named_id(text: str) -> str:
    """The id in "name [id]", or the text itself.

    >>> named_id("faded or patchy [l_faded]"), named_id("l_faded")
    ('l_faded', 'l_faded')
    """
    bracketed = re.search(r"\[([^\[\]]+)\]\s*$", text)
    return bracketed[1].strip() if bracketed else text.strip()


def _read_whole(text: str, where: str, _terms: Terms) -> int:
    value = units.parse_number(text, where)
    if value != value.to_integral_value():
        raise BadInput(Problem(where, text, "is not a whole number.", "Round it."))
    return int(value)


def _read_number(text: str, where: str, _terms: Terms) -> float:
    share = text.strip().endswith("%")
    value = float(units.parse_number(text.strip().removesuffix("%"), where))
    return value / 100 if share else value


def _read_hours(text: str, where: str, _terms: Terms) -> float:
    try:
        return float(units.parse_number(text, where))
    except BadInput:
        return units.parse_minutes(text, where) / 60


def _read_yes_no(text: str, where: str, _terms: Terms) -> bool:
    word = text.strip().casefold()
    if word in ("yes", "y", "x", "true", "1"):
        return True
    if word in ("no", "n", "false", "0"):
        return False
    raise BadInput(Problem(where, text, "is neither yes nor no.", "Write yes or no, or leave it empty."))


def _show_money(minor: int, terms: Terms) -> Shown:
    places = units.exponent(terms.currency)
    return minor / 10**places if places else minor


def _read_money(text: str, where: str, terms: Terms) -> int:
    if re.fullmatch(r"-?[0-9]+\.[0-9]{10,}", text):  # the rounding error of a figure the spreadsheet worked out
        text = plain_figure(round(float(text), 9))
    return units.parse_money(text, terms.currency, where)


def _show_area(mm2: int, terms: Terms) -> Shown:
    """Square feet with every digit a float has, so that the same mm² come back."""
    return mm2 / 1e6 if terms.system == "metric" else mm2 / 92903.04


def _show_length(mm: int, terms: Terms) -> Shown:
    return mm / 1000 if terms.system == "metric" else mm / 25.4


def _read_area(text: str, where: str, terms: Terms) -> int:
    return units.parse_area(text, where, "m2" if terms.system == "metric" else "ft2")


def _read_length(text: str, where: str, terms: Terms) -> int:
    return units.parse_length(text, where, "m" if terms.system == "metric" else "in")


def _read_group(text: str, where: str, _terms: Terms) -> dict[str, Any]:
    try:
        value = json.loads(text)
    except ValueError:
        value = None
    if not isinstance(value, dict):
        raise BadInput(Problem(where, text, "is not what was written here.", "Fetch the cell from an older copy."))
    return value


def _same(value: Any, _terms: Terms) -> Shown:
    return value  # type: ignore[no-any-return]


TEXT = Kind(_same, lambda text, _where, _terms: text)
DATE = Kind(_same, lambda text, _where, _terms: text.removesuffix("T00:00:00"))
MOMENT = Kind(_same, lambda text, _where, _terms: text)
"""Date and time."""
DAYS = Kind(
    lambda days, _terms: "\n".join(days),
    lambda text, _where, _terms: [each.removesuffix("T00:00:00") for each in re.split(r"[\s,;]+", text) if each],
)
"""Days, one a line."""
CLOCK = Kind(lambda value, _terms: value[:5], lambda text, _where, _terms: text[:5].rstrip(":").rjust(5, "0"))
"""A time of day, by the minute."""
CODE = Kind(_same, lambda text, _where, _terms: named_id(text))
"""An id of the document or of the facts."""
CODES = Kind(
    lambda ids, _terms: "\n".join(ids),
    lambda text, _where, _terms: [each for each in re.split(r"[\s,;]+", text) if each],
)
LINES = Kind(
    lambda lines, _terms: "\n".join(lines),
    lambda text, _where, _terms: [each for each in text.split("\n") if each.strip()],
)
WHOLE = Kind(_same, _read_whole)
FINISH = Kind(_same, _read_whole, tuple(str(finish) for finish in range(11)))
NUMBER = Kind(_same, _read_number)
HOURS = Kind(_same, _read_hours)
YES = Kind(lambda value, _terms: "yes" if value else None, _read_yes_no, ("yes",))
"""Yes, or empty for no."""
YES_NO = Kind(lambda value, _terms: "yes" if value else "no", _read_yes_no, ("yes", "no"))
MONEY = Kind(_show_money, _read_money)
AREA = Kind(_show_area, _read_area)
LENGTH = Kind(_show_length, _read_length)
ROOM = Kind(lambda mm2, _terms: f"{plain_figure(mm2 / 1e6)} m2", _read_area)
"""An area with its unit, where no header gives one."""


GROUP = Kind(lambda value, _terms: json.dumps(value, ensure_ascii=False), _read_group)
"""A group of fields as JSON."""


def plain_figure(value: float) -> str:
    """A number cell as text, with every digit it has and no exponent.

    >>> plain_figure(4.0), plain_figure(0.1 + 0.2), plain_figure(1e-05)
    ('4', '0.30000000000000004', '0.00001')
    """
    shown = format(Decimal(repr(value)), "f")
    return shown.rstrip("0").rstrip(".") if "." in shown else shown
