"""What keeps a step from coming off: fuel, the intake, the battery, the wait, and nothing else.

The order battery, wait, restraint connector is that of makers' workshop manuals (facts: `make_safe_wait`); that the
intake comes before the battery, and that fuel stops everything, is common practice, no source.
"""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any

import pytest

from tests.plan.small_cabin import small_job
from trimwright.facts import load
from trimwright.job.document import Job
from trimwright.plan.sequence.coming_off import holds, safe_from

TRADE = load()
START = datetime.fromisoformat("2026-03-02T08:00:00+00:00")
TAKEN_IN = {"kind": "intake", "id": "in", "at": START.isoformat(), "restraint_lamp": "lights, then goes out"}
OFF = {"kind": "opened", "id": "off", "at": START.isoformat(), "step": "battery_off"}
LONGEST = timedelta(minutes=TRADE.practice["make_safe_wait"].value)


def job(*events: dict[str, Any], **changes: Any) -> Job:
    return small_job(events=list(events), **changes)


def kinds(step: str, at: timedelta = timedelta(), *events: dict[str, Any]) -> list[str]:
    return [each.kind for each in holds(step, job(*events), TRADE, START + at)]


def test_the_battery_comes_off_after_the_intake() -> None:
    assert kinds("battery_off") == ["not taken in"]
    assert kinds("battery_off", timedelta(), TAKEN_IN) == []


def test_whatever_carries_current_waits_for_the_battery() -> None:
    assert kinds("roof_lamp", timedelta(), TAKEN_IN) == ["battery on"]
    assert kinds("roof_lamp", timedelta(), TAKEN_IN, OFF) == []
    assert kinds("mats.driver") == []


def test_what_is_restrained_waits_to_the_second() -> None:
    """The seat's buckle has a plug; the wait runs from the moment the battery was noted off."""
    almost = LONGEST - timedelta(seconds=1)
    assert kinds("fseat_off.driver", almost, TAKEN_IN, OFF) == ["wait"]
    assert kinds("fseat_off.driver", LONGEST, TAKEN_IN, OFF) == []
    assert safe_from(job(TAKEN_IN, OFF), TRADE) == START + LONGEST


def test_the_cars_own_book_says_how_long() -> None:
    book = {"kind": "book_wait", "id": "b", "at": START.isoformat(), "minutes": 3, "page": "4"}
    assert kinds("fseat_off.driver", timedelta(minutes=3), TAKEN_IN, OFF, book) == []
    assert kinds("fseat_off.driver", timedelta(minutes=3) - timedelta(seconds=1), TAKEN_IN, OFF, book) == ["wait"]


def test_a_battery_that_is_back_on_holds_again() -> None:
    on = OFF | {"id": "on", "back_on": True}
    assert kinds("fseat_off.driver", 2 * LONGEST, TAKEN_IN, OFF, on) == ["battery on"]


@pytest.mark.parametrize("step", ["battery_off", "mats.driver", "fseat_off.driver"])
def test_fuel_that_can_be_smelt_stops_everything(step: str) -> None:
    smells = TAKEN_IN | {"fuel_smell": True}
    assert "fuel" in kinds(step, timedelta(), smells)
    assert "fuel" not in kinds(step, timedelta(), smells, TAKEN_IN | {"id": "again"})


def test_unknown_equipment_counts_as_fitted() -> None:
    """A pillar trim hides a curtain airbag; the small cabin says it has none, a car nobody looked at does not."""
    car = {"text": "x", "year": 2004, "body": "two-door"}
    unknown = job(TAKEN_IN, OFF, car=car)
    assert [each.kind for each in holds("pillar_c.driver", unknown, TRADE, START)] == ["wait"]
    assert kinds("own:ghost") == []
