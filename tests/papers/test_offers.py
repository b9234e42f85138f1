"""Offers for less and for more beside the plan: which stairs are chosen, what is said of them, with and without."""

from __future__ import annotations

import io
from dataclasses import replace
from datetime import UTC, datetime
from functools import cache

import pytest
from pypdf import PdfReader

from tests.plan.small_cabin import small_job, small_plan
from trimwright.facts import load
from trimwright.papers import differences, offers, paper_pdf
from trimwright.plan.plan import make_plan
from trimwright.plan.quantities.cabin import LEAVE
from trimwright.plan.verdicts.staircase import Change, Stair, Staircase, climb

MADE = datetime(2026, 11, 25, 12, 0, tzinfo=UTC)

pytestmark = pytest.mark.filterwarnings("error::trimwright.papers.press.PaperWarning")


@cache
def climbed() -> Staircase:
    return climb(small_plan().quantities, small_plan().verdicts)


def quote(staircase: Staircase | None) -> str:
    pdf = PdfReader(io.BytesIO(paper_pdf("quote", small_plan(), MADE, staircase=staircase)))
    return " ".join(" ".join(page.extract_text() for page in pdf.pages).split())


def stair(sum_minor: int, finish: int) -> Stair:
    return Stair(
        sum=sum_minor,
        modelled=sum_minor,
        expected=sum_minor,
        minutes=600,
        finish=finish,
        points=10 * finish,
        gap=0.0,
        changes=(),
    )


def stairs(*told: tuple[int, int], here: int) -> Staircase:
    return Staircase("money", tuple(stair(*each) for each in told), here, None, None, 1.0)


def change(part: str, before: int, after: int, was: str = LEAVE, becomes: str = "clean") -> Change:
    name = next(each.name for each in small_plan().quantities.parts if each.part == part)
    return Change(part, name, was, becomes, was, becomes, before, after)


def test_the_offers_are_near_seven_and_fourteen_tenths_of_the_sum() -> None:
    found = stairs((40_000, 50), (65_000, 58), (72_000, 60), (98_000, 70), (120_000, 72), (139_000, 76), here=3)
    assert offers.chosen(found, 100_000) == (2, 5)


def test_a_stair_that_shows_no_other_finish_or_is_too_far_off_is_no_offer() -> None:
    assert offers.chosen(stairs((70_000, 70), (98_000, 70), (140_000, 70), here=1), 100_000) == (None, None)
    assert offers.chosen(stairs((30_000, 50), (98_000, 70), (300_000, 90), here=1), 100_000) == (None, None)
    assert offers.in_words(small_plan(), stairs((30_000, 50), (98_000, 70), here=1)) is None


def test_the_quote_tells_three_offers_and_what_each_step_more_buys() -> None:
    text, found = quote(climbed()), climbed()
    less, more = offers.chosen(found, small_plan().job.money.sum)
    assert less is not None
    assert more is not None
    for title in ("For less", "This quote", "For more"):
        assert title in text
    low, high = (offers.whole(found.stairs[each].sum, "EUR") // 100 for each in (less, more))
    assert f"{low:,} EUR" in text
    assert f"{high:,} EUR" in text
    assert f"What {1550 - low:,} EUR more buys" in text
    assert f"What {high - 1550:,} EUR more buys" in text
    assert "Given up for less: finish" in text
    for each in (less, more, found.here):
        assert f"{small_plan().verdicts.finish_before} → {found.stairs[each].finish}" in text
    assert "your sum 1,550" in text, "the picture stands on the page"


def test_without_a_staircase_the_quote_is_as_ever() -> None:
    text = quote(None)
    assert "For less" not in text
    assert "What will be done" in text


def test_a_plan_that_is_short_has_no_offers() -> None:
    plan = make_plan(small_job(money={"currency": "EUR", "sum": 20_000}), load())
    assert offers.in_words(plan, climbed()) is None


def test_the_same_staircase_gives_the_same_bytes() -> None:
    assert paper_pdf("quote", small_plan(), MADE, staircase=climbed()) == paper_pdf(
        "quote", small_plan(), MADE, staircase=climbed()
    )


def rising(*changes: tuple[Change, ...]) -> list[Stair]:
    return [replace(stair(10_000 * number, 50 + number), changes=each) for number, each in enumerate(changes, 1)]


def test_stairs_in_a_row_are_told_as_what_they_come_to() -> None:
    wash, make = "carpet_wash", "carpet_make"
    up = rising(
        (change("carpet", 5, 7, becomes=wash), change("visor", 5, 7, becomes="visor_recover")),
        (change("carpet", 7, 9, was=wash, becomes=make), change("visor", 7, 5, "visor_recover", LEAVE)),
    )
    assert differences.between(up, small_plan().quantities) == [change("carpet", 5, 9, becomes=make)]


def test_a_part_that_ends_with_its_whole_is_told_by_the_whole() -> None:
    quantities = small_plan().quantities
    parts = tuple(
        replace(part, courses=tuple(replace(each, settles={"visor": 9}) for each in part.courses))
        if part.part == "dash"
        else part
        for part in quantities.parts
    )
    up = rising((change("visor", 5, 7, becomes="visor_recover"),), (change("dash", 4, 9, becomes="new_fit"),))
    assert [each.part for each in differences.between(up, replace(quantities, parts=parts))] == ["dash"]


def test_the_weightiest_change_is_told_first_and_left_tells_what_is_given_up() -> None:
    changes = [change("visor", 5, 6), change("carpet", 9, 5, was="carpet_make", becomes=LEAVE)]
    first, second = differences.told(changes, small_plan().quantities)
    assert first.replace(differences.NO_BREAK, " ") == f"Main carpet: {LEAVE} instead of carpet_make (finish 9 → 5)"
    assert second.startswith("Sun visor")
    assert differences.in_short(changes, small_plan().quantities) == f"Main carpet: {LEAVE}; and 1 more"
    assert differences.in_short([], small_plan().quantities) == ""
