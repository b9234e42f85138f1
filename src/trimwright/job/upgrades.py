"""A job file of an older format, lifted to the one this version writes; newer formats are refused.

Each upgrade takes a document of format n as plain data and gives it back as format n + 1; `UPGRADES[n - 1]` is the
one that leaves format n. What is wrong with a document is left for its validation to tell.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from trimwright.errors import Problem, UnreadableFile
from trimwright.job.fields import free_id
from trimwright.job.refusals import shortened

Upgrade = Callable[[dict[str, Any]], dict[str, Any]]


def events_of_kinds(raw: dict[str, Any]) -> dict[str, Any]:
    """Format 2 tells what kind of event each is; until then all were notes, and an id might stand twice."""
    events = raw.get("events")
    if not isinstance(events, list):
        return raw
    taken = {each["id"] for each in events if isinstance(each, dict) and isinstance(each.get("id"), str)}
    met: set[str] = set()
    lifted: list[Any] = []
    for event in events:
        if isinstance(event, dict):
            event = {"kind": "note"} | {("note" if name == "what" else name): value for name, value in event.items()}
            if isinstance(event.get("id"), str):
                if event["id"] in met:
                    event["id"] = free_id(event["id"], taken)
                met.add(event["id"])
                taken.add(event["id"])
        lifted.append(event)
    return raw | {"events": lifted}


UPGRADES: tuple[Upgrade, ...] = (events_of_kinds,)


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
