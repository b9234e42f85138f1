"""Figures held against their limits, a bar each: the limit a line across it, what passes it strong.

Every bar has a scale of its own, for a warmth and a share have none in common.
"""

from __future__ import annotations

from collections.abc import Sequence

from trimwright.charts.box import Box
from trimwright.charts.look import Style, picture
from trimwright.charts.marks import bar, line, text
from trimwright.craft.answer import Against, shown

_EDGE, _ROW, _BAR = 8.0, 62.0, 16.0
_BESIDE = 1.5
"""How far a scale reaches beyond the limit at least, as a multiple of it."""
_MOST = 4.0
"""The most that a scale reaches: what lies beyond runs off the picture."""


def limits_chart(
    limits: Sequence[Against],
    *,
    title: str = "Against the limits",
    wide: float = 390.0,
    name: str = "limits",
    style: Style = "page",
) -> str:
    """Each figure and its limit as SVG; a limit of nothing has no scale and is left out."""
    rows = [each for each in limits if each.limit > 0]
    body = "".join(_row(each, number * _ROW, wide) for number, each in enumerate(rows))
    telling = "; ".join(f"{each.name}: {each.told}" for each in rows) + "."
    box = Box(0.0, 0.0, wide, max(1, len(rows)) * _ROW)
    return picture(name, box, title=title, telling=telling, body=body, style=style)


def _row(each: Against, top: float, wide: float) -> str:
    """A name, the bar of what was found, the limit across it with its figure below."""
    share = max(0.0, each.found.value / each.limit)
    unit = (wide - 2 * _EDGE) / max(_BESIDE, min(share * 1.05, _MOST))
    limit, foot = _EDGE + unit, top + 24 + _BAR
    held = "end" if limit > wide / 2 else "start"
    told = f"{'at most' if each.at_most else 'at least'} {shown(each.limit, each.unit)}"
    return (
        text(each.name, _EDGE, top + 16, "strong" if not each.holds else "")
        + text(
            shown(each.found.value, each.unit), wide - _EDGE, top + 16, "accent strong end" if not each.holds else "end"
        )
        + bar("closed", _EDGE, top + 24, wide - 2 * _EDGE, _BAR)
        + bar("made" if each.holds else "passed", _EDGE, top + 24, min(share * unit, wide - 2 * _EDGE), _BAR)
        + line("end-line", limit, top + 20, limit, foot + 4)
        + text(told, limit + (-4 if held == "end" else 4), foot + 14, f"faint {held}")
    )
