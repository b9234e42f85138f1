"""Where to stop, on the work sheets."""

from __future__ import annotations

import io
from dataclasses import replace
from datetime import UTC, datetime

import pytest
from pypdf import PdfReader

from tests.plan.small_cabin import CUSHION, small_plan
from trimwright.papers import paper_pdf, work_sheets
from trimwright.plan.quantities.cabin import LEAVE
from trimwright.plan.verdicts.stop_loss import Stop

MADE = datetime(2026, 11, 25, 12, 0, tzinfo=UTC)


def stop(at: int, *, planned: int = 150, proven: bool = True, leave: bool = False) -> Stop:
    verdict = next(each for each in small_plan().verdicts.verdicts if each.part == CUSHION)
    assert verdict.course is not None
    other = replace(verdict.course, id=LEAVE if leave else "new_fit", name="fit a new part")
    return Stop(CUSHION, verdict.name, verdict.course, other, planned, at - planned, at, proven)


@pytest.mark.parametrize(
    ("told", "line"),
    [
        (stop(221), "Stop at about 3 h 40: from then on the other way is better (fit a new part)."),
        (stop(221, proven=False), "Stop at about 3 h 30: from then on the other way is better (fit a new part)."),
        (stop(221, leave=True), "Stop at about 3 h 40: from then on it is better left as it is."),
        (stop(2_000), "The hours are no reason to stop: even many times as many leave this the better way."),
    ],
)
def test_where_to_stop_in_a_sentence(told: Stop, line: str) -> None:
    assert work_sheets.stop_line(told) == line


def test_the_sheet_prints_it_beside_the_planned_hours_and_no_sheet_does_unasked() -> None:
    def text(stops: dict[str, Stop | None] | None) -> str:
        pages = PdfReader(io.BytesIO(paper_pdf("work-sheets", small_plan(), MADE, stops=stops))).pages
        return " ".join(" ".join(page.extract_text() for page in pages).split())

    assert text({CUSHION: stop(221)}).count("Stop at about 3 h 40") == 1
    assert "Stop at about" not in text({CUSHION: None})
    assert text(None) == text({})
