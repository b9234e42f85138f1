"""The four papers, read back with pypdf: what stands in them, their size, their fonts, their bytes."""

from __future__ import annotations

import io
import warnings
from dataclasses import replace
from datetime import UTC, datetime
from functools import cache
from pathlib import Path
from typing import Any, Literal

import pytest
from pypdf import PdfReader

from tests.plan.small_cabin import BELT, CUSHION, KNOB, VISOR, small_job, small_plan
from trimwright.facts import load
from trimwright.job.document import Job
from trimwright.papers import PAPERS, PaperName, PaperSize, paper_pdf, write_papers
from trimwright.plan.plan import Plan, make_plan
from trimwright.plan.verdicts.verdict import GivenUp, Verdict

MADE = datetime(2026, 11, 25, 12, 0, tzinfo=UTC)
SIZES: dict[PaperSize, tuple[float, float]] = {"a4": (210 / 25.4 * 72, 297 / 25.4 * 72), "us-letter": (612, 792)}
"""Width and height [pt]: ISO 216 and ANSI/ASME Y14.1."""

pytestmark = pytest.mark.filterwarnings("error::trimwright.papers.press.PaperWarning")


def reader(name: PaperName, plan: Plan, size: PaperSize = "a4") -> PdfReader:
    return PdfReader(io.BytesIO(paper_pdf(name, plan, MADE, size)))


def words(name: PaperName, plan: Plan) -> str:
    """All text of a paper on one line."""
    text = " ".join(page.extract_text() for page in reader(name, plan).pages)
    return " ".join(text.replace("\u200b", "").split())


@cache
def small(name: PaperName) -> str:
    return words(name, small_plan())


def renamed(**names: str) -> Plan:
    """The small plan with other names of parts."""
    parts = small_job().model_dump(mode="json")["parts"]
    for each in parts:
        each["name"] = names.get(each["id"], each["name"])
    return make_plan(small_job(parts=parts), load())


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("name", PAPERS)
def test_page_size_and_fonts(name: PaperName, size: PaperSize) -> None:
    for page in reader(name, small_plan(), size).pages:
        box = page.mediabox
        assert (float(box.width), float(box.height)) == pytest.approx(SIZES[size], abs=0.5)
    fonts = {font for page in reader(name, small_plan()).pages for font in base_fonts(page)}
    families = {font.partition("+")[2].partition("-")[0] for font in fonts}
    assert {"HankenGrotesk", "SourceSerifPro"} <= families
    assert families <= {"HankenGrotesk", "SourceSerifPro", "LibertinusSerif"}  # Libertinus lends the raised ²


def base_fonts(page: Any) -> set[str]:
    """Names of the fonts a page uses; every one must carry its own file."""
    names = set()
    for each in page["/Resources"].get("/Font", {}).values():
        (inner,) = each.get_object()["/DescendantFonts"]
        descriptor = inner.get_object()["/FontDescriptor"]
        assert {"/FontFile2", "/FontFile3"} & set(descriptor)
        names.add(str(descriptor["/FontName"]))
    return names


@pytest.mark.parametrize("name", PAPERS)
def test_the_same_plan_and_moment_give_the_same_bytes(name: PaperName) -> None:
    first = paper_pdf(name, small_plan(), MADE)
    assert first == paper_pdf(name, small_plan(), MADE)
    assert first != paper_pdf(name, small_plan(), MADE.replace(year=2027))


def test_write_papers_leaves_four_files(tmp_path: Path) -> None:
    written = write_papers(small_plan(), tmp_path / "out", MADE, "us-letter")
    assert [path.name for path in written] == [f"{name}.pdf" for name in PAPERS]
    assert all(path.read_bytes().startswith(b"%PDF") for path in written)


def test_the_quote_says_what_is_done_what_shows_and_what_it_costs() -> None:
    text, money = small("quote"), small_plan().verdicts.money
    assert "The quarry two-door" in text
    assert "25 November 2026" in text
    assert "1,550 EUR" in text
    for value in (money.firm, money.expected, money.reserve, money.left):
        assert f"{value / 100:,.2f}" in text
    assert "Re-cover in leather from own pattern" in text
    assert "3 → 9" in text
    for heading in (
        "The price",
        "What will be done",
        "What will still show",
        "What the price assumes",
        "Yes to this quote",
    ):
        assert heading in text
    assert "after the calendar" in text
    assert "without a recorded yes: date, time, name" in text


