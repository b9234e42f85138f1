"""The code on a bag's label is drawn by one library and read by another, turned and small as a phone sees it."""

from __future__ import annotations

import io

import pytest
import segno
from PIL import Image

from trimwright.craft.bag_code import bag_named, code_text, read_picture

TOLD = code_text("harbour-two-door", "fseat_cushion_cover.driver")


def pictured(turn: float, *, longest: int = 1200, kind: str = "JPEG") -> bytes:
    """The label's code, dark ink on a card, in a photograph of a bench; drawn by segno, error correction M."""
    drawn = io.BytesIO()
    segno.make(TOLD, error="m", micro=False).save(drawn, kind="png", scale=8, border=4, dark="#20242B")
    label = Image.open(drawn).convert("RGB").rotate(turn, expand=True, fillcolor="white")
    bench = Image.new("RGB", (900, 1200), "#6d6a63")
    bench.paste(label, (260, 400))
    bench.thumbnail((longest, longest))
    kept = io.BytesIO()
    bench.save(kept, kind)
    return kept.getvalue()


@pytest.mark.parametrize("turn", [0, 8, 90, 180, -20])
@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_a_photographed_code_is_read(turn: float, kind: str) -> None:
    assert read_picture(pictured(turn, kind=kind)) == TOLD


def test_a_picture_larger_than_needed_is_read() -> None:
    large = Image.open(io.BytesIO(pictured(0))).resize((3000, 4000))
    kept = io.BytesIO()
    large.save(kept, "JPEG")
    assert read_picture(kept.getvalue()) == TOLD


@pytest.mark.parametrize("picture", [b"", b"no picture", b"\xff\xd8\xff"])
def test_what_is_no_picture_says_nothing(picture: bytes) -> None:
    assert read_picture(picture) == ""


def test_a_picture_without_a_code_says_nothing() -> None:
    kept = io.BytesIO()
    Image.new("RGB", (600, 800), "white").save(kept, "PNG")
    assert read_picture(kept.getvalue()) == ""


@pytest.mark.parametrize("told", ["", "harbour", "harbour/", "/sill", "https://elsewhere/sill"])
def test_a_code_of_something_else_names_no_bag(told: str) -> None:
    assert bag_named(told, "harbour") is None
