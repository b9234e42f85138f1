"""The shop book on the command line: what is noted stands beside the trade's figures, and the plan counts with it."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.cli.conftest import Trimwright
from tests.plan.small_cabin import CUSHION, small_job
from trimwright.book.files import read_book
from trimwright.job.files import write_job

HALF = "leather_hide-2_4m2"


@pytest.fixture(autouse=True)
def today(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1780272000")  # 2026-06-01


@pytest.fixture
def book(trimwright: Trimwright, tmp_path: Path) -> Path:
    assert trimwright("book", "new", "shop.json", "--shop", "Harbour Trim").code == 0
    return tmp_path / "shop.json"


def test_a_price_is_noted_and_shown_beside_the_tables(trimwright: Trimwright, book: Path) -> None:
    assert trimwright("book", "price", book, HALF, "265", "--on", "2026-03-01").code == 0
    ran = trimwright("book", "price", book, "leather_hide-4_8m2", "610 EUR", "--on", "2024-03-01", "--json")
    assert ran.json["price"] == 61_000
    assert ran.json["supplier"] == "leather_seller"
    shown = " ".join(trimwright("book", "show", book).out.split())
    assert "265 EUR 160 to 420 EUR own price of 2026-03-01, leather seller" in shown
    assert "over a year old" in shown
    figures = trimwright("book", "show", book, "--json").json["figures"]
    assert [(each["id"], each["own"], each["table"], each["old"]) for each in figures] == [
        (HALF, 26_500, [16_000, 42_000], False),
        ("leather_hide-4_8m2", 61_000, [26_000, 70_000], True),
    ]


def test_the_same_price_noted_again_takes_the_others_place(trimwright: Trimwright, book: Path) -> None:
    for money in ("265", "270"):
        trimwright("book", "price", book, HALF, money, "--on", "2026-03-01")
    assert [each.price for each in read_book(book).prices] == [27_000]


def test_everything_else_a_shop_has_is_noted(trimwright: Trimwright, book: Path) -> None:
    for line in (
        ("seller", book, "tannery", "Tannery by the river", "--carriage", "9", "--days", "2", "4", "9"),
        ("pack", book, "offcuts", "leather_hide", "0.8", "--sold-as", "bag of offcuts"),
        ("price", book, "offcuts", "40", "--seller", "tannery"),
        ("rate", book, "45", "--on", "2026-01-01"),
        ("tool", book, "vacuum", "brushes"),
        ("shelf", book, "leather_hide", "0.4", "--colour", "sand"),
    ):
        ran = trimwright("book", *line, "--json")
        assert (ran.code, ran.err) == (0, "")
        assert ran.json["book"] == str(book)
    kept = read_book(book)
    assert kept.suppliers[0].carriage == 900
    assert kept.prices[0].on.isoformat() == "2026-06-01"
    assert (kept.rates[0].hour, kept.tools, kept.stock[0].amount) == (4500, ("brushes", "vacuum"), 0.4)
    shown = trimwright("book", "show", book).out
    for told in (
        "offcuts",
        "own price of 2026-06-01",
        "an hour: 45 EUR since 2026-01-01",
        "brushes; vacuum",
        "leather_hide sand 0.4",
    ):
        assert told in shown
    trimwright("book", "shelf", book, "leather_hide", "0", "--colour", "sand")
    trimwright("book", "tool", book, "vacuum", "--gone")
    assert (read_book(book).stock, read_book(book).tools) == ((), ("brushes",))


@pytest.mark.parametrize(
    ("line", "blamed"),
    [
        (("price", "half_hide", "265"), "half_hide"),
        (("price", HALF, "265", "--seller", "nobody"), "nobody"),
        (("price", HALF, "lots"), "lots"),
        (("price", HALF, "265", "--on", "May"), "--on"),
        (("price", HALF, "265", "--currency", "ZZZ"), "ZZZ"),
        (("pack", "offcuts", "leather", "0.8"), "leather"),
        (("pack", "offcuts", "leather_hide", "0"), "size"),
        (("seller", "tannery", "Tannery", "--days", "9", "4", "2"), "days"),
        (("tool", "vacum"), "vacum"),
        (("shelf", "leather_hyde", "1"), "leather_hyde"),
        (("rate", "x"), "x"),
    ],
)
def test_what_is_wrong_is_told_and_loses_nothing(
    line: tuple[str, ...], blamed: str, trimwright: Trimwright, book: Path
) -> None:
    before = book.read_bytes()
    command, *rest = line
    ran = trimwright("book", command, book, *rest)
    assert ran.code == 2
    assert blamed in ran.err
    assert book.read_bytes() == before


def test_a_book_is_not_written_over(trimwright: Trimwright, book: Path) -> None:
    assert trimwright("book", "new", book).code == 2
    assert trimwright("book", "new", book, "--force").code == 0


def test_the_plan_counts_with_the_book_and_says_so(trimwright: Trimwright, book: Path, small: Path) -> None:
    """The cushion's new leather at the shop's own price, a year and more old."""
    plain = trimwright("buy", small, "--json").json
    [half] = [each for each in plain["buy"] if each["material"].startswith("leather_hide")]
    assert half["known"] == "guess"
    pack = next(each for each in ("leather_hide-0_6m2", HALF, "leather_hide-4_8m2") if half["pack"] in _sold_as(each))
    trimwright("book", "price", book, pack, "33.33", "--on", "2024-03-01")
    own = trimwright("buy", small, "--book", book, "--json").json
    known = "price of 2024-03-01, over a year old"
    [row] = [each for each in own["buy"] if each["known"] == known]
    # the share for small things beside the packs rides on each pack
    assert row["count"] * 3333 <= row["money"] <= row["count"] * 3333 * 1.05 + 1
    assert known in " ".join(trimwright("buy", small, "--book", book).out.split())
    assert trimwright("buy", small, "--book", book, "--out", "list.csv").code == 0
    assert known in Path("list.csv").read_text(encoding="utf-8-sig")
    decided = trimwright("decide", small, "--book", book, "--json").json
    assert decided["buy"] == own["buy"]
    assert trimwright("papers", small, "papers", "--book", book).code == 0


def _sold_as(pack: str) -> str:
    from trimwright.facts import load

    return next(each.sold_as for each in load().materials["leather_hide"].packs if each.id == pack)


def test_a_book_learns_from_a_job_once(trimwright: Trimwright, book: Path, tmp_path: Path) -> None:
    job = small_job(
        events=[
            {
                "kind": "done", "id": "e1", "at": "2026-05-20T17:00:00", "part": CUSHION, "course": "leather_recover",
                "minutes": 900, "redone": 1,
            }
        ]
    )  # fmt: skip
    write_job(job, tmp_path / "done.json")
    ran = trimwright("book", "learn", book, "done.json", "--json")
    assert ran.json == {"book": str(book), "job": "small", "timed": 1, "redone": 1, "found": 1, "held": 0, "prices": 0}
    once = book.read_bytes()
    assert trimwright("book", "learn", book, "done.json").code == 0
    assert book.read_bytes() == once
    shown = trimwright("book", "show", book).out
    assert "1 of 1 time" in shown
    assert "learned from: The quarry two-door" in shown
    figures = trimwright("book", "show", book, "--json").json["figures"]
    assert [each["what"] for each in figures] == ["hours", "redo", "find"]
    before, after = (trimwright("decide", "done.json", *more, "--json").json for more in ((), ("--book", book)))
    assert before["status"] == after["status"] == "optimal"


def test_the_schema_is_that_of_the_book(trimwright: Trimwright) -> None:
    schema = json.loads(trimwright("book", "schema").out)
    assert {"prices", "timed", "redone", "found"} <= set(schema["properties"])
