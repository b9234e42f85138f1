"""The card that lies in a photo: 31 patches, two windows for what is to be read, a marker in each corner.

All in millimetres from the upper left corner. Greys stand all over it, so that uneven light shows. Window A is for
what stays as it is, window B for a swatch beside it. `NOMINAL` is what the patches are sent to a printer as; what a
printer makes of that only an instrument can say.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from trimwright.craft.colour.lab import Lab
from trimwright.errors import BadInput, Problem

Window = Literal["A", "B"]

WIDE, HIGH = 160.0, 110.0
MARKER = 14.0
MARKERS: tuple[tuple[float, float], ...] = ((6, 6), (140, 6), (140, 90), (6, 90))
"""Upper left corner of each marker, by its number."""
PATCH = 14.0
HATCH = 2.0
"""Pitch of the lines printed in a window, which show when it was not cut out."""

_ROWS: tuple[tuple[float, tuple[float, ...]], ...] = (
    (6.0, tuple(25.0 + 19.2 * each for each in range(6))),
    (25.0, tuple(6.0 + 19.14 * each for each in range(8))),
    (48.0, (6.0, 73.0, 140.0)),
    (71.0, tuple(6.0 + 19.14 * each for each in range(8))),
    (90.0, tuple(25.0 + 19.2 * each for each in range(6))),
)
_COLOURS: tuple[tuple[float, float, float], ...] = (
    (95, 0, 0), (40, 50, 30), (70, 15, 60), (50, -45, 25), (30, 15, -45), (20, 0, 0),
    (30, 12, 12), (62, 0, 0), (45, 20, 25), (80, 3, 18), (55, 60, -10), (60, -25, -25), (35, 0, 0), (85, -5, 70),
    (12, 0, 0), (50, 0, 0), (88, 0, 0),
    (25, -12, 8), (75, 0, 0), (60, 20, 35), (38, 30, 12), (22, 8, -20), (70, -30, 45), (28, 0, 0), (65, 35, 45),
    (42, 0, 0), (55, 10, 20), (30, 35, 15), (45, -8, -28), (72, 25, 10), (90, 0, 6),
)  # fmt: skip
WINDOWS: dict[Window, tuple[float, float, float, float]] = {"A": (30, 45, 68, 65), "B": (92, 45, 130, 65)}
"""Left, top, right, bottom of each window."""


@dataclass(frozen=True, slots=True)
class Patch:
    """A square of the card, its upper left corner, and what it is printed as."""

    name: str
    left: float
    top: float
    lab: Lab

    @property
    def grey(self) -> bool:
        """Whether it has no colour."""
        return self.lab.a == 0 and self.lab.b == 0


def _laid_out() -> tuple[Patch, ...]:
    places = [
        (letter, at + 1, x, y) for letter, (y, row) in zip("abcde", _ROWS, strict=True) for at, x in enumerate(row)
    ]
    return tuple(
        Patch(f"{letter}{number}", x, y, Lab(*colour))
        for (letter, number, x, y), colour in zip(places, _COLOURS, strict=True)
    )


PATCHES = _laid_out()
NOMINAL: tuple[Lab, ...] = tuple(each.lab for each in PATCHES)
PAPER: tuple[tuple[float, float], ...] = tuple(
    (x, y) for y in (22.5, 42.0, 68.0, 87.5) for x in (12.0, 40.0, 68.0, 96.0, 124.0, 150.0)
)
"""Points of bare paper, to see how the light falls."""


def read_card(source: str, where: str) -> tuple[Lab, ...]:
    """The patches as somebody has measured them: lines of name, L*, a*, b* (D65); BadInput with every line wrong."""
    found: dict[str, Lab] = {}
    problems = []
    names = {each.name for each in PATCHES}
    for number, row in enumerate(source.replace(";", ",").replace("\t", ",").splitlines(), start=1):
        cells = [each.strip() for each in row.split(",")]
        if not any(cells) or (number == 1 and cells[0].lower() not in names):
            continue
        try:
            name, (lightness, a, b) = cells[0].lower(), (float(each) for each in cells[1:4])
        except ValueError:
            problems.append(Problem(f"{where} line {number}", row, "is no reading.", "Write a1, 94.8, 0.3, -1.2."))
            continue
        if name not in names:
            problems.append(Problem(f"{where} line {number}", name, "is no patch.", "They run from a1 to e6."))
        elif not 0 <= lightness <= 100 or max(abs(a), abs(b)) > 128:
            problems.append(Problem(f"{where} line {number}", row, "is no colour.", "L* lies between 0 and 100."))
        found[name] = Lab(lightness, a, b)
    missing = sorted(names - set(found))
    if missing and not problems:
        problems.append(Problem(where, "", f"lacks {', '.join(missing)}.", "Read every patch once."))
    if problems:
        raise BadInput(problems)
    return tuple(found[each.name] for each in PATCHES)
