"""The Verdicts stage in a browser: decide, slide, pin, decide again, unpin; wishes; one part on a phone; no scripts."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator

import pytest
from django.urls import reverse
from playwright.sync_api import Page, expect

from tests.browser.conftest import Console, fits, is_accessible
from tests.web.conftest import LAPTOP
from tests.web.decided import answered_once, decided_once, keep_answer, keep_plan, newest
from trimwright.job.edits import EDIT, SetField
from trimwright.web.jobs import store
from trimwright.web.jobs.answering import STAIRS, WHY
from trimwright.web.jobs.maker import Maker
from trimwright.web.jobs.planner import answer_next, make_next

Open = Callable[..., Page]
CARPET = "carpet"
LESS = SetField(path=("money", "sum"), value=100_000)


@pytest.fixture
def maker() -> Iterator[Maker]:
    maker = Maker()
    yield maker
    maker.end()


def test_decide_slide_pin_decide_again_and_unpin(open_page: Open, key: str, maker: Maker) -> None:
    page = open_page(reverse("verdicts", args=[key]))
    expect(page.get_by_text("The verdicts are being decided")).to_be_visible()
    assert make_next(maker)
    expect(page.locator('[id="row-carpet"]')).to_contain_text("5 → 8")

    while answer_next(maker):
        pass
    slider = page.get_by_label("Slide to another sum")
    expect(slider).to_be_visible()
    before = page.locator("[data-stair=sum]").inner_text()
    slider.press("End")
    expect(page.locator("[data-stair=sum]")).not_to_have_text(before)
    expect(page.locator("[data-stair-changes] li").first).to_contain_text(re.compile("▲ better|▼ less|◆ otherwise"))
    expect(page.locator("#take-sum")).to_have_value(page.locator("[data-stair=sum]").inner_text())

    page.locator(f'[data-part-row="{CARPET}"]').click()
    expect(page).to_have_url(re.compile(f"parts/{CARPET}/$"))
    expect(page.locator("#opened")).to_be_focused()
    assert answer_next(maker)
    expect(page.locator("#opened .option .price").nth(1)).to_contain_text(re.compile("costs|as good|does not fit"))

    page.get_by_role("button", name="Pin leave as it is").click()
    expect(page.locator("#opened .deciding-again")).to_be_visible()
    expect(page.get_by_role("button", name="Take the pin away")).to_be_visible()
    assert newest(key).part(CARPET).pin == "leave"
    assert make_next(maker)
    expect(page.locator("#opened h2")).to_contain_text("pinned")
    page.get_by_role("link", name="All parts").click()
    expect(page.locator('[id="row-carpet"]')).to_contain_text("▼ less")
    expect(page.locator(".changed")).to_contain_text("freed")

    page.locator(f'[data-part-row="{CARPET}"]').click()
    page.locator("#opened").get_by_role("button", name="Take the pin away").click()
    expect(page.locator("#opened .deciding-again")).to_be_visible()
    assert newest(key).part(CARPET).pin is None
    assert make_next(maker)
    expect(page.locator("#opened .deciding-again")).to_have_count(0)
    page.get_by_role("link", name="All parts").click()
    expect(page.locator('[id="row-carpet"]')).to_contain_text("▲ better")


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_every_state_fits_and_is_accessible(open_page: Open, key: str, scheme: str) -> None:
    page = open_page(reverse("verdicts", args=[key]), color_scheme=scheme)
    for_all(page)
    plan = keep_plan(key)
    page.reload()
    for_all(page)
    keep_answer(plan, STAIRS)
    keep_answer(plan, WHY + CARPET)
    page.reload()
    for each in page.locator("details").all():
        each.evaluate("each => { each.open = true; }")
    for_all(page)
    page.goto(reverse("verdict_part", args=[key, CARPET]))
    for each in page.locator("#opened details").all():
        each.evaluate("each => { each.open = true; }")
    for_all(page)
    store.edit_job(key, LESS, LAPTOP, seen=1)
    page.goto(reverse("verdicts", args=[key]))
    for_all(page)
    keep_plan(key, decided_once(EDIT.dump_json(LESS).decode()))
    page.goto(reverse("verdicts", args=[key]) + "?colour=changed")
    expect(page.locator(".changed")).to_be_visible()
    for_all(page)


def for_all(page: Page) -> None:
    expect(page.locator("#board")).to_be_visible()
    fits(page)
    is_accessible(page)


def test_a_wish_is_sent_as_it_is_moved_and_the_slider_keeps_the_focus(open_page: Open, key: str) -> None:
    keep_plan(key)
    page = open_page(reverse("verdicts", args=[key]))
    dash = page.get_by_label("dash", exact=True)
    dash.focus()
    with page.expect_response(lambda answer: answer.request.method == "GET" and answer.url.endswith("/verdicts/")):
        page.keyboard.press("ArrowRight")
    expect(page.locator(".deciding-again").first).to_be_visible()
    expect(dash).to_have_value("1.25")
    expect(dash).to_be_focused()
    assert dict(newest(key).wishes.zones) == {"dash": 1.25}
    page.keyboard.press("ArrowRight")
    expect(page.locator(".deciding-again li")).to_have_count(2)
    assert dict(newest(key).wishes.zones) == {"dash": 1.5}
    page.get_by_role("button", name="Undo").click()
    assert dict(newest(key).wishes.zones) == {"dash": 1.25}


def test_a_part_is_opened_from_the_cabin_plan_and_back_closes_it(open_page: Open, key: str) -> None:
    keep_plan(key)
    page = open_page(reverse("verdicts", args=[key]))
    page.locator(f'.cabin [data-part="{CARPET}"]').dispatch_event("click", {"button": 0})
    expect(page.locator("#opened h2")).to_contain_text("Main carpet")
    expect(page.locator(f'[data-part-row="{CARPET}"]')).to_have_attribute("aria-current", "true")
    page.go_back()
    expect(page.locator("#opened h2")).to_have_count(0)
    expect(page.locator("#wishes")).to_be_visible()
    page.go_forward()
    expect(page.locator("#opened h2")).to_contain_text("Main carpet")
    page.reload()
    expect(page.locator("#opened h2")).to_contain_text("Main carpet")


def test_what_is_typed_is_not_lost_when_the_verdicts_come(open_page: Open, key: str) -> None:
    plan = keep_plan(key)
    keep_answer(plan, STAIRS)
    page = open_page(reverse("verdicts", args=[key]))
    page.get_by_label("dash", exact=True).press("ArrowRight")
    expect(page.locator(".deciding-again").first).to_be_visible()
    field = page.get_by_label("hours on hand")
    field.click()
    page.keyboard.type("80")
    keep_plan(key)
    expect(page.locator("#strip")).not_to_contain_text("Deciding", timeout=10_000)
    expect(field).to_have_value("80")
    with page.expect_response(re.compile("/wishes/")):
        field.press("Enter")
    expect(page.locator(".news")).to_contain_text("80")
    assert newest(key).time.hours == 80


def test_the_sum_of_a_stair_is_taken(open_page: Open, key: str) -> None:
    keep_answer(keep_plan(key), STAIRS)
    page = open_page(reverse("verdicts", args=[key]))
    page.get_by_label("Slide to another sum").press("End")
    page.get_by_role("button", name="Take this sum").click()
    expect(page.locator("#strip")).to_contain_text("Deciding")
    assert newest(key).money.sum == answered_once(STAIRS)["stairs"][-1]["sum"]


def test_two_devices_that_pin_the_same_part_are_asked(open_page: Open, key: str, console: Console) -> None:
    console.expect("409")
    keep_plan(key)
    page = open_page(reverse("verdict_part", args=[key, CARPET]))
    store.edit_job(key, SetField(path=("parts", CARPET, "pin"), value="carpet_wash"), LAPTOP, seen=1)
    page.get_by_role("button", name="Pin leave as it is").click()
    expect(page.get_by_role("heading", name="Changed meanwhile")).to_be_visible()
    page.get_by_role("button", name="Mine stands").click()
    expect(page.get_by_role("heading", level=1)).to_be_visible()
    assert newest(key).part(CARPET).pin == "leave"


def test_everything_works_without_scripts(open_page: Open, key: str) -> None:
    keep_answer(keep_plan(key), STAIRS)
    page = open_page(reverse("verdicts", args=[key]), java_script_enabled=False)
    page.get_by_role("link", name="money", exact=True).click()
    page.locator(".stairs summary").click()
    page.locator("[data-to-stair]").last.click()
    expect(page.locator("[data-stair=finish]")).to_have_text(str(answered_once(STAIRS)["stairs"][-1]["finish"]))
    page.locator(f'[data-part-row="{CARPET}"]').click()
    page.get_by_role("button", name="Pin leave as it is").click()
    assert newest(key).part(CARPET).pin == "leave"
    page.get_by_role("link", name="All parts").click()
    page.locator("#wish-years").fill("5")
    page.locator("#wishes-form").get_by_role("button", name="Re-decide").click()
    assert newest(key).wishes.years == 5
