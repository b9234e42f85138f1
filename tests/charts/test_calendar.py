"""The calendar's picture: bars where the work is, waits hatched through the night, windows marked, all inside."""

from __future__ import annotations

from datetime import date, timedelta
from itertools import pairwise
from xml.etree import ElementTree

import pytest

from tests.charts.test_money import LETTER, SVG, of_class, words
from tests.plan.calendar.benches import MONDAY, door_card_laid
from trimwright.charts.calendar import calendar_chart, chart_rows, clock_of, pictures
from trimwright.plan.calendar.tasks import Calendar

NAMES = {"card": "Door card, driver’s side", "knob": "Gear knob", "seat": "Front seat"}
CALENDAR: Calendar = door_card_laid()
FIRST, LAST = date(2026, 3, 2), date(2026, 3, 4)


def test_a_row_a_part_stages_of_the_car_first_and_last() -> None:
    rows = [row.name for row in chart_rows(CALENDAR, NAMES, "parts", FIRST, LAST)]
    assert rows == ["Strip-down", "Gear knob", "Door card, driver’s side", "Front seat", "Rebuild", "Checks"]
    assert [row.name for row in chart_rows(CALENDAR, NAMES, "places", FIRST, LAST)] == [
        "Car", "Bench", "Spray spot", "Away",
    ]  # fmt: skip
    assert pictures(CALENDAR, NAMES) == 1


def test_a_bar_stands_where_its_work_is_and_is_as_long() -> None:
    svg = calendar_chart(CALENDAR, NAMES, wide=800)
    bars = {
        (group.findtext(f"{SVG}title") or "").partition(",")[0]: group.find(f"{SVG}rect")
        for group in ElementTree.fromstring(svg).iter(f"{SVG}g")
        if group.findtext(f"{SVG}title")
    }
    assert bars.keys() == {CALENDAR.bench.by_id[slot.task].name for slot in CALENDAR.slots} - {"gear knob"}
    seat, clean = bars["clean the seat"], bars["clean"]
    assert seat is not None
    assert clean is not None
    assert float(seat.attrib["width"]) / float(clean.attrib["width"]) == pytest.approx(90 / 40, rel=0.02)
    assert float(seat.attrib["x"]) > float(clean.attrib["x"])


def test_open_hours_are_in_proportion_and_nights_are_narrow() -> None:
    clock = clock_of(CALENDAR, FIRST, LAST, 100, 800)
    open_hour = clock.at(MONDAY + timedelta(hours=2)) - clock.at(MONDAY + timedelta(hours=1))
    afternoon = clock.at(MONDAY + timedelta(hours=7)) - clock.at(MONDAY + timedelta(hours=6))
    night_hour = clock.at(MONDAY + timedelta(hours=12)) - clock.at(MONDAY + timedelta(hours=11))
    assert open_hour == pytest.approx(afternoon)
    assert night_hour < open_hour / 4
    assert clock.at(MONDAY - timedelta(days=3)) == 100
    assert clock.at(MONDAY + timedelta(days=30)) == pytest.approx(800)


def test_waits_are_hatched_and_run_through_the_night() -> None:
    svg = calendar_chart(CALENDAR, NAMES, wide=800)
    cure = max(of_class(svg, "wait")[:-1], key=lambda each: float(each.attrib["width"]))  # the last is the key's
    clock = clock_of(CALENDAR, FIRST, LAST, 0, 1)
    assert cure.attrib["fill"] == "url(#calendar-wait)"
    left = float(cure.attrib["x"])
    right = left + float(cure.attrib["width"])
    nights = [float(each.attrib["x"]) for each in of_class(svg, "closed")[1:-1]]
    assert any(left < night < right for night in nights)
    assert clock.at(MONDAY) < clock.at(CALENDAR.end)


def test_a_window_is_marked_after_its_work_and_the_hand_over_too() -> None:
    svg = calendar_chart(CALENDAR, NAMES, promised=CALENDAR.end + timedelta(hours=3), now=MONDAY)
    assert len(of_class(svg, "window")) == 2  # one in its row, one in the key
    assert {"hand-over", "now"} <= set(words(svg))
    apart = calendar_chart(CALENDAR, NAMES, promised=CALENDAR.end + timedelta(hours=6), wide=800)
    assert {"hand-over", "8 in 10"} <= set(words(apart))


def test_zoomed_in_only_what_happens_then_has_a_row() -> None:
    monday = calendar_chart(CALENDAR, NAMES, since=FIRST, days=1)
    wednesday = calendar_chart(CALENDAR, NAMES, since=LAST, days=1)
    assert "Front seat" in words(monday)
    assert "Front seat" not in words(wednesday)
    assert "Rebuild" in words(wednesday)
    assert {"8", "12", "16"} <= set(words(monday))


PICTURES = {
    "phone": calendar_chart(CALENDAR, NAMES),
    "phone, a day by place": calendar_chart(CALENDAR, NAMES, rows="places", since=FIRST, days=1, now=MONDAY),
    "paper": calendar_chart(CALENDAR, NAMES, wide=760, style="print", promised=CALENDAR.end),
    "nothing happens": calendar_chart(CALENDAR, NAMES, since=date(2026, 3, 7), days=1),
}


@pytest.mark.parametrize("svg", PICTURES.values(), ids=PICTURES)
def test_nothing_is_drawn_outside_and_no_words_overlap(svg: str) -> None:
    root = ElementTree.fromstring(svg)
    _, _, wide, high = map(float, root.attrib["viewBox"].split())
    lines: dict[float, list[tuple[float, float]]] = {}
    for each in root.findall(f"{SVG}text"):
        x, y, long = float(each.attrib["x"]), float(each.attrib["y"]), len(each.text or "") * LETTER * 0.9
        look = str(each.get("class")).split()
        start = x - long if "end" in look else x - long / 2 if "middle" in look else x
        assert start >= -2, each.text
        assert start + long <= wide + 12, each.text
        assert 8 <= y <= high, each.text
        lines.setdefault(y, []).append((start, start + long))
    for spans in lines.values():
        spans.sort()
        assert all(before[1] <= after[0] + 6 for before, after in pairwise(spans))
    for each in root.findall(f"{SVG}rect"):
        assert 0 <= float(each.attrib["x"]) <= float(each.attrib["x"]) + float(each.attrib["width"]) <= wide + 0.1


@pytest.mark.parametrize("svg", PICTURES.values(), ids=PICTURES)
def test_it_is_told_in_words(svg: str) -> None:
    root = ElementTree.fromstring(svg)
    assert "hand-over Wed 4 Mar 09:05" in (root.findtext(f"{SVG}desc") or "")
