"""Lines, text, bars and rulers as SVG."""

from __future__ import annotations

from collections.abc import Iterable
from html import escape

from trimwright.charts.axis import Axis, round_figures
from trimwright.units import money


def line(look: str, x1: float, y1: float, x2: float, y2: float) -> str:
    """A straight line."""
    return f'<line class="{look}" x1="{x1:.1f}" y1="{y1:.1f}" x2="{x2:.1f}" y2="{y2:.1f}"/>'


def text(words: str, x: float, y: float, look: str) -> str:
    """Words on their baseline; `look` says too whether they start, centre or end at `x`."""
    return f'<text class="{look}" x="{x:.1f}" y="{y:.1f}">{escape(words)}</text>'


def bar(look: str, x: float, y: float, wide: float, high: float) -> str:
    """A filled rectangle."""
    return f'<rect class="{look}" x="{x:.1f}" y="{y:.1f}" width="{wide:.1f}" height="{high:.1f}"/>'


def way(points: Iterable[tuple[float, float]]) -> str:
    """Points as the `d` of a path, not closed."""
    return "M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in points)


def money_ruler(across: Axis, foot: float, currency: str, about: int, name: str) -> str:
    """A ruler of sums along `foot`, marked with at most about so many round ones, and what it measures below."""
    marks = [line("ruler", across.start, foot, across.end, foot)]
    for figure in round_figures(across.least, across.most, about):
        x = across.at(figure)
        held = "start" if x < across.start + _HALF_A_SUM else "end" if x > across.end - _HALF_A_SUM else "middle"
        marks += [line("ruler", x, foot, x, foot + 4), text(money(figure, currency), x, foot + 18, f"faint {held}")]
    return "".join(marks) + text(f"{name}, {currency}", across.end, foot + 36, "faint end")


_HALF_A_SUM = 26.0
"""Nearer than this to an end of a ruler, a sum is written inwards [units]."""
