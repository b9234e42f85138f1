"""What the trade knows: parts, faults, treatments, packs, tools, cautions and practice, each row with its source."""

from __future__ import annotations

from functools import cache

from trimwright.facts.trade import Trade


@cache
def load() -> Trade:
    """Every fact that comes with the package, read once."""
    from trimwright.facts.reading import read_trade

    return read_trade()
