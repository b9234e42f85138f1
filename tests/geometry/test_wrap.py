"""The wheel wrap: closed forms of Pappus and Steiner, an elliptic integral, linear programs and numeric integrals.

Figures marked "LP" or "N" were worked out once with other means (a linear program, numerical integration) than the
module uses. Common practice, no source: pieces meet under spokes.
"""

from __future__ import annotations

from itertools import pairwise
from math import asin, degrees, pi, sqrt

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from trimwright.errors import BadInput
from trimwright.geometry.advice import advice
from trimwright.geometry.panels import bow_mm, notch_of
from trimwright.geometry.pattern import length_mm, problems_of
from trimwright.geometry.rim import Rim, Spoke, bare_grip, half_axes, oval_round, radius_from_outside, with_thumbs
from trimwright.geometry.ring import measured
from trimwright.geometry.stretch import Fit, fibres, halves, straight, strain
from trimwright.geometry.wrap import Leather, Seam, Shape, Wrap, stretch_of, usual_joins, wrap

ROUND = Rim(185, ((0, 30 * pi),))
THREE = (Spoke(90, 32, 18), Spoke(180, 40, 14), Spoke(270, 32, 18))
BULGES = Rim(185, with_thumbs(94, [(70, 106), (290, 106)]))
LEATHER = Leather(1.2, across=0.04, along=0.10, tested=True)


def made(rim: Rim = ROUND, leather: Leather = LEATHER, seam: Seam = Seam(), shape: Shape = Shape()) -> Wrap:  # noqa: B008
    return wrap(rim, leather, seam, shape)


# ---- closed forms ----------------------------------------------------------------------------------------------------


def test_a_round_grip_by_pappus_and_steiner() -> None:
    """P_m = P + π t (Steiner); a ring's surface is 4 π² R a (Pappus), 109553 mm² for R 185 and a 15."""
    found = made(shape=Shape(join_mm=0))
    assert found.wide_mm == pytest.approx(((98.0177 - 2) / 1.04,) * 2, abs=1e-4)
    assert found.wide_mm[0] == pytest.approx(92.3247, abs=1e-4)
    bare = strain(ROUND, 0.0, straight(ROUND, 0.0, "even", 0.1), 0.0)
    middle = straight(ROUND, 0.0, "even", 0.1)
    assert middle.turn_mm * 30 * pi == pytest.approx(109553, abs=0.5)
    assert bare.stretched == pytest.approx(15 / 185)


def test_the_reference_ring_by_pappus() -> None:
    """R 185, r 14: outer equator 1250.35387613, inner 1074.42468753 mm (worked with mpmath)."""
    lengths = fibres(Rim(185, ((0, 28 * pi),)), 0.0)
    assert (lengths[0], lengths[-1]) == pytest.approx((1250.35387612874, 1074.42468752771))


def test_an_oval_by_the_elliptic_integral() -> None:
    """14 towards the hub, 17 along the column: 97.6175 round, 113470 mm² of ring."""
    around = oval_round(14, 17)
    assert around == pytest.approx(97.6175, abs=1e-4)
    assert 2 * pi * 185 * around == pytest.approx(113470, abs=0.5)
    assert half_axes(around, 14 / 17) == pytest.approx((14, 17))
    assert oval_round(200, 150) == pytest.approx(1105.17460803548)


def test_a_leather_covered_oval_grows_by_pi_t() -> None:
    """Steiner holds for every convex section: the strip of an oval is as wide as that of a round grip."""
    oval = made(Rim(185, ((0, 30 * pi),), oval=14 / 17))
    assert oval.wide_mm == made().wide_mm
    assert bare_grip(94.2478 + 2 * pi * 1.2, 1.2) == pytest.approx(94.2478)
    assert radius_from_outside(400, ((0, 30 * pi),)) == pytest.approx(185)


