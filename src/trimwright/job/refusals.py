"""What pydantic refuses, told in plain words: where it stands, the value, what is wrong, the way out."""

from __future__ import annotations

import difflib
import re
from collections.abc import Callable, Mapping, Sequence
from typing import Any

from pydantic import ValidationError
from pydantic_core import ErrorDetails

from trimwright.errors import Problem
from trimwright.job.fields import Clash

Loc = tuple[int | str, ...]

_TELL: dict[str, tuple[str, str]] = {
    "missing": ("is missing.", "Add it."),
    "extra_forbidden": ("is no field of this document.", "Correct its spelling or take it out."),
    "finite_number": ("is not a finite number.", "Write it in figures."),
    "string_type": ("is not text.", "Put it in quotes."),
    "bool_type": ("is neither true nor false.", ""),
    "greater_than_equal": ("is less than {ge}.", "Check the figure."),
    "greater_than": ("is not more than {gt}.", "Check the figure."),
    "less_than_equal": ("is more than {le}.", "Check the figure."),
    "string_too_long": ("is longer than {max_length} characters.", "Shorten it; notes have room for more."),
    "string_too_short": ("is empty.", "Write something here."),
    "too_long": ("has more than {max_length} entries.", "Split it into several jobs."),
    "too_short": ("has fewer than {min_length} entries.", "Add some, or take the whole list out."),
    "string_pattern_mismatch": ("is not of the right form.", ""),
    "union_tag_invalid": ("is of no kind that is known.", "Known are {expected_tags}."),
    "union_tag_not_found": ("does not say what kind it is.", "Add {discriminator}."),
}
_ID_RULE = "Use letters (small ones for ids of your own), digits, '.', '_' and '-'; at most 80, no blanks."


def problems_of(
    error: ValidationError, raw: object = None, place: Callable[[Loc], str] | None = None
) -> tuple[Problem, ...]:
    """Every refusal of `error` as a Problem; `place` says where a location stands, by default inside the document."""
    where = place or (lambda loc: described(loc, raw))
    found: list[Problem] = []
    for each in error.errors(include_url=False):
        carried = each.get("ctx", {}).get("error")
        if isinstance(carried, Clash):
            found += carried.problems
        else:
            found.append(_told(each, where(_without_kind(each["loc"]))))
    return tuple(dict.fromkeys(found))


def described(loc: Loc, raw: object = None) -> str:
    """A location as a path people can follow; entries count from 1 and carry their id or name.

    >>> described(("parts", 2, "finish_now"), {"parts": [{}, {}, {"id": "door_card.driver"}]})
    'parts › 3 (door_card.driver) › finish_now'
    """
    words: list[str] = []
    for step in loc:
        raw = _inside(raw, step)
        name = raw.get("id") or raw.get("name") if isinstance(raw, Mapping) else None
        shown = str(step + 1) if isinstance(step, int) else step
        words.append(f"{shown} ({shortened(name)})" if isinstance(step, int) and name else shown)
    return " › ".join(words) or "the whole"


def shortened(value: object) -> str:
    """A value as it is shown in a message: short, and never a whole group of fields.

    >>> shortened(True), shortened("x" * 99)[-3:], shortened({"a": 1})
    ('true', 'xx…', '')
    """
    if isinstance(value, Mapping | list | tuple | set | frozenset):
        return ""
    text = "none" if value is None else str(value).lower() if isinstance(value, bool) else str(value)
    return text if len(text) <= 60 else text[:59] + "…"


def near(word: str, known: Sequence[str] | Mapping[str, object]) -> str:
    """The way out for a misspelt word: the names it may have meant, or nothing.

    >>> near("lether", ("leather", "cloth"))
    "Did you mean 'leather'?"
    """
    close = difflib.get_close_matches(word, list(known), n=3, cutoff=0.6)
    return f"Did you mean {' or '.join(repr(each) for each in close)}?" if close else ""


def _inside(raw: object, step: int | str) -> object:
    if isinstance(raw, Mapping):
        return raw.get(step)
    if isinstance(raw, list | tuple) and isinstance(step, int) and step < len(raw):
        return raw[step]
    return None


def _without_kind(loc: Loc) -> Loc:
    """The location as it stands in the document: pydantic puts the event's kind between it and its fields."""
    return (*loc[:2], *loc[3:]) if loc[:1] == ("events",) else loc


def _told(each: ErrorDetails, where: str) -> Problem:
    kind, context, value = each["type"], each.get("ctx", {}), each["input"]
    if kind == "missing":
        value = ""
    if kind == "value_error":
        what, _, way_out = str(context["error"]).partition(": ")
        return Problem(where, shortened(value), _sentence(what), _sentence(way_out))
    if kind == "literal_error":
        return Problem(where, shortened(value), f"is not {context['expected']}.", _near_literal(value, context))
    if kind == "string_pattern_mismatch":
        currency = context["pattern"] == "^[A-Z]{3}$"
        what = "is no currency code." if currency else "is no id."
        return Problem(
            where, shortened(value), what, "Use three letters, such as EUR or USD." if currency else _ID_RULE
        )
    if kind in _TELL:
        what, way_out = _TELL[kind]
        return Problem(where, shortened(value), what.format(**context), way_out.format(**context))
    return Problem(where, shortened(value), *_wrong_type(kind, each["msg"]))


def _wrong_type(kind: str, message: str) -> tuple[str, str]:
    for start, what, way_out in (
        ("int", "is not a whole number.", "Write it in figures."),
        ("float", "is not a number.", "Write it in figures."),
        ("datetime", "is not a date and time.", "Write it like 2026-05-31T14:30."),
        ("date", "is not a date.", "Write it like 2026-05-31."),
        ("tuple", "is not a list.", "Put the entries in square brackets."),
        ("frozen_set", "is not a list.", "Put the entries in square brackets."),
        ("model", "is not a group of fields.", "Put the fields in braces."),
        ("mapping", "is not a group of fields.", "Put the fields in braces."),
        ("dict", "is not a group of fields.", "Put the fields in braces."),
    ):
        if kind.startswith(start):
            return what, way_out
    return _sentence(message), ""


def _near_literal(value: object, context: Mapping[str, Any]) -> str:
    return near(value, re.findall(r"'([^']*)'", context["expected"])) if isinstance(value, str) else ""


def _sentence(text: str) -> str:
    return text + "." if text and not text.endswith(".") else text