def test_the_quote_says_who_does_the_belts_and_what_is_a_guess() -> None:
    text = small("quote")
    assert "Fitted new, by someone licensed for it: Front belt, driver’s." in text
    assert "they count as fitted: passenger airbag, knee airbag and belt pretensioner" in text
    assert "No seller has named a price yet, so these are guesses" in text
    assert "Chance (a guess)" in text
    assert "Fit a used part" in text
    assert "Tax is not in it" in text


def test_the_quote_tells_a_fault_that_was_seen_out_of_sight_and_is_left() -> None:
    """The foam is never seen, and the owner sits on it."""
    from trimwright.papers import quote

    assert not quote.in_words(small_plan(), load())["is_hidden"]
    job = small_job().model_dump(mode="json")
    foam = next(each for each in job["parts"] if each["id"] == "foam")
    foam |= {"faults": [{"fault": "F_flat", "extent": "medium"}], "pin": "leave"}
    told = quote.in_words(make_plan(Job.from_plain(job), load()), load())
    assert told["is_hidden"]
    [row] = [each for zone in told["shows"] for each in zone["rows"] if each["part"].startswith("Front cushion foam")]
    assert "flat" in row["faults"]
    assert not any("foam" in zone["parts"] for zone in told["stays"])


def test_the_lines_of_the_quote_add_up_to_firm() -> None:
    from trimwright.papers import quote

    told = quote.in_words(small_plan(), load())
    lines = [row["money"] for zone in told["done"] for row in zone["rows"]] + [told["whole_job"]["money"] or "0"]
    cents = [round(float(each.replace(",", "")) * 100) for each in lines]
    left = sum(each.money for each in small_plan().verdicts.verdicts if each.course and each.course.kind == "leave")
    assert sum(cents) + left == small_plan().verdicts.money.firm
    assert left == 0


def test_a_short_sum_is_said_on_every_paper_that_shows_money() -> None:
    plan = make_plan(small_job(money={"currency": "EUR", "sum": 20_000}), load())
    assert plan.verdicts.short is not None
    for name in ("quote", "verdict-sheet", "buying-list"):
        text = words(name, plan)
        assert f"The sum is short by {plan.verdicts.short.money / 100:,.2f}".removesuffix(".00") in text
        assert "Hand-over stays shut" in text


def test_what_costs_nothing_is_said_in_words() -> None:
    """A part done with what is on the shelf has no 0.00 beside it."""
    plan = small_plan()
    verdicts = tuple(replace(each, money=0) if each.part == VISOR else each for each in plan.verdicts.verdicts)
    text = words("quote", replace(plan, verdicts=replace(plan.verdicts, verdicts=verdicts)))
    assert "from the shelf" in text
    assert " 0.00" not in text


def test_wishes_given_up_are_told_together() -> None:
    def given(what: Literal["floor", "set", "look", "neighbour"], *parts: str, got: int) -> GivenUp:
        return GivenUp(what=what, parts=parts, wanted=2, got=got, points=1)

    missed = (
        given("floor", VISOR, got=1),
        given("set", CUSHION, "foam", got=3),
        given("look", CUSHION, KNOB, got=2),
        given("neighbour", "carpet", "dash", got=4),
        given("neighbour", KNOB, "carpet", got=5),
    )
    plan = small_plan()
    text = words("verdict-sheet", replace(plan, verdicts=replace(plan.verdicts, given_up=missed)))
    assert "Sun visor, driver’s: ends at 1, under its floor of 2." in text
    assert "end too far apart: Front cushion cover, driver’s; Front cushion foam, driver’s." in text
    assert "more than one look: Front cushion cover, driver’s; Gear knob." in text
    assert "Main carpet beside Dash top pad (4); Gear knob (5)." in text


@pytest.mark.parametrize("size", SIZES)
def test_a_work_sheet_never_runs_over_for_its_last_lines_alone(size: PaperSize) -> None:
    """The page with the last tick has the head of the sheet or the amounts on it."""
    pages = [page.extract_text() for page in reader("work-sheets", small_plan(), size).pages]
    last = [page for page in pages if "Done, looked over" in page]
    assert len(last) == len(worked_on_in(small_plan()))
    assert all("Mix and amounts" in page for page in last)


def worked_on_in(plan: Plan) -> list[Verdict]:
    """Verdicts that have a work sheet of their own."""
    return [each for each in plan.verdicts.verdicts if each.course and each.course.kind != "leave"]


