from __future__ import annotations

from typing import get_args

import pytest

from trimwright.errors import BadInput
from trimwright.facts import load
from trimwright.facts.trade import Body
from trimwright.job.check import checked
from trimwright.job.files import job_bytes, read_job
from trimwright.job.starting import started

CAR = {"text": "a car by the sea", "year": 1992, "body": "two-door"}
MONEY = {"currency": "EUR", "sum": 240_000}


@pytest.mark.parametrize("body", get_args(Body))
def test_every_body_starts_with_a_list_of_its_own(body: str) -> None:
    job = started(load(), car=CAR | {"body": body}, money=MONEY)
    assert len(job.parts) >= 40
    assert all(part.finish_now is None and not part.faults for part in job.parts)
    assert checked(job, load()).problems == ()
    assert read_job(job_bytes(job)) == job


def test_a_job_is_named_after_its_car() -> None:
    """The shop book tells jobs apart by their ids."""
    jobs = [started(load(), car=CAR | {"year": year}, money=MONEY) for year in (1992, 1993)]
    assert [job.id for job in jobs] == ["a-car-by-the-sea-1992", "a-car-by-the-sea-1993"]
    assert started(load(), car=CAR, money=MONEY, job_id="mine").id == "mine"


def test_the_bodies_differ() -> None:
    lists = {
        body: {part.id for part in started(load(), car=CAR | {"body": body}, money=MONEY).parts}
        for body in get_args(Body)
    }
    assert "door_card_r.rear_driver" in lists["four-door"] - lists["two-door"]
    assert "quarter_trim.driver" in lists["two-door"] - lists["four-door"]
    assert "hood_lining" in lists["open"] - lists["estate"]
    assert not any(part_id.startswith("rseat") for part_id in lists["van"])


def test_left_and_right_are_two_parts_with_names_of_their_own() -> None:
    parts = {part.id: part for part in started(load(), car=CAR, money=MONEY).parts}
    assert parts["fseat_cushion_cover.driver"].name == "Front cushion cover, driver's"
    assert parts["fseat_cushion_cover.passenger"].place == "passenger"


def test_equipment_decides_what_is_there() -> None:
    without = CAR | {"equipment": {"driver_airbag": "no", "passenger_airbag": "no"}}
    ids = {part.id for part in started(load(), car=without, money=MONEY).parts}
    assert "horn_pad" in ids
    assert not {"wheel_airbag", "pass_airbag"} & ids
    unknown = {part.id for part in started(load(), car=CAR, money=MONEY).parts}
    assert {"wheel_airbag", "pass_airbag"} <= unknown


def test_every_wrong_field_is_told_at_once() -> None:
    with pytest.raises(BadInput) as caught:
        started(load(), car=CAR | {"body": "coupe", "year": "soon"}, money={"currency": "EURO", "sum": -1})
    assert [problem.where for problem in caught.value.problems] == [
        "car › year",
        "car › body",
        "money › currency",
        "money › sum",
    ]
