"""How much thread a seam takes, by the path the thread makes through the stack.

Per stitch the thread lies along the faces and twice crosses the stack, so a metre of seam takes
faces + 2 · stack ÷ stitch. A lower bound: slack, back-tack and ends are in the waste.
Source: textile calculation pages for stitch types 101, 301, 401 of ISO 4915. A saddle seam sewn by hand with two
needles makes the same path as type 301.
"""

from __future__ import annotations

from typing import Literal

Stitch = Literal["101", "301", "401"]

_FACES: dict[Stitch, int] = {"101": 3, "301": 2, "401": 4}
"""Lengths of thread lying along the seam [m/m]."""
NEEDLE_SHARE: dict[Stitch, float] = {"101": 1.0, "301": 0.5, "401": 130 / 540}
"""Needle's share of the thread; the rest is on the bobbin or looper. Source: ISO 4915 type 301 is balanced;
401 from a seam unpicked on an apparel teaching page (130 cm needle, 410 cm looper)."""
WASTE = 1.15
"""Thread used up over what the seam holds; 10 to 15 % is added on the shop floor (apparel teaching page)."""
TOP_STITCHED_ROWS = 3
"""A joining seam and a row on each side of it."""


def thread_per_m(stack_mm: float, stitch_mm: float, stitch: Stitch = "301") -> float:
    """Metres of thread in a metre of seam through a stack pressed to `stack_mm`, in stitches of `stitch_mm`.

    >>> thread_per_m(3, 5), thread_per_m(3.4, 4), thread_per_m(0, 3)
    (3.2, 3.7, 2.0)
    """
    return _FACES[stitch] + 2 * stack_mm / stitch_mm


def thread_m(seam_mm: float, stack_mm: float, stitch_mm: float, stitch: Stitch = "301", rows: int = 1) -> float:
    """Metres of thread to have for a seam, waste included; `rows` is `TOP_STITCHED_ROWS` for a top-stitched seam.

    >>> round(thread_m(1000, 3, 5), 2), round(thread_m(1000, 3, 5, rows=TOP_STITCHED_ROWS), 2)
    (3.68, 11.04)
    """
    return seam_mm / 1000 * rows * thread_per_m(stack_mm, stitch_mm, stitch) * WASTE


def needle_and_bobbin_m(total_m: float, stitch: Stitch = "301") -> tuple[float, float]:
    """Thread shared out between the needle and the bobbin or looper.

    >>> needle_and_bobbin_m(5.5)
    (2.75, 2.75)
    """
    needle = total_m * NEEDLE_SHARE[stitch]
    return needle, total_m - needle
