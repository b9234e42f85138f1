"""What differs between two plans, in plain words: the weightiest first, both sides of a pair told once."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from trimwright.papers.wording import by_side, text
from trimwright.plan.quantities.cabin import LEAVE, Quantities
from trimwright.plan.verdicts.staircase import Change, Stair

NO_BREAK = "\u00a0"


def told(changes: Iterable[Change], quantities: Quantities) -> list[str]:
    """A line for each change, the one that is seen and felt most first."""
    return [line(group) for group in groups(changes, quantities)]


def in_short(changes: Iterable[Change], quantities: Quantities) -> str:
    """The weightiest change, the rest counted; nothing when nothing changes."""
    found = groups(changes, quantities)
    if not found:
        return ""
    more = f"; and {len(found) - 1} more" if len(found) > 1 else ""
    return f"{by_side((each.name, '') for each in found[0])}: {found[0][0].to_name}{more}"


def groups(changes: Iterable[Change], quantities: Quantities) -> list[list[Change]]:
    """Like changes of both sides together, the weightiest first."""
    weights = {part.part: part.weight for part in quantities.parts}
    same: dict[tuple[str, str, str, int, int], list[Change]] = {}
    for each in changes:
        base = each.name.rpartition(", ")[0] or each.name
        same.setdefault((base, each.from_name, each.to_name, each.before, each.after), []).append(each)
    return sorted(same.values(), key=lambda group: -sum(weights[each.part] * moved(each) for each in group))


def moved(change: Change) -> float:
    """Finish steps a change is worth telling for; a change that leaves the finish as it is still counts a little."""
    return max(abs(change.after - change.before), 0.1)


def line(group: Sequence[Change]) -> str:
    r"""One change, of one part or of both sides.

    >>> both = [Change(f"mat.{s}", f"Mat, {s}", "clean", LEAVE, "wash it", "leave as it is", 7, 6) for s in ("l", "r")]
    >>> line(both)
    'Mat, l, r: leave as it is instead of wash it (finish\xa07\xa0→\xa06)'
    """
    first = group[0]
    names = by_side((each.name, "") for each in group)
    instead = "" if first.from_course == LEAVE else f" instead of {first.from_name}"
    finish = f"finish {first.before} → {first.after}" if first.before != first.after else f"finish {first.after}"
    return text(f"{names}: {first.to_name}{instead} ({finish.replace(' ', NO_BREAK)})")


def between(stairs: Sequence[Stair], quantities: Quantities) -> list[Change]:
    """What several stairs in a row change together: each part once, a part that ends with its whole not at all."""
    first: dict[str, Change] = {}
    last: dict[str, Change] = {}
    for stair in stairs:
        for change in stair.changes:
            first.setdefault(change.part, change)
            last[change.part] = change
    courses = {(part.part, course.id): course for part in quantities.parts for course in part.courses}
    changes = [
        replace(last[part], from_course=was.from_course, from_name=was.from_name, before=was.before)
        for part, was in first.items()
        if was.from_course != last[part].to_course
    ]
    gone = {child for each in changes for child in courses[each.part, each.to_course].settles}
    return [each for each in changes if each.part not in gone]
