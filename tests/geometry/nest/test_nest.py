"""Pieces on hides and rolls: every layout checked with shapely, apart from the program's own check."""

from __future__ import annotations

from math import cos, pi, sin
from time import monotonic

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Polygon
from shapely.ops import unary_union

from trimwright.errors import BadInput
from trimwright.geometry.dxf import drawing, read_drawing
from trimwright.geometry.nest.asked import ToLay, Way, to_lay
from trimwright.geometry.nest.hide import Clearances, Hide, Zone, read_hide, written
from trimwright.geometry.nest.layout import Layout, Placed, faults, largest_offcut_mm2, offcuts
from trimwright.geometry.nest.packer import Packer, Strip
from trimwright.geometry.nest.roll import Roll, density, lay_on_roll, length_mm
from trimwright.geometry.nest.search import Effort, lay_on_hides, plain_layout
from trimwright.geometry.nest.spare import Spare, spare_of
from trimwright.geometry.pattern import Piece, labelled

FEW = Effort(seconds=60, tries=4)
"""By count, so that a busy machine changes nothing."""
HIDE = Hide(
    "hide",
    tuple(
        (700 + 700 * cos(pi * k / 20), 450 + 450 * sin(pi * k / 20) * (1 + 0.1 * cos(pi * k / 10))) for k in range(40)
    ),
    flaws=(((500.0, 400.0), (540.0, 410.0), (520.0, 450.0)), ((900.0, 600.0), (960.0, 600.0), (930.0, 660.0))),
    zones=(Zone("belly", ((0.0, -100.0), (1400.0, -100.0), (1400.0, 200.0), (0.0, 200.0))),),
)
BLAZ_FIRST = ((0.0, 0.0), (2.0, -1.0), (4.0, 0.0), (4.0, 3.0), (2.0, 4.0), (0.0, 3.0))


def panel(name: str = "panel", wide: float = 300, high: float = 200, **said: object) -> Piece:
    outline = ((0.0, 0.0), (wide, 0.0), (wide * 0.9, high), (wide * 0.3, high * 0.8))
    return Piece(name, outline, grain=((0.0, 0.0), (0.0, 50.0)), **said)  # type: ignore[arg-type]


def lies_right(layout: Layout) -> bool:
    """By shapely alone: inside the hide by the margin, off flaws and zones, apart by the gap."""
    for on, hide in enumerate(layout.hides):
        there = [each for each in layout.placed if each.on == on]
        drawn = [Polygon(each.laid(layout.asked[each.number]).outline) for each in there]
        edge, flaws = Polygon(hide.outline), [Polygon(each) for each in hide.flaws]
        for at, one in enumerate(drawn):
            keep_out = layout.asked[there[at].number].keep_out
            if not edge.buffer(1e-3).covers(one) or one.distance(edge.exterior) < layout.clear.margin_mm - 1e-3:
                return False
            if any(one.distance(each) < layout.clear.gap_mm - 1e-3 for each in [*flaws, *drawn[at + 1 :]]):
                return False
            if any(one.intersection(Polygon(z.outline)).area > 1e-3 for z in hide.zones if z.name in keep_out):
                return False
    return True


# ---- hides -----------------------------------------------------------------------------------------------------------


def test_pieces_lie_inside_apart_off_flaws_and_out_of_the_belly() -> None:
    asked = to_lay([panel(cut=3), panel("wing", 150, 320)], keep_out={"panel": frozenset({"belly"})})
    layout = lay_on_hides([HIDE], asked, effort=FEW)
    assert not layout.left_over
    assert lies_right(layout)
    assert faults(layout) == ()


@settings(max_examples=8, deadline=None)
@given(
    sizes=st.lists(st.tuples(st.integers(60, 400), st.integers(60, 300)), min_size=1, max_size=8),
    gap=st.floats(0, 10),
    margin=st.floats(0, 30),
)
def test_every_layout_is_right_and_none_is_worse_than_plain_bottom_left(
    sizes: list[tuple[int, int]], gap: float, margin: float
) -> None:
    asked = to_lay([panel(f"p{at}", *size) for at, size in enumerate(sizes)])
    clear = Clearances(gap, margin)
    layout = lay_on_hides([HIDE], asked, clear, Effort(60, tries=2))
    plain = plain_layout([HIDE], asked, clear)
    assert lies_right(layout)
    assert lies_right(plain)
    assert layout.laid_mm2 >= plain.laid_mm2 - 1e-6


def test_the_same_seed_and_count_of_tries_lay_the_same() -> None:
    asked = to_lay([panel(f"p{at}", 350, 260) for at in range(9)])
    one, other = (lay_on_hides([HIDE], asked, effort=FEW) for _ in range(2))
    assert one.placed == other.placed


