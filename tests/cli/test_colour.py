"""`trimwright colour` and the base colours in the book, as typed."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.cli.conftest import Trimwright
from tests.craft.colour.test_photo import BROWN, TAN, nothing, photo
from trimwright.book.files import read_book
from trimwright.craft.colour.card import PATCHES

WANTED = "38 18 22 ± 1"


@pytest.fixture
def book(trimwright: Trimwright) -> str:
    trimwright("book", "new", "shop.json")
    for arguments in (
        ("white", "95 -1 2"),
        ("black", "18 0 -1", "--tint", "10% white 45 -1 -3"),
        ("ochre", "52 18 45", "--tint", "20% white 72 10 32", "--name", "Yellow ochre"),
        ("oxide", "33 32 22", "--tint", "10% white 62 22 10"),
    ):
        assert trimwright("book", "base", "shop.json", *arguments).code == 0
    return "shop.json"


def card_as_printed(path: Path) -> None:
    lines = (f"{each.name},{each.lab.lightness},{each.lab.a},{each.lab.b}" for each in PATCHES)
    path.write_text("patch,L,a,b\n" + "\n".join(lines), encoding="utf-8")


def test_from_bases_to_a_kept_recipe_and_the_step_after(trimwright: Trimwright, book: str, tmp_path: Path) -> None:
    told = trimwright("colour", "mix", book, "--target", WANTED, "--keep", "tan", "--picture", "s.svg", "--json")
    assert told.code == 0
    figures = {each["name"]: each["value"] for each in told.json["figures"]}
    assert figures["forecast off the wanted"] < 1 < figures["first swatch may lie off the forecast"]
    assert sum(value for name, value in figures.items() if name.endswith("trial pot")) == 100
    assert sum(value for name, value in figures.items() if name.endswith("batch")) == pytest.approx(250)
    assert "wanted" in (tmp_path / "s.svg").read_text(encoding="utf-8")
    (kept,) = read_book(tmp_path / book).mixes
    assert (kept.id, kept.swatch) == ("tan", None)
    step = trimwright(
        "colour", "check", "--target", WANTED, "--swatch", "41 15 24", "--pot", "tan", "--book", book, "--keep"
    )
    assert "more: forecast" in step.out
    assert read_book(tmp_path / book).mixes[0].swatch == (41, 15, 24)
    match = trimwright("colour", "match", "--target", "41 15 24", "--book", book)
    assert "Nearest: tan (kept mix), 0.0 off" in match.out


def test_a_kept_mix_is_not_written_over(trimwright: Trimwright, book: str) -> None:
    trimwright("colour", "mix", book, "--target", WANTED, "--keep", "tan")
    again = trimwright("colour", "mix", book, "--target", "60 2 9", "--keep", "tan")
    assert again.code == 2
    assert "is kept already." in again.err


def test_uneven_light_on_the_card_is_told(trimwright: Trimwright, tmp_path: Path) -> None:
    for name, slope in (("even.jpg", 0.06), ("uneven.jpg", 0.25)):
        (tmp_path / name).write_bytes(photo(TAN, BROWN, exposure=0.6, slope=slope))
        notes = trimwright("colour", "match", "--photo", name, "--json").json["notes"]
        assert ("The light was uneven" in notes[0]) == (slope > 0.2)


def test_a_photo_stands_in_for_typed_readings(trimwright: Trimwright, tmp_path: Path) -> None:
    (tmp_path / "p.jpg").write_bytes(photo(TAN, BROWN))
    card_as_printed(tmp_path / "card.csv")
    told = trimwright("colour", "check", "--photo", "p.jpg", "--card", "card.csv", "--picture", "s.svg", "--json")
    figures = {each["name"]: each["value"] for each in told.json["figures"]}
    assert figures["off"] == pytest.approx(3.1, abs=figures["may be out by"])
    assert figures["may be out by"] < 2
    unmeasured = trimwright("colour", "match", "--photo", "p.jpg", "--json")
    assert {each["name"]: each["value"] for each in unmeasured.json["figures"]}["may be out by"] > 10


def test_the_target_is_what_stays_after_cleaning(trimwright: Trimwright) -> None:
    hidden = trimwright("colour", "match", "--target", WANTED, "--place", "hidden")
    assert hidden.code == 2
    assert "a hidden flap" in hidden.err
    dirty = trimwright("colour", "match", "--target", WANTED, "--place", "dirty")
    assert dirty.code == 2
    assert "before it was cleaned" in dirty.err
    carried = trimwright(
        "colour", "match", "--target", "38 18 22 ± 0", "--place", "dirty", "--before", "35 12 17 ± 0",
        "--after", "38 12.5 18 ± 0", "--json",
    )  # fmt: skip
    figures = {each["name"]: each["value"] for each in carried.json["figures"]}
    assert [figures[f"wanted, {axis}"] for axis in ("L*", "a*", "b*")] == [41, 18.5, 23]


def test_the_card_is_printed_once(trimwright: Trimwright, tmp_path: Path) -> None:
    assert trimwright("colour", "card", "card.pdf").code == 0
    assert (tmp_path / "card.pdf").read_bytes().startswith(b"%PDF")
    assert trimwright("colour", "card", "card.pdf").code == 2


@pytest.mark.parametrize(
    ("arguments", "wrong"),
    [
        (("match", "--target", "140 3 4"), ["is no lightness."]),
        (("match",), ["is missing."]),
        (("check", "--target", "38 18", "--swatch", "x", "--pot", "pink 3", "--distance", "-1 m"), [
            "is not three figures.", "is no reading.", "names no base colour of the book.", "is not between",
        ]),
        (("match", "--photo", "none.jpg"), ["cannot be read"]),
        (("match", "--photo", "nothing.png"), ["has no card in it."]),
        (("match", "--target", WANTED, "--card", "card.csv"), ["goes with a photo."]),
        (("match", "--target", WANTED, "--white", "C"), ["is not among the choices."]),
        (("mix", "empty.json", "--target", WANTED), ["are too few to mix."]),
        (("mix", "empty.json", "--target", WANTED, "--batch", "0 g", "--drops", "3"), ["is not between", "20 to 1000"]),
    ],
)  # fmt: skip
def test_bad_input_is_told_whole(
    trimwright: Trimwright, tmp_path: Path, arguments: tuple[str, ...], wrong: list[str]
) -> None:
    (tmp_path / "nothing.png").write_bytes(nothing())
    trimwright("book", "new", "empty.json")
    told = trimwright("colour", *arguments)
    assert told.code == 2
    for each in wrong:
        assert each in told.err


@pytest.mark.parametrize(
    ("arguments", "wrong"),
    [
        (("ochre",), "is missing."),
        (("ochre", "152 3 4"), "is no lightness."),
        (("ochre", "52 18 45", "--tint", "10%"), "is no trial."),
        (("ochre", "52 18 45", "--tint", "10% lead 70 3 3"), "is no base colour of this book."),
        (("ochre", "--spectrum", "none.csv"), "cannot be read"),
    ],
)
def test_a_base_that_cannot_be_is_refused_and_the_book_kept(
    trimwright: Trimwright, book: str, tmp_path: Path, arguments: tuple[str, ...], wrong: str
) -> None:
    before = (tmp_path / book).read_bytes()
    told = trimwright("book", "base", book, *arguments)
    assert told.code == 2
    assert wrong in told.err
    assert (tmp_path / book).read_bytes() == before


def test_a_base_by_its_spectrum(trimwright: Trimwright, book: str, tmp_path: Path) -> None:
    lines = (f"{nm},{0.05 + (nm - 400) / 1000:.3f}" for nm in range(400, 701, 10))
    (tmp_path / "red.csv").write_text("\n".join(lines), encoding="utf-8")
    assert trimwright("book", "base", book, "red", "--spectrum", "red.csv").code == 0
    red = next(each for each in read_book(tmp_path / book).bases if each.id == "red")
    assert red.reflectance is not None
    assert red.lab[1] > 4
