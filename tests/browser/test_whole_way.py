"""The whole way in one browser: from nothing, over the walk-round and the verdicts, to a signed quote and an order."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import fits
from tests.browser.test_walk_round import Hand, all_sent, ready
from tests.web.decided import newest
from trimwright.job.events import Ordered, Promised
from trimwright.web.jobs import store
from trimwright.web.jobs.maker import Maker
from trimwright.web.jobs.planner import make_next

Open = Callable[..., Page]
SOUND_PARTS = 4


@pytest.fixture
def maker() -> Iterator[Maker]:
    maker = Maker()
    yield maker
    maker.end()


def decided(page: Page, maker: Maker) -> None:
    """What has been asked for is decided, and the strip says so."""
    while make_next(maker):
        pass
    expect(page.locator("#strip")).not_to_contain_text("Deciding", timeout=15_000)


def test_from_nothing_to_a_signed_quote(open_page: Open, maker: Maker) -> None:
    page = open_page("/")
    page.get_by_role("link", name="New job").click()
    page.get_by_label("What car is it?").fill("pickup that worked for its living")
    page.get_by_label("From which year?").fill("1988")
    page.get_by_role("radio", name="pickup").check()
    page.get_by_label("What is the fixed sum?").fill("1,900")
    page.get_by_role("button", name="Begin").click()
    (row,) = store.jobs()

    page.locator("main").get_by_role("link", name="Walk-round").click()
    hand = Hand(ready(page))
    hand.tap(page.locator("[data-onward]"))
    chip = page.locator(".fault summary").first
    hand.fault(chip.locator("[data-name]").inner_text(), "medium")
    hand.photograph()
    hand.onward()
    for _ in range(SOUND_PARTS):
        hand.onward()
    all_sent(page, lambda: store.record(row.key).seen == SOUND_PARTS + 1)
    seen = newest(row.key)
    assert sum(bool(part.photos and part.faults) for part in seen.parts) == 1

    page.get_by_role("link", name="Walk-round").first.click()
    page.get_by_role("link", name="Verdicts").first.click()
    decided(page, maker)
    expect(page.locator("#strip")).to_contain_text("chance it ends inside")
    expect(page.get_by_role("heading", name="What more buys")).to_be_visible()
    fits(page)
    page.reload()
    expect(page.get_by_role("heading", name="What more buys")).to_be_visible()

    page.get_by_role("link", name="Quote").first.click()
    expect(page.get_by_alt_text("Page 1 of the quote, as in the PDF")).to_be_visible(timeout=15_000)
    page.get_by_label("Who said yes").fill("Ida Brand")
    page.get_by_label(re.compile("^How:?$")).select_option("signed")
    page.get_by_role("button", name="Yes to 1,900 EUR").click()
    expect(page.get_by_text("Ida Brand said yes on")).to_be_visible()
    (yes,) = newest(row.key).events
    assert isinstance(yes, Promised)
    assert (yes.sum, yes.yes.how) == (190_000, "signed")

    decided(page, maker)
    page.go_back()
    page.get_by_role("link", name="Buying").first.click()
    seller = page.locator(".seller").first
    seller.get_by_role("checkbox").first.check()
    seller.get_by_role("button", name="Ordered").click()
    expect(page.get_by_role("heading", name="On the way")).to_be_visible()
    assert any(isinstance(event, Ordered) for event in newest(row.key).events)
    fits(page)