def test_searching_lays_what_plain_bottom_left_leaves_over() -> None:
    """Ten halves of squares: on the squares' own size of hide they fit in pairs only."""
    hide = Hide("square", ((0.0, 0.0), (660.0, 0.0), (660.0, 440.0), (0.0, 440.0)))
    corner = Piece("half", ((0.0, 0.0), (200.0, 0.0), (0.0, 200.0)), grain=((0.0, 0.0), (50.0, 0.0)), cut=11)
    clear = Clearances(2.0, 2.0)
    plain = plain_layout([hide], to_lay([corner]), clear)
    layout = lay_on_hides([hide], to_lay([corner]), clear, Effort(60, tries=25))
    assert lies_right(layout)
    assert layout.laid_mm2 >= plain.laid_mm2


@pytest.mark.parametrize(("way", "turns"), [("grain", {-90.0, 90.0}), ("nap", {-90.0})])
def test_pieces_keep_to_the_grain(way: Way, turns: set[float]) -> None:
    layout = lay_on_hides([HIDE], to_lay([panel(cut=4)], way), effort=FEW)
    assert {each.turn for each in layout.placed} <= turns


def test_a_piece_without_an_arrow_may_lie_any_way_but_on_a_nap() -> None:
    bare = Piece("bare", panel().outline)
    assert len(to_lay([bare])[0].turns) == 24
    assert to_lay([bare], "nap")[0].turns == (0.0,)


def test_the_second_hide_takes_what_the_first_has_no_room_for() -> None:
    asked = to_lay([panel(f"p{at}", 400, 330) for at in range(7)])
    layout = lay_on_hides([HIDE, HIDE], asked, effort=FEW)
    assert not layout.left_over
    assert layout.hides_used == 2
    assert lies_right(layout)


def test_a_search_that_is_stopped_keeps_what_it_has() -> None:
    told: list[float] = []

    def watch(tries: int, share: float) -> bool:
        told.append(share)
        return tries < 2

    layout = lay_on_hides([HIDE], to_lay([panel(f"p{at}", 400, 330) for at in range(9)]), watch=watch)
    assert lies_right(layout)
    assert layout.placed
    assert 2 <= len(told) < 8
    assert all(0 <= each <= 1 for each in told)


def test_the_check_finds_overlaps_edges_flaws_zones_and_turns() -> None:
    asked = to_lay([panel(cut=2)], keep_out={"": frozenset({"belly"})})

    def told(*placed: Placed) -> str:
        return " ".join(faults(Layout((HIDE,), asked, placed, Clearances())))

    right = Placed(0, 0, -90.0, 560, 700)
    assert told(right) == ""
    assert told(right, Placed(1, 0, 90.0, 850, 400)) == "panel is too near panel"
    assert "twice" in told(right, right)
    assert "turned by 45" in told(Placed(0, 0, 45.0, 700, 400))
    for off in (Placed(0, 0, -90.0, -500, 700), Placed(0, 0, -90.0, 500, 700), Placed(0, 0, -90.0, 560, 450)):
        assert told(off) == "panel leaves the usable leather"


def test_offcuts_lie_off_the_pieces_and_are_hides_again() -> None:
    layout = lay_on_hides([HIDE], to_lay([panel(cut=3)]), effort=FEW)
    taken = unary_union([Polygon(each.outline) for each in layout.pieces(0)])
    kept = offcuts(layout, 0)
    assert kept
    for each in kept:
        left = Polygon(each.outline, each.flaws)
        assert left.is_valid
        assert left.intersection(taken).area < 1e-3
        assert left.area >= 20_000
        again = read_hide(written(each), each.name)
        assert Polygon(again.outline, again.flaws).area == pytest.approx(left.area, rel=2e-3)


def test_time_that_is_left_makes_the_largest_offcut_larger_and_begins_no_hide_more() -> None:
    asked = to_lay([panel(f"p{at}", 260, 180) for at in range(7)])
    first = lay_on_hides([HIDE, HIDE], asked, effort=FEW, watch=lambda _, share: share < 1)
    last = lay_on_hides([HIDE, HIDE], asked, effort=Effort(60, tries=15))
    assert lies_right(last)
    assert not last.left_over
    assert last.hides_used == first.hides_used == 1
    assert largest_offcut_mm2(last, 0) > largest_offcut_mm2(first, 0)


def test_the_chance_of_one_more_is_the_normal_share_below_what_is_enough() -> None:
    """Φ(−1) = 0.158655, from the normal table."""
    assert Spare((0.92,), 0.08).chance == pytest.approx(0.158655, abs=1e-6)
    assert Spare((1.0,), 0.08).chance == pytest.approx(0.5)
    small = lay_on_hides([HIDE], to_lay([panel()]), effort=FEW)
    sure = spare_of(small, Effort(60, tries=1), trials=1)
    assert sure is not None
    assert sure.chance < 0.01
    assert spare_of(small, watch=lambda *_: False) is None
    full = lay_on_hides([HIDE], to_lay([panel(f"p{at}", 400, 330) for at in range(9)]), effort=FEW)
    none = spare_of(full)
    assert none is not None
    assert none.chance == 1


# ---- rolls -----------------------------------------------------------------------------------------------------------


