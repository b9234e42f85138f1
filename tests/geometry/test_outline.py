"""An outline from corners and edges whose truth is known: the lens undone, doubt that holds, shape, hand and piece.

Everything here is simulated: cameras, printers and the noise of corners are made up (tests/geometry/photographed.py).
"""

from __future__ import annotations

from math import hypot

import numpy as np
import pytest
from shapely import LinearRing, Point, Polygon, distance, points
from shapely.affinity import scale

from tests.geometry.photographed import PLACES, Floats, Lens, Scene, panel
from trimwright.errors import BadInput
from trimwright.geometry.outline.certainty import certainty
from trimwright.geometry.outline.editing import changed
from trimwright.geometry.outline.finding import Seen
from trimwright.geometry.outline.piece import Marked, as_pieces, notch_at
from trimwright.geometry.outline.plane import Bars, fitted
from trimwright.geometry.outline.reading import Camera
from trimwright.geometry.outline.shape import Node, drawn, nodes_of, numbered
from trimwright.geometry.outline.strips import BAR_LONG_MM, BAR_SHORT_MM, corners_mm, named

TRUE_BARS = Bars(BAR_LONG_MM, BAR_SHORT_MM)


def corners_of(scene: Scene, noise: float, chance: np.random.Generator) -> list[Seen]:
    """The strips' corners as the camera sees them."""
    return [
        Seen(each, scene.lens.px(scene.laid(each, corners_mm())) + chance.normal(0, noise, (20, 2)), corners_mm())
        for each in scene.strips
    ]


def shape_error(true: Floats, found: Floats) -> Floats:
    """How far each point is from where it should be when the whole is laid on as well as can be (Kabsch) [mm]."""
    a, b = true - true.mean(axis=0), found - found.mean(axis=0)
    u, _, v = np.linalg.svd(b.T @ a)
    return np.asarray(np.linalg.norm(b @ (u @ v) - a, axis=1))


# ---- the plane -------------------------------------------------------------------------------------------------------


def test_without_noise_the_plane_is_found_through_a_bent_tilted_lens() -> None:
    """The lens bends the other way round than it is undone, so some hundredths of a millimetre are left."""
    scene = Scene(lens=Lens(tilt=(10, -8), turn=30, k2=0.0))
    plane = fitted(corners_of(scene, 0.0, np.random.default_rng(0)), scene.lens.size, TRUE_BARS)
    true = np.array(scene.part.segmentize(5).exterior.coords[:-1])
    assert shape_error(true, plane.to_mm(scene.lens.px(true))).max() < 0.1


def test_there_and_back() -> None:
    scene = Scene(lens=Lens(tilt=(4, 9)))
    plane = fitted(corners_of(scene, 0.2, np.random.default_rng(0)), scene.lens.size, TRUE_BARS)
    px = np.array([[100.0, 80.0], [1900.0, 1400.0], [1008.0, 756.0]])
    assert np.abs(plane.to_px(plane.to_mm(px)) - px).max() < 1e-4


@pytest.mark.parametrize("tilt", [(0.0, 0.0), (12.0, -7.0)])
def test_the_camera_is_found_over_its_foot(tilt: tuple[float, float]) -> None:
    scene = Scene(lens=Lens(tilt=tilt))
    plane = fitted(corners_of(scene, 0.0, np.random.default_rng(0)), scene.lens.size, TRUE_BARS)
    foot, high = plane.camera(scene.lens.focal)
    assert high == pytest.approx(scene.lens.stands[2], rel=0.01)
    there = plane.to_mm(scene.lens.px(np.array([scene.lens.stands[:2]])))[0]
    assert hypot(*(foot - there)) < 12


def test_a_printer_that_stretches_is_undone_by_its_bars() -> None:
    """Fed 1 % too long, 0.6 % too wide: without the bars 600 mm would be six out."""
    scene = Scene(scales=(1.01, 1.006))
    seen = corners_of(scene, 0.0, np.random.default_rng(0))
    true = np.array(scene.part.segmentize(5).exterior.coords[:-1])
    read = fitted(seen, scene.lens.size, Bars(BAR_LONG_MM * 1.01, BAR_SHORT_MM * 1.006))
    assert shape_error(true, read.to_mm(scene.lens.px(true))).max() < 0.1
    unread = fitted(seen, scene.lens.size, TRUE_BARS)
    assert shape_error(true, unread.to_mm(scene.lens.px(true))).max() > 1.5


def test_a_corner_that_is_far_off_is_left_out() -> None:
    scene = Scene()
    seen = corners_of(scene, 0.2, np.random.default_rng(3))
    seen[1].px[7] += [6.0, -4.0]
    true = np.array(scene.part.segmentize(5).exterior.coords[:-1])
    plane = fitted(seen, scene.lens.size, TRUE_BARS)
    assert shape_error(true, plane.to_mm(scene.lens.px(true))).max() < 0.8


