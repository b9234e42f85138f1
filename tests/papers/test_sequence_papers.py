"""The strip-down papers, read back with pypdf: cautions in front, blanks where people are held, labels in place."""

from __future__ import annotations

import io
from datetime import UTC, datetime
from functools import cache
from math import ceil

import pytest
from pypdf import PdfReader

from tests.plan.happened import happened
from tests.plan.small_cabin import small_job, small_plan
from trimwright.facts import load
from trimwright.papers import WAY_BACK, WAY_IN, PaperSize, SequencePaper, bag_labels, sequence_pdf, strip_sheet
from trimwright.plan.plan import Plan, make_plan
from trimwright.plan.sequence import Sequence, arrange
from trimwright.plan.sequence.ledger import bags

MADE = datetime(2026, 11, 25, 12, 0, tzinfo=UTC)
PAPERS = (*WAY_IN, *WAY_BACK)
MM, INCH = 72 / 25.4, 72.0
LABELS: dict[PaperSize, tuple[int, int, float, float, float, float, float]] = {
    "a4": (3, 7, 63.5 * MM, 38.1 * MM, 7.25 * MM, 15.15 * MM, 2.5 * MM),
    "us-letter": (3, 10, 2.625 * INCH, 1 * INCH, 0.1875 * INCH, 0.5 * INCH, 0.125 * INCH),
}
"""Columns, rows, width, height, left, top, gap between columns [pt]; sizes of label sheets are from memory."""

pytestmark = pytest.mark.filterwarnings("error::trimwright.papers.press.PaperWarning")


def arranged(plan: Plan) -> Sequence:
    return arrange(plan.job, plan.trade, plan.quantities, plan.verdicts)


def pdf(name: SequencePaper, plan: Plan | None = None, size: PaperSize = "a4") -> PdfReader:
    plan = plan or small_plan()
    return PdfReader(io.BytesIO(sequence_pdf(name, plan, arranged(plan), MADE, size)))


def words(name: SequencePaper, plan: Plan | None = None) -> str:
    text = " ".join(page.extract_text() for page in pdf(name, plan).pages)
    return " ".join(text.replace("\u200b", "").split())


@cache
def busy() -> Plan:
    """The small cabin mid-job: the book's wait, a seat bolt's torque and tick, a bag that lacks something."""
    bolts = {"step": "fseat_off.driver", "fixing": "bolts or nuts to the floor"}
    return make_plan(
        happened(
            small_job(),
            {"kind": "book_wait", "minutes": 3, "page": "restraints, 4"},
            {"kind": "opened", "step": "battery_off"},
            {"kind": "opened", "step": "knob_gear"},
            {"kind": "bag", "step": "knob_gear", "state": "filled", "missing": 1},
            {"kind": "fixing", **bolts, "newton_metres": 46, "page": "seats, 2"},
            {"kind": "tightened", **bolts, "newton_metres": 46},
        ),
        load(),
    )


@pytest.mark.parametrize("size", LABELS)
@pytest.mark.parametrize("name", PAPERS)
def test_size_and_bytes(name: SequencePaper, size: PaperSize) -> None:
    """ISO 216 and ANSI/ASME Y14.1; the same plan and moment print the same."""
    box = pdf(name, size=size).pages[0].mediabox
    wanted = (210 * MM, 297 * MM) if size == "a4" else (612, 792)
    assert (float(box.width), float(box.height)) == pytest.approx(wanted, abs=0.5)
    first = sequence_pdf(name, small_plan(), arranged(small_plan()), MADE, size)
    assert first == sequence_pdf(name, small_plan(), arranged(small_plan()), MADE, size)


def test_make_safe_stands_before_anything_that_comes_off() -> None:
    told = words("strip-down-sheet")
    assert told.index("Battery negative off first") < told.index("Wait 30 min") < told.index("Front seat out of car")
    assert "The longest in print" in told
    assert "Look in the car’s own book" in told
    own = words("strip-down-sheet", busy())
    assert "Wait 3 min" in own
    assert "The car’s own book: restraints, 4." in own
    assert "battery off at 2026-03-05 10:00" in own


