"""What every document of ours is made of: frozen models, and the kinds of text and figures their fields hold.

Sets and mappings are kept sorted, text free of control characters and figures to fifteen digits, so that equal
documents are equal bytes and everything survives a spreadsheet.
"""

from __future__ import annotations

import re
from collections.abc import Container, Iterable, Mapping
from datetime import date
from typing import Annotated, TypeVar

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, StringConstraints

from trimwright.errors import BadInput, Problem
from trimwright.units import MAX_MONEY_MINOR, exponent

_CONTROL = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f\ufffe\uffff]")
Value = TypeVar("Value")


class Clash(ValueError):
    """Fields that are right by themselves and wrong together; pydantic carries it to `refusals.py`."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems = tuple(problems)
        super().__init__("; ".join(str(problem) for problem in self.problems))


def _free_of_controls(text: str) -> str:
    """Every line end alike; a spreadsheet cannot hold other control characters, so no job does."""
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    if _CONTROL.search(text):
        raise ValueError("holds a control character: type the text again")
    return text


def _on_one_line(text: str) -> str:
    text = _free_of_controls(text)
    if "\n" in text or "\t" in text:
        raise ValueError("has to stand on one line: take out line ends and tabs")
    return text


def _as_sheets_keep_it(value: float) -> float:
    """Fifteen significant digits; no spreadsheet keeps more."""
    return float(f"{value:.15g}")


def _distinct(slugs: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(sorted(set(slugs)))


def sorted_days(days: tuple[date, ...]) -> tuple[date, ...]:
    """Each day once, in order."""
    return tuple(sorted(set(days)))


def _in_order(mapping: Mapping[str, Value]) -> Mapping[str, Value]:
    return dict(sorted(mapping.items()))


def _known_currency(code: str) -> str:
    try:
        exponent(code)
    except BadInput as error:
        raise ValueError(error.problems[0].what) from None
    return code


Figure = Annotated[float, AfterValidator(_as_sheets_keep_it)]
Slug = Annotated[str, StringConstraints(pattern=r"^[a-z0-9][a-z0-9_.-]{0,79}$")]
FactId = Annotated[str, StringConstraints(pattern=r"^[A-Za-z0-9][A-Za-z0-9_.-]{0,79}$")]
"""An id of the facts; `check.py` tells whether there is such a one."""
CourseId = Annotated[str, StringConstraints(pattern=r"^[A-Za-z0-9][A-Za-z0-9_.+~-]{0,399}$")]
"""A treatment, or the treatments of a course joined by "+", with its variant behind "~"."""
StepId = Annotated[str, StringConstraints(pattern=r"^[A-Za-z0-9][A-Za-z0-9_.:-]{0,119}$")]
"""A strip-down step: the trade's id of a kind at a place, or "own:" and the id of a part of one's own."""
TaskId = Annotated[str, StringConstraints(pattern=r"^[A-Za-z0-9][A-Za-z0-9_.:+~/-]{0,255}$")]
"""A task of the calendar."""
CourseIds = Annotated[tuple[CourseId, ...], AfterValidator(_distinct)]
FactIds = Annotated[tuple[FactId, ...], AfterValidator(_distinct)]
SlugSet = Annotated[tuple[Slug, ...], AfterValidator(_distinct)]
IN_ORDER = AfterValidator(_in_order)
"""Keeps a mapping sorted by its keys."""
_CLEAN = AfterValidator(_free_of_controls)
_LINE = AfterValidator(_on_one_line)
Text = Annotated[str, StringConstraints(strip_whitespace=True, max_length=20_000), _CLEAN]
FilledText = Annotated[str, StringConstraints(strip_whitespace=True, min_length=1, max_length=20_000), _CLEAN]
Line = Annotated[str, StringConstraints(strip_whitespace=True, max_length=200), _LINE]
Name = Annotated[str, StringConstraints(strip_whitespace=True, min_length=1, max_length=200), _LINE]
Colour = Annotated[str, StringConstraints(strip_whitespace=True, max_length=60), _LINE]
Currency = Annotated[str, StringConstraints(pattern=r"^[A-Z]{3}$"), AfterValidator(_known_currency)]
Minor = Annotated[int, Field(ge=0, le=MAX_MONEY_MINOR)]
Finish = Annotated[int, Field(ge=0, le=10)]


def treatments_named(course: str) -> tuple[str, ...]:
    """The treatments that a course's id names.

    >>> treatments_named("leather_clean+leather_recolour~2")
    ('leather_clean', 'leather_recolour')
    """
    return tuple(course.partition("~")[0].split("+"))


def free_id(wanted: str, taken: Container[str]) -> str:
    """`wanted`, or with the first number behind it that makes it free.

    >>> free_id("mirror", ()), free_id("mirror", {"mirror"}), free_id("mirror", {"mirror", "mirror-2"})
    ('mirror', 'mirror-2', 'mirror-3')
    """
    number, found = 1, wanted
    while found in taken:
        number += 1
        found = f"{wanted}-{number}"
    return found


class Model(BaseModel):
    """Frozen; refuses what it does not know; no NaN or infinity."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)
