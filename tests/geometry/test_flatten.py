"""Laying flat: what can be rolled out keeps its size, a sphere reaches the least energy, bad scans are refused."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import trimesh
from scipy.integrate import solve_bvp

from tests.geometry.surfaces import Array, cap, grid, seat
from trimwright.errors import BadInput, UnreadableFile
from trimwright.geometry.flatten import as_piece, flatten
from trimwright.geometry.relief import relief
from trimwright.geometry.scan import Surface, check_disk, read_scan, smoothed
from trimwright.geometry.seams import cut_along, on_flat


def saved(surface: Surface, path: Path, scale: float = 1.0) -> Path:
    trimesh.Trimesh(surface.points * scale, surface.faces, process=False).export(path)
    return path


@pytest.mark.parametrize(
    "shape",
    [
        pytest.param(lambda u, v: (50 * np.cos(np.pi * u), 50 * np.sin(np.pi * u), 200 * v), id="half a cylinder"),
        pytest.param(lambda u, v: (50 * np.cos(6.1 * u), 50 * np.sin(6.1 * u), 200 * v), id="nearly a whole one"),
        pytest.param(
            lambda u, v: ((30 + 40 * v) * np.cos(5.2 * u), (30 + 40 * v) * np.sin(5.2 * u), 60 * v),
            id="a gaiter's cone",
        ),
    ],
)  # what can be rolled out without stretch is (any text on differential geometry: Gauss's theorema egregium)
def test_a_developable_surface_is_laid_flat_without_stretch(shape: object) -> None:
    patch = flatten(grid(120, 24, shape))  # type: ignore[arg-type]
    assert abs(patch.stretches - 1).max() <= 1e-9
    assert patch.area_mm2 == pytest.approx(patch.surface.area_mm2, rel=1e-9)


def least_energy(half_angle: float) -> tuple[float, float]:
    """Of all round maps of a cap of the unit sphere into the plane: the least mean of (s₁-1)² + (s₂-1)², and its rim.

    The Euler-Lagrange equation, ρ'' sin θ + ρ' cos θ - ρ / sin θ = cos θ - 1 with ρ(0) = 0 and ρ'(α) = 1, solved by
    scipy's boundary value solver.
    """
    tiny = 1e-6

    def slopes(theta: Array, y: Array) -> Array:
        return np.vstack((y[1], (np.cos(theta) - 1 - y[1] * np.cos(theta) + y[0] / np.sin(theta)) / np.sin(theta)))

    theta = np.linspace(tiny, half_angle, 400)
    found = solve_bvp(
        slopes, lambda a, b: np.array([a[0] - tiny * a[1], b[1] - 1]), theta, np.vstack((theta, np.ones(400))), tol=1e-9
    )
    assert found.success
    theta = np.linspace(tiny, half_angle, 20_001)
    rho, slope = found.sol(theta)
    each = ((slope - 1) ** 2 + (rho / np.sin(theta) - 1) ** 2) * np.sin(theta)
    return float(np.trapezoid(each, theta) / (1 - np.cos(half_angle))), float(rho[-1])


@pytest.mark.parametrize(
    ("degrees", "printed", "rim"), [(15, 2.46068e-5, 0.261049), (30, 4.00533e-4, 0.517534), (60, 6.86830e-3, 0.996560)]
)
def test_a_cap_of_a_sphere_comes_within_half_a_per_cent_of_the_least_energy(
    degrees: int, printed: float, rim: float
) -> None:
    energy, edge = least_energy(np.radians(degrees))
    assert energy == pytest.approx(printed, rel=1e-3)
    assert edge == pytest.approx(rim, rel=1e-5)
    patch = flatten(cap(100, np.radians(degrees), 40))
    assert patch.energy == pytest.approx(energy, rel=0.005)
    round_the_rim = patch.flat[patch.edge] - patch.flat[patch.edge].mean(axis=0)
    assert np.linalg.norm(round_the_rim, axis=1).mean() / 100 == pytest.approx(rim, rel=1e-3)


@pytest.mark.parametrize("degrees", [10, 20, 30, 45, 60, 80])
def test_no_flat_cap_is_truer_than_a_flat_cap_can_be(degrees: int) -> None:
    """J. Milnor, A problem in cartography (1969): most over least stretch of a flat cap is never below α / sin α."""
    patch = flatten(cap(100, np.radians(degrees), 24))
    assert patch.stretches[:, 0].max() / patch.stretches[:, 1].min() >= np.radians(degrees) / np.sin(
        np.radians(degrees)
    )


def test_the_flat_piece_is_the_patch_and_its_outline_loses_nothing_that_a_knife_could_follow() -> None:
    patch = flatten(seat())
    piece = as_piece(patch, "cushion")
    assert piece.area_mm2 == pytest.approx(patch.area_mm2, rel=2e-4)
    assert len(piece.outline) < len(patch.edge)


def test_noise_makes_a_pattern_longer_and_smoothing_takes_that_back() -> None:
    still = grid(80, 70, lambda u, v: (240 * u, 210 * v, 20 * np.sin(2 * u) * np.sin(2 * v)))
    shaken = Surface(still.points + np.random.default_rng(4).normal(0, 0.3, still.points.shape), still.faces)
    after, moved = smoothed(shaken, 5.6)
    assert shaken.area_mm2 / still.area_mm2 > 1.015
    assert after.area_mm2 / still.area_mm2 == pytest.approx(1, abs=0.004)
    assert 0.2 < moved < 0.6
    assert smoothed(still, 0) == (still, 0.0)
    with pytest.raises(BadInput, match="5 or 6 mm"):
        smoothed(still, 400)


# ---- seams -----------------------------------------------------------------------------------------------------------


def test_a_seam_across_a_cylinder_is_as_long_as_the_straight_line_and_matches_itself() -> None:
    patch = flatten(grid(90, 40, lambda u, v: (50 * np.cos(np.pi * u), 50 * np.sin(np.pi * u), 200 * v)))
    wide, high = patch.flat.max(axis=0)
    cut = cut_along(patch, [((20.3, -5), (110.7, high + 5))])
    assert len(cut.patches) == 2
    (seam,) = cut.seams
    straight = np.hypot(high, (110.7 - 20.3) * high / (high + 10))
    assert seam.worn_mm == pytest.approx(straight, abs=0.15)  # its ends go to points that are near enough
    assert [length for _, length in seam.flat_mm] == pytest.approx([seam.worn_mm] * 2, rel=1e-9)
    assert {piece for piece, _ in seam.flat_mm} == {1, 2}
    assert seam.differ_mm == pytest.approx(0, abs=1e-6)
    assert sum(each.area_mm2 for each in cut.patches) == pytest.approx(wide * high, rel=1e-6)


def test_a_dart_opens_a_dome_and_its_two_sides_are_told_apart() -> None:
    patch = flatten(cap(100, np.radians(60), 24))
    cut = cut_along(patch, [((-5.0, 99.7), (99.7, 99.7))])
    (left,), (seam,) = cut.patches, cut.seams
    assert left.most < patch.most
    assert [piece for piece, _ in seam.flat_mm] == [1, 1]
    assert seam.differ_mm == pytest.approx(abs(seam.flat_mm[0][1] - seam.flat_mm[1][1]))


def test_seams_that_cross_make_four_pieces_of_the_whole_area() -> None:
    patch = flatten(seat(40, 36))
    wide, high = patch.flat.max(axis=0)
    cut = cut_along(patch, [((-9, high / 2), (wide + 9, high / 2.1)), ((wide / 2, -9), (wide / 1.9, high + 9))])
    assert len(cut.patches) == 4
    assert sum(each.surface.area_mm2 for each in cut.patches) == pytest.approx(patch.surface.area_mm2, rel=1e-9)


def test_points_in_space_are_drawn_where_they_lie_on_the_flat_piece() -> None:
    patch = flatten(seat(40, 36))
    picked = [7, 600, 1200]
    drawn = on_flat(patch, [tuple(each) for each in patch.surface.points[picked]])
    assert np.array(drawn) == pytest.approx(patch.flat[picked], abs=1e-6)
    with pytest.raises(BadInput, match="off the surface"):
        on_flat(patch, [(0.0, 0.0, 900.0)])


@pytest.mark.parametrize(
    ("seam", "said"),
    [(((-50, -50), (-90, -90)), "does not touch"), (((5, 5),), "one point only")],
)
def test_a_seam_that_is_none_is_refused(seam: tuple[tuple[float, float], ...], said: str) -> None:
    with pytest.raises(BadInput, match=said):
        cut_along(flatten(seat(20, 18)), [seam])


def test_a_dart_is_offered_only_where_it_helps() -> None:
    dome = flatten(cap(100, np.radians(60), 20))
    dart = relief(dome, 0.03)
    assert dart is not None
    assert dart.share_after < dart.share_before == dome.share_beyond(0.03)
    assert cut_along(dome, [dart.drawn]).patches[0].share_beyond(0.03) == pytest.approx(dart.share_after)
    assert relief(flatten(seat(30, 25)), 0.05) is None


# ---- bad scans -------------------------------------------------------------------------------------------------------


def test_flipped_triangles_are_turned_and_told(tmp_path: Path) -> None:
    sheet = seat(30, 25)
    faces = sheet.faces.copy()
    faces[40:60] = faces[40:60, ::-1]
    read = read_scan(saved(Surface(sheet.points, faces), tmp_path / "panel.ply"))
    assert read.notes == ("20 triangles lay with their back to the front and were turned.",)
    assert flatten(read).area_mm2 == pytest.approx(flatten(sheet).area_mm2, rel=1e-4)


@pytest.mark.parametrize("kind", [".obj", ".ply", ".stl"])
def test_each_kind_of_file_gives_the_same_surface(kind: str, tmp_path: Path) -> None:
    read = read_scan(saved(seat(30, 25), tmp_path / f"panel{kind}"))
    assert len(read.points) == 750
    assert read.area_mm2 == pytest.approx(seat(30, 25).area_mm2, rel=1e-5)
    check_disk(read)


def test_inches_for_millimetres_are_noticed(tmp_path: Path) -> None:
    path = saved(seat(30, 25), tmp_path / "panel.stl", 1 / 25.4)
    with pytest.raises(BadInput, match=r"18\.9 × 16\.93 .* when read in mm.*cm or in would fit"):
        read_scan(path)
    assert read_scan(path, "in").size_mm[0] == pytest.approx(480, rel=1e-5)


def test_two_bodies_holes_and_closed_bodies_are_refused() -> None:
    sheet = seat(30, 25)
    two = Surface(
        np.concatenate((sheet.points, sheet.points + np.array([0, 0, 300]))),
        np.concatenate((sheet.faces, sheet.faces + 750)),
    )
    middle = sheet.points[sheet.faces].mean(axis=1)
    holed = Surface(sheet.points, sheet.faces[np.hypot(middle[:, 0] - 240, middle[:, 1] - 215) > 40])
    ball = trimesh.creation.icosphere(3, 100)
    for surface, said in (
        (two, r"is 2 bodies \(1392, 1392 triangles\)"),
        (holed, r"has a hole 2\d\d mm round\. Fill it"),
        (Surface(np.array(ball.vertices), np.array(ball.faces)), "closed all round"),
    ):
        used, faces = np.unique(surface.faces, return_inverse=True)
        with pytest.raises(BadInput, match=said):
            flatten(Surface(surface.points[used], faces.reshape(-1, 3).astype(np.int64)))


def test_a_surface_that_bends_too_far_for_one_piece_says_so() -> None:
    with pytest.raises(BadInput, match="over itself"):
        flatten(cap(100, np.radians(176), 30))


def test_files_that_are_no_scan_are_refused(tmp_path: Path) -> None:
    for name, text, said in (
        ("a.txt", "x", "Save the scan as OBJ, PLY or STL"),
        ("b.ply", "ply\nformat ascii 1.0\nelement vertex 0\nelement face 5000000\nend_header\n", "5,000,000 triangles"),
        ("c.obj", "v 0 0 0\nv 1 0 0\n", "no triangles"),
        ("d.stl", "solid", "no triangles|is cut off"),
        ("e.obj", "v 0 0 0\nv 100 0 0\nv 0 100 0\nf 1 2 9\n", "e.obj: is cut off"),
    ):
        (tmp_path / name).write_text(text)
        with pytest.raises(UnreadableFile, match=said):
            read_scan(tmp_path / name)
