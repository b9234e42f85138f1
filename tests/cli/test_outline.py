"""`trimwright outline`: what it tells, what it writes, and what it refuses."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from tests.cli.conftest import Trimwright
from tests.geometry.photographed import close, jpeg


@cache
def picture() -> bytes:
    return jpeg(close(thick=3.0).photo())


@pytest.fixture
def photo(tmp_path: Path) -> Path:
    path = tmp_path / "card.jpg"
    path.write_bytes(picture())
    return path


def test_it_tells_the_outline_and_its_doubt_and_writes_everything(
    photo: Path, tmp_path: Path, trimwright: Trimwright
) -> None:
    (tmp_path / "moved.txt").write_text("1 -4 15\n")
    asked = ["outline", photo, "--bars", "260x190", "--thickness", "3", "--name", "Card", "--side", "left", "--mirror"]
    told = trimwright(
        *asked, "--allowance", "10", "--notch", "1+20", "--grain", "90", "--picture", "read.svg", "--sheets", "sheets",
        "--svg", "card.svg", "--dxf", "card.dxf", "--move", "moved.txt",
    )  # fmt: skip
    assert told.code == 0, told.err
    words = " ".join(told.out.split())
    assert "Card left: 28" in words
    assert "mm as cut" in words
    assert "nine times in ten no point is out by more than" in words
    assert "Camera 0.6" in words
    assert "cut-proof glove" in words
    assert (tmp_path / "sheets" / "true-size-sheets.pdf").read_bytes().startswith(b"%PDF")
    assert "Card right" in (tmp_path / "card.dxf").read_text()
    drawn = (tmp_path / "read.svg").read_text()
    assert "data:image/jpeg;base64," in drawn
    assert 'class="doubt"' in drawn
    plain = trimwright(*asked, "--json").json
    assert [each["name"] for each in plain["pieces"]] == ["Card left", "Card right"]
    assert len(plain["two_sigma_mm"]) == len(plain["line_mm"])
    assert plain["points"][0] == {"number": 1, "at_mm": pytest.approx([0.5, 15.3], abs=0.6), "corner": True}
    assert 0 < plain["within_mm_9_in_10"] < 1


def test_strips_to_print(tmp_path: Path, trimwright: Trimwright) -> None:
    assert "measure both bars" in trimwright("outline", "--print-strips", "strips.pdf", "--letter").out
    assert (tmp_path / "strips.pdf").read_bytes().startswith(b"%PDF")
    assert "already there" in trimwright("outline", "--print-strips", "strips.pdf").err


@pytest.mark.parametrize(
    ("options", "said"),
    [
        ([], "needs a photo"),
        (["gone.jpg"], "cannot be read"),
        (["PHOTO", "--strips", "a,q"], "names no strip"),
        (["PHOTO", "--bars", "long"], "is not what two bars read"),
        (["PHOTO", "--bars", "190x260"], "Give the long bar first"),
        (["PHOTO", "--bars", "0x0"], "Give the long bar first"),
        (["PHOTO", "--grain", "nan", "--bars", "260x190"], "is no angle"),
        (["PHOTO", "--side", "middle"], "Say left or right"),
        (["PHOTO", "--notch", "first"], "is no place on the outline"),
        (["PHOTO", "--notch", "999", "--bars", "260x190"], "They run from 1 to"),
        (["PHOTO", "--picture", "nowhere/read.svg"], "Make the folder first"),
        (["PHOTO", "--bars", "260x190", "--move", "gone.txt"], "cannot be read"),
    ],
)
def test_bad_input_is_named_with_the_way_out(
    options: list[str], said: str, photo: Path, trimwright: Trimwright
) -> None:
    told = trimwright("outline", *[str(photo) if each == "PHOTO" else each for each in options])
    assert told.code == 2
    assert said in told.err
