"""The bench in a browser, phone and laptop: clocks to the second after a reload, one tap, no line, drawn dates."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any

import pytest
from django.urls import reverse
from django.utils import timezone
from playwright.sync_api import Page, expect
from pytest_django.live_server_helper import LiveServer

from tests.browser.chromium import PHONE
from tests.browser.conftest import Console, fits, is_accessible
from tests.web.decided import keep_plan, newest
from tests.web.test_bench import LONG, first_task, keep_calendar, noted
from trimwright.job.events import Air, Worked
from trimwright.web.jobs.benching import step_of

Open = Callable[..., Page]


@pytest.fixture(autouse=True)
def expected(live_server: LiveServer, console: Console) -> None:  # noqa: ARG001
    """What is refused on purpose, and a line that is cut."""
    console.expect("422")
    console.expect("ERR_INTERNET_DISCONNECTED")


@pytest.fixture
def data(key: str, live_server: LiveServer) -> dict[str, Any]:  # noqa: ARG001
    return keep_calendar(keep_plan(key))


@pytest.fixture
def waiting(key: str, data: dict[str, Any]) -> tuple[str, str, int]:
    """A task that dries, the one that waits for it, and how long [min]."""
    before = first_task(data, waits=True)
    following, wait = next(
        (each["id"], after["wait"][1])
        for each in data["calendar"]["tasks"]
        for after in each.get("after", ())
        if after["task"] == before and after["wait"][1] >= LONG
    )
    assert key
    return before, following, wait


def ready(page: Page) -> Page:
    expect(page.locator("#steps")).to_have_attribute("data-ready", "")
    return page


def at_task(open_page: Open, key: str, task: str, **options: Any) -> Page:
    return ready(open_page(reverse("bench_task", args=[key, step_of(task)]), **options))


def until(page: Page, so: Callable[[], bool]) -> None:
    """Wait for what the server has."""
    for _try in range(100):
        if so():
            return
        page.wait_for_timeout(50)
    raise AssertionError("it never came to be so")


def is_right(page: Page, over: datetime) -> None:
    """What the task's clock shows: whole seconds, rounded up, at some moment while it was being read."""
    before = timezone.now()
    told = page.locator(".step:visible .clock:visible").first.inner_text().split(":")
    after = timezone.now()
    shown = sum(int(each) * 60**at for at, each in enumerate(reversed(told)))
    tick = 0.3
    assert (over - after).total_seconds() - tick <= shown <= (over - before).total_seconds() + 1 + tick


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_every_screen_fits_and_is_accessible(
    open_page: Open, key: str, waiting: tuple[str, str, int], scheme: str
) -> None:
    before, following, _wait = waiting
    noted(key, timedelta(minutes=2), kind="worked", task=before, state="finished", minutes=9)
    noted(key, timedelta(minutes=1), kind="air", temperature=19, humidity=55)
    page = open_page(reverse("bench", args=[key]), color_scheme=scheme)
    for address in (
        reverse("bench", args=[key]),
        reverse("bench_task", args=[key, step_of(following)]),
        reverse("bench_task", args=[key, step_of(before)]),
        reverse("bench_task", args=[key, "air"]),
        reverse("bench_calendar", args=[key]),
    ):
        page.goto(address)
        for summary in page.locator("main summary:visible").all():
            summary.click()
        fits(page)
        is_accessible(page)


def test_a_clock_is_right_to_the_second_after_a_reload(
    open_page: Open, key: str, waiting: tuple[str, str, int]
) -> None:
    before, following, wait = waiting
    noted(key, timedelta(seconds=75), kind="worked", task=before, state="finished", minutes=5)
    over = newest(key).events[-1].at + timedelta(minutes=wait)
    page = at_task(open_page, key, following)
    for _again in range(2):
        page.reload()
        ready(page)
        page.wait_for_timeout(300)
        is_right(page, over)
        page.wait_for_timeout(1200)


def test_a_device_whose_clock_is_wrong_shows_the_same(open_page: Open, key: str, waiting: tuple[str, str, int]) -> None:
    before, following, wait = waiting
    noted(key, timedelta(seconds=75), kind="worked", task=before, state="finished", minutes=5)
    over = newest(key).events[-1].at + timedelta(minutes=wait)
    page = open_page(reverse("bench", args=[key]))
    page.add_init_script("const real = Date.now.bind(Date); Date.now = () => real() + 3600000;")
    page.goto(reverse("bench_task", args=[key, step_of(following)]))
    ready(page)
    page.wait_for_timeout(600)
    is_right(page, over)


