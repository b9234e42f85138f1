"""Buying, quote, first call and shop book in a browser: what was paid shows in the strip, a yes and a price stay."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator

import pytest
from django.urls import reverse
from playwright.sync_api import Page, expect

from tests.browser.conftest import Console, fits, is_accessible
from tests.web.decided import keep_answer, keep_plan, newest
from trimwright.book.document import Book
from trimwright.job.events import Bought, Ordered, Promised
from trimwright.web.jobs import store
from trimwright.web.jobs.answering import REPLAY
from trimwright.web.jobs.maker import Maker
from trimwright.web.jobs.planner import answer_next, make_next

Open = Callable[..., Page]


@pytest.fixture
def maker() -> Iterator[Maker]:
    maker = Maker()
    yield maker
    maker.end()


def test_ordered_arrived_and_paid_and_the_strip_changes(open_page: Open, key: str, maker: Maker) -> None:
    assert make_next(maker)
    page = open_page(reverse("buying", args=[key]))
    strip = page.locator("#strip")
    before = strip.locator(".bar dl").inner_text()
    hide = page.get_by_role("listitem").filter(has_text="Upholstery leather")
    hide.get_by_role("checkbox").check()
    page.locator(".seller").filter(has_text="Leather seller").get_by_role("button", name="Ordered").click()
    on_the_way = page.locator("section").filter(has=page.get_by_role("heading", name="On the way"))
    expect(on_the_way).to_contain_text("pholstery leather")
    assert isinstance(newest(key).events[0], Ordered)
    fits(page)

    paid = on_the_way.get_by_label("Paid", exact=False).first
    expect(paid).to_have_value("247.50")
    on_the_way.get_by_role("checkbox", name=re.compile("has come")).check()
    paid.fill("1.5.0")
    on_the_way.get_by_role("button", name="Arrived").click()
    expect(on_the_way.locator(".errorlist")).to_contain_text("Is not a sum of money")
    expect(paid).to_have_value("1.5.0")
    is_accessible(page)
    fits(page)
    paid.fill("230")
    on_the_way.get_by_role("button", name="Arrived").click()
    here = page.locator("section").filter(has=page.get_by_role("heading", name="Here, and paid"))
    expect(here).to_contain_text("230")
    expect(on_the_way).to_have_count(0)
    expect(strip).to_contain_text("Deciding")
    bought = newest(key).events[1]
    assert isinstance(bought, Bought)
    assert (bought.paid, bought.count) == (23000, 3)

    assert make_next(maker)
    expect(strip).not_to_contain_text("Deciding", timeout=10_000)
    assert strip.locator(".bar dl").inner_text() != before
    expect(page.locator(".seller").filter(has_text="Upholstery leather")).to_have_count(0)

    expect(here).to_contain_text("17.50 less than ordered for")
    here.get_by_text("Wrong, or used up").click()
    here.get_by_role("button", name="Went back").click()
    expect(here).to_contain_text("went back for 230")


@pytest.fixture(autouse=True)
def expected(console: Console) -> None:
    """Forms that are wrong on purpose."""
    console.expect("422")


def test_from_the_quote_to_the_owners_yes_and_the_deposit(open_page: Open, key: str, maker: Maker) -> None:
    page = open_page(reverse("quote", args=[key]))
    expect(page.get_by_text("the quote follows by itself")).to_be_visible()
    assert make_next(maker)
    first = page.get_by_alt_text("Page 1 of the quote, as in the PDF")
    expect(first).to_be_visible(timeout=10_000)
    assert first.evaluate("each => each.decode().then(() => each.naturalWidth)") > 900
    fits(page)
    page.get_by_label("Who said yes").fill("Kim")
    page.get_by_label(re.compile("^How:?$")).select_option("call")
    page.get_by_label("Anything else").fill("on the mobile")
    page.get_by_role("button", name="Yes to 1,550 EUR").click()
    expect(page.get_by_text("Kim said yes on")).to_be_visible()
    [event] = newest(key).events
    assert isinstance(event, Promised)
    assert (event.yes.name, event.yes.how, event.note, event.sum) == ("Kim", "call", "on the mobile", 155_000)

    page.get_by_text("The owner paid").click()
    page.get_by_label("How much").fill("600")
    page.get_by_role("button", name="Note the payment").click()
    expect(page.locator(".account .due")).to_contain_text("950")
    fits(page)
    is_accessible(page)


def test_a_price_in_the_shop_book_is_changed_and_put_back(open_page: Open) -> None:
    page = open_page(reverse("shop_book"))
    page.get_by_label("Look for a material or pack").fill("upholstery")
    row = page.locator("#packs li").filter(has_text="cut piece")
    expect(row).to_contain_text("built in: 45 to 120 EUR")
    row.get_by_role("textbox").fill("82.50")
    row.get_by_role("button", name="Keep").click()
    own = page.locator("section").filter(has=page.get_by_role("heading", name="Own prices"))
    expect(own).to_contain_text("82.50 EUR")
    expect(own).to_contain_text("built in: 45 to 120 EUR")
    fits(page)
    is_accessible(page)
    own.get_by_role("button", name="Put the built-in back").click()
    expect(own).to_contain_text("None yet")
    assert store.book() == Book()


def test_a_first_call_is_told_roughly_and_taken(open_page: Open, maker: Maker) -> None:
    page = open_page(reverse("first_call"))
    page.get_by_label("What car is it?").fill("coupé from a damp garage")
    page.get_by_label("From which year?").fill("1994")
    page.get_by_label("What is the fixed sum?").fill("1,800")
    page.get_by_role("radio", name="hard worn").check()
    page.get_by_role("group", name="What hurts most?").get_by_role("checkbox", name="front seats").check()
    page.get_by_role("button", name="What can this sum do?").click()
    expect(page.get_by_text("Working out what the sum can do")).to_be_visible()
    assert make_next(maker)
    expect(page.get_by_text("Rough: guessed from usual wear.")).to_be_visible(timeout=10_000)
    expect(page.get_by_text("is being worked out")).to_be_visible()
    for _try in range(100):
        if answer_next(maker):
            break
        page.wait_for_timeout(200)  # until the page has asked
    expect(page.get_by_text("a step worse or better than guessed")).to_be_visible(timeout=10_000)
    fits(page)
    is_accessible(page)
    page.get_by_role("button", name="Take it").click()
    expect(page.get_by_text("now look at the car")).to_be_visible()
    assert [each.seen for each in store.jobs()] == [0]


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_every_screen_fits_and_is_accessible(open_page: Open, key: str, scheme: str) -> None:
    plan = keep_plan(key)
    keep_answer(plan, REPLAY)
    page = open_page(reverse("buying", args=[key]), color_scheme=scheme)
    page.locator("summary").first.click()
    checked(page)
    page.goto(reverse("quote", args=[key]))
    for each in page.locator(".dealings summary").all():
        each.click()
    checked(page)
    for name in ("first_call", "shop_book", "sellers", "shop", "shown", "own_treatments", "book_revisions", "facts"):
        page.goto(reverse(name))
        for each in page.locator("summary").all()[:2]:
            each.click()
        checked(page)
    for address in (
        reverse("new_treatment") + "?family=carpet&family=vinyl",
        reverse("shop_book") + "?q=leather",
        reverse("facts_table", args=["materials"]),
        reverse("fact", args=["treatments", "wheel_rewrap"]),
    ):
        page.goto(address)
        checked(page)


def checked(page: Page) -> None:
    expect(page.locator("main")).to_be_visible()
    fits(page)
    is_accessible(page)


def test_it_all_works_without_scripts(open_page: Open, key: str) -> None:
    keep_plan(key)
    page = open_page(reverse("buying", args=[key]), java_script_enabled=False)
    hide = page.get_by_role("listitem").filter(has_text="Upholstery leather")
    hide.get_by_text("Here, or price").click()
    hide.get_by_label("Paid").fill("230")
    hide.get_by_role("button", name="Bought").click()
    expect(page.get_by_role("heading", name="Here, and paid")).to_be_visible()
    page.goto(reverse("quote", args=[key]))
    page.get_by_text("The owner paid").click()
    page.get_by_label("How much").fill("100")
    page.get_by_role("button", name="Note the payment").click()
    expect(page.locator(".account")).to_contain_text("Deposit")
    assert len(newest(key).events) == 2
