"""What a question at the workbench is answered with: named figures with their working, limits, notes, cautions.

A limit is kept or passed, and that is all that is said of it: never that something is safe.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from math import floor, log10
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from trimwright.worked import Worked


@dataclass(frozen=True, slots=True)
class Named:
    """One figure of an answer."""

    name: str
    worked: Worked

    @property
    def shown(self) -> str:
        """The figure as it is read."""
        return shown(self.worked.value, self.worked.unit)


@dataclass(frozen=True, slots=True)
class Against:
    """A figure held against a limit in the same `unit`, by its `source`; at most that, or at least."""

    name: str
    found: Worked
    limit: float
    unit: str
    source: str
    at_most: bool = True

    @property
    def holds(self) -> bool:
        """Whether it keeps the limit."""
        return self.found.value <= self.limit if self.at_most else self.found.value >= self.limit

    @property
    def told(self) -> str:
        """Where the figure lies, in words that claim no more."""
        if self.at_most:
            side = "below the limit of" if self.holds else "above the limit of"
        else:
            side = "at least the limit of" if self.holds else "less than the limit of"
        return f"{shown(self.found.value, self.unit)}, {side} {shown(self.limit, self.unit)}"


@dataclass(frozen=True, slots=True)
class Answer:
    """The answer to one question; `refused` says why a figure is not given, and goes before everything."""

    told: str
    figures: tuple[Named, ...] = ()
    limits: tuple[Against, ...] = ()
    steps: tuple[str, ...] = ()
    """What to do, in its order."""
    notes: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    """Ids of the cautions that go with it."""
    refused: str = ""
    engine: object = field(default=None, repr=False)
    """What the engine found, for a picture of it."""

    def plain(self) -> Mapping[str, Any]:
        """The answer as plain JSON data."""
        return {
            "told": self.told,
            "refused": self.refused,
            "figures": [{"name": each.name, **_worked(each.worked)} for each in self.figures],
            "limits": [
                {
                    "name": each.name,
                    "found": _worked(each.found),
                    "limit": each.limit,
                    "unit": each.unit,
                    "at_most": each.at_most,
                    "holds": each.holds,
                    "source": each.source,
                }
                for each in self.limits
            ],
            "steps": list(self.steps),
            "notes": list(self.notes),
            "cautions": list(self.cautions),
        }


def _worked(worked: Worked) -> Mapping[str, Any]:
    return {"value": worked.value, "unit": worked.unit, "working": str(worked), "source": worked.source}


def shown(value: float, unit: str = "") -> str:
    """A figure to three significant digits, whole ones in full; warmth, and how far it is off, in °F beside.

    >>> shown(12345.6, "ppm"), shown(0.012345), shown(15.04, "°C"), shown(3, "K"), shown(0, "L")
    ('12,300 ppm', '0.0123', '15 °C (59.1 °F)', '3 K (5.4 °F)', '0 L')
    """
    told = f"{_three_digits(value)} {unit}".rstrip()
    if unit in _IN_FAHRENHEIT:
        return f"{told} ({_three_digits(value * 9 / 5 + _IN_FAHRENHEIT[unit])} °F)"
    return told


_IN_FAHRENHEIT: Mapping[str, int] = {"°C": 32, "K": 0}
"""What is added to nine fifths of it: a difference has no zero of its own."""


def _three_digits(value: float) -> str:
    if not value:
        return "0"
    digits = 2 - floor(log10(abs(value)))
    told = f"{round(value, digits):,.{max(0, digits)}f}"
    return told.rstrip("0").rstrip(".") if "." in told else told
