"""The intake on paper: one page to sign, without the radio code."""

from __future__ import annotations

import io
from datetime import UTC, datetime

from pypdf import PdfReader

from tests.plan.small_cabin import small_job
from trimwright.job.events import EVENT, Intake
from trimwright.papers import intake_sheet_pdf
from trimwright.papers.intake_sheet import in_words

AT = datetime(2026, 3, 2, 8, 0, tzinfo=UTC)
RAW = {
    "kind": "intake", "id": "in", "at": AT.isoformat(), "by": "phone", "restraint_lamp": "stays on", "keys": 2,
    "faults": ["left window stuck #*bold*", "clock stands"], "belongings": ["torch"], "radio_code": "4711",
    "angles": {"dash": "photo-1"}, "fuel_smell": True,
}  # fmt: skip


def taken_in(**changes: object) -> Intake:
    event = EVENT.validate_python({**RAW, **changes})
    assert isinstance(event, Intake)
    return event


def text_of(intake: Intake) -> str:
    pages = PdfReader(io.BytesIO(intake_sheet_pdf(small_job(), intake, AT))).pages
    assert len(pages) == 1
    return pages[0].extract_text()


def test_one_page_says_how_the_car_was_and_has_the_line_to_sign() -> None:
    text = text_of(taken_in())
    for told in ("Stays on", "Left window stuck", "Torch", "Fuel can be smelt", "signature"):
        assert told in text
    assert "4711" not in text


def test_signed_it_says_by_whom() -> None:
    yes = {"at": AT.isoformat(), "name": "K. Marrow", "how": "signed"}
    text = text_of(taken_in(yes=yes))
    assert "Signed: K. Marrow, 2 March 2026" in text
    assert "signature" not in text


def test_a_full_intake_still_is_one_page() -> None:
    many = [f"fault number {number}" for number in range(12)]
    text_of(taken_in(faults=many, belongings=many[:6], lamps=many[:4]))
    assert in_words(small_job(), taken_in(faults=()))["lists"][1]["lines"] == []
