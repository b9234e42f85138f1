"""A photo with the card of known patches: the colours in its windows, each with how far it may be out."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from pathlib import Path
from typing import Any

from trimwright.craft.asking import Ask
from trimwright.web.jobs.bench_work.kind import Kind

ASKS = (
    Ask(
        "card", "the print's patches as measured, if they were", "a1, 94.8, 0.3, -1.2: a line for each patch, a1 to e6"
    ),
)


def colours(photo: Path, asked: Mapping[str, str], _made_at: datetime, _into: Path) -> dict[str, Any]:
    """The colours in both windows of the card, as they would be typed; the card's patches as measured, if they were."""
    from trimwright.craft.colour.card import read_card
    from trimwright.craft.colour.photo import read_photo

    card = asked["card"].strip()
    shot = read_photo(photo.read_bytes(), "photo", read_card(card, "card") if card else None)
    return {
        "A": str(shot.reading("A")),
        "B": str(shot.reading("B")),
        "apart": f"{shot.apart_spread():.1f}",
        "measured": bool(card),
        "light_varies": round(shot.light_varies, 2),
    }


def refuse_slips(asked: Mapping[str, str]) -> None:
    """BadInput with every patch that is no reading."""
    from trimwright.craft.colour.card import read_card

    if asked["card"].strip():
        read_card(asked["card"], ASKS[0].label)


PHOTO = Kind(
    id="photo",
    asks=ASKS,
    long=frozenset({"card"}),
    endings=(".jpg", ".jpeg", ".png"),
    most_bytes=40_000_000,
    refuse_slips=refuse_slips,
    work=colours,
    keeps_file=False,
)
