"""What a layout takes off the material, as it is bought: the hides that were cut into, or a length off a roll."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from trimwright.errors import BadInput, Problem
from trimwright.geometry.nest.hide import usable

if TYPE_CHECKING:
    from trimwright.geometry.nest.layout import Layout
    from trimwright.geometry.nest.roll import Roll


@dataclass(frozen=True, slots=True)
class Taken:
    """Hides whole, as far as they can be cut [mm²], as no smaller one was shown to do; or a length of a roll [mm]."""

    on: str
    hides_mm2: float = 0.0
    length_mm: float = 0.0
    wide_mm: float = 0.0

    def by(self, unit: str) -> float:
        """All of it in the unit that a material is sold by, m² or m; BadInput where it is sold otherwise."""
        if unit == "m" and self.length_mm:
            return self.length_mm / 1000
        if unit == "m²":
            return (self.hides_mm2 or self.length_mm * self.wide_mm) / 1e6
        raise BadInput(Problem("laid on", self.on, f"is no way to take what is sold by the {unit}.", "Lay on a roll."))


def taken(layout: Layout, roll: Roll | None = None) -> Taken:
    """What the pieces of a layout take. BadInput when some of them found no room."""
    if layout.left_over:
        names = ", ".join(each.piece.name for each in layout.left_over)
        way_out = "Give another hide, or search longer."
        raise BadInput(Problem("pieces", names, "found no room: what they take is not known.", way_out))
    if roll is not None:
        from trimwright.geometry.nest.roll import length_mm

        long = length_mm(layout)
        return Taken(f"{long / 1000:.2f} m of a roll {roll.wide_mm:g} mm wide", length_mm=long, wide_mm=roll.wide_mm)
    used = sorted({each.on for each in layout.placed})
    area = sum(usable(layout.hides[on], frozenset(), layout.clear).area for on in used)
    names = ", ".join(layout.hides[on].name for on in used)
    return Taken(f"{len(used)} hide{'s' if len(used) > 1 else ''} ({names})", hides_mm2=float(area))
