"""The rebuild in a browser, on a phone and on a table: holds that lock, a bag's code, a dead connection, the keys."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import timedelta

import pytest
from django.urls import reverse
from playwright.sync_api import Page, expect
from pytest_django.live_server_helper import LiveServer

from tests.browser.conftest import Console, fits, is_accessible
from tests.plan.small_cabin import VISOR
from tests.web.decided import newest
from tests.web.test_ending import NEW_BELT, TIGHT
from tests.web.test_rebuild import (
    BACK_SEAT,
    BACK_SILL,
    BACK_VISOR,
    SEAT,
    VISOR_STEP,
    begun,
    done,
    opened,
    ready_sill,
    then,
)
from trimwright.job.events import Bag, HandedOver, Opened, Snag, Tightened
from trimwright.job.events import Tested as Made

Open = Callable[..., Page]

CAMERA = """
  // a camera whose picture always shows the label, and a detector that reads it
  window.BarcodeDetector = class {
    static async getSupportedFormats() { return ["qr_code"]; }
    async detect() { return [{ rawValue: "%s" }]; }
  };
  const shown = () => {
    const canvas = document.createElement("canvas");
    const pen = canvas.getContext("2d");
    setInterval(() => pen.fillRect(Math.random() * 9, 0, 9, 9), 50);
    return canvas.captureStream(20);
  };
  Object.defineProperty(navigator, "mediaDevices", { value: { getUserMedia: async () => shown() } });
