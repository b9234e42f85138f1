"""What to buy for a net area of panels: metres of roll goods, area of leather, leather's ounces.

Net area is what the panels measure; waste is a factor (1.25 = a quarter more). A hide's outline and marks cost a
third more than roll goods: 18 sq ft of leather stand for a yard of 54-inch cloth, which is 13.5 sq ft. That holds
for hides of 50 to 55 sq ft; smaller hides waste more. Source: the rule as several leather merchants print it.
"""

from __future__ import annotations

LEATHER_OVER_ROLL = 4 / 3
"""Leather to buy for each area of roll goods [m²/m²]."""
MM_PER_OUNCE = 25.4 / 64
"""Leather's ounce is 1/64 inch of thickness, give or take half an ounce: a trade convention."""


def roll_length_mm(net_mm2: float, width_mm: float, waste: float, repeat: float = 1.0) -> float:
    """Length to cut from a roll; `repeat` is how much more a pattern that has to meet takes (1.1–1.25 usual).

    >>> round(roll_length_mm(2_000_000, 1370, waste=1.25)), round(roll_length_mm(2_000_000, 1370, 1.25, repeat=1.2))
    (1825, 2190)
    """
    return net_mm2 * waste * repeat / width_mm


def leather_for_roll_mm2(length_mm: float, width_mm: float) -> float:
    """Leather to buy in place of a length of roll goods.

    >>> round(leather_for_roll_mm2(914.4, 1371.6) / 92903.04, 6)
    18.0
    """
    return length_mm * width_mm * LEATHER_OVER_ROLL


def leather_mm2(net_mm2: float, waste: float) -> float:
    """Leather to buy for panels whose roll-goods `waste` is known: 1.1–1.2 makes 1.45–1.6 times the net area.

    >>> round(leather_mm2(1_000_000, waste=1.2))
    1600000
    """
    return net_mm2 * waste * LEATHER_OVER_ROLL


def mm_from_ounces(ounces: float) -> float:
    """Thickness of leather sold by the ounce.

    >>> round(mm_from_ounces(3), 2)
    1.19
    """
    return ounces * MM_PER_OUNCE