@pytest.mark.parametrize(
    ("fit", "turn", "most", "least"),
    [
        ("even", 1162.39, 0.0843243, -0.0843243),
        ("leather", 1145.82, 0.10, -0.0710867),
        ("edges", 1064.37, 0.184179, 0.0),
    ],
)
def test_how_long_the_strip_is_and_what_it_gives(fit: Fit, turn: float, most: float, least: float) -> None:
    """2πR, 2π(R + a)/(1 + ε) and 2π(R − a) for a in the middle of the leather, 15.6."""
    found = made(shape=Shape(fit=fit))
    assert found.flat.turn_mm == pytest.approx(turn, abs=5e-3)
    assert found.strain.stretched == pytest.approx(most, abs=1e-6)
    assert -found.strain.gathered == pytest.approx(least, abs=1e-6)


def test_bare_edges_matched() -> None:
    """2 a / (R − a) for a bare grip of 15."""
    assert strain(ROUND, 0.0, straight(ROUND, 0.0, "edges", 0.0), 0.0).stretched == pytest.approx(0.176471, abs=1e-6)


def test_halves_as_curved_strips() -> None:
    """LP: least greatest strain 0.0117395, fibres 2π(201.778 − 10.7431 v), outer line cut to 281.732 mm, 257.833°."""
    flat = halves(ROUND, 0.0, 0.0)
    assert strain(ROUND, 0.0, flat, 0.0).stretched == pytest.approx(0.0117395, abs=1e-7)
    assert flat.turn_mm / (2 * pi) == pytest.approx(201.778, abs=1e-3)
    assert flat.bend_mm == pytest.approx(281.732, abs=2e-3)
    assert flat.turn_degrees == pytest.approx(257.833, abs=2e-3)
    assert sqrt(1 - 4 / pi**2) - 1 + 2 / pi * asin(2 / pi) == pytest.approx(0.210514, abs=1e-6)  # exact edges, × a/R
    assert strain(ROUND, 0.0, flat, 0.0).stretched < 0.210514 * 15 / 185


def test_holes_of_the_round_rim() -> None:
    """1064.37 mm of seam at about 5 mm: 213 pairs, 4.99705 apart on the wheel and 5.45723 on the flat edge."""
    found = made()
    (run,) = found.runs
    assert found.pairs == 213
    assert found.seam_mm == pytest.approx(1064.37, abs=5e-3)
    assert (run.pitch_mm, run.flat_pitch_mm) == pytest.approx((4.99705, 5.45723), abs=1e-5)


def test_thumb_rests_lengthen_edge_and_seam() -> None:
    """N: 94 → 106 at 70° and 290°: seam 1063.66, flat edge 1163.68, strain +0.0944347 and −0.101312."""
    found = made(BULGES)
    assert (found.seam_mm, found.edge_mm) == pytest.approx((1063.66, 1163.68), abs=5e-3)
    assert found.strain.stretched == pytest.approx(0.0944347, abs=1e-6)
    assert -found.strain.gathered == pytest.approx(-0.101312, abs=2e-6)


def test_a_spoke_opens_the_edge() -> None:
    """h 32, k 18, a_m 15.6: β 35.2344°, r 172.258, u 5.32954°, flat notch 34.4167 × 8.26281."""
    found = made(Rim(185, ((0, 30 * pi),), spokes=(Spoke(90, 32, 18),)))
    (root,) = found.roots
    assert degrees(root.from_seam_mm / 15.6) == pytest.approx(35.2344, abs=1e-4)
    assert (root.radius_mm, root.half_open) == pytest.approx((172.258, 5.32954), abs=5e-4)
    notch = notch_of(found.cut, 90, root, found.wide_mm[0] / 2)
    assert (2 * notch.half_mm, notch.deep_mm) == pytest.approx((34.4167, 8.26281), abs=1e-4)


def test_ends_are_bowed() -> None:
    """4.71 a²/R for a long panel; a short one needs no more than its fibres differ."""
    assert bow_mm(ROUND, 120) == pytest.approx(4.71 * 15**2 / 185)
    assert bow_mm(ROUND, 10) == pytest.approx(10 * pi / 180 * 15)


