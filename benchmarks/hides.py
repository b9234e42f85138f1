"""Hides with flaws, ours against plain bottom-left: `python benchmarks/hides.py [--seconds S] [--each S] [--hides N]`.

First the flawed test hide: 12 seat panels, grain locked, scaled up until they no longer fit in the time. Then N hides
made from seeds, more pieces than each holds: what share of it is filled by either. Then panels that all fit on them:
how large the largest offcut is, plain, when they first all lie, and when the time is over. All made up by us.
"""

from __future__ import annotations

import argparse
from dataclasses import replace
from math import cos, pi, sin, sqrt
from random import Random
from statistics import mean

from trimwright.geometry.nest.asked import ToLay, to_lay
from trimwright.geometry.nest.hide import Clearances, Hide, Zone, usable
from trimwright.geometry.nest.layout import Layout, faults, largest_offcut_mm2
from trimwright.geometry.nest.search import Effort, lay_on_hides, plain_layout
from trimwright.geometry.pattern import Piece, Polyline, signed_area_mm2

HIDE_MM2, USABLE_MM2, PANELS_MM2 = 3.185e6, 3.056e6, 1.516e6
FILL_S = 20.0
"""What `trimwright nest` and the page take unless told otherwise."""


def main() -> None:
    """The test hide's scale, then what is filled, then what is left."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--seconds", type=float, default=30.0, help="for each scale on the test hide")
    options.add_argument("--each", type=float, default=FILL_S, help="for each of the made hides")
    options.add_argument("--hides", type=int, default=20)
    asked = options.parse_args()
    scales(asked.seconds)
    filled(asked.hides, asked.each)
    left(asked.hides, asked.each)


def scales(seconds: float) -> None:
    """How large all twelve panels may become."""
    hide = the_test_hide()
    room = usable(hide, frozenset(), Clearances()).area
    print(
        f"the test hide: {signed_area_mm2(hide.outline) / 1e6:.3f} m², {len(hide.flaws)} flaws, {room / 1e6:.3f} usable"
    )
    print(f"panels: {PANELS_MM2 / 1e6:.3f} m² at scale 1, {PANELS_MM2 / room:.1%} of it")
    for scale in (0.95, 1.0, 1.05, 1.1, 1.15, 1.2):
        found, plain = lay_on_hides([hide], panels(scale), effort=Effort(seconds)), plain_layout([hide], panels(scale))
        assert not faults(found)
        print(f"  scale {scale:.2f}: {len(found.placed)} of 12 lie ({found.tries} tries), plain {len(plain.placed)}")
        if found.left_over:
            break


def filled(hides: int, seconds: float) -> None:
    """More panels than there is room for."""
    ours, plains = [], []
    for seed in range(1, hides + 1):
        hide, pieces = a_hide(seed, flaws=4 + seed % 8), panels(0.8 + 0.03 * (seed % 10), times=2)
        found, plain = lay_on_hides([hide], pieces, effort=Effort(seconds)), plain_layout([hide], pieces)
        assert not faults(found)
        assert not faults(plain)
        ours.append(found.filled(0))
        plains.append(plain.filled(0))
        print(f"  hide {seed:2}: ours {ours[-1]:.1%}, plain bottom-left {plains[-1]:.1%}", flush=True)
    if ours:
        worse = sum(one < other - 1e-9 for one, other in zip(ours, plains, strict=True))
        print(f"filled: ours {mean(ours):.1%}, plain bottom-left {mean(plains):.1%}; ours worse on {worse}")


def left(hides: int, seconds: float) -> None:
    """Panels that all fit, on as many hides as it takes: the largest offcut of those begun."""
    told: list[tuple[float, float, float]] = []
    for seed in range(1, hides + 1):
        ground = [a_hide(seed, flaws=4 + seed % 8), a_hide(seed + 100, flaws=6)]
        pieces = panels(0.6 + 0.04 * (seed % 10))
        plain = plain_layout(ground, pieces)
        first = lay_on_hides(ground, pieces, effort=Effort(seconds), watch=lambda _, share: share < 1 - 1e-9)
        last = lay_on_hides(ground, pieces, effort=Effort(seconds))
        assert not faults(last)
        assert last.hides_used <= min(first.hides_used, plain.hides_used)
        told.append((_largest(plain), _largest(first), _largest(last)))
        shown = ", ".join(
            f"{name} {each / 1e6:.3f} m²" for name, each in zip(("plain", "first", "last"), told[-1], strict=True)
        )
        print(f"  hide {seed:2}: {last.hides_used} begun; largest offcut: {shown}", flush=True)
    if told:
        plain_mean, first_mean, last_mean = (mean(each) / 1e6 for each in zip(*told, strict=True))
        print(
            f"largest offcut: plain {plain_mean:.3f} m², first {first_mean:.3f}, when the time is over {last_mean:.3f}"
        )


def _largest(layout: Layout) -> float:
    return max(largest_offcut_mm2(layout, on) for on in {each.on for each in layout.placed})


def the_test_hide() -> Hide:
    """A hide of 3.185 m² whose eight flaws are as large as leaves 3.056 m² usable within the usual clearances."""
    hide = a_hide(1, flaws=8)
    small, large = 0.1, 4.0
    while large - small > 1e-6:
        by = (small + large) / 2
        tried = replace(hide, flaws=tuple(_wider(each, by) for each in hide.flaws))
        if usable(tried, frozenset(), Clearances()).area > USABLE_MM2:
            small = by
        else:
            large = by
    return tried


def _wider(spot: Polyline, by: float) -> Polyline:
    x, y = mean(each[0] for each in spot), mean(each[1] for each in spot)
    return tuple((x + (each[0] - x) * by, y + (each[1] - y) * by) for each in spot)


def a_hide(seed: int, flaws: int) -> Hide:
    """A hide with shanks and a neck, its flaws spread out, a belly along both long edges; always of one area."""
    chance = Random(seed)
    bumps = [(chance.uniform(0.02, 0.06), times, chance.uniform(0, 2 * pi)) for times in (2, 3, 4, 5)]
    turns = [2 * pi * step / 90 for step in range(90)]
    out = [1 + sum(deep * sin(times * turn + at) for deep, times, at in bumps) for turn in turns]
    outline = tuple(
        (1.35 * far * cos(turn), 0.95 * far * sin(turn) * (1 + 0.12 * cos(4 * turn)))
        for turn, far in zip(turns, out, strict=True)
    )
    by = sqrt(HIDE_MM2 / signed_area_mm2(outline))
    outline = tuple((x * by, y * by) for x, y in outline)
    spots = [
        _spot(chance.uniform(-950, 950), chance.uniform(-600, 600), chance.uniform(15, 55), chance)
        for _ in range(flaws)
    ]
    belly = ((-1300.0, -1100.0), (1300.0, -1100.0), (1300.0, -800.0), (-1300.0, -800.0))
    return Hide(f"hide {seed}", outline, tuple(spots), (Zone("belly", belly),))


def _spot(x: float, y: float, far: float, chance: Random) -> Polyline:
    return tuple(
        (x + far * cos(turn) * chance.uniform(0.7, 1.3), y + far * sin(turn) * chance.uniform(0.7, 1.3))
        for turn in (pi / 4 * step for step in range(8))
    )


def panels(scale: float, times: int = 1) -> tuple[ToLay, ...]:
    """Twelve panels of two seats, left and right, each with its grain along its length, 1.516 m² at scale 1."""
    shapes = {
        "cushion": ((0, 20), (60, 0), (440, 0), (500, 20), (520, 460), (480, 500), (20, 500), (-20, 460)),
        "back": ((0, 0), (480, 0), (500, 200), (460, 560), (400, 610), (80, 610), (20, 560), (-20, 200)),
        "bolster": ((0, 0), (130, 10), (170, 250), (150, 520), (90, 560), (20, 540), (40, 260)),
        "cushion side": ((0, 0), (520, 0), (560, 90), (540, 170), (300, 140), (0, 160)),
        "back side": ((0, 0), (620, 30), (640, 110), (420, 150), (0, 120)),
        "head": ((0, 0), (280, 0), (300, 150), (250, 230), (50, 230), (-20, 150)),
    }
    drawn = [tuple((float(x), float(y)) for x, y in each) for each in shapes.values()]
    by = scale * sqrt(PANELS_MM2 / 2 / sum(map(signed_area_mm2, drawn)))
    pieces = []
    for name, shape in zip(shapes, drawn, strict=True):
        outline = tuple((x * by, y * by) for x, y in shape)
        flipped = tuple((-x, y) for x, y in outline)
        grain = ((0.0, 0.0), (0.0, 100.0))
        left = Piece(f"{name} left", outline, grain=grain, side="left", cut=times)
        pieces += [left, replace(left, name=f"{name} right", side="right", outline=flipped)]
    return to_lay(pieces)


if __name__ == "__main__":
    main()
