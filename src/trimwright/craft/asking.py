"""A question at the workbench: its lines, as a form or as options, and what is typed there, all slips told at once.

A command and a page are both made from a `Question`, so that they ask the same and refuse the same.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import TypeVar

from trimwright import units
from trimwright.craft.answer import Answer
from trimwright.errors import BadInput, Problem

Value = TypeVar("Value")


@dataclass(frozen=True, slots=True)
class Ask:
    """One line of a question: what it is called, an example of what to type, and what stands there if nothing is."""

    name: str
    label: str
    example: str = ""
    usual: str = ""
    choices: tuple[str, ...] = ()
    known: Callable[[], tuple[str, ...]] | None = None
    """Ids of the facts that may stand there, read when they are asked for."""

    @property
    def offers(self) -> tuple[str, ...]:
        """What a form lets one choose from; nothing where text is typed."""
        return self.known() if self.known else self.choices


@dataclass(frozen=True, slots=True)
class Question:
    """A question with its lines; `answer` is pure: typed text in, an `Answer` out, BadInput with every problem."""

    id: str
    title: str
    asks: tuple[Ask, ...]
    answer: Callable[[Mapping[str, str]], Answer]


class Typed:
    """What was typed into the lines of a question; what cannot be read is gathered until `refuse_slips`."""

    __slots__ = ("_asks", "_problems", "_typed")

    def __init__(self, asks: Sequence[Ask], typed: Mapping[str, str]) -> None:
        self._asks = {each.name: each for each in asks}
        self._typed = {name: text.strip() for name, text in typed.items() if text and text.strip()}
        self._problems = [
            Problem(name, "", "is not asked here.", f"There are: {', '.join(self._asks)}.")
            for name in self._typed
            if name not in self._asks
        ]

    def has(self, name: str) -> bool:
        """Whether something was typed there."""
        return name in self._typed

    def text(self, name: str) -> str:
        """What was typed, or what usually stands there."""
        return self._typed.get(name, self._asks[name].usual)

    def take(self, name: str, read: Callable[[str, str], Value], otherwise: Value) -> Value:
        """The line's value; `otherwise` where nothing was typed, or a slip was gathered."""
        text = self.text(name)
        if not text:
            return otherwise
        try:
            return read(text, self._asks[name].label)
        except BadInput as error:
            self._problems += error.problems
            return otherwise

    def need(self, name: str, read: Callable[[str, str], Value], otherwise: Value) -> Value:
        """The value of a line that must be there."""
        if not self.text(name):
            self.slip(name, "is missing.", f"Write {self._asks[name].example}.")
        return self.take(name, read, otherwise)

    def choice(self, name: str) -> str:
        """One of what the line offers, empty where nothing was typed."""
        text, offers = self.text(name), self._asks[name].offers
        if text and text not in offers:
            self.slip(name, "is not among the choices.", f"Choose one of {', '.join(offers)}.")
            return ""
        return text

    def slip(self, name: str, what: str, way_out: str) -> None:
        """Gather a problem with a line."""
        self._problems.append(Problem(self._asks[name].label, self.text(name), what, way_out))

    def refuse_slips(self) -> None:
        """BadInput with every problem gathered so far."""
        if self._problems:
            raise BadInput(self._problems)

    def answered(self, work: Callable[[], Value]) -> Value:
        """What `work` comes to, once every line could be read."""
        self.refuse_slips()
        return work()


# ---- readers that the questions share --------------------------------------------------------------------------------


def a_time(text: str, where: str) -> float:
    """Minutes from a typed time; the unit must be said.

    >>> a_time("20 min", "drying"), a_time("1.5 h", "drying")
    (20.0, 90.0)
    """
    if not any(letter.isalpha() or letter == ":" for letter in text):
        raise BadInput(Problem(where, text, "has no unit.", "Write 20 min, or 1.5 h."))
    minutes = units.parse_minutes(text, where)
    if minutes < 1:
        raise BadInput(Problem(where, text, "is no time.", "Write 20 min, or 1.5 h."))
    return float(minutes)


def bare_mm(text: str, where: str) -> float:
    """Millimetres from a typed length; a bare figure is mm.

    >>> bare_mm("94", "grip"), round(bare_mm("3.7 in", "grip"), 2)
    (94.0, 93.98)
    """
    found = re.fullmatch(r"\s*([-0-9.,]+)\s*(.*?)\s*", text)
    value = units.parse_number(found[1] if found else text, where)
    try:
        return float(units.convert(value, (found[2] if found else "") or "mm", "mm"))
    except KeyError:
        raise BadInput(Problem(where, text, "is no length.", "Write mm, such as 94, or 3.7 in.")) from None


def litres(text: str, where: str) -> float:
    """Litres from a typed volume with its unit."""
    return units.parse_measure(text, where, "L", least=0, most=200, example="0.4 L")


def area_mm2(text: str, where: str) -> float:
    """An area of a part [mm²]; the unit must be said."""
    return units.parse_measure(text, where, "m2", least=0, most=20, example="1.2 m2, or 13 sq ft") * 1e6


def film_um(text: str, where: str) -> float:
    """A film [µm]."""
    return units.parse_measure(text, where, "um", least=0, most=5000, example="25 µm, or 1 mil")


def count(text: str, where: str) -> int:
    """A whole number from 1 to 50."""
    value = units.parse_number(text, where)
    if value != int(value) or not 1 <= value <= 50:
        raise BadInput(Problem(where, text, "is not a whole number from 1 to 50.", "Write 2."))
    return int(value)


def parts(text: str, where: str) -> tuple[float, ...]:
    """Figures between colons, as in 4:1:1."""
    try:
        return tuple(float(units.parse_number(each, where)) for each in text.split(":"))
    except BadInput:
        raise BadInput(Problem(where, text, "is no row of figures.", "Write them with colons, as in 4:1:1.")) from None
