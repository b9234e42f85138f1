"""Outlines as points and curves: read from a few words, moved, mirrored, flattened and written as SVG path data.

Lengths are units of the drawing, x to the right, y down (towards the car's tail).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise

from trimwright.charts.box import Box

Point = tuple[float, float]
Command = tuple[str, tuple[Point, ...]]
"""A letter of SVG path data in capitals (M L Q C Z) with its points."""

_POINTS = {"M": 1, "L": 1, "Q": 2, "C": 3, "Z": 0}
_ROUND = 0.5523
"""How far along a quarter of a circle its Bézier handles stand [radius]."""
_STEPS = 8
"""Straight pieces that stand for one curve when an outline is flattened."""


@dataclass(frozen=True, slots=True)
class Outline:
    """One shape, or one open line; holes are further rings (even-odd)."""

    commands: tuple[Command, ...]

    def moved(self, move: Callable[[Point], Point]) -> Outline:
        """With every point, handles too, where `move` takes it."""
        return Outline(tuple((letter, tuple(map(move, points))) for letter, points in self.commands))

    def rings(self) -> tuple[tuple[Point, ...], ...]:
        """Its rings as corners, curves cut into short straights."""
        rings: list[list[Point]] = []
        for letter, points in self.commands:
            if letter == "M":
                rings.append([points[0]])
            elif points:
                start = rings[-1][-1]
                steps = _STEPS if len(points) > 1 else 1
                rings[-1].extend(_on_curve((start, *points), step / steps) for step in range(1, steps + 1))
        return tuple(map(tuple, rings))

    def box(self) -> Box:
        """The upright rectangle round it."""
        corners = [corner for ring in self.rings() for corner in ring]
        across, down = [x for x, _ in corners], [y for _, y in corners]
        return Box(min(across), min(down), max(across), max(down))

    def path_data(self) -> str:
        """As SVG writes it, to a tenth of a unit.

        >>> read("box 0 0 10 5").path_data()
        'M0 0L10 0L10 5L0 5Z'
        """
        return "".join(letter + " ".join(f"{_short(x)} {_short(y)}" for x, y in each) for letter, each in self.commands)


def read(words: str) -> Outline:
    """An outline from its words; ValueError for words that are none.

    `box x y wide high [radius]`, `oval x y rx ry`, `ring x y outer inner`, or `path` with SVG path data in capitals.

    >>> read("oval 5 5 5 2").box()
    Box(left=0.0, top=3.0, right=10.0, bottom=7.0)
    """
    name, *rest = words.split()
    if name == "path":
        return Outline(tuple(_path(rest)))
    figures = [float(each) for each in rest]
    if name == "box":
        return Outline(_box(*figures))
    if name == "oval":
        return Outline(_oval(*figures))
    if name == "ring":
        x, y, outer, inner = figures
        return Outline(_oval(x, y, outer, outer) + _oval(x, y, inner, inner))
    raise ValueError(f"{name} is no shape: box, oval, ring or path")


def _path(words: list[str]) -> list[Command]:
    commands: list[Command] = []
    at = 0
    while at < len(words):
        letter = words[at]
        end = at + 1 + 2 * _POINTS[letter]
        figures = [float(each) for each in words[at + 1 : end]]
        commands.append((letter, tuple(zip(figures[::2], figures[1::2], strict=True))))
        at = end
    return commands


def _box(x: float, y: float, wide: float, high: float, radius: float = 0.0) -> tuple[Command, ...]:
    right, bottom = x + wide, y + high
    if not radius:
        return (("M", ((x, y),)), ("L", ((right, y),)), ("L", ((right, bottom),)), ("L", ((x, bottom),)), ("Z", ()))
    commands: list[Command] = [("M", ((x + radius, y),))]
    for corner, before, after in (
        ((right, y), (-radius, 0.0), (0.0, radius)),
        ((right, bottom), (0.0, -radius), (-radius, 0.0)),
        ((x, bottom), (radius, 0.0), (0.0, -radius)),
        ((x, y), (0.0, radius), (radius, 0.0)),
    ):
        commands.append(("L", ((corner[0] + before[0], corner[1] + before[1]),)))
        commands.append(("Q", (corner, (corner[0] + after[0], corner[1] + after[1]))))
    return (*commands, ("Z", ()))


def _oval(x: float, y: float, rx: float, ry: float) -> tuple[Command, ...]:
    kx, ky = rx * _ROUND, ry * _ROUND
    return (
        ("M", ((x - rx, y),)),
        ("C", ((x - rx, y - ky), (x - kx, y - ry), (x, y - ry))),
        ("C", ((x + kx, y - ry), (x + rx, y - ky), (x + rx, y))),
        ("C", ((x + rx, y + ky), (x + kx, y + ry), (x, y + ry))),
        ("C", ((x - kx, y + ry), (x - rx, y + ky), (x - rx, y))),
        ("Z", ()),
    )


def _on_curve(handles: tuple[Point, ...], share: float) -> Point:
    """The point a `share` of the way along a Bézier curve, by de Casteljau's halving of its handles."""
    while len(handles) > 1:
        handles = tuple((a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share) for a, b in pairwise(handles))
    return handles[0]


def _short(value: float) -> str:
    return f"{round(value, 1) + 0:g}"  # + 0 turns a negative nought into nought
