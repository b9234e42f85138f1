"""Where the money goes: one bar a line, what is firm solid, the reserve hatched, what is left outlined."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from trimwright.charts.axis import Axis
from trimwright.charts.box import Box
from trimwright.charts.look import Style, picture
from trimwright.charts.marks import bar, hatched, text
from trimwright.units import money

_ROW, _BAR, _TOP, _FIGURES = 40.0, 12.0, 6.0, 70.0
_LOOKS = {"firm": "firm-bar", "reserve": "reserve-bar", "left": "left-bar"}


@dataclass(frozen=True, slots=True)
class Share:
    """Some of the sum [minor units]: what for (a zone, or materials, tools, carriage, …), and how sure it is spent."""

    name: str
    money: int
    kind: Literal["firm", "reserve", "left"] = "firm"


def where_it_goes(
    shares: Sequence[Share],
    currency: str,
    *,
    title: str = "Where the money goes",
    wide: float = 390.0,
    name: str = "shares",
    style: Style = "page",
) -> str:
    """The bars as SVG, in the order given; a share below nothing has no bar, its figure stands all the same."""
    across = Axis(0, max([1, *(share.money for share in shares)]), 0.0, wide - _FIGURES)
    rows = [_row(share, _TOP + at * _ROW, across, currency, wide, name) for at, share in enumerate(shares)]
    telling = "; ".join(f"{share.name} {money(share.money, currency, code=True)}" for share in shares) or "Nothing."
    box = Box(0.0, 0.0, wide, _TOP + max(1, len(shares)) * _ROW)
    body = hatched(f"{name}-hatch") + "".join(rows)
    return picture(name, box, title=title, telling=telling, body=body, style=style)


def share_rows(shares: Sequence[Share], currency: str) -> list[tuple[str, ...]]:
    """The table behind it, its heading first, with what all come to."""
    total = sum(share.money for share in shares)
    rows = [("For", currency, "")]
    rows += [(share.name, money(share.money, currency), "" if share.kind == "firm" else share.kind) for share in shares]
    return [*rows, ("Together", money(total, currency), "")]


def _row(share: Share, y: float, across: Axis, currency: str, wide: float, name: str) -> str:
    long = max(0.0, across.at(share.money))
    fill = f'fill="url(#{name}-hatch)" ' if share.kind == "reserve" else ""
    drawn = bar(_LOOKS[share.kind], 0.7, y + 18, max(long - 1.4, 0.0), _BAR).replace("<rect ", f"<rect {fill}")
    figure = text(money(share.money, currency), wide - 2, y + 28, "money end")
    return text(share.name, 0, y + 13, "") + (drawn if long > 0 else "") + figure
