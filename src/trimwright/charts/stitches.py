"""The finish gauge: ten slanted stitches, solid for the finish now, outlined for what the plan adds, pale beyond."""

from __future__ import annotations

from trimwright.charts.box import Box
from trimwright.charts.look import Style, small_picture

STITCHES = 10
NOT_SEEN = "not seen yet"
_PITCH, _LEAN, _HIGH, _EDGE = 9.0, 6.0, 14.0, 2.0


def stitches(now: int | None, after: int | None = None, *, of: str = "", style: Style = "page") -> str:
    """The gauge as an SVG of its own; finish 0–10, None for what nobody has seen or no plan has said.

    `of` names the part to a screen reader. The number belongs beside it in print as well.

    >>> "finish 4 now, 8 after" in stitches(4, 8)
    True
    """
    box = Box(0.0, 0.0, (STITCHES - 1) * _PITCH + _LEAN + 2 * _EDGE, _HIGH + 2 * _EDGE)
    said = f"{of}: {finish_words(now, after)}" if of else finish_words(now, after)
    body = "".join(_stitch(at, _look(at, now, after)) for at in range(STITCHES))
    return small_picture(box, said=said, body=body, style=style)


def finish_words(now: int | None, after: int | None = None) -> str:
    """The gauge in words.

    >>> finish_words(4, 8), finish_words(4, 4), finish_words(4), finish_words(None), finish_words(None, 8)
    ('finish 4 now, 8 after', 'finish 4, stays', 'finish 4', 'finish not seen yet', 'finish not seen yet, 8 after')
    """
    if now is None:
        return f"finish {NOT_SEEN}" + ("" if after is None else f", {after} after")
    if after is None:
        return f"finish {now}"
    return f"finish {now}, stays" if now == after else f"finish {now} now, {after} after"


def _look(at: int, now: int | None, after: int | None) -> str:
    if at < (now or 0):
        return "now"
    return "after" if at < (after or 0) else "rest"


def _stitch(at: int, look: str) -> str:
    """One stitch; an outlined one is a thick run of thread with a run of paper over it."""
    left = _EDGE + at * _PITCH
    run = f'd="M{left:g} {_EDGE + _HIGH:g}L{left + _LEAN:g} {_EDGE:g}"'
    inner = f'<path class="stitch-inside" {run}/>' if look == "after" else ""
    return f'<path class="stitch-{look}" {run}/>{inner}'
