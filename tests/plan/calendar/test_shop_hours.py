"""Open time by the wall's clock, waits by the time that passes; days on which the clocks change have 23 or 25 hours.

Clock changes are those of the time zone database: in the European Union the last Sundays of March and October.
"""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trimwright.errors import BadInput
from trimwright.job.document import TimeTerms
from trimwright.plan.calendar.shop_hours import (
    closing_of,
    first_fit,
    hours_of,
    minutes_between,
    moved,
    open_spans,
    starting,
    usual_stretch,
)

BERLIN = ZoneInfo("Europe/Berlin")
TERMS = TimeTerms(zone="Europe/Berlin", week=(8, 8, 8, 8, 8, 4, 0), opens=time(8))
HOURS = hours_of(TERMS)
SPRING, AUTUMN = date(2026, 3, 29), date(2026, 10, 25)


def at(day: date, hour: int, minute: int = 0) -> datetime:
    return datetime(day.year, day.month, day.day, hour, minute, tzinfo=BERLIN)


@pytest.mark.parametrize(("day", "hours"), [(SPRING, 23), (AUTUMN, 25), (date(2026, 6, 1), 24)])
def test_a_day_has_the_hours_it_has(day: date, hours: int) -> None:
    assert minutes_between(at(day, 0), at(day + timedelta(days=1), 0)) == hours * 60


def test_a_night_s_cure_takes_the_hours_that_pass() -> None:
    evening = at(SPRING - timedelta(days=1), 18)
    assert moved(evening, 12 * 60) == at(SPRING, 7)
    assert moved(at(AUTUMN - timedelta(days=1), 18), 12 * 60) == at(AUTUMN, 5)


@given(st.integers(0, 365 * 24 * 60), st.integers(-100_000, 100_000))
def test_there_and_back(since_new_year: int, minutes: int) -> None:
    start = (datetime(2026, 1, 1, tzinfo=UTC) + timedelta(minutes=since_new_year)).astimezone(BERLIN)
    assert minutes_between(start, moved(start, minutes)) == minutes


def test_a_shop_that_works_on_such_a_sunday_opens_and_closes_by_the_clock() -> None:
    sundays = hours_of(TimeTerms(zone="Europe/Berlin", week=(0, 0, 0, 0, 0, 0, 6), opens=time(9)))
    for day in (SPRING, AUTUMN):
        [(opening, closing)] = open_spans(sundays, at(day, 0), at(day, 23))
        assert (opening.hour, closing.hour) == (9, 15)


def test_spans_reach_past_the_start_and_leave_out_days_off() -> None:
    hours = hours_of(TERMS.model_copy(update={"days_off": (date(2026, 6, 3),)}))
    spans = list(open_spans(hours, at(date(2026, 6, 1), 10), at(date(2026, 6, 7), 23)))
    assert [opening.date().day for opening, _ in spans] == [1, 2, 4, 5, 6]
    assert spans[0] == (at(date(2026, 6, 1), 8), at(date(2026, 6, 1), 16))
    assert closing_of(hours, date(2026, 6, 3)) is None


def test_what_fits_begins_where_there_is_room() -> None:
    friday = at(date(2026, 6, 5), 15)
    assert first_fit(HOURS, friday, 60) == friday
    assert first_fit(HOURS, friday, 61) == at(date(2026, 6, 6), 8)
    assert first_fit(HOURS, friday, 300) == at(date(2026, 6, 8), 8)
    assert first_fit(HOURS, friday, 481) is None
    assert usual_stretch(HOURS) == 480


def test_the_end_of_a_day_is_for_talk_and_clearing_up() -> None:
    assert hours_of(TERMS, 0.2).week[0] == 400


@pytest.mark.parametrize(
    ("changed", "where", "way_out"),
    [
        ({"zone": "Europe/Berlim"}, "time › zone", "Europe/Berlin"),
        ({"week": (0,) * 7}, "time › week", "at least one day"),
        ({"opens": time(20)}, "time › opens", "Open earlier"),
    ],
)
def test_hours_that_make_no_week_are_refused(changed: dict[str, object], where: str, way_out: str) -> None:
    with pytest.raises(BadInput) as refused:
        hours_of(TERMS.model_copy(update=changed))
    [problem] = refused.value.problems
    assert problem.where == where
    assert way_out in problem.way_out


def test_everything_that_is_wrong_is_told_at_once() -> None:
    with pytest.raises(BadInput) as refused:
        hours_of(TimeTerms(zone="Nowhere/Land", week=(0,) * 7))
    assert len(refused.value.problems) == 2


def test_a_start_that_is_over_is_refused_and_work_under_way_goes_on() -> None:
    now = at(date(2026, 6, 10), 11, 30)
    with pytest.raises(BadInput, match="is over: nothing can be planned"):
        starting(TERMS, HOURS, now, date(2026, 6, 9))
    past = TERMS.model_copy(update={"start": date(2026, 6, 1)})
    with pytest.raises(BadInput, match="nothing has been noted as done"):
        starting(past, HOURS, now)
    assert starting(past, HOURS, now, begun=True) == now
    assert starting(TERMS, HOURS, now) == now
    assert starting(TERMS, HOURS, now, date(2026, 6, 12)) == at(date(2026, 6, 12), 0)
    ahead = TERMS.model_copy(update={"start": date(2026, 7, 1)})
    assert starting(ahead, HOURS, now) == at(date(2026, 7, 1), 0)