# ---- doubt -----------------------------------------------------------------------------------------------------------


def random_scene(number: int) -> tuple[float, float, float]:
    """Greatest error, simultaneous bound and share of points within 2σ, in a simulated scene of 12 megapixels."""
    chance = np.random.default_rng(number)
    size = (4032, 3024)
    lens = Lens(
        focal=3100 * chance.uniform(0.9, 1.1), size=size, high=chance.uniform(850, 1100), k1=chance.normal(-0.08, 0.06),
        k2=chance.normal(0.03, 0.02), tilt=(chance.uniform(-12, 12), chance.uniform(-12, 12)),
        turn=chance.uniform(0, 360), middle=(chance.normal(0, 15), chance.normal(0, 15)),
    )  # fmt: skip
    places = {
        each: (x + chance.uniform(-15, 15), y + chance.uniform(-15, 15), turn + chance.uniform(-5, 5))
        for each, (x, y, turn) in PLACES.items()
    }
    scales = (1 + chance.normal(0, 0.004), 1 + chance.normal(0, 0.004))
    bars = Bars(*(long * s + chance.uniform(-0.25, 0.25) for long, s in zip((260, 190), scales, strict=True)))
    scene = Scene(lens=lens, places=places, scales=scales)
    plane = fitted(corners_of(scene, 0.25, chance), size, bars)
    true = np.array(scene.part.segmentize(10).exterior.coords[:-1])
    px = lens.px(true) + chance.normal(0, 0.1, true.shape)
    found = plane.to_mm(px)
    px_mm = 1 / np.linalg.norm(plane.to_mm(px + np.array([1.0, 0.0])) - found, axis=1)
    told = certainty(found, plane.spread(px), px_mm, np.zeros(len(found), dtype=bool))
    error = shape_error(true, found)
    return float(error.max()), told.within_mm, float((error < told.two_sigma_mm).mean())


def test_the_bound_for_all_points_at_once_holds_nine_times_in_ten() -> None:
    """A hundred simulated scenes, at random but the same every time; and it is no bound that would hold anything."""
    scenes = [random_scene(number) for number in range(100)]
    assert sum(error <= bound for error, bound, _ in scenes) >= 90
    assert np.mean([share for _, _, share in scenes]) > 0.93
    assert np.mean([bound for _, bound, _ in scenes]) < 2.5 * np.mean([error for error, _, _ in scenes])


def test_what_is_left_of_the_corners_does_not_tell_but_the_covariance_does() -> None:
    """One strip alone: its corners fit to a fraction of a pixel, and the far side is in doubt by far more than 1 mm."""
    scene = Scene(strips="a")
    plane = fitted(corners_of(scene, 0.2, np.random.default_rng(1)), scene.lens.size, TRUE_BARS)
    assert plane.corner_px < 0.4
    true = np.array(scene.part.segmentize(5).exterior.coords[:-1])
    px = scene.lens.px(true)
    told = certainty(plane.to_mm(px), plane.spread(px), np.full(len(px), 1.2), np.zeros(len(px), dtype=bool))
    assert told.two_sigma_mm.max() > 3


def test_thickness_moves_an_edge_by_the_closed_form() -> None:
    """h·d/(H − h): 5 mm thick, 400 mm from the foot, camera at 1050 mm."""
    camera = Camera(np.zeros(2), 1050.0, 0.0)
    assert 400 / camera.lowered(5.0) - 400 == pytest.approx(1.91388, abs=5e-6)


# ---- shape -----------------------------------------------------------------------------------------------------------


def edge(part: Polygon, noise: float = 0.05) -> Floats:
    line = np.array(part.segmentize(0.4).exterior.coords[:-1])
    return np.asarray(line + np.random.default_rng(2).normal(0, noise, line.shape))


def test_corners_sides_and_curves_of_a_panel() -> None:
    part = panel()
    nodes = nodes_of(edge(part))
    corners = [each.at for each in nodes if each.corner]
    true = [each for each in part.exterior.coords if min(hypot(each[0] - x, each[1] - y) for x, y in corners) < 0.4]
    assert len(corners) == 8
    assert len(set(true)) >= 8
    line, _ = drawn(nodes)
    assert distance(points(np.array(line)), LinearRing(part.exterior.coords)).max() < 0.35
    assert len(nodes) < 40
    assert nodes[0].at == pytest.approx((-250, -170), abs=0.4)


def test_a_rounding_is_no_corner() -> None:
    """A square with corners rounded to 12 mm has none, and is followed to a third of a millimetre."""
    part = Polygon([(0, 0), (200, 0), (200, 200), (0, 200)]).buffer(-12).buffer(12, quad_segs=32)
    nodes = nodes_of(edge(part))
    assert not any(each.corner for each in nodes)
    line, corner = drawn(nodes)
    assert not any(corner)
    assert distance(points(np.array(line)), LinearRing(part.exterior.coords)).max() < 0.4


