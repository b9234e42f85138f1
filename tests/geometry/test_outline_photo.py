"""Outlines read from whole pictures, rendered with a known camera (simulated); and pictures that are refused."""

from __future__ import annotations

import io
import time
from collections.abc import Callable
from dataclasses import replace
from functools import cache
from typing import Any

import cv2
import numpy as np
import pytest
from PIL import Image
from shapely import Polygon, box

from tests.geometry.photographed import Lens, Scene, apart, close, jpeg, panel
from trimwright.errors import BadInput
from trimwright.geometry.outline.editing import redrawn
from trimwright.geometry.outline.overhead import overhead
from trimwright.geometry.outline.photo import FILM_DIAGONAL_MM, Photo, read_photo
from trimwright.geometry.outline.plane import Bars
from trimwright.geometry.outline.reading import Outline, Told, read_outline

BARS = Bars(260, 190)
FOCAL = 1550 * FILM_DIAGONAL_MM / float(np.hypot(2016, 1512))
"""Of the simulated lens, on 35 mm film."""
LARGE = Lens(focal=3100.0, size=(4032, 3024), high=950.0)


@cache
def small() -> Photo:
    """A small panel from near by; the same picture for all who only look at it."""
    return close().photo()


def read(photo: Photo, **told: Any) -> Outline:
    return read_outline(photo, "p.jpg", Told(**{"bars": BARS, "focal_35_mm": FOCAL, **told}))


SCENES = {
    "straight above": Scene(lens=LARGE),
    "tilted": Scene(lens=replace(LARGE, tilt=(10.0, -7.0), turn=20.0)),
    "ten millimetres thick": Scene(lens=replace(LARGE, tilt=(3.0, 2.0)), thick=10.0),
    "light on dark, three megapixels": close(ground=60, leather=190),
    "not much contrast": close(ground=215, leather=150),
    "a faint shadow": close(shadow=0.4),
}


@pytest.mark.parametrize("name", SCENES)
def test_an_outline_is_as_near_as_it_says(name: str) -> None:
    """Mean 0.3 mm at most, in simulated photos; and no point beyond the bound for all of them."""
    scene = SCENES[name]
    found = read(scene.photo(), thick_mm=scene.thick)
    off = apart(np.array(found.line), scene.part)
    assert off.mean() <= 0.3
    assert off.max() <= found.certain.within_mm
    assert found.certain.two_sigma_mm.max() <= 1
    assert sum(each.corner for each in found.nodes) == 8


def test_a_thick_edge_taken_for_thin_is_out_by_its_parallax() -> None:
    scene = SCENES["ten millimetres thick"]
    photo = scene.photo()
    thin = read(photo)
    assert apart(np.array(thin.line), scene.part).max() > 1.5
    assert np.array(thin.line).max() > np.array(read(photo, thick_mm=10.0).line).max() + 2


def test_turned_round_it_is_the_same_outline() -> None:
    """Taken upside down: strips are known whichever way they lie."""
    upright = read(small())
    turned = read(Photo(np.ascontiguousarray(small().pixels[::-1, ::-1]), None))
    one, other = (np.ptp(np.array(each.line), axis=0) for each in (upright, turned))
    assert np.abs(one - other).max() < 0.2


def test_three_strips_will_do_where_they_lie_round_the_part_and_are_named() -> None:
    scene = close(strips="abd")
    found = read(scene.photo(), strips=("a", "b", "d"))
    assert found.seen == ("a", "b", "d")
    assert apart(np.array(found.line), scene.part).max() <= found.certain.within_mm


def test_twelve_megapixels_are_read_in_time() -> None:
    """Bar: 5 s, of one processor."""
    source = jpeg(SCENES["straight above"].photo())
    begun = time.process_time()
    read(read_photo(source, "p.jpg"))
    assert time.process_time() - begun < 5


def test_moved_points_keep_their_place_and_get_their_own_doubt() -> None:
    found = read(small())
    nodes = (replace(found.nodes[0], at=(-3.0, 10.0)), *found.nodes[1:])
    moved = found.with_nodes(nodes)
    assert moved.line[0] == (-3.0, 10.0)
    assert len(moved.certain.two_sigma_mm) == len(moved.line)


def test_the_lens_is_taken_from_the_photo() -> None:
    """EXIF tag 0xA405 (CIPA DC-008): the focal length as on 35 mm film."""
    held = io.BytesIO()
    note = Image.Exif()
    note.get_ifd(0x8769)[0xA405] = 26
    Image.new("RGB", (60, 40)).save(held, "jpeg", exif=note)
    assert read_photo(held.getvalue(), "p.jpg").focal_35_mm == 26
    assert read_photo(jpeg(small()), "p.jpg").focal_35_mm is None


