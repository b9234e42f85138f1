"""The hand-over in Chromium: a pair laid over with its slider by key, side by side without it, the book, a visit."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from playwright.sync_api import Page
from pytest_django.live_server_helper import LiveServer

from tests.browser.conftest import expect, fits, is_accessible
from tests.plan.small_cabin import VISOR
from tests.web.test_ending import events
from tests.web.test_handover import cabin, with_photos
from tests.web.test_rebuild import begun, done
from trimwright.job.events import OwnersBook, Visited
from trimwright.web.jobs.binder import work_next


@pytest.fixture(autouse=True)
def kept(live_server: LiveServer) -> None:
    """A database that the server sees too."""


def test_a_pair_is_taken_up_laid_over_and_moved_by_key(open_page: Callable[..., Page]) -> None:
    key = begun(done(VISOR))
    with_photos(key, cabin(0), cabin(20))
    page = open_page(f"/jobs/{key}/handover/")
    fits(page)
    is_accessible(page)
    page.get_by_role("button", name="Take up what is ticked").click()
    expect(page.get_by_text("Being laid over each other.")).to_be_visible()
    assert work_next()
    slider = page.get_by_role("slider", name="Before and after")
    expect(slider).to_be_visible()  # the page asks by itself
    assert slider.input_value() == "50"
    slider.focus()
    page.keyboard.press("ArrowRight")
    page.keyboard.press("ArrowRight")
    assert slider.input_value() == "52"
    later = page.locator(".laid .upper")
    assert later.evaluate("each => getComputedStyle(each).clipPath") == "inset(0px 0px 0px 52%)"
    sizes = page.locator(".laid img").evaluate_all("all => all.map(each => [each.clientWidth, each.clientHeight])")
    assert sizes[0] == sizes[1]
    fits(page)
    is_accessible(page)
    plain = open_page(f"/jobs/{key}/handover/", java_script_enabled=False)
    expect(plain.locator(".two figure")).to_have_count(2)
    expect(plain.get_by_role("slider")).to_have_count(0)


def test_the_book_is_written_and_signed_and_a_visit_noted(open_page: Callable[..., Page]) -> None:
    key = begun(done(VISOR))
    page = open_page(f"/jobs/{key}/handover/")
    page.get_by_label("Warranty, in your own words").fill("A year on sewing.")
    page.get_by_role("button", name="Keep it").click()
    signing = page.locator("#the-yes")
    signing.get_by_label("Who said yes").fill("Kim")
    signing.get_by_role("button", name="Signed").click()
    expect(page.get_by_text("Signed by Kim")).to_be_visible()
    [book] = events(key, OwnersBook)
    assert (book.warranty, book.yes.name) == ("A year on sewing.", "Kim")
    page.goto(page.url.partition("#")[0] + "visit/")
    fits(page)
    is_accessible(page)
    page.get_by_role("radio", name="it has held").first.check()
    page.get_by_role("button", name="Note the visit").click()
    expect(page.get_by_text("Seen on:")).to_be_visible()
    [seen] = events(key, Visited)
    assert (seen.part, seen.held) == (VISOR, True)
