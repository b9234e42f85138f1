"""The workbench on a phone and on a table: asked, refused, asked again, filled in from a job, without scripts too."""

from __future__ import annotations

import re
from collections.abc import Callable
from math import sin
from pathlib import Path

import cv2
import numpy as np
import pytest
import trimesh
from playwright.sync_api import Page

from tests.browser.chromium import PHONE
from tests.browser.conftest import Console, expect, fits, is_accessible
from tests.geometry.photographed import close, jpeg
from tests.geometry.surfaces import seat
from tests.web.decided import keep_plan
from trimwright.geometry.nest.hide import read_hide
from trimwright.geometry.pattern import signed_area_mm2
from trimwright.web.jobs import bench_files, kept_hides
from trimwright.web.jobs.binder import here

WRAP = "/workbench/wrap/?ask=1&outside=385&grips=94&spokes=90%3D32x18%2C+270%3D32x18"
PAGES = {
    "benches": "/workbench/",
    "vapour": "/workbench/air-tin/?ask=1&tin=clear_can",
    "bolt": "/workbench/torque/?ask=1&torque=46+N·m&thread=M8&class=8.8&holds=trim",
    "colour": "/workbench/colour-match/?ask=1&target=38.2+18.1+22.4",
    "wrap": WRAP,
    "photo": "/workbench/photo/",
    "panel": "/workbench/panel/",
    "outline": "/workbench/outline/",
    "laying": "/workbench/laying/",
    "hides": "/workbench/hides/",
    "bases": "/workbench/bases/",
}

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.mark.parametrize("name", PAGES)
def test_a_page_fits_and_is_accessible(open_page: Callable[..., Page], name: str) -> None:
    page = open_page(PAGES[name])
    fits(page)
    is_accessible(page)


def test_what_is_wrong_is_told_where_it_stands_and_put_right(
    open_page: Callable[..., Page], console: Console, screen: tuple[int, int]
) -> None:
    console.expect("422")
    page = open_page("/workbench/air-coat/")
    page.get_by_label("Air", exact=True).fill("20 C")
    page.get_by_label("Relative humidity").fill("140 %")
    page.get_by_label("Surface", exact=True).fill("18 C")
    page.get_by_role("button", name="Work it out").click()
    expect(page.locator("#said-humidity")).to_contain_text("is not above 0 and up to 100 %")
    expect(page.get_by_label("Relative humidity")).to_have_value("140 %")
    fits(page)
    is_accessible(page)
    page.get_by_label("Relative humidity").fill("60 %")
    page.get_by_role("button", name="Work it out").click()
    answer = page.locator("#told")
    expect(answer).to_contain_text("The surface is")
    assert "humidity=60%20%25" in page.url  # the answer's address can be sent on
    form = page.locator("form.lines-of").bounding_box()
    told = answer.bounding_box()
    assert form
    assert told
    if screen == PHONE:
        assert told["y"] >= form["y"] + form["height"]
        expect(answer).to_be_in_viewport()
    else:
        assert told["x"] >= form["x"] + form["width"]
    answer.get_by_text("Show working").click()
    expect(answer.locator(".formula").first).to_be_visible()


def test_a_job_fills_it_in_from_a_part(open_page: Callable[..., Page], key: str) -> None:
    keep_plan(key)
    page = open_page(f"/workbench/coats-mix/?job={key}")
    page.get_by_label("Fill in from").select_option(index=1)
    page.get_by_role("button", name="Fill in").click()
    expect(page.locator(".from-task")).to_contain_text("Filled in from")
    expect(page.get_by_label("Area")).not_to_have_value("")
    expect(page.locator("#told")).to_contain_text("in all")
    fits(page)
    is_accessible(page)


def test_without_scripts_it_answers_all_the_same(open_page: Callable[..., Page]) -> None:
    page = open_page("/workbench/torque/", java_script_enabled=False)
    page.get_by_label("Torque", exact=True).fill("46 lbf·ft")
    page.get_by_role("button", name="Work it out").click()
    expect(page.locator("#told")).to_contain_text("62.4 N·m")
    assert page.url.endswith("#told")


def test_a_wrap_is_asked_and_its_sheets_taken_away(open_page: Callable[..., Page]) -> None:
    page = open_page("/workbench/")
    page.get_by_role("link", name="A wheel wrap").click()
    page.get_by_label("Wheel over all").fill("385")
    page.get_by_label("Tape round the bare grip").fill("94")
    page.get_by_role("button", name="Work it out").click()
    expect(page.locator("#told")).to_contain_text("Seam at the hub")
    with page.expect_download() as taken:
        page.get_by_role("link", name="True-size sheets, A4").click()
    assert taken.value.suggested_filename == "wheel-true-size-a4.pdf"
    fits(page)


