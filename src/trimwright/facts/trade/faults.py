"""Faults that the eye finds, what may be hidden behind them, and the looks that tell."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

from trimwright.facts.trade.evidence import Evidence, Spread3
from trimwright.facts.trade.parts import Equipment

Extent = Literal["light", "medium", "heavy"]
EXTENTS: tuple[Extent, ...] = ("light", "medium", "heavy")
Cause = Literal["damp", "sun", "wear", "earlier_work"]
LiesIn = Literal["surface", "part", "behind"]
"""Where a hidden fault lies: in the cover, coat or colour; in the part under it; behind the part or all round."""


@dataclass(frozen=True, slots=True)
class Find:
    """A hidden fault that strip-down may uncover; one id however many faults point at it."""

    id: str
    name: str
    chance: Spread3
    minutes: Spread3
    usd: Spread3
    """Money [USD] beside the minutes."""
    cause: Cause
    lies_in: LiesIn
    """What is replaced takes it along: a new cover what lies in the surface, another part what lies in the part."""
    must_deal: bool
    evidence: Evidence
    told_by: str | None = None
    """The family of the part that tells of it: where one is surveyed in the same place, nothing is hidden."""
    seen_off: bool = False
    """Whether anybody sees it once the part is off, before any work on it: nothing restrained, wired, wet at times, or
    known only to the hand or the laboratory (our own judgement)."""
    only_parts: tuple[str, ...] = ()
    """Part kinds it lies behind; empty = any that has the fault."""

    def lies_behind(self, kind: str) -> bool:
        """Whether a part of this kind can hide it: no seat foam is crushed under a gear knob."""
        return not self.only_parts or kind in self.only_parts


@dataclass(frozen=True, slots=True)
class PointsAt:
    """A fault at `from_extent` or worse stands for the hidden fault `find`."""

    find: str
    from_extent: Extent


@dataclass(frozen=True, slots=True)
class Fault:
    """What the eye finds on a part. `caps` is the best finish a part can have with it, by extent (a guess);
    `slide` finish points lost a year if left; from `must_deal_from` on it has no "leave"; `stops` the part until dealt
    with."""

    id: str
    name: str
    materials: tuple[str, ...]
    look_for: str
    measure: str
    grades: tuple[str, str, str]
    likely_cause: str
    mend_limit: str
    caps: tuple[int, int, int]
    slide: float
    life_years: float
    must_deal_from: Extent | None
    stops: bool
    smells: bool
    """Damp and smell count for the whole cabin."""
    finds: tuple[PointsAt, ...]
    evidence: Evidence

    @property
    def must_deal(self) -> bool:
        """Whether there is an extent at which it may not be left."""
        return self.must_deal_from is not None

    def must_be_dealt_with(self, extent: Extent) -> bool:
        """Whether it may not be left at this extent."""
        return self.must_deal_from is not None and EXTENTS.index(extent) >= EXTENTS.index(self.must_deal_from)


@dataclass(frozen=True, slots=True)
class Glance:
    """A look worth taking at the survey, before anything comes off: minutes that may settle dear unknowns.

    Nothing is unplugged for it. `minutes` leave out the make-safe, which comes first where equipment may lie there.
    """

    id: str
    name: str
    how: str
    minutes: int
    parts: tuple[str, ...]
    """Part kinds that are looked at from behind; a cabin without any of them has no such look."""
    signs: MappingProxyType[Cause, str]
    """What shows that a cause was at work, by the causes it tells of."""
    finds: tuple[str, ...]
    """Hidden faults it may show."""
    equipment: tuple[Equipment, ...]
    """What may lie where the hand goes."""
    cautions: tuple[str, ...]
    """Beside make-safe."""
    evidence: Evidence

    def waits_for_make_safe(self, may_have: Callable[[Equipment], bool]) -> bool:
        """Whether the car is made safe first: any of the equipment is fitted, or not known to be absent."""
        return any(map(may_have, self.equipment))


@dataclass(frozen=True, slots=True)
class UsualWear:
    """A fault that wear usually brings to a material family, for guessing before anybody has seen the car.

    A cabin that was looked after has none of them; None where such wear does not bring it yet.
    """

    id: str
    family: str
    fault: str
    used: Extent | None
    worn: Extent | None
    neglected: Extent | None
    evidence: Evidence
