"""The printed card itself, laid in a scene, taken askew in coloured uneven light, and read; and what is refused."""

from __future__ import annotations

import time
from collections.abc import Callable
from datetime import UTC, datetime
from functools import cache
from typing import Any

import cv2
import numpy as np
import pytest

from trimwright.charts.colour_card import colour_card
from trimwright.craft.colour.card import HIGH, NOMINAL, PATCHES, WIDE, WINDOWS, read_card
from trimwright.craft.colour.difference import apart
from trimwright.craft.colour.lab import Array, Lab, linear_srgb, srgb_of
from trimwright.craft.colour.photo import read_photo
from trimwright.errors import BadInput
from trimwright.papers import press

PX = 8
TAN, BROWN, WHITE = Lab(46, 20, 26), Lab(43, 18, 25), Lab(92, 0, 0)


@cache
def print_of_the_card() -> Array:
    """The very SVG that is printed, eight pixels a millimetre, BGR."""
    import typst

    page = f'#set page(width: {WIDE}mm, height: {HIGH}mm, margin: 0mm)\n#image("card.svg", width: {WIDE}mm)'
    sources: dict[str, Any] = {"main.typ": page.encode(), "card.svg": colour_card().encode()}
    png: Any = typst.compile(sources, font_paths=press.fonts(), format="png", ppi=25.4 * PX)  # type: ignore[call-overload]
    assert isinstance(png, bytes)
    image = cv2.imdecode(np.frombuffer(png, dtype=np.uint8), cv2.IMREAD_COLOR)
    return np.asarray(image)


def encoded(kind: str, image: Any) -> bytes:
    return bytes(cv2.imencode(kind, image)[1].tobytes())


def photo(
    there: Lab | None = TAN, beside: Lab | None = BROWN, *, exposure: float = 0.8, shift: tuple[float, float] = (0, 0),
    size: tuple[int, int] = (1600, 1200), glare: bool = False, slope: float = 0.06,
) -> bytes:  # fmt: skip
    """A JPEG of the card, its windows cut out over `there` and `beside`, or not cut out."""
    card = print_of_the_card().copy()
    for window, lab in (("A", there), ("B", beside)):
        if lab is not None:
            left, top, right, bottom = (round(each * PX) for each in WINDOWS["A" if window == "A" else "B"])
            code = srgb_of(lab)
            card[top:bottom, left:right] = [int(code[at : at + 2], 16) for at in (5, 3, 1)]
    high, wide = card.shape[:2]
    corners = np.array([[0.12, 0.14], [0.86, 0.1], [0.9, 0.86], [0.09, 0.88]]) * size + np.array(shift)
    seen = cv2.getPerspectiveTransform(
        np.array([[0, 0], [wide, 0], [wide, high], [0, high]], dtype=np.float32), corners.astype(np.float32)
    )
    scene = cv2.warpPerspective(card, seen, size, flags=cv2.INTER_AREA, borderValue=(70, 84, 96))
    linear = linear_srgb(np.asarray(scene) / 255) * exposure * np.array([0.78, 1.0, 0.92])
    linear = linear * np.linspace(1 - slope, 1 + slope, size[0])[None, :, None]
    if glare:
        linear[: size[1] // 2, : size[0] // 2] *= 2.5
    linear = np.clip(linear + np.random.default_rng(1).normal(0, 0.002, linear.shape), 0, 1)
    code = np.where(linear <= 0.0031308, 12.92 * linear, 1.055 * linear ** (1 / 2.4) - 0.055)
    return encoded(".jpg", np.round(code * 255).astype(np.uint8))


@pytest.mark.parametrize(
    ("there", "beside"), [(TAN, BROWN), (Lab(22, 2, -3), Lab(80, 3, 15)), (Lab(35, 30, 16), WHITE)]
)
def test_both_windows_are_read_as_near_as_is_said(there: Lab, beside: Lab) -> None:
    found = read_photo(photo(there, beside), "p.jpg", NOMINAL)
    for window, true in (("A", there), ("B", beside)):
        reading = found.reading("A" if window == "A" else "B")
        assert apart(reading.lab, true) <= reading.spread <= 3
    between = apart(found.reading("A").lab, found.reading("B").lab)
    assert abs(between - apart(there, beside)) <= found.apart_spread()
    assert 1.02 < found.light_varies < 1.2
    assert not found.is_unevenly_lit


def test_without_measured_patches_less_is_claimed() -> None:
    assert read_photo(photo(), "p.jpg").reading("A").spread > 10


def nothing() -> bytes:
    field = np.full((600, 800, 3), 120, dtype=np.uint8)
    return encoded(".png", field)


@pytest.mark.parametrize(
    ("source", "what"),
    [
        (nothing, "has no card in it."),
        (lambda: photo(shift=(620, 0)), "corner of the card is not to be seen."),
        (lambda: photo(exposure=1.6), "is burnt out"),
        (lambda: photo(glare=True), "is burnt out"),
        (lambda: photo(exposure=0.03), "is too dark"),
        (lambda: photo(there=None), "shows more than one colour."),
        (lambda: photo(beside=None), "shows more than one colour."),
        (lambda: b"no picture at all", "is no picture that can be read."),
    ],
    ids=["nothing", "half the card", "burnt out", "glare", "dark", "A not cut", "B not cut", "no picture"],
)
def test_a_photo_in_doubt_is_refused(source: Callable[[], bytes], what: str) -> None:
    with pytest.raises(BadInput, match=what) as caught:
        read_photo(source(), "p.jpg", NOMINAL)
    assert all(each.way_out for each in caught.value.problems)


def test_a_photo_of_twelve_megapixels_is_read_in_time() -> None:
    """Bar: 3 s."""
    small = cv2.imdecode(np.frombuffer(photo(), dtype=np.uint8), cv2.IMREAD_COLOR)
    large = encoded(".jpg", cv2.resize(np.asarray(small), (4000, 3000)))
    begun = time.process_time()
    read_photo(large, "p.jpg", NOMINAL)
    assert time.process_time() - begun < 3


def test_the_card_is_measured_once_a_print() -> None:
    rows = [f"{each.name};{each.lab.lightness};{each.lab.a};{each.lab.b}" for each in PATCHES]
    assert read_card("patch;L;a;b\n" + "\n".join(rows), "card.csv") == NOMINAL


@pytest.mark.parametrize(
    ("rows", "what"),
    [
        ("a1,95,0,0", "lacks a2"),
        ("a1,195,0,0", "is no colour."),
        ("z9,50,0,0", "is no patch."),
        ("a1,95,x,0", "is no reading."),
    ],
)
def test_a_card_measured_by_half_is_refused(rows: str, what: str) -> None:
    with pytest.raises(BadInput, match=what):
        read_card("patch,L,a,b\n" + rows, "card.csv")


def test_the_printed_sheet_has_the_card_true_to_size() -> None:
    import io

    from pypdf import PdfReader

    from trimwright.papers.colour_card import colour_card_pdf

    papers: tuple[press.PaperSize, ...] = ("a4", "us-letter")
    for paper in papers:
        sheet: Any = PdfReader(io.BytesIO(colour_card_pdf(datetime(2026, 5, 1, tzinfo=UTC), paper)))
        assert len(sheet.pages) == 1
        assert "160 mm" in sheet.pages[0].extract_text()
