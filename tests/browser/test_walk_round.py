"""The walk-round in a browser: under one hand, taps counted, with the line lost in the middle, on two devices."""

from __future__ import annotations

import io
import re
from collections.abc import Callable
from time import monotonic

import pytest
from django.urls import reverse
from PIL import Image
from playwright.sync_api import Locator, Page, expect
from pytest_django.live_server_helper import LiveServer

from tests.browser.conftest import Console, fits, is_accessible
from tests.plan.small_cabin import CUSHION, KNOB, VISOR
from tests.web.conftest import LAPTOP
from trimwright.facts import load
from trimwright.job.document import Job, Part
from trimwright.job.starting import started
from trimwright.web.jobs import store

Open = Callable[..., Page]
LINE_LOST = "ERR_INTERNET_DISCONNECTED|ERR_FAILED|Failed to fetch|htmx:(sendError|afterRequest)"
SOUND = load().practice["sound_finish"].value
PARTS, FAULTED = 20, 8


@pytest.fixture
def twenty(live_server: LiveServer) -> str:  # noqa: ARG001
    """A cabin of twenty parts that nobody has seen yet."""
    job = started(
        load(),
        car={"text": "two-door left in a yard", "year": 1994, "body": "two-door"},
        money={"currency": "EUR", "sum": 240_000},
    )
    parts = [part for part in job.parts if not load().parts[part.kind].is_restraint][:PARTS]
    return store.start_job(job.model_copy(update={"parts": tuple(parts)}), LAPTOP).key


def walk(open_page: Open, key: str, part: str | None = None, **options: object) -> Page:
    page = open_page(address(key, part), **options)
    return ready(page)


def address(key: str, part: str | None = None) -> str:
    return reverse("survey_part", args=[key, part]) if part else reverse("walk_round", args=[key])


def ready(page: Page) -> Page:
    """The script has taken over."""
    expect(page.locator("#walk[data-ready]")).to_be_attached()
    return page


def all_sent(page: Page, becomes: Callable[[], bool] = lambda: True) -> None:
    """Nothing waits any more, and it `becomes` so within a while; what is there for good is asserted by the test."""
    until = monotonic() + 15
    while not becomes() and monotonic() < until:
        page.wait_for_timeout(50)
    assert becomes()
    expect(page.locator("[data-waiting]")).to_be_hidden(timeout=15_000)


def now(key: str) -> Job:
    return store.job_at(key, store.record(key).revision)


def part_now(key: str, part: str) -> Part:
    return now(key).part(part)


def picture() -> dict[str, object]:
    into = io.BytesIO()
    Image.new("RGB", (1200, 900), "#7a6a58").save(into, "JPEG")
    return {"name": "seat.jpg", "mimeType": "image/jpeg", "buffer": into.getvalue()}


