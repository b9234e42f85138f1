"""A scan thinned to be looked at: its size, its holes and its edge kept, how far off it is; seams drawn on it hold."""

from __future__ import annotations

import json
from itertools import pairwise
from pathlib import Path

import igl
import numpy as np
import pytest

from tests.geometry.surfaces import Array, cap, grid, seat
from tests.geometry.test_flatten import saved
from trimwright.errors import BadInput
from trimwright.geometry.flat_panel import as_lines, panel_of
from trimwright.geometry.flatten import flatten
from trimwright.geometry.light_mesh import light_mesh, packed
from trimwright.geometry.scan import Surface
from trimwright.geometry.seams import cut_along, in_space, meeting, on_flat

RADIUS, HALF_ANGLE = 100.0, np.radians(30)


def off_the_sphere(points: Array) -> Array:
    return np.asarray(abs(np.linalg.norm(points, axis=1) - RADIUS))


def test_a_cap_of_a_sphere_keeps_its_size_and_says_truly_how_far_off_it_is() -> None:
    """Every length of the sphere is known: the picture's error is held against the sphere, not against the scan."""
    scan = cap(RADIUS, HALF_ANGLE, 90)
    light = light_mesh(scan, 4000)
    thin = light.surface
    assert len(scan.faces) > 10 * len(thin.faces)
    assert len(thin.faces) <= 4000
    facets = RADIUS * (1 - np.cos(scan.edge_mm / RADIUS))  # what the scan's own flat triangles are off the sphere
    assert off_the_sphere(thin.points[thin.faces].mean(axis=1)).max() <= light.off_mm + facets
    assert off_the_sphere(thin.points).max() <= facets
    assert 0 < light.off_mm < 0.25
    assert np.array(thin.size_mm) == pytest.approx(np.array(scan.size_mm), abs=2 * light.off_mm)
    assert thin.area_mm2 == pytest.approx(2 * np.pi * RADIUS**2 * (1 - np.cos(HALF_ANGLE)), rel=2e-3)
    assert light.view[2] == pytest.approx([0, 0, 1], abs=0.01)  # its top looks at whoever looks
    assert light.view @ light.view.T == pytest.approx(np.eye(3), abs=1e-12)


def test_what_is_light_is_left_as_it_is() -> None:
    scan = seat(20, 16)
    light = light_mesh(scan)
    assert light.surface is scan
    assert light.off_mm == 0
    assert light.flat == pytest.approx(flatten(scan).flat)


def test_a_hole_stays_a_hole_and_what_hangs_by_an_edge_has_no_picture() -> None:
    scan = grid(80, 80, lambda u, v: (300 * u, 300 * v, 20 * u * v))
    middle = scan.points[scan.faces].mean(axis=1)[:, :2]
    holed = Surface(scan.points, scan.faces[np.hypot(*(middle - 150).T) > 30])
    used, renamed = np.unique(holed.faces, return_inverse=True)
    holed = Surface(holed.points[used], renamed.reshape(-1, 3))
    light = light_mesh(holed, 2000)
    assert len(igl.boundary_loop_all(light.surface.faces)) == 2
    assert light.flat is None
    with pytest.raises(BadInput, match="three or more triangles meet"):
        light_mesh(Surface(np.eye(5, 3), np.array([[0, 1, 2], [1, 0, 3], [0, 1, 4]])))


def test_what_is_packed_comes_out_again_in_the_scans_own_unit() -> None:
    light = light_mesh(cap(RADIUS, HALF_ANGLE, 20), 500)
    data = packed(light, "in")
    long = int.from_bytes(data[:4], "little")
    head = json.loads(data[4 : 4 + long])
    assert long % 4 == 0
    n, rest = head["points"], data[4 + long :]
    points = np.frombuffer(rest[: 12 * n], "<f4").reshape(n, 3) + np.array(head["centre"])
    flat = np.frombuffer(rest[12 * n : 20 * n], "<f4").reshape(n, 2)
    faces = np.frombuffer(rest[20 * n :], "<u2").reshape(head["faces"], 3)
    assert points * 25.4 == pytest.approx(light.surface.points, abs=1e-3)
    assert light.flat is not None
    assert flat * 25.4 == pytest.approx(light.flat, abs=1e-3)
    assert (faces == light.surface.faces).all()


