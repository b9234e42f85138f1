"""A job file of an older format, lifted to the one this version writes; newer formats are refused.

Each upgrade takes a document of format n as plain data and gives it back as format n + 1; `UPGRADES[n - 1]` is the
one that leaves format n. Format 1 is the first, so there is none yet.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from trimwright.errors import Problem, UnreadableFile
from trimwright.job.refusals import shortened

Upgrade = Callable[[dict[str, Any]], dict[str, Any]]

UPGRADES: tuple[Upgrade, ...] = ()


def upgraded(raw: Mapping[str, Any], upgrades: Sequence[Upgrade] = UPGRADES, noun: str = "job") -> dict[str, Any]:
    """`raw` in the newest format; UnreadableFile when it says none, or one that is newer than this version knows.

    `noun` is what people call the document.
    """
    newest = len(upgrades) + 1
    found = raw.get("format")
    if not isinstance(found, int) or isinstance(found, bool) or found < 1:
        raise UnreadableFile(
            Problem("format", shortened(found), "is no format number.", f'A {noun} file says "format": {newest}.')
        )
    if found > newest:
        what = f"is newer than this version of Trimwright reads (it reads up to format {newest})."
        raise UnreadableFile(
            Problem("format", str(found), what, f"Update Trimwright, or save the {noun} for the older one.")
        )
    document = dict(raw)
    for step in upgrades[found - 1 :]:
        document = step(document)
    return document | {"format": newest}