def test_the_area_of_the_pieces_is_that_of_the_strip_and_its_ends() -> None:
    """The strip is L0 × W; bows, wider ends and allowances come on top, and no more than they can."""
    plain = made(shape=Shape(join_mm=0))
    strip = plain.flat.turn_mm * plain.wide_mm[0]
    (piece,) = plain.pieces
    bows = 2 * bow_mm(ROUND, 360) * plain.wide_mm[0] / 2
    assert strip + bows < piece.area_mm2 < strip + bows + 0.04 * plain.wide_mm[0] ** 2
    assert length_mm(piece.outline, closed=True) > 2 * plain.flat.turn_mm


# ---- what always holds -----------------------------------------------------------------------------------------------

ANGLES = st.sampled_from([(), (90, 270), (60, 180, 300), (90, 180, 270), (45, 135, 225, 315)])


@settings(max_examples=60, deadline=None)
@given(
    radius=st.floats(150, 200),
    grip=st.floats(75, 110),
    thumb=st.floats(0, 12),
    oval=st.floats(0.7, 1.3),
    at=ANGLES,
    pitch=st.floats(3, 8),
    cut_in_halves=st.booleans(),
    fit=st.sampled_from(["even", "edges", "leather"]),
)
def test_both_edges_have_the_same_holes(
    radius: float,
    grip: float,
    thumb: float,
    oval: float,
    at: tuple[int, ...],
    pitch: float,
    cut_in_halves: bool,
    fit: Fit,
) -> None:
    """Whatever the grip does, every hole has its partner, evenly spaced on the wheel, inside a sound piece."""
    rim = Rim(
        radius,
        with_thumbs(grip, [(70, grip + thumb), (290, grip + thumb)]),
        oval,
        tuple(Spoke(each, 30, 16) for each in at),
    )
    found = made(rim, seam=Seam(pitch_mm=pitch), shape=Shape(halves=cut_in_halves, fit=fit))
    below = sum(hole.at[1] < 0 for piece in found.pieces for hole in piece.holes)
    assert sum(len(piece.holes) for piece in found.pieces) == 2 * found.pairs
    assert cut_in_halves or below == found.pairs
    assert all(not problems_of(piece) for piece in found.pieces)
    ring = measured(rim, 1.2, found.flat, 2.0, 0.04)
    for run in found.runs:
        ways = [ring.seam_to(each) for each in run.holes]
        apart = [other - one for one, other in pairwise(ways)]
        assert apart == pytest.approx([run.pitch_mm] * len(apart), abs=1e-3)


@settings(max_examples=30, deadline=None)
@given(radius=st.floats(150, 200), grip=st.floats(75, 110), thick=st.floats(0.6, 2))
def test_no_straight_strip_beats_a_over_r(radius: float, grip: float, thick: float) -> None:
    """The bound of a strip seamed at the hub, and that halves always do better."""
    rim = Rim(radius, ((0, grip),))
    bound = (grip / (2 * pi) + thick / 2) / radius
    for fit in ("even", "edges", "leather"):
        found = strain(rim, thick, straight(rim, thick, fit, 0.05), 0.04)
        assert max(found.stretched, found.gathered) >= bound - 1e-9
    assert strain(rim, thick, halves(rim, thick, 0.04), 0.04).stretched < bound / 4


# ---- pieces, joins, advice -------------------------------------------------------------------------------------------


def test_joins_lie_under_spokes_where_there_are_any() -> None:
    rim = Rim(185, ((0, 94),), spokes=THREE)
    assert usual_joins((90, 180, 270), 2) == (90, 270)
    found = made(rim)
    assert found.joins == (90, 180, 270)
    assert [run.at_spoke for run in found.runs] == [(True, True)] * 3
    assert not [each for each in advice(found) if "under no spoke" in each.what]


