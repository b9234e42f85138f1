from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from tests.book.samples import DYE, TRADE, a_book, found, observed, price, timed
from trimwright.book.check import checked
from trimwright.book.document import Book
from trimwright.book.files import book_bytes, read_book, write_book
from trimwright.errors import Problem, UnreadableFile


def full() -> dict[str, Any]:
    return {
        "format": 1,
        "shop": "Harbour Trim",
        "rates": [{"currency": "EUR", "hour": 4500, "on": "2026-01-01"}],
        "packs": [{"id": "offcuts", "material": "leather_hide", "sold_as": "bag of offcuts", "size": 0.8}],
        "suppliers": [{"id": "tannery", "name": "Tannery by the river", "currency": "EUR", "days": [2, 4, 9]}],
        "prices": [price(), price("offcuts", 4000, supplier="tannery"), price(on="2024-03-01")],
        "tools": ["vacuum", "brushes"],
        "stock": [{"material": "leather_hide", "colour": "sand", "amount": 0.4}],
        "timed": [timed(1, 90, 120)],
        "redone": [observed(1, treatment=DYE, again=False)],
        "found": [found(True)],
        "jobs": [{"id": "coupe", "name": "The coupe"}],
    }


def problems(raw: object) -> tuple[Problem, ...]:
    with pytest.raises(UnreadableFile) as caught:
        read_book(raw if isinstance(raw, bytes) else json.dumps(raw).encode())
    return caught.value.problems


def test_a_book_comes_back_from_its_file(tmp_path: Path) -> None:
    book = Book.from_plain(full())
    write_book(book, tmp_path / "shop.json")
    assert read_book(tmp_path / "shop.json") == book
    assert checked(book, TRADE) == ()
    assert [each.name for each in tmp_path.iterdir()] == ["shop.json"]


def test_equal_books_are_equal_bytes() -> None:
    turned = {name: value[::-1] if isinstance(value, list) else value for name, value in full().items()}
    turned["prices"] = [*turned["prices"], full()["prices"][0]]
    assert book_bytes(Book.from_plain(turned)) == book_bytes(Book.from_plain(full()))


def test_a_bad_book_tells_all_that_is_wrong_with_it() -> None:
    raw = full() | {
        "prices": [price(minor=-1), price(on="yesterday")],
        "timed": [timed(1, 0, 60)],
        "suppliers": [{**full()["suppliers"][0], "days": [9, 4, 2]}],
        "colour": "sand",
    }
    assert {each.where for each in problems(raw)} == {
        "prices › 1 › price",
        "prices › 2 › on",
        "timed › 1 › planned",
        "suppliers › 1 (tannery)",
        "colour",
    }


def test_two_figures_for_one_thing_are_refused() -> None:
    raw = full() | {"prices": [price(), price(minor=1)], "redone": [], "timed": [timed(1, 90, 120), timed(1, 90, 10)]}
    assert [each.where for each in problems(raw)] == ["prices", "timed"]


@pytest.mark.parametrize("raw", [{}, {"format": 2}, {"format": "1"}, {"format": True}])
def test_a_format_that_is_none_or_newer_is_refused(raw: dict[str, Any]) -> None:
    [problem] = problems(raw)
    assert problem.where == "format"
    assert "shop book" in problem.way_out


def test_a_file_cut_in_half_says_so() -> None:
    whole = book_bytes(Book.from_plain(full()))
    [problem] = problems(whole[: len(whole) // 2])
    assert problem.what == "is where the file ends, in the middle of the shop book."


def test_the_schema_describes_every_field() -> None:
    schema = Book.model_json_schema()
    for model in (schema, *schema["$defs"].values()):
        assert all("description" in field for field in model.get("properties", {}).values())


def test_names_that_nobody_knows_are_told_with_what_they_may_mean() -> None:
    book = a_book(
        prices=[price("leather_hide-2_4m"), price(supplier="nobody")],
        tools=["vacum"],
        timed=[timed(1, 60, 60, "leather_recolor")],
        packs=[{"id": "leather_hide-2_4m2", "material": "leather", "sold_as": "half", "size": 2.4}],
    )
    found = {(each.where, each.value): each.way_out for each in checked(book, TRADE)}
    assert found["tools", "vacum"].startswith("Did you mean 'vacuum'")
    assert "'leather_recolour'" in found["timed", "leather_recolor"]
    assert found["packs", "leather_hide-2_4m2"] == "Give a price for it instead."
    assert {where for where, _ in found} == {"prices", "tools", "timed", "packs"}