WITH_TONGUE = Polygon(panel().union(box(150, 150, 230, 330)).exterior)  # type: ignore[attr-defined]
"""It reaches out between two strips."""
ROW = {"a": (-270.0, 130.0, 0.0), "b": (10.0, 130.0, 0.0)}
REFUSED: dict[str, tuple[Callable[[], Photo], dict[str, Any], str]] = {
    "no strips": (lambda: close(strips="").photo(), {}, "shows no strips"),
    "mirrored": (lambda: Photo(np.ascontiguousarray(small().pixels[:, ::-1]), None), {}, "is mirrored"),
    "blurred": (lambda: close(blur=2.5).photo(), {}, "too blurred"),
    "much blurred": (lambda: close(blur=5.0).photo(), {}, "sharp"),
    "no lens": (small, {"focal_35_mm": 0.0}, "as on 35 mm film"),
    "one hidden": (lambda: close(strips="abd").photo(), {}, "'strip c' is not to be seen.*say which were: a,b,d"),
    "one side": (lambda: close(strips="ab", places=ROW).photo(), {"strips": ("a", "b")}, "on one side only"),
    "beyond": (lambda: Scene(part=WITH_TONGUE).photo(), {}, "reaches out beyond"),
    "two megapixels": (
        lambda: Scene(lens=Lens(focal=1255.0, size=(1633, 1225), high=950.0)).photo(), {}, "not 2.0 million",
    ),
    "bars not read": (
        lambda: Scene(lens=replace(LARGE, high=1100.0)).photo(), {"bars": Bars()}, "such as 260x190",
    ),
    "low contrast": (lambda: close(ground=215, leather=185).photo(), {}, "stands out from the ground"),
    "a hard shadow": (lambda: close(shadow=0.8).photo(), {}, "of the edge' is soft"),
    "nothing there": (lambda: close(leather=205).photo(), {}, "stands out from the ground"),
    "too thick": (small, {"thick_mm": 400.0}, "caliper"),
}  # fmt: skip


@pytest.mark.parametrize("name", REFUSED)
def test_what_cannot_be_promised_is_refused_with_a_way_out(name: str) -> None:
    photo, told, said = REFUSED[name]
    with pytest.raises(BadInput, match=said) as caught:
        read(photo(), **told)
    assert all(each.way_out for each in caught.value.problems)


@pytest.mark.parametrize(
    ("source", "said"),
    [
        (b"no picture", "is no picture"),
        (jpeg(Photo(np.zeros((40, 40, 3), np.uint8), None))[:500], "damaged|no picture"),
    ],
)
def test_what_is_no_photo_is_refused(source: bytes, said: str) -> None:
    with pytest.raises(BadInput, match=said):
        read_photo(source, "p.jpg")


def test_the_strips_number_their_markers_apart_from_the_colour_card() -> None:
    from trimwright.craft.colour.card import MARKERS
    from trimwright.geometry.outline.strips import STRIPS, numbers

    every = [number for strip in STRIPS for number in numbers(strip)]
    assert len(set(every)) == len(every) == 64
    assert min(every) >= len(MARKERS)
    assert max(every) < 100


@pytest.mark.parametrize("thick", [0.0, 4.0])
def test_from_above_the_part_lies_where_its_outline_is_drawn(thick: float) -> None:
    """Dark on light in the picture, against the line as it is seen there: the same area, to a hair."""
    found = read(close(thick=thick).photo(), thick_mm=thick)
    above = overhead(found)
    picture = cv2.imdecode(np.frombuffer(above.jpeg, np.uint8), cv2.IMREAD_GRAYSCALE)
    assert picture is not None
    line = redrawn(found.nodes, tuple(found.camera.foot.tolist()), found.camera.high_mm, thick).seen_line
    scale = picture.shape[1] / above.wide_mm
    at = np.array([((x - above.left_mm) * scale, (above.bottom_mm + above.high_mm - y) * scale) for x, y in line])
    drawn = cv2.fillPoly(np.zeros_like(picture), [np.round(at).astype(np.int32)], 255) > 0
    inside = cv2.dilate(drawn.astype(np.uint8), np.ones((25, 25))) > 0  # the strips are dark as well
    dark = (picture < 140) & inside
    alike = (dark & drawn).sum() / (dark | drawn).sum()
    assert alike > 0.985
