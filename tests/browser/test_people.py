"""Owner and hand at the door and on their pages, and the list of jobs, on a phone and on a table."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from playwright.sync_api import Page
from pytest_django import Settings

from tests.browser.conftest import Console, expect, fits, is_accessible
from tests.plan.small_cabin import small_job
from tests.web.conftest import LAPTOP
from tests.web.decided import keep_plan
from tests.web.test_bench import keep_calendar
from tests.web.test_workload import lay_out
from trimwright.web.jobs import shared_calendar, store
from trimwright.web.serving import begin_owner

OWNER, HAND = ("Robin", "needle and thread"), ("Kim", "awl and wax thread")


def come_in(page: Page, name: str, passphrase: str) -> None:
    page.get_by_label("Name").fill(name)
    page.get_by_label("Passphrase").fill(passphrase)
    page.get_by_role("button", name="Come in").click()


def test_the_owner_adds_a_hand_who_comes_in_notes_and_is_shown_no_money_to_change(
    open_page: Callable[..., Page], key: str, settings: Settings, console: Console
) -> None:
    console.expect("422|403")
    begin_owner(*OWNER)
    settings.GUARDED = True
    owner = open_page("/settings/people/")
    is_accessible(owner)
    fits(owner)
    come_in(owner, OWNER[0], "not it at all")
    expect(owner.get_by_text("That is not the name and the passphrase.")).to_be_visible()
    come_in(owner, *OWNER)
    expect(owner.get_by_role("heading", name="People")).to_be_visible()
    owner.get_by_label("Name").fill(HAND[0])
    owner.get_by_label("Passphrase", exact=True).fill(HAND[1])
    owner.get_by_label("Once more").fill(HAND[1])
    owner.get_by_role("button", name="Add").click()
    expect(owner.get_by_text("Kim has an account.")).to_be_visible()
    is_accessible(owner)
    fits(owner)
    owner.get_by_role("link", name="Change").last.click()
    expect(owner.get_by_role("button", name="Put away")).to_be_visible()
    is_accessible(owner)
    fits(owner)

    hand = open_page(f"/jobs/{key}/walk-round/")
    come_in(hand, *HAND)
    expect(hand.get_by_role("heading", name="Walk-round")).to_be_visible()
    expect(hand.get_by_role("link", name="Quote")).to_have_count(0)
    expect(hand.get_by_role("link", name="Shop book")).to_have_count(0)
    hand.goto("/shop-book/")
    expect(hand.get_by_text("This is not open to you")).to_be_visible()
    is_accessible(hand)
    hand.goto("/")
    expect(hand.get_by_role("link", name="New job")).to_have_count(0)
    fits(hand)


def test_two_jobs_stand_side_by_side_one_is_put_away_brought_back_and_deleted(
    open_page: Callable[..., Page], key: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(shared_calendar, "SECONDS", 0.2)
    keep_calendar(keep_plan(key))
    other = store.start_job(small_job().model_copy(update={"name": "the other"}), LAPTOP).key
    keep_calendar(keep_plan(other))
    lay_out()
    page = open_page("/")
    expect(page.locator(".standing")).to_have_count(2)
    expect(page.locator(".calendar-picture:visible svg")).to_have_count(2)
    is_accessible(page)
    fits(page)
    page.get_by_text("As a table").click()
    expect(page.locator("#together td").first).to_be_visible()
    fits(page)
    page.get_by_role("link", name="the other", exact=True).click()
    page.get_by_role("button", name="Put away").click()
    expect(page.locator(".standing")).to_have_count(1)
    page.get_by_text("One job put away").click()
    is_accessible(page)
    fits(page)
    page.get_by_role("link", name="Delete").click()
    expect(page.get_by_role("link", name="Bundle with photos")).to_be_visible()
    is_accessible(page)
    fits(page)
    page.get_by_role("checkbox", name="I have its bundle").check()
    page.get_by_role("button", name="Delete for good").click()
    expect(page.get_by_text("the other is deleted.")).to_be_visible()
    assert [each.key for each in store.jobs()] == [key]
