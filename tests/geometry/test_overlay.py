"""Photos laid over each other: pairs drawn with a known shift, turn and zoom, the later one refurbished."""

from __future__ import annotations

from math import cos, radians, sin

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from trimwright.geometry.overlay import Overlay, laid_over, overlay

Picture = NDArray[np.uint8]
WIDE, HIGH, MARGIN = 1600, 1200, 400


def scene(seed: int, *, refurbished: bool = False) -> Picture:
    """Shapes and grain; refurbished, a panel in the middle has another colour and grain, and the light is another."""
    rng = np.random.default_rng(seed)
    picture = np.full((HIGH + 2 * MARGIN, WIDE + 2 * MARGIN, 3), 180, np.uint8)
    for _ in range(140):
        colour = tuple(int(each) for each in rng.integers(40, 220, 3))
        x, y, size = int(rng.integers(0, WIDE + 800)), int(rng.integers(0, HIGH + 800)), int(rng.integers(20, 220))
        if rng.random() < 0.5:
            cv2.rectangle(picture, (x, y), (x + size, y + size // 2), colour, -1)
        else:
            cv2.circle(picture, (x, y), size // 2, colour, -1)
    grain = picture + rng.normal(0, 6, picture.shape)
    if refurbished:
        panel = np.random.default_rng(seed + 99).normal((60, 50, 120), 8, (440, 600, 3))
        grain[MARGIN + 380 : MARGIN + 820, MARGIN + 500 : MARGIN + 1100] = panel
        grain = grain * 0.85 + 20
    return np.clip(grain, 0, 255).astype(np.uint8)


def photo(picture: Picture, moved: NDArray[np.float64]) -> bytes:
    """What a camera sees of it, moved from where it stood."""
    there = moved @ np.array([[1, 0, -MARGIN], [0, 1, -MARGIN], [0, 0, 1.0]])
    seen = cv2.warpAffine(picture, there[:2], (WIDE, HIGH), flags=cv2.INTER_AREA)
    return bytes(cv2.imencode(".jpg", seen, [cv2.IMWRITE_JPEG_QUALITY, 88])[1])


def move(right: float, down: float, turn: float, zoom: float) -> NDArray[np.float64]:
    c, s = zoom * cos(radians(turn)), zoom * sin(radians(turn))
    middle = np.array([WIDE / 2, HIGH / 2])
    shift = middle - np.array([[c, -s], [s, c]]) @ middle + (right, down)
    return np.array([[c, -s, shift[0]], [s, c, shift[1]], [0, 0, 1]])


STILL = move(0, 0, 0, 1)


def error_px(how: Overlay, moved: NDArray[np.float64]) -> float:
    """The farthest that a corner or the middle is laid from where it belongs, at 1,600 px."""
    at = np.array([[0, 0], [WIDE, 0], [0, HIGH], [WIDE, HIGH], [WIDE / 2, HIGH / 2]]) / 1600
    laid = np.column_stack(
        (how.a * at[:, 0] - how.b * at[:, 1] + how.right, how.b * at[:, 0] + how.a * at[:, 1] + how.down)
    )
    true = (np.column_stack((at * 1600, np.ones(5))) @ np.linalg.inv(moved).T)[:, :2]
    return float(np.linalg.norm(laid * 1600 - true, axis=1).max())


@pytest.mark.parametrize(
    ("seed", "right", "down", "turn", "zoom"),
    [(1, 0, 0, 0, 1), (2, 110, -70, 0, 1), (3, -40, 20, 7, 1), (4, 60, 35, -4, 1.22), (5, -90, 60, 3, 0.82)],
)
def test_a_pair_is_laid_to_within_three_pixels(seed: int, right: float, down: float, turn: float, zoom: float) -> None:
    moved = move(right, down, turn, zoom)
    how = overlay(photo(scene(seed), STILL), photo(scene(seed, refurbished=True), moved))
    assert how is not None
    assert error_px(how, moved) <= 3
    assert how.zoom == pytest.approx(1 / zoom, abs=0.005)
    assert how.turn == pytest.approx(-turn, abs=0.2)


def test_the_later_picture_is_drawn_in_the_frame_of_the_earlier() -> None:
    moved = move(80, -40, 3, 1.1)
    before, after = photo(scene(6), STILL), photo(scene(6), moved)
    how = overlay(before, after)
    assert how is not None
    one, other = (
        cv2.imdecode(np.frombuffer(each, np.uint8), cv2.IMREAD_GRAYSCALE)
        for each in (before, laid_over(before, after, how))
    )
    assert one is not None
    assert other is not None
    middle = (slice(200, 1000), slice(300, 1300))
    assert one.shape == other.shape
    assert np.abs(one[middle].astype(int) - other[middle].astype(int)).mean() < 8


def test_two_places_are_not_laid_over_each_other() -> None:
    assert overlay(photo(scene(1), STILL), photo(scene(50), STILL)) is None
    plain = np.full((HIGH + 2 * MARGIN, WIDE + 2 * MARGIN, 3), 128, np.uint8)
    assert overlay(photo(scene(1), STILL), photo(plain, STILL)) is None


def test_what_is_no_picture_is_refused() -> None:
    with pytest.raises(ValueError, match="no picture"):
        overlay(b"", photo(scene(1), STILL))
