"""What is to be laid: each piece once for every time it is cut, the turns it may take, the zones it keeps out of."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from math import atan2, degrees
from typing import Literal

from trimwright.errors import BadInput, Problem
from trimwright.geometry.pattern import Piece, problems_of

Way = Literal["grain", "nap", "free"]
"""Along the grain either way; along it one way only, as a nap or a printed pattern wants; any way."""

STEP = 15
"""Degrees between the turns of a piece that may lie any way."""
MOST_PIECES = 300


@dataclass(frozen=True, slots=True)
class ToLay:
    """One piece to lay; `turns` are degrees from how it is drawn, after which its grain runs along x."""

    piece: Piece
    turns: tuple[float, ...]
    keep_out: frozenset[str] = frozenset()


def to_lay(
    pieces: Sequence[Piece], way: Way = "grain", keep_out: Mapping[str, frozenset[str]] | None = None
) -> tuple[ToLay, ...]:
    """Every piece as often as it is cut. A piece without an arrow may lie any way, except on a nap: there as drawn.

    `keep_out` names the zones a piece does not lie in, by its name; "" is for all of them. BadInput when there are no
    pieces, too many, one whose outline crosses itself, or a name that no piece has.
    """
    zones = keep_out or {}
    problems = [each for piece in pieces for each in problems_of(piece)]
    counted = sum(max(1, piece.cut) for piece in pieces)
    if not pieces:
        problems.append(Problem("pieces", "", "are none.", "Give a drawing that wrap, flatten or outline has written."))
    if counted > MOST_PIECES:
        problems.append(Problem("pieces", str(counted), f"are more than {MOST_PIECES}.", "Lay fewer at once."))
    named = {piece.name for piece in pieces}
    problems += [
        Problem("keep out", name, "is no piece's name.", f"They are: {', '.join(sorted(named))}.")
        for name in zones
        if name and name not in named
    ]
    if problems:
        raise BadInput(problems)
    return tuple(
        ToLay(
            replace(piece, cut=1), _turns(piece, way), zones.get("", frozenset()) | zones.get(piece.name, frozenset())
        )
        for piece in pieces
        for _ in range(max(1, piece.cut))
    )


def _turns(piece: Piece, way: Way) -> tuple[float, ...]:
    along = 0.0
    if piece.grain:
        (x, y), (u, v) = piece.grain
        along = -degrees(atan2(v - y, u - x)) or 0.0
    if way == "nap":
        return (along,)
    if way == "grain" and piece.grain:
        return (along, along + 180)
    return tuple(along + turn for turn in range(0, 360, STEP))