class Hand:
    """A finger that counts; the camera's own taps are the phone's."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.taps = 0

    def tap(self, what: Locator) -> None:
        what.click()
        self.taps += 1

    def onward(self) -> None:
        before = self.page.locator("[data-title]").inner_text()
        self.tap(self.page.locator("[data-primary]"))
        expect(self.page.locator("[data-title]")).not_to_have_text(before)

    def fault(self, name: str, extent: str) -> None:
        chip = self.page.locator(".fault", has=self.page.locator("summary", has_text=name)).first
        self.tap(chip.locator("summary"))
        self.tap(chip.locator(".extents label", has_text=extent).first)

    def photograph(self) -> None:
        before = self.page.locator(".thumbs img").count()
        self.page.locator("input[capture]").set_input_files(picture())  # type: ignore[arg-type]
        self.taps += 1
        expect(self.page.locator(".thumbs img")).to_have_count(before + 1)


# Looks.


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_every_page_fits_and_is_accessible(open_page: Open, key: str, scheme: str) -> None:
    page = walk(open_page, key, color_scheme=scheme)
    looks = [reverse("look", args=[key, each]) for each in ("seat_base", "carpet_edge")]
    others = [reverse("equipment", args=[key]), reverse("add_part", args=[key]), *looks]
    for each in [address(key), address(key, CUSHION), address(key, "belt"), *others]:
        page.goto(each)
        ready(page)
        for details in page.locator("#walk details:visible").all():
            if not details.get_attribute("name"):
                details.locator("summary").first.click()
        fits(page)
        is_accessible(page)


# The stitches.


def test_the_stitches_are_set_by_dragging_by_a_tap_and_by_keys(open_page: Open, key: str) -> None:
    page = walk(open_page, key, CUSHION)
    slider = page.get_by_role("slider", name="Finish as it is")
    expect(slider).to_have_attribute("aria-valuenow", "3")
    box = slider.bounding_box()
    assert box
    step, middle = box["width"] / 11.5, box["y"] + box["height"] / 2

    def at(finish: int) -> float:
        return box["x"] + step * (finish + 0.5)

    page.mouse.move(at(3), middle)
    page.mouse.down()
    page.mouse.move(at(5), middle, steps=4)
    page.mouse.move(at(7), middle, steps=4)
    expect(slider).to_have_attribute("aria-valuetext", "7: good")
    page.mouse.up()
    all_sent(page, lambda: part_now(key, CUSHION).finish_now == 7)
    page.mouse.click(at(1), middle)
    all_sent(page, lambda: part_now(key, CUSHION).finish_now == 1)
    page.mouse.click(at(0), middle)
    slider.press("ArrowRight")
    slider.press("PageUp")
    expect(slider).to_have_attribute("aria-valuenow", "3")
    slider.press("End")
    all_sent(page, lambda: part_now(key, CUSHION).finish_now == 10)
    slider.press("Delete")
    expect(slider).to_have_attribute("aria-valuetext", "not seen yet")
    all_sent(page, lambda: part_now(key, CUSHION).finish_now is None)


def test_a_finger_drags_the_stitches(open_page: Open, key: str, screen: tuple[int, int]) -> None:
    if screen[0] > 500:
        pytest.skip("a table has no touch here")
    page = walk(open_page, key, CUSHION)
    box = page.get_by_role("slider").bounding_box()
    assert box
    page.touchscreen.tap(box["x"] + box["width"] / 11.5 * 4.5, box["y"] + 20)
    all_sent(page, lambda: part_now(key, CUSHION).finish_now == 4)
    finger = page.context.new_cdp_session(page)
    for kind, finish in (("touchStart", 4), ("touchMove", 5), ("touchMove", 6), ("touchEnd", 6)):
        points = [{"x": box["x"] + box["width"] / 11.5 * (finish + 0.5), "y": box["y"] + 20}]
        finger.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": [] if kind == "touchEnd" else points})
    all_sent(page, lambda: part_now(key, CUSHION).finish_now == 6)


# Taps.


def test_a_sound_part_is_one_tap(open_page: Open, twenty: str) -> None:
    first, second = now(twenty).parts[:2]
    page = walk(open_page, twenty, first.id)
    hand = Hand(page)
    hand.onward()
    assert hand.taps == 1
    expect(page.get_by_role("heading", level=1)).to_have_text(second.name)
    all_sent(page, lambda: part_now(twenty, first.id).finish_now == SOUND)


def test_a_faulted_part_with_extent_and_photo_is_at_most_eight_taps(open_page: Open, twenty: str) -> None:
    first = now(twenty).parts[0]
    page = walk(open_page, twenty, first.id)
    hand = Hand(page)
    hand.fault("scuffs", "medium") if first.material == "rim-leather" else hand.fault("dirty", "medium")
    hand.photograph()
    hand.onward()
    assert hand.taps <= 8
    all_sent(page, lambda: len(part_now(twenty, first.id).photos) == 1)
    part = part_now(twenty, first.id)
    (fault,) = part.faults
    assert fault.extent == "medium"
    assert part.finish_now == load().faults[fault.fault].caps[1]
    assert [each.name for each in store.photos(twenty)] == list(part.photos)


def test_twenty_parts_eight_of_them_faulted_are_at_most_ninety_taps(open_page: Open, twenty: str) -> None:
    page = walk(open_page, twenty)
    hand = Hand(page)
    hand.tap(page.locator("[data-onward]"))
    for number in range(PARTS):
        if number % 5 in (0, 3):
            chip = page.locator(".fault summary").first
            hand.fault(chip.locator("[data-name]").inner_text(), "heavy")
            hand.photograph()
        hand.onward()
    expect(page.locator("[data-seen]")).to_have_text(f"{PARTS} of {PARTS} seen")
    all_sent(page, lambda: store.record(twenty).seen == PARTS)
    assert sum(bool(part.faults and part.photos) for part in now(twenty).parts) == FAULTED
    assert hand.taps <= 90


# One after the other.


def test_a_region_of_the_plan_a_row_of_the_list_and_the_way_back(open_page: Open, key: str) -> None:
    page = walk(open_page, key)
    page.locator(f'[data-row="{KNOB}"]').click()
    expect(page).to_have_url(re.compile(re.escape(address(key, KNOB)) + "$"))
    expect(page.get_by_role("heading", level=1)).to_have_text("Gear knob")
    page.locator(f'.plan a[data-part="{VISOR}"]').dispatch_event("click")
    expect(page.get_by_role("heading", level=1)).to_have_text("Sun visor, driver's")
    expect(page.locator(".plan .selected")).to_have_attribute("data-part", VISOR)
    page.go_back()
    expect(page.get_by_role("heading", level=1)).to_have_text("Gear knob")
    page.go_back()
    expect(page.get_by_role("heading", level=1)).to_have_text("Walk-round")
    expect(page.locator(f'[data-row="{KNOB}"]')).to_be_visible()
    page.go_forward()
    expect(page.get_by_role("heading", level=1)).to_have_text("Gear knob")


def test_faults_follow_the_material(open_page: Open, key: str) -> None:
    page = walk(open_page, key, KNOB)
    page.locator(".identity summary").click()
    page.get_by_label("Of what").select_option("wood")
    expect(page.locator('[data-fault="T_dull"]')).to_be_visible()
    expect(page.locator('[data-fault="L_dry"]')).to_have_count(0)
    expect(page.locator('[data-fault="L_worn"]')).to_be_visible()  # it was said to be there
    all_sent(page, lambda: part_now(key, KNOB).material == "wood")


def test_the_tape_tells_the_area_before_it_is_taken(open_page: Open, key: str) -> None:
    page = walk(open_page, key, KNOB)
    page.locator(".size summary").click()
    page.get_by_role("radio", name="trapezium").check(force=True)
    expect(page.locator("[data-working]")).to_have_text("(a + b) ÷ 2 × c")
    for letter, typed in (("a", "52"), ("b", "48"), ("c", "60")):
        page.locator(f"#measure-{letter}").fill(typed)
    expect(page.locator("[data-working]")).to_have_text("(0.52 m + 0.48 m) ÷ 2 × 0.60 m = 0.30 m²")
    page.get_by_role("button", name="Take this area").click()
    expect(page.locator("[data-size]")).to_have_text("0.30 m²")
    assert part_now(key, KNOB).area_mm2 == 300_000


def test_a_part_is_removed_and_undo_on_the_page_brings_it_back(open_page: Open, key: str) -> None:
    page = walk(open_page, key, KNOB)
    page.locator(".identity summary").click()
    page.get_by_role("button", name="Remove this part").click()
    expect(page.locator(f'[data-row="{CUSHION}"]')).to_be_visible()
    expect(page.locator(f'[data-row="{KNOB}"]')).to_have_count(0)
    page.locator(".view [data-undo] button").locator("visible=true").click()
    expect(page.locator(f'[data-row="{KNOB}"]')).to_be_visible()


def test_a_part_is_added(open_page: Open, key: str) -> None:
    page = walk(open_page, key)
    page.get_by_role("link", name="Add a part").click()
    ready(page)
    page.get_by_label("What is it?").select_option("stalks")
    page.get_by_role("button", name="Add it").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Stalk levers")


def test_equipment_and_a_look(open_page: Open, key: str) -> None:
    page = walk(open_page, key, None)
    page.get_by_role("link", name="Tell what the car has").click()
    ready(page)
    page.get_by_role("group", name="Belt pretensioner").get_by_role("radio", name="no", exact=True).check(force=True)
    page.get_by_role("button", name="Keep").click()
    expect(page.locator("[data-row]").first).to_be_visible()
    assert now(key).car.equipment.pretensioner == "no"
    page.get_by_role("link", name="Under the carpet's edge").click()
    ready(page)
    expect(page.get_by_text("Make safe first")).to_have_count(0)
    page.get_by_role("group", name="Damp").get_by_role("radio", name="seen", exact=True).check(force=True)
    page.get_by_role("button", name="Look taken").click()
    expect(page.locator(".looks .done")).to_have_text("taken")
    assert now(key).causes == {"damp": "seen"}


def test_it_goes_without_scripts(open_page: Open, twenty: str) -> None:
    first, second = now(twenty).parts[:2]
    page = open_page(address(twenty), java_script_enabled=False)
    page.get_by_role("link", name=f"Next: {first.name}").click()
    page.get_by_role("spinbutton", name="Finish as it is").fill("3")
    page.get_by_role("button", name="Keep: next").click()
    expect(page.get_by_role("heading", level=1)).to_have_text(second.name)
    assert part_now(twenty, first.id).finish_now == 3


# The line.


def test_a_lost_line_loses_nothing_and_doubles_nothing(open_page: Open, twenty: str, console: Console) -> None:
    console.expect(LINE_LOST)
    page = walk(open_page, twenty, now(twenty).parts[0].id)
    hand = Hand(page)
    hand.onward()
    all_sent(page, lambda: store.record(twenty).seen == 1)
    page.context.set_offline(True)
    for number in range(5):
        if number == 2:
            hand.fault(page.locator(".fault summary [data-name]").first.inner_text(), "light")
            hand.photograph()
            page.locator(".note summary").click()
            page.locator("textarea[name=notes]").fill("said with no line")
        hand.onward()
    expect(page.locator("[data-waiting]")).to_have_text("no connection, 8 waiting")
    expect(page.locator("[data-seen]")).to_have_text(f"6 of {PARTS} seen")
    assert store.record(twenty).seen == 1
    page.context.set_offline(False)
    all_sent(page, lambda: store.record(twenty).seen == 6)
    job = now(twenty)
    assert [part.finish_now is not None for part in job.parts] == [True] * 6 + [False] * (PARTS - 6)
    told = job.parts[3]
    assert (len(told.faults), told.notes, len(told.photos)) == (1, "said with no line", 1)
    assert len(store.photos(twenty)) == 1
    assert store.record(twenty).revision == 1 + 1 + 8


def test_a_reload_without_a_line_keeps_the_page_and_what_was_said(
    open_page: Open, twenty: str, console: Console
) -> None:
    console.expect(LINE_LOST)
    first, second, third = now(twenty).parts[:3]
    page = walk(open_page, twenty, first.id)
    expect(page.locator("#walk[data-kept]")).to_be_attached(timeout=15_000)
    page.context.set_offline(True)
    Hand(page).onward()
    page.reload()
    ready(page)
    expect(page.get_by_role("heading", level=1)).to_have_text(second.name)
    expect(page.locator("[data-seen]")).to_have_text(f"1 of {PARTS} seen")
    Hand(page).onward()
    expect(page.get_by_role("heading", level=1)).to_have_text(third.name)
    page.goto(address(twenty))
    ready(page)
    expect(page.locator("[data-seen]")).to_have_text(f"2 of {PARTS} seen")
    page.context.set_offline(False)
    all_sent(page, lambda: store.record(twenty).seen == 2)


def test_an_answer_that_is_lost_on_its_way_is_asked_for_again(open_page: Open, key: str, console: Console) -> None:
    console.expect(LINE_LOST)
    page = walk(open_page, key, CUSHION)
    lost: list[object] = []

    def lose(route: object) -> None:
        if lost:
            route.continue_()  # type: ignore[attr-defined]
        else:
            lost.append(route.fetch())  # type: ignore[attr-defined]
            route.abort()  # type: ignore[attr-defined]

    page.route("**" + address(key, CUSHION), lose)
    page.get_by_role("slider").press("5")
    all_sent(page, lambda: bool(lost) and part_now(key, CUSHION).finish_now == 5)
    assert store.record(key).revision == 2
    assert part_now(key, CUSHION).finish_now == 5


def test_two_edits_of_one_control_without_a_line_are_no_quarrel_with_oneself(
    open_page: Open, key: str, console: Console
) -> None:
    console.expect(LINE_LOST)
    page = walk(open_page, key, CUSHION)
    page.context.set_offline(True)
    for finish in "154":
        page.get_by_role("slider").press(finish)
        expect(page.locator("[data-waiting]")).to_have_text(re.compile("no connection"))
        page.wait_for_timeout(100)
    page.context.set_offline(False)
    all_sent(page, lambda: part_now(key, CUSHION).finish_now == 4)
    expect(page.locator(".clash")).to_have_count(0)


def test_a_reload_in_the_middle_of_a_word_keeps_it(open_page: Open, key: str) -> None:
    page = walk(open_page, key, KNOB)
    page.locator(".note summary").click()
    page.locator("textarea[name=notes]").press_sequentially("split at the")
    page.wait_for_timeout(600)
    page.reload()
    ready(page)
    expect(page.locator("textarea[name=notes]")).to_have_value("split at the")
    all_sent(page, lambda: part_now(key, KNOB).notes == "split at the")


def test_what_waits_is_taken_back_by_undo(open_page: Open, twenty: str, console: Console) -> None:
    console.expect(LINE_LOST)
    first = now(twenty).parts[0]
    page = walk(open_page, twenty, first.id)
    page.context.set_offline(True)
    page.get_by_role("slider").press("4")
    expect(page.locator("[data-waiting]")).to_have_text("no connection, 1 waiting")
    page.locator(".view [data-undo] button").locator("visible=true").click()
    all_sent(page)
    expect(page.get_by_role("slider")).to_have_attribute("aria-valuetext", "not seen yet")
    page.context.set_offline(False)
    assert store.record(twenty).revision == 1


# Two at once.


def test_two_devices_at_the_same_field_are_asked(open_page: Open, key: str, console: Console) -> None:
    console.expect("409")
    phone, laptop = walk(open_page, key, CUSHION), walk(open_page, key, CUSHION)
    laptop.get_by_role("slider").press("1")
    all_sent(laptop, lambda: part_now(key, CUSHION).finish_now == 1)
    phone.get_by_role("slider").press("6")
    card = phone.locator(".clash")
    expect(card).to_be_visible()
    assert part_now(key, CUSHION).finish_now == 1
    card.get_by_role("button", name="Mine stands").click()
    all_sent(phone, lambda: part_now(key, CUSHION).finish_now == 6)
    expect(card).to_have_count(0)
    assert part_now(key, CUSHION).finish_now == 6
    laptop.get_by_role("slider").press("2")
    laptop.locator(".clash").get_by_text("Theirs stands").click()
    expect(laptop.get_by_role("slider")).to_have_attribute("aria-valuenow", "6")
    assert part_now(key, CUSHION).finish_now == 6


def test_two_devices_at_different_fields_both_stand(open_page: Open, key: str) -> None:
    phone, laptop = walk(open_page, key, CUSHION), walk(open_page, key, CUSHION)
    laptop.get_by_role("slider").press("1")
    all_sent(laptop, lambda: part_now(key, CUSHION).finish_now == 1)
    Hand(phone).fault("dry, stiff", "light")
    all_sent(phone, lambda: len(part_now(key, CUSHION).faults) == 2)
    expect(phone.get_by_role("slider")).to_have_attribute("aria-valuenow", "1")
    assert {each.fault for each in part_now(key, CUSHION).faults} == {"L_worn", "L_dry"}


def test_two_tabs_of_one_browser_see_each_other(open_page: Open, key: str, console: Console) -> None:
    one = walk(open_page, key, CUSHION)
    other = console.watch(one.context.new_page())
    other.goto(address(key, CUSHION))
    ready(other)
    one.get_by_role("slider").press("1")
    expect(other.get_by_role("slider")).to_have_attribute("aria-valuenow", "1")
    other.get_by_role("slider").press("7")
    expect(one.get_by_role("slider")).to_have_attribute("aria-valuenow", "7")
    all_sent(one, lambda: part_now(key, CUSHION).finish_now == 7)
    all_sent(other)
    assert store.record(key).revision == 3


def test_what_is_refused_is_told_and_lets_the_rest_pass(open_page: Open, key: str, console: Console) -> None:
    console.expect("422")
    page = walk(open_page, key, CUSHION)
    page.locator(".size summary").click()
    page.locator("#area").fill("large")
    page.locator("#area").blur()
    expect(page.locator(".asked")).to_contain_text("is not a size")
    page.get_by_role("slider").press("2")
    expect(page.locator("[data-waiting]")).to_have_text("1 waiting")
    page.get_by_role("button", name="OK").click()
    all_sent(page, lambda: part_now(key, CUSHION).finish_now == 2)


def test_a_browser_without_room_says_so(open_page: Open, key: str) -> None:
    page = walk(open_page, key, CUSHION)
    page.evaluate("() => { IDBObjectStore.prototype.put = function () { this.transaction.abort(); return {}; }; }")
    page.get_by_role("slider").press("9")
    expect(page.get_by_text("this browser has no room to keep it")).to_be_visible()
    expect(page.get_by_role("slider")).to_have_attribute("aria-valuenow", "3")
    assert store.record(key).revision == 1
