"""What holds a part and how the hand goes about it: fixings, marks, photographs, cautions, what it covers.

Counts and drives are those that manuals and hands agree on for most cars; what differs from car to car is left open
and counted on the bench.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from trimwright.facts.trade import Equipment, Evidence

Form = Literal["bolt", "screw", "clip", "plug", "catch", "made new", "fixed", "loose"]
"""A bolt (or nut) takes a torque; a screw into plastic or sheet is tightened by hand; a catch stays on its part; what
is made new (glue, staples, rings, a bead) never goes into a bag; what is fixed is no fixing to undo; what is loose only
lies there."""
Once = Literal["yes", "often", "sometimes", "no"]
"""Whether it is used once."""
Holds = Literal["belt", "seat", "airbag", "steering wheel"]
"""What holds people: its torque comes from the car's own book, and from nowhere else."""
Grade = Literal["5.8", "8.8", "10.9", "12.9"]
"""The property class on a bolt's head (ISO 898-1)."""
When = Literal["off", "back"]
Doing = Literal["mark", "photo", "how", "caution", "store", "covers"]
"""Of "caution" the text is a caution's id; of "store" it says how a unit that can fire is laid down; of "covers" what
can't be reached any more once the part is back: looms, floor or drains."""


@dataclass(frozen=True, slots=True)
class Fixing:
    """One kind of fixing of a part kind; `least` and `most` are None where nobody can say for every car."""

    name: str
    form: Form
    least: int | None
    most: int | None
    drive: str
    """Where it is the same on most cars."""
    used_once: Once
    holds: Holds | None
    fires: Equipment | None
    """Of a plug: the restraint equipment on its wires."""
    evidence: Evidence

    @property
    def bagged(self) -> bool:
        """Whether it comes off and goes back on."""
        return self.form in ("bolt", "screw", "clip")

    @property
    def told(self) -> str:
        """The fixing with its count, as a hand would say it."""
        count = "" if self.least is None else "–".join(str(each) for each in dict.fromkeys((self.least, self.most)))
        return f"{count} {self.name}".strip() + (f", {self.drive}" if self.drive else "")


@dataclass(frozen=True, slots=True)
class Handling:
    """One thing to do or to know as a part comes off or goes back; only where `fitted` may be, if it names any."""

    when: When
    doing: Doing
    text: str
    fitted: Equipment | None
    evidence: Evidence


def held_by(fixings: Iterable[Fixing]) -> str:
    """What holds a part, in a line."""
    return ", ".join(each.told for each in fixings)


def used_once(fixings: Iterable[Fixing]) -> str:
    """Which fixings are used once, in a line; nothing for those that are used again."""
    word = {"yes": "", "often": "often ", "sometimes": "sometimes "}
    return ", ".join(f"{each.name} {word[each.used_once]}used once" for each in fixings if each.used_once != "no")