def test_a_seam_is_drawn_on_a_scan_and_cuts_it_in_two(
    open_page: Callable[..., Page], tmp_path: Path, screen: tuple[int, int]
) -> None:
    """Looked at, turned, tapped, taken back, laid flat: the picture and the typed lines are one."""
    surface = seat(60, 50)
    trimesh.Trimesh(surface.points, surface.faces, process=False).export(tmp_path / "seat.ply")
    page = open_page("/workbench/panel/")
    page.get_by_label("Scan", exact=True).set_input_files(tmp_path / "seat.ply")
    page.get_by_label("What the panel is called").fill("seat back")
    page.get_by_role("button", name="Show the scan").click()
    expect(page.locator("#told")).to_contain_text("Look again")
    assert bench_files.work_next(here)
    expect(page.locator("[data-sides]")).to_have_text(re.compile("^480 × 430 × .* in"))
    canvas = page.get_by_role("img", name="The scan with its seams")
    expect(canvas).to_be_visible()
    canvas.scroll_into_view_if_needed()
    box = canvas.bounding_box()
    assert box
    tap = page.touchscreen.tap if screen == PHONE else page.mouse.click
    lines = page.get_by_label("Seams, a point to a line")
    rows = page.get_by_role("list", name="Seams").get_by_role("listitem")
    half = 0.9 * min(box["width"] / 480, box["height"] / 430) * 430 / 2  # from its middle to its edge, as it first lies
    across, middle = box["x"] + 0.45 * box["width"], box["y"] + box["height"] / 2
    for down in (middle - half + 3, middle, middle + half - 3):
        tap(across, down)
    expect(rows).to_contain_text(re.compile(r"Seam 1\s+4[3-9]\d mm"))
    top, inner, bottom = ([float(each) for each in line.split()] for line in lines.input_value().splitlines())
    assert top[1] == pytest.approx(430, abs=0.02)  # brought to the edge, as the finger meant it
    assert bottom[1] == pytest.approx(0, abs=0.02)
    u, v = inner[0] / 480, inner[1] / 430
    assert inner[2] == pytest.approx(55 * sin(2.6 * u + 0.2) * sin(2.2 * v + 0.3) + 6 * sin(7 * u), abs=0.2)
    drawn = lines.input_value()
    page.get_by_role("button", name="End this seam").click()
    tap(box["x"] + 0.3 * box["width"], middle)
    expect(rows).to_have_count(2)
    page.get_by_role("button", name="Take back").click()
    expect(rows).to_have_count(1)
    lines.fill(f"{drawn}\n\n400 0 20\n410 100 40\n")  # the keyboard's way is shown in the picture
    expect(rows).to_have_count(2)
    rows.nth(1).get_by_role("button").click()
    expect(rows).to_have_count(1)
    assert lines.input_value().strip() == drawn
    fits(page)
    is_accessible(page)
    page.locator("#told").get_by_role("button", name="Lay it flat").click()
    expect(page.locator("#told")).to_contain_text("Look again")
    assert bench_files.work_next(here)
    told = page.locator("#told")
    expect(told).to_contain_text("Seam 1:")
    expect(told.locator("table tbody tr")).to_have_count(2)
    expect(told.get_by_role("list", name="Seams").get_by_role("listitem")).to_have_count(1)
    expect(page.get_by_role("link", name="DXF in mm")).to_be_visible()
    fits(page)
    is_accessible(page)