def test_what_is_tapped_on_the_picture_is_cut_on_the_scan(tmp_path: Path) -> None:
    """Three taps right across, both ends a little short of the edge: two pieces, the cut where the taps were."""
    scan = cap(RADIUS, HALF_ANGLE, 60)
    thin = light_mesh(scan, 2000).surface
    theta = np.radians([-29.2, 0, 29.2])
    wanted = RADIUS * np.column_stack((np.sin(theta), np.zeros(3), np.cos(theta)))
    squares, _, taps = igl.point_mesh_squared_distance(wanted, thin.points, thin.faces)
    assert squares.max() < 0.25
    text = as_lines([(x, y, z) for x, y, z in taps.tolist()], "mm")
    found = panel_of(saved(scan, tmp_path / "cap.ply"), "cap", limit=0.2, seams=[("seam 1", text)])
    one, other = found.pieces
    assert one.area_mm2 == pytest.approx(other.area_mm2, rel=0.05)
    way = np.array(found.ways[0])
    assert off_the_sphere(way).max() < 0.1  # on the scan itself, however thin the picture was
    assert np.array([np.linalg.norm(way - each, axis=1).min() for each in taps]).max() < 0.5 + RADIUS * np.radians(0.8)
    arc = 2 * RADIUS * HALF_ANGLE  # right across, along a great circle
    assert sum(float(np.linalg.norm(b - a)) for a, b in pairwise(way)) == pytest.approx(arc, rel=2e-3)


def test_an_end_that_nearly_meets_the_edge_or_another_seam_meets_it() -> None:
    patch = flatten(grid(40, 30, lambda u, v: (200 * u, 150 * v, 0 * u)))
    across, stem = ((100.0, -10.0), (100.0, 160.0)), ((2.5, 75.0), (97.0, 70.0))
    with pytest.raises(BadInput, match="has a hole"):
        cut_along(patch, [across, stem])  # the stem hangs in the air
    met = meeting(patch, [across, stem])
    assert met[0] == across
    assert np.array(met[1]) == pytest.approx(np.array([(0, 75), (100, 70)]), abs=1e-3)
    assert len(cut_along(patch, met).patches) == 3
    short = ((-3.0, 75.0), (80.0, 70.0))
    assert meeting(patch, [across, short])[1][1] == short[1]  # a dart's tip stays where it is drawn
    with pytest.raises(BadInput, match="touches neither the edge nor another seam"):
        meeting(patch, [across, ((20.0, 75.0), (80.0, 70.0))])


def test_into_space_and_back_is_where_it_was() -> None:
    patch = flatten(seat(40, 30))
    drawn = ((100.0, 120.0), (310.5, 222.25), (60.0, 300.0))
    assert np.array(on_flat(patch, in_space(patch, drawn))) == pytest.approx(np.array(drawn), abs=1e-6)


def test_the_dart_that_is_told_is_the_dart_that_helps(tmp_path: Path) -> None:
    """Given back as a seam, through points on the scan in its own unit, it leaves what was promised."""
    scan = saved(cap(RADIUS, np.radians(55), 12), tmp_path / "cap.ply", 0.1)
    before = panel_of(scan, "cap", unit="cm", limit=0.06)
    dart, points = before.darts[0], before.darts_on_scan[0]
    assert dart
    after = panel_of(scan, "cap", unit="cm", limit=0.06, seams=[("seam 1", as_lines(points, "cm"))])
    assert len(after.pieces) == 1
    assert after.cut.patches[0].share_beyond(0.06) == pytest.approx(dart.share_after, abs=0.01)
