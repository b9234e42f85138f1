"""What is said and counted on: cautions, tests before the keys go back, constants of the trade, sources of rows."""

from __future__ import annotations

from dataclasses import dataclass

from trimwright.facts.trade.evidence import Evidence
from trimwright.facts.trade.parts import Equipment


@dataclass(frozen=True, slots=True)
class Caution:
    """A usual caution, shown where the hand is about to go; never instead of the car's manual or the label."""

    id: str
    text: str
    evidence: Evidence


@dataclass(frozen=True, slots=True)
class FinalTest:
    """A test before the keys go back; `trained`: by licensed practice. Only where `fitted` may be, if it names any."""

    id: str
    subject: str
    text: str
    trained: bool
    fitted: Equipment | None
    evidence: Evidence


@dataclass(frozen=True, slots=True)
class Source:
    """Where a row is from."""

    id: str
    title: str
    note: str


@dataclass(frozen=True, slots=True)
class Practice:
    """A named constant of the trade (a share, a rule of thumb, a payment) with its evidence."""

    id: str
    value: float
    unit: str
    what: str
    evidence: Evidence
