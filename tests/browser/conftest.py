"""Real Chromium over a live server, on a phone and on a table; a console error fails the test, whatever it looked at.

Chromium is the system's; where there is none every test here is skipped and says so.
"""

from __future__ import annotations

import os
import re
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, ConsoleMessage, Page, expect
from pytest_django import Settings
from pytest_django.live_server_helper import LiveServer

from tests.browser.chromium import CHROMIUM, PHONE, QUIET, TABLE
from tests.plan.small_cabin import small_job
from tests.web.conftest import LAPTOP, own_folder
from trimwright.web.jobs import store

__all__ = ["own_folder"]

MINOR = frozenset({"minor", "moderate"})

# Playwright keeps an event loop running; Django would refuse its database in such a thread.
os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Skip loudly where there is no browser."""
    for item in items:
        if Path(__file__).parent in item.path.parents and CHROMIUM is None:
            item.add_marker(pytest.mark.skip(reason="NO CHROMIUM: apt install chromium to run the browser tests"))


@pytest.fixture(scope="session")
def browser_type_launch_args(browser_type_launch_args: dict[str, Any]) -> dict[str, Any]:
    return {**browser_type_launch_args, "executable_path": CHROMIUM, "args": list(QUIET)}


@pytest.fixture(params=[PHONE, TABLE], ids=["phone", "table"])
def screen(request: pytest.FixtureRequest) -> tuple[int, int]:
    """Both sizes."""
    size: tuple[int, int] = request.param
    return size


class Console:
    """What the page complained of; a test may expect a status it asked for itself."""

    def __init__(self) -> None:
        self.errors: list[str] = []
        self.expected: list[str] = []

    def expect(self, pattern: str) -> None:
        """Let complaints that match pass, such as "409"."""
        self.expected.append(pattern)

    def watch(self, page: Page) -> Page:
        page.on("console", self._told)
        page.on("pageerror", lambda error: self.errors.append(str(error)))
        return page

    def _told(self, message: ConsoleMessage) -> None:
        if message.type in ("error", "warning"):
            self.errors.append(f"{message.text} ({message.location.get('url', '')})")

    def unexpected(self) -> list[str]:
        return [each for each in self.errors if not any(re.search(pattern, each) for pattern in self.expected)]


@pytest.fixture
def console() -> Iterator[Console]:
    console = Console()
    yield console
    assert not console.unexpected()


@pytest.fixture
def open_page(
    browser: Browser, live_server: LiveServer, console: Console, screen: tuple[int, int], settings: Settings
) -> Iterator[Callable[..., Page]]:
    """Opens a page in a browser of its own, as another device would: `open_page("/")`, `color_scheme="dark"`."""
    settings.ALLOWED_HOSTS = ["localhost", "127.0.0.1"]
    contexts = []

    def opened(path: str, **options: Any) -> Page:
        width, height = screen
        context = browser.new_context(
            base_url=live_server.url,
            viewport={"width": width, "height": height},
            has_touch=screen == PHONE,
            locale="en-GB",
            **options,
        )
        contexts.append(context)
        page = console.watch(context.new_page())
        page.goto(path)
        return page

    yield opened
    for context in contexts:
        context.close()


@pytest.fixture
def key(live_server: LiveServer) -> str:  # noqa: ARG001
    """The small cabin, kept."""
    return store.start_job(small_job(), LAPTOP).key


def fits(page: Page) -> None:
    """Nothing hangs over the side, and whatever is touched is at least 44 px high and wide, or a word in a text."""
    wide = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
    assert wide <= 0, f"{page.url} hangs {wide} px over the side"
    small = page.evaluate(
        """() => [...document.querySelectorAll("button, .button, select, input:not([type=hidden]), .rail a, .tools a")]
            .filter(each => each.checkVisibility())
            .map(each => [each.closest("label") || each, each])
            .map(([area, each]) => [area.getBoundingClientRect(), each])
            .filter(([box]) => box.height < 43.5 || box.width < 43.5)
            .map(([box, each]) => `${each.outerHTML.slice(0, 80)} ${box.width}×${box.height}`)"""
    )
    assert not small, f"{page.url}: too small to touch"


def is_accessible(page: Page) -> None:
    """No serious fault by axe-core, whose rules test WCAG 2.2 A and AA."""
    found = Axe().run(page).response["violations"]
    serious = [
        f"{each['id']}: {each['help']}: {each['nodes'][0]['html'][:120]}"
        for each in found
        if each["impact"] not in MINOR
    ]
    assert not serious, f"{page.url}\n" + "\n".join(serious)


__all__ += ["expect"]