def test_points_of_an_outline_are_moved_on_its_picture(
    open_page: Callable[..., Page], console: Console, tmp_path: Path
) -> None:
    """Dragged by taking hold beside it, typed, nudged, added, crossed, undone; kept with the work, and cut so."""
    console.expect("422")
    (tmp_path / "card.jpg").write_bytes(jpeg(close(thick=3.0).photo()))
    page = open_page("/workbench/outline/")
    page.get_by_label("Photo", exact=True).set_input_files(tmp_path / "card.jpg")
    for label, typed in (("What the part is called", "Card"), ("What both bars", "260x190"), ("Thickness of", "3")):
        page.get_by_label(label).fill(typed)
    page.get_by_role("button", name="Read it").click()
    expect(page.locator("#told")).to_contain_text("Look again")
    assert bench_files.work_next(here)
    told, lines = page.locator("#told"), page.get_by_label("Points changed by hand")
    expect(told).to_contain_text("Nine times in ten no point is out by more than 0.")
    way = told.locator("path.way")
    expect(way).to_have_attribute("class", "way")  # the server has drawn its line
    told.locator(".board svg").scroll_into_view_if_needed()
    read = way.get_attribute("d")
    handle = told.locator("circle.handle").first.bounding_box()
    assert handle
    x, y = handle["x"] + handle["width"] / 2, handle["y"] + handle["height"] / 2
    page.mouse.move(x + 12, y)
    page.mouse.down()
    page.mouse.move(x - 8, y, steps=4)
    page.mouse.up()
    expect(told.locator("[data-name]")).to_have_text("Point 1")
    expect(lines).to_have_value(re.compile(r"^1 -\d+(\.\d)? 1[456](\.\d)?$"))
    expect(way).not_to_have_attribute("d", read or "")
    expect(way).to_have_attribute("class", "way")
    corners = "all => all.map((each) => each.getBoundingClientRect()).map(({ x, y }) => [x, y])"
    places = told.locator("circle.handle").evaluate_all(corners)  # at once: handles are made anew with every line
    (left, top), (right, bottom) = places[0], places[-1]
    page.mouse.click((left + right) / 2 + 6, (top + bottom) / 2 + 6)
    expect(told.locator("[data-name]")).to_have_text(re.compile(r"^On the edge behind point \d+$"))
    told.get_by_role("button", name="The next point").click()
    expect(told.locator("[data-name]")).to_have_text("Point 1")
    told.get_by_label("x in mm").fill("-4")
    told.get_by_label("x in mm").press("Enter")
    told.locator(".board svg").focus()
    page.keyboard.press("ArrowUp")
    expect(lines).to_have_value(re.compile(r"^1 -4 1\d(\.\d)?$"))
    moved = lines.input_value()
    told.get_by_role("button", name="Add one").click()
    expect(told.locator("[data-name]")).to_have_text("Added behind point 1")
    told.get_by_role("button", name="Make it a corner").click()
    expect(lines).to_have_value(re.compile(r"\n1\+ \S+ \S+ corner$"))
    told.get_by_label("y in mm").fill("900")
    told.get_by_label("y in mm").press("Enter")
    expect(told.locator("[data-wrong]")).to_contain_text("makes the outline cross itself near")
    expect(told.get_by_role("button", name="Draw the pieces anew")).to_be_hidden()
    fits(page)
    is_accessible(page)
    for _ in range(3):
        told.get_by_role("button", name="Undo").click()
    expect(lines).to_have_value(moved)
    expect(told.locator("[data-wrong]")).to_be_empty()
    expect(way).to_have_attribute("class", "way")  # the server has drawn it, and so it has kept it
    page.reload()
    expect(lines).to_have_value(moved)  # not sent, and not lost
    told.get_by_role("button", name="Draw the pieces anew").click()
    expect(page.locator("#told")).to_contain_text("Look again")
    assert bench_files.work_next(here)
    expect(told).to_contain_text("Card: 26")
    expect(told.get_by_role("button", name="Draw the pieces anew")).to_be_hidden()
    with page.expect_download() as taken:
        told.get_by_role("link", name="DXF in mm").click()
    assert taken.value.suggested_filename == "Card-pieces.dxf"


def test_a_hide_is_drawn_on_its_photo_kept_and_laid_on(
    open_page: Callable[..., Page], console: Console, tmp_path: Path
) -> None:
    """In a photo of 400 × 300 pixels two taps 100 pixels apart are told to be 500 mm: 5 mm to a pixel."""
    console.expect("422")
    cv2.imwrite(str(tmp_path / "hide.jpg"), np.full((300, 400, 3), 120, np.uint8))
    page = open_page("/workbench/hides/")
    page.set_input_files("#hide-photo", tmp_path / "hide.jpg")
    board = page.get_by_role("group", name="The hide.")
    photo = board.locator("image")
    expect(photo).to_have_attribute("href", re.compile("^data:image/jpeg"))

    def tap(*points: tuple[int, int]) -> None:
        for x, y in points:
            board.scroll_into_view_if_needed()
            box = photo.bounding_box()
            assert box
            page.mouse.click(box["x"] + x * box["width"] / 400, box["y"] + y * box["height"] / 300)

    tap((40, 280), (140, 280))
    page.get_by_label("Length between both ends").fill("500")
    page.keyboard.press("Tab")
    page.get_by_role("button", name="Outline", exact=True).click()
    tap((20, 20), (380, 20), (380, 250), (20, 250), (200, 290))
    page.get_by_role("button", name="Undo").click()
    page.get_by_role("button", name="End this line").click()
    page.get_by_role("button", name="Flaw", exact=True).click()
    tap((200, 120))
    page.get_by_role("button", name="Zone", exact=True).click()
    tap((5, 200), (395, 200), (395, 260), (5, 260))
    page.get_by_role("button", name="Keep this hide").click()
    expect(page.locator("#hide-said")).to_contain_text("Say what you will know it by.")
    page.get_by_label("Name", exact=True).fill("tan hide")
    fits(page)
    is_accessible(page)
    page.get_by_role("button", name="Keep this hide").click()
    expect(page.get_by_role("region", name="In stock")).to_contain_text("tan hide")
    (kept,) = kept_hides.kept()
    hide = read_hide(kept.text, kept.name)
    assert abs(signed_area_mm2(hide.outline)) == pytest.approx(1800 * 1150, rel=0.03)
    assert [each.name for each in hide.zones] == ["belly"]
    (spot,) = hide.flaws
    assert max(x for x, _ in spot) - min(x for x, _ in spot) == pytest.approx(40, abs=2)
    page.get_by_role("link", name="Lay on it").click()
    expect(page.get_by_label("tan hide")).to_be_checked()