def test_a_caution_stands_before_its_move_and_is_said_once() -> None:
    told = words("strip-down-sheet")
    lifting = "A front seat weighs"
    assert told.count(lifting) == 1
    assert told.index(lifting) < told.index("Front seat out of car")
    assert "Only by somebody trained for it" in told
    assert "mark Where every ring and strip sits" in told


def test_nothing_wired_comes_off_while_the_wait_runs() -> None:
    sequence = arranged(small_plan())
    free = strip_sheet.meanwhile(sequence)
    for move in sequence.strip:
        if {"battery_off", "wait"} & set(move.after):
            assert move.name not in free


def test_what_holds_people_is_blank_until_the_book_is_entered() -> None:
    blank, filled = words("rebuild-sheet"), words("rebuild-sheet", busy())
    assert "4 bolts or nuts to the floor seat" in blank
    assert "46 N·m" not in blank
    assert "46 N·m (33.9 lbf·ft) the car’s own book: seats, 2" in filled
    assert "46 N·m (33.9 lbf·ft), 2026-03-05 10:00" in filled
    assert "General, check the book" in blank
    assert "21.7 N·m (16 lbf·ft)" in blank  # M8, class 8.8


def test_the_holds_of_the_way_back_stand_where_they_hold() -> None:
    told = words("rebuild-sheet")
    assert told.index("New clips and fixings in hand") < told.index("Battery negative on") < told.index("Keys back")
    assert "nobody in the car" in told
    assert told.index("Warning lamp and stored faults") < told.index("Power tests:")
    assert "1 missing" in words("rebuild-sheet", busy())


def test_only_tests_of_what_the_car_may_have() -> None:
    told = words("test-sheet")
    for each in ("locks on a snatch", "Horn sounds", "restraint", "hose over", "no rattle"):
        assert each.lower() in told.lower()
    assert "seat empty" not in told  # the small cabin has no seat sensor


@pytest.mark.parametrize("size", LABELS)
def test_each_label_lies_on_its_own(size: PaperSize) -> None:
    columns, rows, wide, high, left, top, gap = LABELS[size]
    plan = small_plan()
    wanted = [each.step for each in bags(arranged(plan), plan.job, plan.trade)]
    found: list[tuple[int, str, float, float]] = []
    pages = pdf("bag-labels", size=size).pages
    assert len(pages) == ceil(len(wanted) / (columns * rows))
    for number, page in enumerate(pages):
        height = float(page.mediabox.height)

        def seen(text: str, cm: list[float], tm: list[float], *_: object, n: int = number, h: float = height) -> None:
            x = tm[4] * cm[0] + tm[5] * cm[2] + cm[4]
            y = tm[4] * cm[1] + tm[5] * cm[3] + cm[5]
            if text.strip() in wanted:
                found.append((n, text.strip(), x, h - y))

        page.extract_text(visitor_text=seen)
    assert [each[1] for each in found] == wanted
    for place, (number, _, x, y) in enumerate(found):
        page_at, on_page = divmod(place, columns * rows)
        row, column = divmod(on_page, columns)
        assert number == page_at
        assert left + column * (wide + gap) < x < left + column * (wide + gap) + wide
        assert top + row * high < y < top + (row + 1) * high


def test_a_label_has_a_code_of_its_own_that_names_job_and_bag() -> None:
    labels = bag_labels.in_words(small_plan(), arranged(small_plan()))["labels"]
    assert len({each["code"] for each in labels}) == len(labels)
    assert all(each["code"].startswith("<svg") for each in labels)
    steps = [each.step for each in bags(arranged(small_plan()), small_plan().job, load())]
    assert labels[0]["code"] == bag_labels.code(f"small/{steps[0]}")