"""


@pytest.fixture(autouse=True)
def expected(live_server: LiveServer, console: Console) -> None:  # noqa: ARG001
    """What is refused on purpose, and a line that is cut."""
    console.expect("422")
    console.expect("ERR_INTERNET_DISCONNECTED")


def ready(page: Page) -> Page:
    expect(page.locator("#steps")).to_have_attribute("data-ready", "")
    return page


def at(open_page: Open, key: str, move: str) -> Page:
    return ready(open_page(reverse("rebuild_step", args=[key, move])))


def shown(page: Page, move: str) -> Page:
    expect(page.locator(f'[data-step="{move}"]')).to_be_visible()
    return page


def until(page: Page, so: Callable[[], bool]) -> None:
    """Wait for what the server has."""
    for _try in range(100):
        if so():
            return
        page.wait_for_timeout(50)
    raise AssertionError("it never came to be so")


def test_from_the_overview_to_a_part_that_is_back(open_page: Open) -> None:
    key = ready_sill()
    page = ready(open_page(reverse("rebuild", args=[key])))
    expect(page.get_by_role("heading", name="Can be made now")).to_be_visible()
    fits(page)
    is_accessible(page)
    page.locator("a[data-onward]").click()
    shown(page, BACK_SILL)
    fits(page)
    is_accessible(page)
    step = page.locator(f'[data-step="{BACK_SILL}"]')
    step.get_by_role("button", name="It is back").click()
    shown(page, BACK_SILL)  # the browser asks about the bag first
    step.get_by_label("Something is left over").check()
    step.get_by_role("button", name="It is back").click()
    shown(page, BACK_SILL)  # and for the reason
    step.get_by_label("What is left over").fill("a washer of an earlier repair")
    step.get_by_label("Minutes it took").fill("9")
    step.get_by_role("button", name="It is back").click()
    until(page, lambda: any(isinstance(each, Bag) and each.state == "written off" for each in newest(key).events))
    back = next(each for each in reversed(newest(key).events) if isinstance(each, Opened))
    assert (back.back_on, back.minutes) == (True, 9)
    shown(page, "battery_on")
    expect(page.locator("[data-count]")).to_contain_text("3 of 4 made")


def test_a_wait_runs_down_and_locks_the_button(open_page: Open) -> None:
    key = begun(opened(VISOR_STEP), {"kind": "check", "what": "clips in hand"})
    then(key, done(VISOR), timedelta(hours=11, minutes=30))
    page = at(open_page, key, BACK_VISOR)
    step = page.locator(f'[data-step="{BACK_VISOR}"]')
    expect(step.locator(".clock")).to_have_text(re.compile(r"^(29|30):\d\d$"))
    expect(step.locator(".hold")).to_contain_text("has not had its wait")
    expect(step.get_by_role("button", name="It is back")).to_be_disabled()
    fits(page)
    is_accessible(page)


def test_a_seats_torque_is_entered_ticked_and_told_in_both_units(open_page: Open) -> None:
    key = begun(opened("battery_off"), opened(SEAT))
    page = at(open_page, key, BACK_SEAT)
    step = page.locator(f'[data-step="{BACK_SEAT}"]')
    expect(step).to_contain_text("Blank: the car’s own book says it, and nothing else.")
    step.get_by_label("By the car’s own book").fill("34 lbf·ft")
    step.get_by_label("Where it stands in the book").fill("seats, 2")
    step.get_by_role("button", name="Keep the figure").click()
    expect(step.locator(".figure")).to_have_text("46.1 N·m (34 lbf·ft)")
    fits(page)
    is_accessible(page)
    step.get_by_role("button", name="Tightened").click()
    expect(step).to_contain_text("tightened to 46.1 N·m (34 lbf·ft)")
    ticked = next(each for each in reversed(newest(key).events) if isinstance(each, Tightened))
    assert ticked.newton_metres == 46.1
    step.get_by_label("Who, trained for it").fill("R. Osei")
    step.get_by_label("Empty: every fixing is back in").check()
    step.get_by_role("button", name="It is back").click()
    until(page, lambda: any(isinstance(each, Opened) and each.back_on for each in newest(key).events))


def test_without_a_line_it_waits_and_is_sent_when_the_line_is_back(open_page: Open) -> None:
    key = ready_sill()
    page = at(open_page, key, BACK_SILL)
    page.context.set_offline(True)
    step = page.locator(f'[data-step="{BACK_SILL}"]')
    step.get_by_label("Empty: every fixing is back in").check()
    step.get_by_role("button", name="It is back").click()
    expect(page.locator("[data-waiting]")).to_contain_text("1 waiting")
    assert not any(isinstance(each, Opened) and each.back_on for each in newest(key).events)
    page.context.set_offline(False)
    until(page, lambda: any(isinstance(each, Opened) and each.back_on for each in newest(key).events))
    expect(page.locator("[data-waiting]")).to_be_hidden()


def test_the_camera_reads_a_code_and_the_bag_opens_its_step(open_page: Open) -> None:
    key = ready_sill()
    page = open_page("/")
    page.add_init_script(CAMERA % "small/sill_plate.driver")
    page.goto(reverse("rebuild", args=[key]))
    ready(page)
    page.get_by_role("button", name="Scan").click()
    shown(page, BACK_SILL)
    assert page.url.endswith(reverse("rebuild_step", args=[key, BACK_SILL]))


def test_a_typed_name_opens_it_too_and_a_strange_code_says_so(open_page: Open) -> None:
    key = ready_sill()
    page = ready(open_page(reverse("rebuild", args=[key])))
    page.get_by_label("What stands on the bag").fill("nothing like it")
    page.get_by_role("button", name="Open", exact=True).click()
    expect(page.get_by_text("No bag of this job is called so.")).to_be_visible()
    expect(page.get_by_label("What stands on the bag")).to_have_value("nothing like it")
    fits(page)
    is_accessible(page)
    page.get_by_label("What stands on the bag").fill("sill_plate.driver")
    page.get_by_role("button", name="Open", exact=True).click()
    shown(ready(page), BACK_SILL)


def test_from_a_snag_over_the_signed_sheet_to_the_keys(open_page: Open) -> None:
    key = begun(*NEW_BELT, *TIGHT)
    page = open_page(reverse("snags", args=[key]))
    page.get_by_label("What is not right").fill("visor drops over bumps")
    page.get_by_role("button", name="Add the snag").click()
    fits(page)
    is_accessible(page)
    page.goto(reverse("hand_over", args=[key]))
    expect(page.get_by_role("heading", name="3 things keep the car here")).to_be_visible()
    page.get_by_label("Who said yes").fill("Kim")
    page.get_by_role("button", name="The keys are back").click()
    expect(page.locator("section[role=alert]")).to_contain_text("isor drops over bumps")
    expect(page.get_by_label("Who said yes")).to_have_value("Kim")
    fits(page)
    is_accessible(page)
    page.get_by_role("link", name=re.compile("isor drops")).click()
    page.get_by_label("Minutes it took").fill("20")
    page.get_by_role("button", name="Put right").click()
    expect(page.get_by_text("No snag is open.")).to_be_visible()

    page.goto(reverse("final_tests", args=[key]))
    for chip in page.locator('label:has(input[value="passed"])').all():
        chip.click()
    page.get_by_role("button", name="Keep what is tried").click()
    expect(page.get_by_text("Say who of licensed practice made it.")).to_be_visible()
    fits(page)
    is_accessible(page)
    page.get_by_label("Who of licensed practice looked").fill("the dealer’s workshop")
    page.get_by_role("button", name="Keep what is tried").click()
    expect(page.locator(".where")).to_contain_text("18 of 18 settled")
    page.get_by_label("Who said yes").fill("Sam")
    page.get_by_role("button", name="Sign for the whole sheet").click()
    expect(page.get_by_text(re.compile("^Sam, "))).to_be_visible()
    assert [each.yes.name for each in newest(key).events if isinstance(each, Made) and each.yes] == ["Sam"]
    assert [each.minutes for each in newest(key).events if isinstance(each, Snag)] == [20]

    page.goto(reverse("hand_over", args=[key]))
    page.get_by_label("Who said yes").fill("Kim")
    page.get_by_role("button", name="The keys are back").click()
    expect(page.get_by_text("Kim took the car over")).to_be_visible()
    assert any(isinstance(each, HandedOver) for each in newest(key).events)


def test_without_scripts_the_same_forms_do(open_page: Open) -> None:
    key = ready_sill()
    page = open_page(reverse("rebuild_step", args=[key, BACK_SILL]), java_script_enabled=False)
    step = page.locator(f'[data-step="{BACK_SILL}"]')
    step.get_by_label("Something is left over").check()
    step.get_by_label("Minutes it took").fill("11")
    step.get_by_role("button", name="It is back").click()
    expect(step.get_by_role("alert")).to_contain_text("Nothing is left over without a reason")
    expect(step.get_by_label("Minutes it took")).to_have_value("11")
    step.get_by_label("Empty: every fixing is back in").check()
    step.get_by_role("button", name="It is back").click()
    assert any(isinstance(each, Opened) and each.back_on for each in newest(key).events)
