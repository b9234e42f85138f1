"""Lacing: exact chord sums on the ring, a closed form, and what every path must keep."""

from __future__ import annotations

from itertools import pairwise
from math import cos, hypot, pi, sin

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from trimwright.errors import BadInput
from trimwright.geometry.lacing import (
    PATTERNS,
    THREADS,
    Pattern,
    is_seen,
    lacing,
    needlefuls,
    paths,
    pitch_thread_mm,
    thread_mm,
)
from trimwright.geometry.rim import Rim, Spoke, with_thumbs
from trimwright.geometry.wrap import Leather, Seam, Shape, wrap

ROUND = Rim(185, ((0, 30 * pi),))
LEATHER, SEAM = Leather(1.2), Seam()
HOLES = tuple(360 * (each + 0.5) / 213 for each in range(213))
RIM = Rim(185, with_thumbs(94, [(70, 106), (290, 106)]), spokes=(Spoke(90, 32, 18), Spoke(270, 32, 18)))
MADE = wrap(RIM, LEATHER, SEAM, Shape())


@pytest.mark.parametrize(
    ("pattern", "on_the_wheel", "flat"),
    [
        ("ladder", 3475.36, 3492.57),
        ("spiral", 4457.66, 4620.86),
        ("herring-bone", 4510.38, 4652.68),
        ("v", 4794.74, 4926.22),
    ],
)
def test_thread_on_the_ring_and_laid_flat(pattern: Pattern, on_the_wheel: float, flat: float) -> None:
    """213 pairs on R 185, a 15, t 1.2, rows 9 apart: chord sums worked out once by other means, and closed forms."""
    assert thread_mm(pattern, ROUND, LEATHER, SEAM, HOLES, closed=True) == pytest.approx(on_the_wheel, abs=5e-3)
    seam_mm = 2 * pi * (185 - 15.6)
    assert 213 * pitch_thread_mm(pattern, seam_mm / 213, 9, 1.2) == pytest.approx(flat, abs=5e-3)


def test_the_ladder_in_closed_form() -> None:
    """N (2 (a+t) sin δ + 2 (R − a cos δ) sin(π/N) + 2 t): every chord of the ladder lies in a plane of the ring."""
    delta = 4.5 / 16.2
    closed = 213 * (2 * 16.2 * sin(delta) + 2 * (185 - 15 * cos(delta)) * sin(pi / 213) + 2.4)
    assert thread_mm("ladder", ROUND, LEATHER, SEAM, HOLES, closed=True) == pytest.approx(closed)


def test_crossed_is_two_slants_two_bars_and_four_ways_through() -> None:
    """No worked example is known to us: the flat path is 2 (b + √(b² + p²) + 2 t)."""
    assert pitch_thread_mm("crossed", 5, 9, 1.2) == pytest.approx(2 * (9 + hypot(9, 5) + 2.4))


@pytest.mark.parametrize("pattern", PATTERNS)
def test_on_a_large_wheel_the_chords_tend_to_the_flat_sum(pattern: Pattern) -> None:
    """As the ring and the grip grow, the wheel is a flat seam."""
    large = Rim(345, ((0, 220),))
    holes = tuple(360 * each / 413 for each in range(413))
    pitch = 2 * pi * (345 - 220 / 2 / pi) / 413
    near = [
        thread_mm(pattern, rim, LEATHER, SEAM, at, closed=True) / len(at) / pitch_thread_mm(pattern, gap, 9, 1.2)
        for rim, at, gap in ((ROUND, HOLES, 5.0), (large, holes, pitch))
    ]
    assert abs(near[1] - 1) < abs(near[0] - 1) < 0.05


@settings(max_examples=40, deadline=None)
@given(pattern=st.sampled_from(PATTERNS), holes=st.integers(2, 40))
def test_every_hole_is_used_and_the_thread_never_jumps(pattern: Pattern, holes: int) -> None:
    """Each needle moves at most to the next pair; over all needles each hole is passed; seen and hidden alternate."""
    used: set[tuple[int, float]] = set()
    for path in paths(pattern, holes):
        assert all(abs(one.along - other.along) <= 1 for one, other in pairwise(path))
        assert all(one != other for one, other in pairwise(path))
        used |= {(stop.edge, stop.along) for stop in path if stop.edge}
        assert any(is_seen(one, other) for one, other in pairwise(path))
        assert any(not is_seen(one, other) for one, other in pairwise(path))
    assert used == {(side, float(at)) for side in (-1, 1) for at in range(holes)}
    assert len(paths(pattern, holes)) == THREADS[pattern]


# ---- needlefuls ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("arm", "pitches", "count", "cut"), [(700, 31, 7, 4900), (1000, 50, 5, 5000), (1500, 80, 3, 4500)]
)
def test_needlefuls_of_one_arm(arm: float, pitches: int, count: int, cut: float) -> None:
    """A ladder of 213 pairs, 3475.36 mm; tails of 80 and a knot of 20."""
    found = needlefuls(213, 3475.36 / 213, arm)
    assert (found.pitches, found.count, found.cut_mm) == (pitches, count, cut)


def test_an_arm_too_short_is_refused() -> None:
    with pytest.raises(BadInput, match="too short for one stitch"):
        needlefuls(213, 16.3, 190)
    with pytest.raises(BadInput, match="too short"):
        lacing("crossed", RIM, LEATHER, SEAM, MADE.runs, arm_mm=100)


@settings(max_examples=40, deadline=None)
@given(pattern=st.sampled_from(PATTERNS), arm=st.floats(400, 2500))
def test_threads_cover_each_run_once_and_are_never_longer_than_the_arm(pattern: Pattern, arm: float) -> None:
    found = lacing(pattern, RIM, LEATHER, SEAM, MADE.runs, arm_mm=arm)
    for number, run in enumerate(MADE.runs):
        laced = [at for each in found.threads if each.run == number for at in range(each.first, each.last + 1)]
        assert laced == list(range(1, len(run.holes) + 1))
    assert all(each.cut_mm <= arm + 10 for each in found.threads)
    assert found.chords_mm < found.cut_mm
    assert len(found.joins_inside) == len(found.threads) - len(MADE.runs)


def test_straights_come_first_and_corners_last() -> None:
    """Common practice, no source. Every pair is worked once."""
    order = lacing("v", RIM, LEATHER, SEAM, MADE.runs).order
    kinds = [each.what for each in order]
    assert kinds == sorted(kinds, key=["straight", "thumb rest", "corner"].index)
    assert set(kinds) == {"straight", "thumb rest", "corner"}
    assert sum(each.last - each.first + 1 for each in order) == MADE.pairs