def test_a_join_beside_the_middle_of_its_spoke_still_notches_both_pieces() -> None:
    """Across 12 o'clock, where degrees start again: the two halves of one notch lie on two pieces."""
    found = made(Rim(185, ((0, 94),), spokes=(Spoke(0, 32, 18), Spoke(180, 32, 18))), shape=Shape(joins=(2, 180)))
    first, last = found.pieces
    least = found.wide_mm[0] / 2 - 5
    for piece in (first, last):
        left, _, right, _ = piece.box
        ends = [y for x, y in piece.outline if x < left + 15 or x > right - 15]
        assert min(abs(y) for y in ends if abs(y) > 20) < least
        assert not problems_of(piece)
    assert sum(len(piece.holes) for piece in found.pieces) == 2 * found.pairs


def test_a_wrap_that_asks_too_much_says_what_helps() -> None:
    said = advice(made(leather=Leather()))
    assert "8.4%" in said[0].what
    assert "8.0%" in said[0].what
    told = " ".join(said[0].helps)
    assert "halves" in told
    assert "180°" in told
    assert "gathered" in told
    assert "guessed" in said[1].what
    assert not advice(made(shape=Shape(halves=True)))


def test_a_thumb_rest_too_counts_when_the_strip_is_fitted_to_the_leather() -> None:
    assert made(BULGES, Leather(along=0.08), shape=Shape(fit="leather")).strain.stretched == pytest.approx(0.08)


def test_halves_come_as_mirror_images() -> None:
    driver, dash = made(shape=Shape(halves=True)).pieces
    assert driver.area_mm2 == pytest.approx(dash.area_mm2)
    assert (driver.name, dash.name) == (
        "one piece from 6 o'clock, driver's half",
        "one piece from 6 o'clock, dash half",
    )


def test_a_test_strip_says_the_stretch() -> None:
    assert stretch_of(100, 107.5) == pytest.approx(0.075)
    with pytest.raises(BadInput, match="no stretch of leather"):
        stretch_of(100, 90)


# ---- bad input -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("change", "told"),
    [
        (lambda: Rim(37, ((0, 94),)), "no wheel's size"),
        (lambda: Rim(185, ((0, 9.4),)), "not between 40 and 220"),
        (lambda: Rim(100, ((0, 215),)), "too large for a wheel"),
        (lambda: Rim(185, ((0, 94), (360, 96))), "told twice"),
        (lambda: Rim(185, ()), "0 stations"),
        (lambda: Rim(185, ((0, float("nan")),)), "not between"),
        (lambda: Rim(185, ((0, 94),), oval=0.1), "oval"),
        (lambda: Rim(185, ((0, 94),), spokes=(Spoke(90, 0, 10),)), "has no size"),
        (lambda: Rim(185, ((0, 94),), spokes=(Spoke(90, 32, 40),)), "as thick as the grip"),
        (lambda: Rim(185, ((0, 94),), spokes=(Spoke(90, 60, 10), Spoke(100, 60, 10))), "overlap"),
        (lambda: made(seam=Seam(pitch_mm=0)), "pitch"),
        (lambda: made(seam=Seam(hole_mm=3.9, pitch_mm=3)), "leaves no leather"),
        (lambda: made(leather=Leather(thick_mm=12)), "0.3 and 4 mm"),
        (lambda: made(leather=Leather(across=4.0)), "0.05 for 5 %"),
        (lambda: made(shape=Shape(tuck_mm=-1)), "tuck"),
        (lambda: made(Rim(185, ((0, 94),), spokes=THREE), shape=Shape(joins=(97,))), "too short to lace"),
        (lambda: usual_joins((), 0), "pieces"),
    ],
)
def test_what_makes_no_wrap_says_so_and_the_way_out(change: object, told: str) -> None:
    with pytest.raises(BadInput, match=told) as caught:
        change()  # type: ignore[operator]
    assert all(problem.way_out for problem in caught.value.problems)


def test_everything_wrong_is_told_at_once() -> None:
    with pytest.raises(BadInput) as caught:
        made(leather=Leather(thick_mm=9, across=-1), seam=Seam(pitch_mm=0, gap_mm=-1), shape=Shape(tuck_mm=90))
    assert len(caught.value.problems) == 5
