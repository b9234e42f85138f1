"""Published figures kept beside the tests, one CSV a subject, each row with its source and how it was read."""

from __future__ import annotations

import csv
from pathlib import Path


def rows(name: str) -> list[dict[str, str]]:
    """The rows of `name`.csv; figures remembered without a source have no place in a test."""
    with (Path(__file__).parent / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        found = list(csv.DictReader(file))
    assert found
    assert all(row["source"] and row["checked"].startswith(("read ", "recomputed ")) for row in found)
    return found