def test_the_browser_tells_when_a_wait_is_over(open_page: Open, key: str, waiting: tuple[str, str, int]) -> None:
    before, following, wait = waiting
    noted(key, timedelta(minutes=wait, seconds=-6), kind="worked", task=before, state="finished", minutes=5)
    page = open_page(reverse("bench", args=[key]), permissions=["notifications"])
    page.add_init_script("""
      window.told = [];
      const show = (title, more) => { window.told.push([title, more.body]); };
      ServiceWorkerRegistration.prototype.showNotification = async (title, more) => show(title, more);
      window.Notification = Object.assign(function (title, more) { show(title, more); },
        { permission: "granted", requestPermission: async () => "granted" });
    """)
    page.goto(reverse("bench_task", args=[key, step_of(following)]))
    ready(page)
    expect(page.locator(".step:visible .hold.is-over")).to_have_count(1, timeout=9000)
    until(page, lambda: bool(page.evaluate("window.told.length")))
    assert page.evaluate("window.told[0][1]") == "The wait is over."


def test_where_no_notice_can_be_shown_the_page_says_so(
    open_page: Open, key: str, waiting: tuple[str, str, int]
) -> None:
    before, _following, _wait = waiting
    noted(key, timedelta(seconds=75), kind="worked", task=before, state="finished", minutes=5)
    page = open_page(reverse("bench", args=[key]))
    page.add_init_script("delete window.Notification;")
    page.reload()
    ready(page)
    if page.locator("[data-bell]").count():
        expect(page.locator("[data-said]")).to_contain_text("cannot tell you")


def test_one_tap_each_without_a_line(open_page: Open, key: str, data: dict[str, Any]) -> None:
    task = first_task(data)
    page = at_task(open_page, key, task)
    page.context.set_offline(True)
    page.get_by_role("button", name="Begin").click()
    expect(page.locator("[data-waiting]")).to_contain_text("no connection")
    assert not newest(key).events
    page.context.set_offline(False)
    until(page, lambda: [each.state for each in newest(key).events if isinstance(each, Worked)] == ["begun"])
    expect(page.locator(".step:visible")).to_contain_text("Begun")
    page.locator(".step:visible summary", has_text="Minutes").click()
    page.get_by_label("Minutes it took").locator("visible=true").fill("25")
    page.get_by_role("button", name="Finished").click()
    until(page, lambda: len(newest(key).events) == 2)
    last = newest(key).events[-1]
    assert isinstance(last, Worked)
    assert (last.state, last.minutes) == ("finished", 25)
    page.goto(reverse("bench_task", args=[key, step_of(task)]))
    ready(page)
    expect(page.locator(".step:visible")).to_contain_text("It took 25 min.")
    page.get_by_role("button", name="To do again").click()
    until(page, lambda: len(newest(key).events) == 3)


def test_this_mornings_air_has_it_planned_again_and_the_page_follows(
    open_page: Open, key: str, data: dict[str, Any]
) -> None:
    page = ready(open_page(reverse("bench", args=[key])))
    page.get_by_role("link", name="This morning’s air").click()
    page.get_by_label("Temperature").fill("17,5")
    page.get_by_label("Relative humidity").fill("58")
    page.get_by_role("button", name="Keep it").click()
    expect(page.get_by_text("Being planned again")).to_be_visible()
    read = newest(key).events[-1]
    assert isinstance(read, Air)
    assert (read.temperature, read.humidity) == (17.5, 58)
    expect(page.locator(".air b")).to_have_text("18 °C, 58 %")
    keep_calendar(keep_plan(key))
    expect(page.get_by_text("Being planned again")).to_have_count(0)
    assert data


def test_a_bar_that_is_drawn_sets_not_before_and_nothing_else(
    open_page: Open, key: str, data: dict[str, Any], screen: tuple[int, int]
) -> None:
    if screen == PHONE:
        pytest.skip("bars are too fine for a finger there: the form below the picture sets the dates")
    task = first_task(data)
    page = open_page(reverse("bench_calendar", args=[key]))
    bar = page.locator(f'.at-1000 [data-task="{task}"]')
    bar.scroll_into_view_if_needed()
    box = bar.locator("rect").bounding_box()
    assert box is not None
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + 60, y, steps=4)
    page.mouse.move(x + 120, y, steps=4)
    page.mouse.up()
    until(page, lambda: task in newest(key).time.pins)
    pin = newest(key).time.pins[task]
    assert pin.not_after is None
    assert pin.not_before is not None
    slot = next(each for each in data["calendar"]["slots"] if each[0] == task)
    assert pin.not_before.isoformat() > slot[1]
    expect(page.locator("#dates .rows")).to_contain_text(re.compile(r"from \d+ \w+"))
