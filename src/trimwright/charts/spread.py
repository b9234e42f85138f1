"""The spread of what the job may cost in the end, with the sum marked: bars beyond it are hatched."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from trimwright.charts.axis import Axis
from trimwright.charts.box import Box
from trimwright.charts.look import Style, picture
from trimwright.charts.marks import bar, hatched, line, money_ruler, text
from trimwright.units import money

_LEFT, _RIGHT, _TOP, _BOTTOM, _HIGH = 4.0, 14.0, 36.0, 40.0, 210.0


@dataclass(frozen=True, slots=True)
class Bin:
    """How many of the simulated jobs ended from `low` up to, not including, `high` [minor units]."""

    low: int
    high: int
    count: int


def spread(
    bins: Sequence[Bin],
    sum_minor: int,
    currency: str,
    *,
    title: str = "What it may cost in the end",
    wide: float = 390.0,
    name: str = "spread",
    style: Style = "page",
) -> str:
    """The bars as SVG; `bins` follow each other without gaps and hold at least one job."""
    across = Axis(min(bins[0].low, sum_minor), max(bins[-1].high, sum_minor + 1), _LEFT, wide - _RIGHT)
    up = Axis(0, max(each.count for each in bins), _HIGH - _BOTTOM, _TOP)
    told = _told(bins, sum_minor, currency)
    body = (
        hatched(f"{name}-hatch")
        + "".join(_bar(each, sum_minor, across, up, name) for each in bins)
        + money_ruler(across, up.start, currency, 6, "final cost")
        + _mark(sum_minor, currency, across, up)
    )
    return picture(name, Box(0.0, 0.0, wide, _HIGH), title=title, telling=told, body=body, style=style)


def spread_rows(bins: Sequence[Bin], sum_minor: int, currency: str) -> list[tuple[str, ...]]:
    """The table behind it, its heading first: from, to, how many in a hundred, on which side of the sum."""
    total = sum(each.count for each in bins)
    rows: list[tuple[str, ...]] = [("From", "Up to", "In 100", "")]
    return rows + [
        (
            money(each.low, currency),
            money(each.high, currency),
            f"{100 * each.count / total:.1f}",
            _side(each, sum_minor),
        )
        for each in bins
    ]


def _side(each: Bin, sum_minor: int) -> str:
    """Where a bin lies; what ends at exactly the sum is inside it."""
    if each.high <= sum_minor + 1:
        return "inside"
    return "beyond" if each.low > sum_minor else "across the sum"


def _told(bins: Sequence[Bin], sum_minor: int, currency: str) -> str:
    most = max(bins, key=lambda each: each.count)
    total = sum(each.count for each in bins)
    beyond = sum(each.count for each in bins if _side(each, sum_minor) == "beyond")
    return (
        f"Most often {money(most.low, currency)} to {money(most.high, currency)}; the sum is "
        f"{money(sum_minor, currency, code=True)}; {100 * beyond / total:.0f} in 100 end in bars wholly beyond it."
    )


def _bar(each: Bin, sum_minor: int, across: Axis, up: Axis, name: str) -> str:
    left, right, top = across.at(each.low), across.at(each.high), up.at(each.count)
    inside = bar("firm-bar", left + 0.5, top, max(right - left - 1, 0.5), up.start - top)
    if each.high <= sum_minor + 1 or not each.count:
        return inside if each.count else ""
    cut = max(left + 0.5, across.at(sum_minor))
    beyond = bar("beyond-bar", cut, top, max(right - 0.5 - cut, 0.5), up.start - top)
    return inside + beyond.replace("<rect ", f'<rect fill="url(#{name}-hatch)" ')


def _mark(sum_minor: int, currency: str, across: Axis, up: Axis) -> str:
    x = across.at(sum_minor)
    side = "end" if x > (across.start + across.end) / 2 else "start"
    told = text(f"your sum {money(sum_minor, currency)}", x + (-6 if side == "end" else 6), _TOP - 12, f"accent {side}")
    return f'<g class="mark">{line("mark-line", x, _TOP - 22, x, up.start)}{told}</g>'
