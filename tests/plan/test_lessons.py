"""What the events of a job teach the book, and that twice is the same as once."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from tests.plan.small_cabin import BELT, CUSHION, small_job
from trimwright.book.document import Book
from trimwright.errors import BadInput
from trimwright.facts import load
from trimwright.job.document import Job
from trimwright.plan.lessons import learn
from trimwright.plan.quantities.needs import minutes_of
from trimwright.plan.quantities.surveyed import survey

TRADE = load()
TODAY = date(2026, 6, 1)
COURSE = "leather_recover"


def event(kind: str, event_id: str = "e1", **more: Any) -> dict[str, Any]:
    return {"kind": kind, "id": event_id, "at": "2026-05-20T17:00:00", **more}


def done(**more: Any) -> dict[str, Any]:
    return event("done", part=CUSHION, course=COURSE, **more)


def learned(*events: dict[str, Any], book: Book | None = None, **changes: Any) -> Book:
    return learn(book or Book(), job_with(*events, **changes), TRADE, TODAY)


def job_with(*events: dict[str, Any], **changes: Any) -> Job:
    return small_job(events=list(events), **changes)


def table_minutes(treatment: str) -> float:
    [part] = [each for each in survey(small_job(), TRADE) if each.id == CUSHION]
    return minutes_of((TRADE.treatments[treatment],), part)[1].value


def test_a_timed_course_tells_of_each_of_its_treatments() -> None:
    """Three tries took six times the table's minutes together: each took twice as long."""
    planned = table_minutes(COURSE)
    book = learned(done(minutes=round(planned * 6), redone=2))
    [timed] = book.timed
    assert (timed.treatment, timed.part, timed.job, timed.event) == (COURSE, CUSHION, "small", "e1")
    assert timed.planned == pytest.approx(planned)
    assert timed.real == pytest.approx(planned * 2, abs=0.5)
    both = learned(event("done", part=CUSHION, course=f"leather_clean+{COURSE}", minutes=100)).timed
    assert [each.treatment for each in both] == ["leather_clean", COURSE]
    assert sum(each.real for each in both) == pytest.approx(100)
    assert both[0].real / both[0].planned == pytest.approx(both[1].real / both[1].planned)


def test_a_visit_tells_how_long_the_treatment_that_ends_first_has_held() -> None:
    """Held at 100 days, failed at 300, put right, held 200 more: two spells, one failure."""
    looks = [
        event("visited", f"v{day}", part=CUSHION, held=held, at=f"{on}T10:00:00")
        for day, on, held in ((100, "2026-08-28", True), (300, "2027-03-16", False), (500, "2027-10-02", True))
    ]
    book = learned(done(), *looks)
    [part] = [each for each in survey(small_job(), TRADE) if each.id == CUSHION]
    assert [(each.treatment, each.event, each.failed) for each in book.held] == [
        (COURSE, "v300", True),
        (COURSE, "v500", False),
    ]
    assert [each.years * 365.25 / part.wear for each in book.held] == pytest.approx([300, 200], abs=0.01)
    assert learned(done(), *looks, book=book) == book


def test_a_look_on_the_day_of_the_work_tells_nothing() -> None:
    assert learned(done(), event("visited", "v1", part=CUSHION, held=True)).held == ()


def test_what_nobody_timed_teaches_no_hours() -> None:
    book = learned(done())
    assert book.timed == ()
    assert [(each.treatment, each.again) for each in book.redone] == [(COURSE, False)]


def test_a_redo_is_laid_to_the_treatment_likeliest_to_fail() -> None:
    book = learned(event("done", part=CUSHION, course=f"leather_clean+{COURSE}", redone=1))
    assert sum(TRADE.treatments["leather_clean"].redo) < sum(TRADE.treatments[COURSE].redo)
    assert {each.treatment: each.again for each in book.redone} == {"leather_clean": False, COURSE: True}


def test_what_is_left_teaches_nothing() -> None:
    book = learned(event("done", part=CUSHION, course="leave", minutes=5))
    assert (book.timed, book.redone) == ((), ())


def test_looks_finds_and_what_lay_open_teach_the_chance_of_a_fault() -> None:
    """A wire that may have rubbed through behind the cushion cover; a carpet's cut pile is not looked for here."""
    find, at = "wire_rubbing", {"part": CUSHION}
    found = event("find", "e2", what="bare wire", find=find, **at)
    for events, there in (
        ([event("look", find=find, there=True, **at)], True),
        ([event("look", find=find, there=False, **at)], False),
        ([found], True),
        ([event("look", find=find, there=False, **at), found], True),
        ([done()], False),
        ([done(), found], True),
    ):
        [seen] = learned(*events).found
        assert (seen.find, seen.place, seen.there) == (find, "front_seats.driver", there)
    assert learned(event("note", note="The owner called.")).found == ()


def test_twice_is_the_same_as_once() -> None:
    events = (
        done(minutes=300),
        event("bought", "e2", thing="material", material="leather_hide", pack="leather_hide-2_4m2", paid=26_500),
    )
    once = learned(*events)
    assert once.timed
    assert once.prices
    assert learned(*events, book=once) == once


def test_a_slip_put_right_in_the_job_is_put_right_in_the_book() -> None:
    wrong = learned(done(minutes=3000))
    assert learned(done(minutes=300), book=wrong) == learned(done(minutes=300))


def test_two_jobs_of_one_id_are_not_mixed_up() -> None:
    book = learned(done(minutes=300))
    with pytest.raises(BadInput, match="another job"):
        learned(done(minutes=300), book=book, name="The other two-door")
    both = learned(done(minutes=300), book=book, id="other", name="The other two-door")
    assert len(both.timed) == 2


def test_the_price_paid_is_a_price_before_tax_of_one_pack() -> None:
    money = {"currency": "EUR", "sum": 155_000, "covers": ["materials", "parts", "tax"], "tax_percent": 20}
    bought = event(
        "bought", thing="material", material="leather_hide", pack="leather_hide-2_4m2", count=2, paid=48_000,
        seller="Tannery by the river",
    )  # fmt: skip
    book = learned(bought, money=money)
    [price], [seller] = book.prices, book.suppliers
    assert (price.price, price.currency, price.on) == (20_000, "EUR", date(2026, 5, 20))
    assert (seller.id, seller.name, seller.carriage) == ("tannery-by-the-river", "Tannery by the river", 0)
    assert price.supplier == seller.id
    again = learned(bought, book=book, money=money)
    assert again == book
    usual = learned({**bought, "seller": "Leather Seller"})
    assert usual.suppliers == ()
    assert usual.prices[0].supplier == "leather_seller"


def test_what_went_back_is_no_price() -> None:
    bought = event(
        "bought", thing="material", material="leather_hide", pack="leather_hide-2_4m2", paid=900, returned=900
    )
    assert learned(bought).prices == ()


def test_a_job_that_does_not_fit_is_refused() -> None:
    with pytest.raises(BadInput):
        learned(event("done", part=BELT, course="belt_dye"))
