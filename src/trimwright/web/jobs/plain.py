"""Frozen values of the engine as plain data that JSON can carry."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from datetime import date
from typing import Any


def plain(value: Any) -> Any:
    """Dataclasses as mappings, sequences as lists, dates as ISO text.

    >>> plain((date(2026, 11, 5), {"a": (1, None)}))
    ['2026-11-05', {'a': [1, None]}]
    """
    if is_dataclass(value) and not isinstance(value, type):
        return {each.name: plain(getattr(value, each.name)) for each in fields(value)}
    if isinstance(value, Mapping):
        return {str(key): plain(each) for key, each in value.items()}
    if isinstance(value, (tuple, list, set, frozenset)):
        return [plain(each) for each in value]
    if isinstance(value, date):
        return value.isoformat()
    return value
