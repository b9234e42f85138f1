"""The hand-over book, read back with pypdf: what was done, left and why, pairs side by side, money where it may be."""

from __future__ import annotations

import io
from datetime import UTC, datetime
from functools import cache
from typing import Any

import pytest
from PIL import Image
from pypdf import PdfReader

from tests.plan.happened import everything_bought, happened, promise, work
from tests.plan.small_cabin import BELT, VISOR, small_plan
from trimwright.book.document import Book
from trimwright.facts import load
from trimwright.papers import hand_over_book_pdf
from trimwright.papers.hand_over_book import LONGEST, money, of_the_job, of_the_plan, small_picture
from trimwright.papers.wording import text
from trimwright.plan.plan import Plan, make_plan

MADE = datetime(2026, 11, 25, 12, 0, tzinfo=UTC)

pytestmark = pytest.mark.filterwarnings("error::trimwright.papers.press.PaperWarning")


@cache
def finished(*, shows_money: bool = False) -> Plan:
    """The small cabin done but for its dash; the belt by licensed practice, a snag left, waste gone."""
    plan = small_plan()
    doing = [
        each.part
        for each in plan.verdicts.verdicts
        if each.course and each.course.id != "leave" and not each.settled_by and "dash" not in each.part
    ]
    events: list[dict[str, Any]] = [
        promise(plan),
        *everything_bought(plan),
        *(work(plan, part, finish=8, note="by R. Osei’s workshop" if part == BELT else "") for part in doing),
        {"kind": "disposed", "what": "dirty thinner", "amount": "2 L", "how": "to the depot, with a slip"},
        {"kind": "snag", "what": "squeak over bumps", "state": "left", "note": "Kim takes it so"},
        {"kind": "pair", "part": VISOR, "before": "one", "after": "two", "note": "from the door"},
        {"kind": "pair", "part": VISOR, "before": "one", "after": "not here"},
        {"kind": "owners_book", "warranty": "Sewing 24 months.", "follow_ups": ["2027-01-10"],
         "shows_money": shows_money},
    ]  # fmt: skip
    return make_plan(happened(plan.job, *events), load())


def photo(colour: str, size: tuple[int, int] = (2400, 1800)) -> bytes:
    into = io.BytesIO()
    Image.new("RGB", size, colour).save(into, "JPEG")
    return into.getvalue()


def read(plan: Plan, **more: Any) -> tuple[str, int]:
    """The words, and how many pictures."""
    pages = PdfReader(io.BytesIO(hand_over_book_pdf(plan, MADE, **more))).pages
    text = " ".join(each.extract_text() for each in pages)
    return " ".join(text.replace("\u200b", "").split()), sum(len(each.images) for each in pages)


def test_it_tells_what_was_done_left_and_why() -> None:
    text, _pictures = read(finished())
    assert "What was done" in text
    assert "Re-cover sun visor" in text
    assert "and not noted as done" in text  # the dash was promised
    assert "Kim takes it so" in text
    assert "to the depot, with a slip" in text
    assert "Sewing 24 months." in text
    assert "10 January 2027" in text
    assert "I have read this book" in text


def test_belts_are_by_licensed_people_and_looked_after_as_the_handbooks_say() -> None:
    text, _pictures = read(finished())
    licensed = text[text.index("Done by licensed people") : text.index("How fast new covers burn")]
    assert "Osei" in licensed
    assert "Mild soap and water only" in text


def test_nobody_is_said_to_have_fitted_a_belt_who_was_not_noted() -> None:
    plan = small_plan()
    fitted = happened(plan.job, work(plan, BELT, finish=10))
    text, _pictures = read(make_plan(fitted, load()))
    assert "Front belt, driver’s: fit a new approved belt" in text
    assert "By whom is not noted." in text
    washed = happened(plan.job, {"kind": "done", "part": BELT, "course": "belt_wash"})
    assert "Done by licensed people" not in read(make_plan(washed, load()))[0]


def test_pairs_stand_side_by_side_no_larger_than_paper_shows() -> None:
    photos = {"one": photo("grey"), "two": photo("tan", (900, 1600))}
    text, pictures = read(finished(), photos=photos)
    assert pictures == 2  # the pair of which a photo is missing is left out
    assert "from the door" in text
    with Image.open(io.BytesIO(small_picture(photos["two"]))) as small:
        assert max(small.size) == LONGEST
    with pytest.raises(ValueError, match="no picture"):
        small_picture(b"none")


def test_the_same_book_prints_the_same_bytes() -> None:
    photos = {"one": photo("grey"), "two": photo("tan")}
    assert hand_over_book_pdf(finished(), MADE, photos=photos) == hand_over_book_pdf(finished(), MADE, photos=photos)


def test_money_shows_only_when_the_shop_says_so_and_only_what_the_sum_covers() -> None:
    assert "Spent in all" not in read(finished())[0]
    text, _pictures = read(finished(shows_money=True))
    assert "Spent in all" in text
    job = finished().job
    spent = sum(each["paid"] for each in everything_bought(small_plan()))
    in_all = next(each["money"] for each in money(job) if each["name"] == "Spent in all")
    assert in_all.replace(",", "") == f"{spent / 100:.2f}"
    parts_only = job.model_copy(update={"money": job.money.model_copy(update={"covers": frozenset({"materials"})})})
    names = [each["name"] for each in money(parts_only)]
    assert "Materials" in names
    assert not any(name.startswith(("Parts", "Visits", "Work")) for name in names)


def test_recipes_are_those_of_this_cabins_colours_since_the_job_began() -> None:
    base = {"id": "sand-base", "name": "Sand", "lab": [60, 4, 20]}
    mix = {"target": [60, 4, 20], "drops": [{"base": "sand-base", "drops": 42}], "batch": "S-118"}
    book = Book.from_plain(
        {
            "format": 1,
            "bases": [base],
            "mixes": [
                {"id": "m1", "name": "sand, seats", "on": "2026-03-06", **mix},
                {"id": "m2", "name": "sand, another car", "on": "2024-03-06", **mix},
                {"id": "m3", "name": "blue, seats", "on": "2026-03-06", **mix},
            ],
        }
    )
    [told] = of_the_job(finished().job, load(), book)["recipes"]
    assert (told["name"], told["drops"], told["batch"]) == ("Sand, seats", "42 drops of Sand", "S-118")


def test_before_anything_is_done_all_is_left() -> None:
    told = of_the_plan(small_plan())
    assert told["done"] == []
    rows = {row["part"]: row["why"] for zone in told["left"] for row in zone["rows"]}
    assert len(rows) == len(small_plan().verdicts.verdicts)
    meant = [each for each in small_plan().verdicts.verdicts if each.course and each.course.id != "leave"]
    assert all(rows[text(each.name)].startswith("To be done") for each in meant)