def test_a_roll_holds_all_pieces_apart_and_inside() -> None:
    asked = to_lay([panel(cut=4), panel("wing", 150, 320, cut=4)])
    layout = lay_on_roll(Roll(900), asked, Clearances(4.0, 6.0), Effort(seconds=2))
    assert not layout.left_over
    assert lies_right(layout)
    assert 0.4 < density(layout) < 1


def test_a_roll_stopped_early_is_the_best_so_far_and_its_packer_is_ended() -> None:
    began = monotonic()
    layout = lay_on_roll(Roll(900), to_lay([panel(cut=9)]), effort=Effort(seconds=300), watch=lambda *_: False)
    assert monotonic() - began < 60
    assert lies_right(layout)
    with Packer(Strip([panel().outline], [(0.0,)], 900, 300, 1, 1)) as packer:
        assert not packer.is_over
    assert packer.is_over


def test_with_a_repeat_every_piece_begins_at_the_same_place_of_the_pattern() -> None:
    asked = to_lay([panel(cut=3), panel("wing", 150, 320, cut=2)], "nap")
    layout = lay_on_roll(Roll(900, 160), asked, Clearances(4.0, 0.0), Effort(60, tries=4))
    lefts = [each.box[0] for each in layout.pieces(0)]
    assert not layout.left_over
    assert lies_right(layout)
    assert all(((each - lefts[0] + 80) % 160) - 80 == pytest.approx(0, abs=1e-3) for each in lefts)


def test_six_of_a_published_instance_reach_what_any_layout_needs_and_no_less() -> None:
    """The first item of blaz1 (ESICUP data sets, CC0), a hundred times larger: 16 units² each, never denser than 1."""
    shape = tuple((100 * x, 100 * y) for x, y in BLAZ_FIRST)
    asked = [ToLay(Piece(f"i{at}", shape), (0.0, 180.0)) for at in range(6)]
    layout = lay_on_roll(Roll(1500), asked, Clearances(0.0, 0.0), Effort(seconds=2))
    assert lies_right(layout)
    assert 6 * 1.6e5 / 1500 <= length_mm(layout) <= 900


# ---- bad input -------------------------------------------------------------------------------------------------------


def refused(told: str) -> pytest.RaisesExc[BadInput]:
    return pytest.raises(BadInput, match=told)


def test_bad_pieces_and_hides_are_refused_with_a_way_out() -> None:
    crossed = Piece("bow", ((0.0, 0.0), (100.0, 100.0), (100.0, 0.0), (0.0, 150.0)))
    with refused("crosses itself"):
        to_lay([crossed])
    with refused("are none"):
        to_lay([])
    with refused("no piece's name"):
        to_lay([panel()], keep_out={"roof": frozenset({"belly"})})
    with refused("larger than any hide"):
        lay_on_hides([HIDE], to_lay([panel("roof", 3000, 900)]))
    with refused("are none"):
        lay_on_hides([], to_lay([panel()]))
    with refused("crosses itself"):
        lay_on_hides([Hide("x", ((0.0, 0.0), (9.0, 9.0), (9.0, 0.0), (0.0, 9.5)))], to_lay([panel()]))
    with refused("not narrower"):
        lay_on_roll(Roll(200), to_lay([panel(wide=300, high=300)], "nap"))
    with refused("50 and 5000"):
        Roll(1.4)
    with refused("0 and 200"):
        Clearances(-1)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "no outline"),
        ("0 0\n1 1", "neither a heading"),
        ("outline\n0 0\n9 zero", "neither a heading"),
        ("outline\n0 0\n9 9", "fewer than three"),
        ("outline\n0 0\n9 9\n9 0\n0 9.5", "crosses itself"),
        ("outline\n0 0\n99 0\n0 99\nzone\n0 0\n9 0\n0 9", "without a name"),
        ("outline\n0 0\n99999 0\n0 99", "beyond 20 m"),
        ("SECTION\n" * 5000, "neither a heading"),
    ],
)
def test_a_hides_file_is_refused_by_its_line(text: str, told: str) -> None:
    with refused(told) as wrong:
        read_hide(text, "hide")
    assert len(wrong.value.problems) <= 11


# ---- drawings --------------------------------------------------------------------------------------------------------


def test_a_drawing_is_read_as_it_was_written() -> None:
    drawn = labelled(
        Piece("panel left", panel().outline, (((100.0, 60.0), (120.0, 60.0), (110.0, 80.0)),), grain=panel().grain)
    )
    (read,) = read_drawing(drawing([drawn], laid=True), "file")
    assert read.outline == drawn.outline
    assert read.cutouts == drawn.cutouts
    assert read.grain == drawn.grain
    assert read.name == "panel left"


@pytest.mark.parametrize("text", ["", "not a drawing", "0\nSECTION\n2\nHEADER\n"])
def test_what_is_no_drawing_is_refused(text: str) -> None:
    with refused("DXF drawing|no block"):
        read_drawing(text, "file")
