"""The bench calendar and the day sheet, read back with pypdf."""

from __future__ import annotations

import io
from datetime import UTC, datetime
from functools import cache
from zoneinfo import ZoneInfo

import pytest
from pypdf import PdfReader

from tests.plan.happened import happened
from tests.plan.small_cabin import small_job
from trimwright.facts import load
from trimwright.papers import BenchPaper, PaperSize, bench_pdf, day_sheet
from trimwright.plan.calendar.promise import promise
from trimwright.plan.calendar.schedule import schedule
from trimwright.plan.calendar.tasks import Calendar
from trimwright.plan.plan import Plan, bench_of, make_plan

MADE = datetime(2026, 3, 2, 7, 0, tzinfo=UTC)
START = datetime(2026, 3, 2, 9, 0, tzinfo=ZoneInfo("Europe/Lisbon"))
MM = 72 / 25.4
pytestmark = pytest.mark.filterwarnings("error::trimwright.papers.press.PaperWarning")


@cache
def laid() -> tuple[Plan, Calendar]:
    plan = make_plan(small_job(time={"zone": "Europe/Lisbon"}), load())
    return plan, schedule(bench_of(plan, start=START), seconds=1)


def names(plan: Plan) -> dict[str, str]:
    return {part.id: part.name for part in plan.job.parts}


def pdf(name: BenchPaper, size: PaperSize = "a4") -> bytes:
    plan, calendar = laid()
    return bench_pdf(name, plan, calendar, names(plan), MADE, size, promise=promise(calendar, hours_spread=0.2))


def words(name: BenchPaper) -> str:
    text = " ".join(page.extract_text() for page in PdfReader(io.BytesIO(pdf(name))).pages)
    return " ".join(text.replace("\u200b", "").split())


@pytest.mark.parametrize("size", ["a4", "us-letter"])
@pytest.mark.parametrize("name", ["bench-calendar", "day-sheet"])
def test_size_and_bytes(name: BenchPaper, size: PaperSize) -> None:
    """ISO 216 and ANSI/ASME Y14.1; the same calendar and moment print the same."""
    told = pdf(name, size)
    box = PdfReader(io.BytesIO(told)).pages[0].mediabox
    wanted = (210 * MM, 297 * MM) if size == "a4" else (612, 792)
    assert (float(box.width), float(box.height)) == pytest.approx(wanted, abs=0.5)
    assert told == pdf(name, size)


def test_the_bench_calendar_says_when_it_is_handed_over_and_what_holds_it() -> None:
    told = words("bench-calendar")
    _, calendar = laid()
    assert f"{calendar.end:%H:%M}" in told
    assert "ready in 8 of 10 cases by" in told
    assert told.index("What holds the date") < told.index("Day by day")
    assert "Front cushion cover" in told.partition("Day by day")[0]  # a row of the chart


def test_the_day_sheet_has_cautions_before_the_hand_goes_there() -> None:
    plan, calendar = laid()
    sheet = day_sheet.in_words(plan, calendar, names(plan))
    told = words("day-sheet")
    battery = next(each for each in sheet["rows"] if each["what"].startswith("Battery negative off"))
    assert battery["cautions"]
    assert told.index("Battery negative off first") < told.index("Battery negative off, lug insulated")
    said = [caution for each in sheet["rows"] for caution in each["cautions"]]
    assert len(said) == len(set(said))
    assert "read now" in told


def test_open_bags_are_work_for_a_gap() -> None:
    job = happened(
        small_job(time={"zone": "Europe/Lisbon"}),
        {"kind": "opened", "step": "knob_gear"},
        {"kind": "opened", "step": "sill_plate.driver"},
        {"kind": "bag", "step": "sill_plate.driver", "state": "filled"},
    )
    plan = make_plan(job, load())
    calendar = schedule(bench_of(plan, start=datetime(2026, 3, 6, 9, 0, tzinfo=START.tzinfo)), seconds=1)
    assert any("Clean and count the clips of:" in each for each in day_sheet.in_words(plan, calendar, {})["small"])