def test_the_verdict_sheet_names_every_part_and_the_proof() -> None:
    text, plan = small("verdict-sheet"), small_plan()
    for verdict in plan.verdicts.verdicts:
        left = verdict not in worked_on_in(plan)
        assert verdict.name.replace("'", "’") + (f" {verdict.finish_after}" if left else "") in text
    assert "pinned" in text
    assert "Proven best at this reserve" in text


def test_the_buying_list_has_every_seller_and_the_total() -> None:
    text, buying = small("buying-list"), small_plan().buying
    for order in buying.orders:
        assert order.name[1:].replace("'", "’") in text
    assert f"{buying.total / 100:,.2f}" in text
    assert "Left over" in text
    assert "burn-rate statement" in text


def test_a_work_sheet_for_every_part_that_is_worked_on() -> None:
    text, plan = small("work-sheets"), small_plan()
    worked = worked_on_in(plan)
    for number in range(1, len(worked) + 1):
        assert f"Work sheet {number} of {len(worked)}" in text
    assert "Hog rings and springs fly" in text
    assert "Seam open at the front edge." in text
    assert "Mix and amounts" in text
    need = next(each for each in worked if each.part == CUSHION).course.needs[0]  # type: ignore[union-attr]
    assert str(need.worked).replace(" ", "") in text.replace(" ", "")


def test_a_caution_stands_before_the_step_it_concerns() -> None:
    sheet = next(
        text
        for page in reader("work-sheets", small_plan()).pages
        if "Front cushion cover, driver’s" in (text := page.extract_text()) and "Unpick one side" in text
    )
    assert sheet.index("Battery negative off first") < sheet.index("Front seat out of car")
    assert sheet.index("Fresh blade, cut away from yourself") < sheet.index("Unpick one side")


def test_us_units_are_printed_throughout() -> None:
    job = small_job()
    plan = make_plan(job.model_copy(update={"car": job.car.model_copy(update={"units": "US customary"})}), load())
    text = words("work-sheets", plan)
    assert "9.69 sq ft, measured" in text  # 0.9 m² ÷ 0.09290304 m²/sq ft
    assert "°F" in text
    assert "°C" not in text


@pytest.mark.parametrize("name", PAPERS)
def test_markup_in_a_name_is_printed_and_never_run(name: PaperName) -> None:
    odd = "#panic() *bold* $x^2$ \\ <b> `raw` @ref // no"
    text = words(name, renamed(**{CUSHION: odd}))
    assert odd in text or odd.replace(" ", "") in text.replace(" ", "")


@pytest.mark.parametrize(
    "odd",
    [
        "\U0001f697\U0001f469\u200d\U0001f527",
        "שלום עולם",
        "مرحبا",
        "日本語の座席",
        "\u202eevil\u202c",
        "x" * 200,
        "e\u0301" * 90,
    ],
)
def test_any_name_prints_without_a_warning(odd: str) -> None:
    plan = renamed(**{CUSHION: odd, BELT: odd})
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        for name in PAPERS:
            assert paper_pdf(name, plan, MADE).startswith(b"%PDF")


def test_a_long_name_stays_inside_the_page() -> None:
    """Nothing is drawn right of the paper's margin [pt]."""
    plan = renamed(**{CUSHION: "x" * 200})
    for name in PAPERS:
        rightmost = 0.0

        def seen(text: str, _cm: Any, tm: Any, *_: Any) -> None:
            nonlocal rightmost
            if text.strip():
                rightmost = max(rightmost, tm[4])

        for page in reader(name, plan).pages:
            page.extract_text(visitor_text=seen)
        assert rightmost < SIZES["a4"][0] - 40


def test_no_plan_at_all_still_prints() -> None:
    """Everything left alone: no row, no order, no sheet."""
    raw = small_job().model_dump(mode="json")
    parts = [{**each, "pin": None} for each in raw["parts"] if each["id"] not in (BELT,)]
    alone = {"leave_alone": [each["id"] for each in parts]}
    plan = make_plan(small_job(parts=parts, wishes=alone), load())
    assert all(each.course and each.course.kind == "leave" for each in plan.verdicts.verdicts)
    assert "Nothing is worked on in this plan" in words("work-sheets", plan)
    for name in PAPERS:
        assert reader(name, plan).pages
