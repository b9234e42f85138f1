"""The staircase of money against finish: what each more of the sum buys, with the present sum marked."""

from __future__ import annotations

from collections.abc import Sequence

from trimwright.charts.axis import Axis, round_figures
from trimwright.charts.box import Box
from trimwright.charts.look import Style, picture
from trimwright.charts.marks import line, money_ruler, text
from trimwright.plan.verdicts.staircase import Stair
from trimwright.units import money

_LEFT, _RIGHT, _TOP, _BOTTOM, _HIGH = 30.0, 14.0, 42.0, 40.0, 240.0


def staircase(
    stairs: Sequence[Stair],
    sum_minor: int,
    currency: str,
    *,
    title: str = "What the money buys",
    wide: float = 390.0,
    name: str = "stairs",
    style: Style = "page",
) -> str:
    """The staircase as SVG; `stairs` rise with the sum, and there is at least one.

    The plot carries its scale as data (`data-least`, `data-most` in minor units, `data-left`, `data-right` in units of
    the drawing) and the mark is a group of its own, so that a slider can move it.
    """
    across, up = _scales(stairs, sum_minor, wide)
    here = stair_at(stairs, sum_minor)
    body = (
        _rulers(across, up, currency)
        + f'<g class="plot" data-least="{across.least:g}" data-most="{across.most:g}" '
        + f'data-left="{across.start:g}" data-right="{across.end:g}">'
        + f'<path class="stairs" d="{_steps(stairs, across, up)}"/></g>'
        + _mark(here, sum_minor, currency, across, up)
    )
    first, last = stairs[0], stairs[-1]
    telling = (
        f"{len(stairs)} stairs, finish {first.finish} at {money(first.sum, currency)} to {last.finish} at "
        f"{money(last.sum, currency)}; {_marked(here, sum_minor, currency)}."
    )
    return picture(name, Box(0.0, 0.0, wide, _HIGH), title=title, telling=telling, body=body, style=style)


def stair_at(stairs: Sequence[Stair], sum_minor: int) -> Stair | None:
    """The stair one stands on with this sum; None below the first."""
    return next((stair for stair in reversed(stairs) if stair.sum <= sum_minor), None)


def _scales(stairs: Sequence[Stair], sum_minor: int, wide: float) -> tuple[Axis, Axis]:
    sums = [stair.sum for stair in stairs] + [sum_minor]
    beyond = max((max(sums) - min(sums)) // 20, 1)  # so that the last stair has a tread
    finishes = [stair.finish for stair in stairs]
    room = max(1.0, (max(finishes) - min(finishes)) * 0.08)
    return (
        Axis(min(sums), max(sums) + beyond, _LEFT, wide - _RIGHT),
        Axis(min(finishes) - room, max(finishes) + room, _HIGH - _BOTTOM, _TOP),
    )


def _rulers(across: Axis, up: Axis, currency: str) -> str:
    """The two rulers with round figures, and faint lines across."""
    lines = []
    for finish in round_figures(up.least, up.most, 5):
        y = up.at(finish)
        lines += [
            line("guide", across.start, y, across.end, y),
            text(f"{finish}", across.start - 6, y + 4, "faint end"),
        ]
    lines += [text("finish of the cabin", 2, 14, "faint"), money_ruler(across, up.start, currency, 5, "sum")]
    return "".join(lines)


def _steps(stairs: Sequence[Stair], across: Axis, up: Axis) -> str:
    path = f"M{across.at(stairs[0].sum):.1f} {up.at(stairs[0].finish):.1f}"
    for stair in stairs[1:]:
        path += f"H{across.at(stair.sum):.1f}V{up.at(stair.finish):.1f}"
    return f"{path}H{across.end:.1f}"


def _mark(here: Stair | None, sum_minor: int, currency: str, across: Axis, up: Axis) -> str:
    x = across.at(sum_minor)
    side = "end" if x > (across.start + across.end) / 2 else "start"
    dot = f'<circle class="mark-dot" cx="{x:.1f}" cy="{up.at(here.finish):.1f}" r="5"/>' if here else ""
    told = text(_marked(here, sum_minor, currency), x + (-6 if side == "end" else 6), _TOP - 8, f"accent {side}")
    return f'<g class="mark" data-sum="{sum_minor}">{line("mark-line", x, _TOP - 18, x, up.start)}{dot}{told}</g>'


def _marked(here: Stair | None, sum_minor: int, currency: str) -> str:
    return f"your sum {money(sum_minor, currency)} → " + (f"finish {here.finish}" if here else "below the first stair")
