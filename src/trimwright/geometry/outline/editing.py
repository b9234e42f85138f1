"""An outline's points moved, added and taken out by hand, from a plain list.

A line a change: `12 103.5 88` moves point 12 there (mm), `12+ 103.5 88` adds a point of a curve after it, `12-` takes
it out; `corner` or `curve` behind a place makes it one. Numbers are those of the outline as it was read, all through.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import dist, isfinite
from typing import TYPE_CHECKING

from trimwright.errors import BadInput, Problem
from trimwright.geometry.outline.shape import Node, drawn

if TYPE_CHECKING:
    from trimwright.geometry.pattern import Point, Polyline

FURTHEST_MM, LONGEST_MM = 1e4, 1e5
"""No point lies further off and no outline is longer: parts of cars, with a slip of the finger."""

_CHANGE = re.compile(
    r"(?P<number>\d{1,4})(?P<how>[+-]?)(?:[\s,;]+(?P<x>[^\s,;]+)[\s,;]+(?P<y>[^\s,;]+)(?:[\s,;]+(?P<kind>corner|curve))?)?"
)


@dataclass(frozen=True, slots=True)
class Redrawn:
    """An outline after changes, and where its nodes and its line appear in the photo laid on the plane [mm, y up]."""

    nodes: tuple[Node, ...]
    seen_nodes: Polyline
    seen_line: Polyline


def redrawn(nodes: Sequence[Node], foot: Point, high_mm: float, thick_mm: float) -> Redrawn:
    """The line through the nodes as a camera over `foot`, so high, sees it; a node as far aside as the line there."""
    import numpy as np

    from trimwright.geometry.outline.reading import Camera, raised

    line = np.array(drawn(nodes)[0])
    seen = raised(line, Camera(np.array(foot), high_mm, 0.0), thick_mm)
    at = np.array([each.at for each in nodes])
    nearest = ((at[:, None] - line[None]) ** 2).sum(axis=2).argmin(axis=1)
    aside = at + (seen - line)[nearest]
    return Redrawn(tuple(nodes), tuple(map(tuple, aside.tolist())), tuple(map(tuple, seen.tolist())))


def changed(nodes: Sequence[Node], changes: str, where: str) -> tuple[Node, ...]:
    """The nodes with the changes made; BadInput with every line that is none, or when the outline crosses itself."""
    held: list[list[Node]] = [[each] for each in nodes]
    added: list[list[Node]] = [[] for _ in nodes]
    problems = []
    for count, line in enumerate(changes.splitlines(), start=1):
        typed = line.split("#")[0].strip()
        if not typed:
            continue
        found = _CHANGE.fullmatch(typed)
        number = int(found["number"]) if found else 0
        at = _place(found["x"], found["y"]) if found and found["x"] else None
        if found is None or (at is None) != (found["how"] == "-"):
            way_out = "Write 12 103.5 88 to move, 12+ 103.5 88 to add behind it, 12- to take out."
            problems.append(Problem(f"{where} › line {count}", typed[:40], "is no change.", way_out))
        elif not 1 <= number <= len(nodes):
            what = "is no point of the outline."
            problems.append(Problem(f"{where} › line {count}", str(number), what, f"They run from 1 to {len(nodes)}."))
        elif at is None:
            held[number - 1] = []
        elif found["how"] == "+":
            added[number - 1].append(Node(at, corner=found["kind"] == "corner"))
        else:
            read = nodes[number - 1]
            held[number - 1] = [
                replace(read, at=at, corner=found["kind"] == "corner" if found["kind"] else read.corner)
            ]
    if problems:
        raise BadInput(problems)
    made = tuple(node for own, more in zip(held, added, strict=True) for node in (*own, *more))
    _sound(made, where)
    return made


def _place(x: str, y: str) -> tuple[float, float] | None:
    try:
        at = float(x), float(y)
    except ValueError:
        return None
    return at if all(isfinite(each) and abs(each) < FURTHEST_MM for each in at) else None


def _sound(nodes: Sequence[Node], where: str) -> None:
    from shapely import Polygon
    from shapely.validation import explain_validity

    if len(nodes) < 3:
        raise BadInput(Problem(where, "", "leaves fewer than three points.", "Take fewer out."))
    if sum(dist(a.at, b.at) for a, b in zip(nodes, (*nodes[1:], nodes[0]), strict=True)) > LONGEST_MM:
        way_out = f"Keep it under {LONGEST_MM / 1000:g} m: look for a point that is far off."
        raise BadInput(Problem(where, "", "makes the outline as long as a street.", way_out))
    outline = Polygon(drawn(nodes)[0])
    if not outline.is_valid:
        there = [float(each) for each in re.findall(r"-?\d+(?:\.\d+)?(?:e-?\d+)?", explain_validity(outline))]
        near = f" near {_called(nodes, (there[0], there[1]))}" if len(there) == 2 else ""
        way_out = "Points follow each other anticlockwise: move or take out the one that is out of turn."
        raise BadInput(Problem(where, "", f"makes the outline cross itself{near}.", way_out))


def _called(nodes: Sequence[Node], place: Point) -> str:
    """The node next to a place, by its number or by the one it was added behind."""
    at = min(range(len(nodes)), key=lambda each: dist(nodes[each].at, place))
    if nodes[at].number:
        return f"point {nodes[at].number}"
    return f"the one added behind point {next((each.number for each in reversed(nodes[:at]) if each.number), 1)}"
