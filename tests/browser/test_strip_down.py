"""The strip-down in a browser, phone and laptop: the wait to the second, a find and a dead connection in the middle."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from time import monotonic

import pytest
from django.urls import reverse
from django.utils import timezone
from playwright.sync_api import Page, expect

from tests.browser.conftest import Console, fits, is_accessible
from tests.browser.test_walk_round import LINE_LOST, all_sent, picture
from tests.web.decided import keep_plan, newest
from trimwright.job.events import Bag, Find, Intake, Opened
from trimwright.web.jobs.maker import Maker
from trimwright.web.jobs.weigher import weigh_next

Open = Callable[..., Page]
SEAT, KNOB, CARPET = "fseat_off.driver", "knob_gear", "carpet_main"


@pytest.fixture
def maker() -> Iterator[Maker]:
    maker = Maker()
    maker.start()
    yield maker
    maker.end()


def ready(page: Page) -> Page:
    """The script has taken over."""
    expect(page.locator("#steps[data-ready]")).to_be_attached()
    return page


def taken_in(page: Page, key: str) -> None:
    """The intake, by hand."""
    page.goto(reverse("intake", args=[key]))
    page.locator(".chip", has_text=re.compile("^no$")).click()
    page.locator(".chip", has_text="lights, then goes out").click()
    page.get_by_role("button", name="Write it down").click()
    expect(page.get_by_role("button", name="Signed")).to_be_visible()


def opened(key: str) -> list[str]:
    return [each.step for each in newest(key).events if isinstance(each, Opened) and not each.back_on]


def shown(page: Page, step: str) -> None:
    expect(page.locator(f'[data-step="{step}"]')).to_be_visible()


def at_step(page: Page, key: str, step: str) -> None:
    page.goto(reverse("strip_step", args=[key, step]))
    ready(page)


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_every_screen_fits_and_is_accessible(open_page: Open, key: str, scheme: str) -> None:
    keep_plan(key)
    page = open_page(reverse("intake", args=[key]), color_scheme=scheme)
    fits(page)
    is_accessible(page)
    taken_in(page, key)
    fits(page)
    is_accessible(page)
    at_step(page, key, "battery_off")
    page.get_by_role("button", name="It is off now").click()
    all_sent(page, lambda: opened(key) == ["battery_off"])
    for address in (
        reverse("strip_down", args=[key]),
        reverse("strip_step", args=[key, "record"]),
        reverse("strip_step", args=[key, "battery_off"]),
        reverse("strip_step", args=[key, "wait"]),
        reverse("strip_step", args=[key, SEAT]),
        reverse("strip_step", args=[key, CARPET]),
        reverse("found_here", args=[key]) + f"?step={CARPET}",
    ):
        page.goto(address)
        ready(page)
        for summary in page.locator("#steps summary:visible").all():
            summary.click()
        fits(page)
        is_accessible(page)


def test_from_the_intake_to_the_first_parts_off(open_page: Open, key: str) -> None:
    keep_plan(key)
    page = open_page(reverse("strip_down", args=[key]))
    ready(page)
    expect(page.locator("[data-onward]:visible")).to_have_text("Next: Take the car in")
    taken_in(page, key)
    page.locator("label.camera", has_text="Roof").locator("input").set_input_files(picture())  # type: ignore[arg-type]
    all_sent(page, lambda: any(isinstance(each, Intake) and each.angles for each in newest(key).events))
    page.get_by_label("Who said yes").fill("Ida Brand")
    page.get_by_role("button", name="Signed").click()
    ready(page)
    page.locator("[data-onward]:visible").click()
    shown(page, "battery_off")
    page.get_by_role("button", name="It is off now").click()
    expect(page.get_by_role("heading", name="Wait", exact=True)).to_be_visible()
    expect(page.locator(".clock:visible")).to_have_text(re.compile(r"(30:00|29:5\d)"))
    page.get_by_role("link", name="Gear knob").first.click()
    shown(page, KNOB)
    screen = page.locator(f'[data-step="{KNOB}"]')
    screen.locator("input[capture]").set_input_files(picture())  # type: ignore[arg-type]
    expect(screen.locator(".thumbs img")).to_have_count(1)
    for _each in range(3):
        screen.locator(".count").nth(0).get_by_role("button", name="One more").click()
    screen.locator(".count").nth(1).get_by_role("button", name="One more").click()
    screen.get_by_role("button", name="Off: next").click()
    expect(screen).to_be_hidden()
    all_sent(page, lambda: KNOB in opened(key))
    event = next(each for each in newest(key).events if isinstance(each, Opened) and each.step == KNOB)
    bag = next(each for each in newest(key).events if isinstance(each, Bag))
    assert (bag.counted, bag.broken, len(event.photos)) == (3, 1, 1)
    page.goto(reverse("strip_down", args=[key]))
    expect(page.locator(f'[data-row="{KNOB}"]')).to_contain_text("off")
    page.locator(f'[data-row="{KNOB}"]').click()
    page.get_by_role("button", name="It is not off after all").click()
    all_sent(page, lambda: KNOB not in opened(key))
    expect(screen.get_by_role("button", name="Off: next")).to_be_visible()


def test_the_wait_is_right_to_the_second_on_every_device_and_after_a_reload(open_page: Open, key: str) -> None:
    """Two browsers, one with a clock that is an hour fast: both run down to the moment the server names."""
    keep_plan(key)
    page = open_page(reverse("intake", args=[key]))
    taken_in(page, key)
    at_step(page, key, "battery_off")
    page.get_by_role("button", name="It is off now").click()
    all_sent(page, lambda: opened(key) == ["battery_off"])
    noted = next(each.at for each in newest(key).events if isinstance(each, Opened))
    other = open_page("/")
    other.add_init_script("const real = Date.now; Date.now = () => real() + 3600000;")
    for each in (page, other, page):
        at_step(each, key, SEAT)
        expect(each.locator(f'[data-step="{SEAT}"] [data-while-held]')).to_be_disabled()
        each.wait_for_timeout(600)
        told = each.locator(f'[data-step="{SEAT}"] .clock').inner_text()
        minutes, seconds = map(int, told.split(":"))
        left = 30 * 60 - (timezone.now() - noted).total_seconds()
        assert abs(minutes * 60 + seconds - left) <= 1.5
    assert opened(key) == ["battery_off"]


def test_a_find_in_the_middle_with_its_three_answers(open_page: Open, key: str, maker: Maker, console: Console) -> None:
    console.expect("422")
    keep_plan(key)
    page = open_page(reverse("intake", args=[key]))
    taken_in(page, key)
    at_step(page, key, KNOB)
    page.locator(f'[data-step="{KNOB}"]').get_by_role("link", name="found something").click()
    shown(page, "found")
    page.locator("[data-step=found] input[type=file]").set_input_files(picture())  # type: ignore[arg-type]
    page.get_by_label("In a few words").fill("lever bent")
    page.locator(".chip", has_text="heavy").click()
    page.locator("[data-step=found] summary").click()
    page.get_by_role("button", name="What does it come to?").click()
    expect(page.locator(".problems")).to_contain_text("Money it takes: Nobody knows what this takes")
    page.locator(".problems button").click()
    expect(page.get_by_label("In a few words")).to_have_value("lever bent")
    page.get_by_label("Money it takes").fill("60")
    page.get_by_role("button", name="What does it come to?").click()
    expect(page.get_by_role("heading", name="Lever bent")).to_be_visible()
    expect(page.get_by_text("Working out what each answer comes to")).to_be_visible()
    assert weigh_next(maker)
    for name in ("The reserve pays", "Others are dropped for it", "It is left and recorded"):
        expect(page.get_by_text(name, exact=True)).to_be_visible()
    fits(page)
    is_accessible(page)
    page.get_by_label("Who said yes").fill("Ida Brand")
    page.get_by_role("button", name="Note the answer").click()
    ready(page)
    [find] = [each for each in newest(key).events if isinstance(each, Find)]
    assert (find.answer, find.money.likely, len(find.photos)) == ("from the reserve", 6000, 1)
    assert find.yes is not None
    assert find.yes.name == "Ida Brand"
    expect(page.get_by_text("Found, and no answer yet")).to_be_hidden()


def test_a_hold_says_that_what_would_end_it_is_not_sent_yet(open_page: Open, key: str, console: Console) -> None:
    console.expect(LINE_LOST)
    keep_plan(key)
    page = open_page(reverse("intake", args=[key]))
    taken_in(page, key)
    page.goto(reverse("strip_down", args=[key]))
    ready(page)
    page.context.set_offline(True)
    page.locator('[data-row="battery_off"]').click()
    page.locator('[data-step="battery_off"]').get_by_role("button", name="It is off now").click()
    waits = page.locator('[data-step="wait"]')
    expect(waits).to_contain_text("The battery's negative is not noted as off")
    expect(waits.locator(".when-unsent")).to_be_visible()
    page.context.set_offline(False)
    page.reload()
    ready(page)
    all_sent(page, lambda: opened(key) == ["battery_off"])
    expect(page.locator('[data-step="wait"] .when-unsent')).to_be_hidden()


def test_a_dead_connection_in_the_middle_loses_nothing(open_page: Open, key: str, console: Console) -> None:
    console.expect(LINE_LOST)
    keep_plan(key)
    page = open_page(reverse("intake", args=[key]))
    taken_in(page, key)
    page.goto(reverse("strip_down", args=[key]))
    ready(page)
    page.context.set_offline(True)
    page.locator(f'[data-row="{KNOB}"]').click()
    shown(page, KNOB)
    screen = page.locator(f'[data-step="{KNOB}"]')
    screen.locator("input[capture]").set_input_files(picture())  # type: ignore[arg-type]
    expect(screen.locator(".thumbs img")).to_have_count(1)
    screen.locator(".count").nth(0).locator("input").fill("2")
    screen.get_by_role("button", name="Off: next").click()
    expect(screen).to_be_hidden()
    expect(page.locator("[data-waiting]")).to_contain_text("no connection, 2 waiting")
    page.locator("[data-step]:visible").get_by_role("link", name=re.compile("found something|all steps")).first.click()
    if page.locator("[data-step=found]:visible").count():
        page.get_by_label("In a few words").fill("lever bent")
        page.locator("[data-step=found] summary").click()
        page.get_by_label("Money it takes").fill("60")
        page.get_by_role("button", name="What does it come to?").click()
        expect(page.locator("[data-step=found]")).to_be_hidden()
        expect(page.locator("[data-waiting]")).to_contain_text("3 waiting")
    page.locator(".where a").click()
    expect(page.locator(f'[data-row="{KNOB}"]')).to_contain_text("waiting")
    assert opened(key) == []
    page.context.set_offline(False)
    page.reload()  # what waits outlasts it
    ready(page)
    all_sent(page, lambda: opened(key) == [KNOB])
    until = monotonic() + 10
    while not any(isinstance(each, Find) for each in newest(key).events) and monotonic() < until:
        page.wait_for_timeout(50)
    event = next(each for each in newest(key).events if isinstance(each, Opened))
    bag = next(each for each in newest(key).events if isinstance(each, Bag))
    assert (len(event.photos), bag.counted) == (1, 2)
    assert [each.what for each in newest(key).events if isinstance(each, Find)] == ["lever bent"]
    expect(page.locator(f'[data-row="{KNOB}"]')).to_contain_text("off")


def test_noted_too_early_it_waits_by_itself_and_is_not_lost(open_page: Open, key: str, console: Console) -> None:
    """A page that was left open before the battery came off may send a restraint step: it is kept until the hold is
    over, and never noted before."""
    console.expect("422")
    keep_plan(key)
    page = open_page(reverse("intake", args=[key]))
    taken_in(page, key)
    at_step(page, key, "battery_off")
    page.get_by_role("button", name="It is off now").click()
    all_sent(page, lambda: opened(key) == ["battery_off"])
    at_step(page, key, SEAT)
    page.evaluate(
        """() => { const form = document.querySelector('[data-step="fseat_off.driver"] form[data-tell=off]');
                   const button = form.querySelector('[data-settles]'); button.removeAttribute('data-while-held');
                   button.disabled = false; form.requestSubmit(button); }"""
    )
    expect(page.locator("[data-waiting]")).to_contain_text("1 waiting")
    page.wait_for_timeout(1000)
    assert opened(key) == ["battery_off"]
    expect(page.locator(".problems")).to_have_count(0)
    page.reload()
    ready(page)
    expect(page.locator("[data-waiting]")).to_contain_text("1 waiting")


def test_what_one_device_notes_the_other_shows(open_page: Open, key: str) -> None:
    keep_plan(key)
    phone = open_page(reverse("intake", args=[key]))
    taken_in(phone, key)
    laptop = open_page(reverse("strip_down", args=[key]))
    ready(laptop)
    at_step(phone, key, KNOB)
    phone.locator(f'[data-step="{KNOB}"]').get_by_role("button", name="Off: next").click()
    all_sent(phone, lambda: opened(key) == [KNOB])
    laptop.evaluate("document.dispatchEvent(new Event('visibilitychange'))")
    expect(laptop.locator(f'[data-row="{KNOB}"]')).to_contain_text("off")