def test_an_oval_is_one_closed_curve() -> None:
    part = scale(Point(0, 0).buffer(1, quad_segs=200), 150, 90)
    nodes = nodes_of(edge(part))
    assert 3 <= len(nodes) <= 30
    assert Polygon(drawn(nodes)[0]).area == pytest.approx(part.area, rel=1e-3)


# ---- by hand ---------------------------------------------------------------------------------------------------------

SQUARE = numbered([Node(at, corner=True) for at in ((0.0, 0.0), (100.0, 0.0), (100.0, 100.0), (0.0, 100.0))])


def test_points_are_moved_added_and_taken_out_by_their_first_numbers() -> None:
    made = changed(SQUARE, "# a nudge\n1 -2 0\n\n2+ 104 50\n3-\n2+ 101, 90 corner\n", "moved.txt")
    assert [each.at for each in made] == [(-2, 0), (100, 0), (104, 50), (101, 90), (0, 100)]
    assert [each.corner for each in made] == [True, True, False, True, True]
    assert [each.number for each in made] == [1, 2, 0, 0, 4]


def test_a_corner_becomes_a_curve_where_it_stands_or_elsewhere() -> None:
    made = changed(SQUARE, "1 0 0 curve\n2 100 0 corner\n3+ 50 102 curve", "moved.txt")
    assert [each.corner for each in made] == [False, True, True, False, True]
    assert [each.number for each in made] == [1, 2, 3, 0, 4]


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ("1 2", "is no change"),
        ("1- 3 4", "is no change"),
        ("1 nan 4", "is no change"),
        ("1 5 4 round", "is no change"),
        ("1 5 40000", "is no change"),
        ("9 5 4", "They run from 1 to 4"),
        ("1-\n2-", "fewer than three"),
        ("1 150 50\n", "cross itself near point 3"),
        ("1+ 50 150\n", "cross itself near point [34]"),
        ("\n".join(["2+ 9000 -9000", "2+ 9000 9000"] * 4), "long as a street"),
    ],
)
def test_a_change_that_is_none_is_told_with_its_line(changes: str, said: str) -> None:
    with pytest.raises(BadInput, match=said):
        changed(SQUARE, changes, "moved.txt")


# ---- a piece ---------------------------------------------------------------------------------------------------------


def test_a_piece_with_everything_marked() -> None:
    line, _ = drawn(SQUARE)
    marked = Marked(10.0, ((1, 30.0),), 90.0, "left")
    left, right = as_pieces("Door card", line, SQUARE, marked, both=True)
    assert (left.name, left.side, right.name, right.side) == ("Door card left", "left", "Door card right", "right")
    assert left.box == pytest.approx((-10, -10, 110, 110))
    assert left.notches[0].at == pytest.approx((30, -10))
    assert left.notches[0].towards == pytest.approx((0, 1))
    assert right.notches[0].at == pytest.approx((70, -10))
    assert left.grain is not None
    (x, y), (u, v) = left.grain
    assert (x, v - y) == pytest.approx((u, 40))
    assert [each.text for each in left.words] == ["Door card left"]


def test_a_notch_stays_at_its_point_whatever_is_added_before_it() -> None:
    made = changed(SQUARE, "1+ 50 -5 corner\n2 110 0", "moved.txt")
    (piece,) = as_pieces("x", drawn(made)[0], made, Marked(notches=((2, 0.0), (3, 25.0))))
    assert [each.at for each in piece.notches] == [pytest.approx((110, 0)), pytest.approx((75, 100))]
    gone = changed(SQUARE, "2-", "moved.txt")
    with pytest.raises(BadInput, match="without those that were taken out"):
        as_pieces("x", drawn(gone)[0], gone, Marked(notches=((2, 0.0),)))


def test_a_part_photographed_from_its_back_is_turned_over() -> None:
    ring = tuple(Node(at, corner=True) for at in ((0.0, 0.0), (100.0, 0.0), (0.0, 60.0)))
    (piece,) = as_pieces("flap", drawn(ring)[0], ring, Marked(face_down=True, side="right"))
    assert piece.side == "right"
    assert (100.0, 60.0) in [pytest.approx(each) for each in piece.outline]


@pytest.mark.parametrize(("text", "place"), [("7", (7, 0.0)), (" 7 + 42.5 ", (7, 42.5))])
def test_where_a_notch_stands(text: str, place: tuple[int, float]) -> None:
    assert notch_at(text) == place


def test_places_and_strips_that_are_none() -> None:
    for call in (lambda: notch_at("seven"), lambda: named("a,e"), lambda: named("")):
        with pytest.raises(BadInput, match="Give"):
            call()
    with pytest.raises(BadInput, match="They run from 1 to 4"):
        as_pieces("x", drawn(SQUARE)[0], SQUARE, Marked(notches=((5, 0.0),)))
    assert named("D, b") == ("b", "d")
