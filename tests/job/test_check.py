from __future__ import annotations

from typing import Any

import pytest

from trimwright.facts.trade import Trade
from trimwright.job.check import Findings, checked
from trimwright.job.document import Job

SOUND: dict[str, Any] = {"id": "p", "kind": "cushion", "name": "P", "place": "driver", "material": "leather"}


def job_with(part: dict[str, Any] | None = None, **changes: Any) -> Job:
    """A sound job of one part, with one thing altered."""
    raw: dict[str, Any] = {
        "id": "j", "name": "J", "car": {"text": "x", "year": 1990, "body": "two-door"},
        "money": {"currency": "USD", "sum": 240_000}, "parts": [SOUND | (part or {})],
    }  # fmt: skip
    return Job.model_validate(raw | changes)


def test_a_sound_job_has_nothing_wrong(trade: Trade) -> None:
    assert checked(job_with(), trade) == Findings((), ())


@pytest.mark.parametrize(
    ("part", "where", "value", "way_out"),
    [
        ({"kind": "cushin"}, "kind", "cushin", "Did you mean 'cushion'?"),
        ({"kind": "battery_off"}, "kind", "battery_off", ""),
        ({"material": "lether"}, "material", "lether", "Did you mean 'leather'?"),
        ({"faults": [{"fault": "L_dirt", "extent": "light"}]}, "faults", "L_dirt", "Did you mean 'L_dirty'?"),
        ({"faults": [{"fault": "V_split", "extent": "light"}]}, "faults", "V_split", "It is one of: vinyl."),
        ({"faults": [{"fault": "L_dirty", "extent": "light"}] * 2}, "faults", "L_dirty", "Keep the worst of them."),
        ({"pin": "leather_clen"}, "pin", "leather_clen", "Did you mean 'leather_clean'"),
        ({"pin": "leather_clean+leather_recolor~dark"}, "pin", "leather_recolor", "Did you mean 'leather_recolour'"),
        ({"bans": ["paint"]}, "bans", "paint", ""),
        ({"pin": "leather_clean", "bans": ["leather_clean"]}, "pin", "leather_clean", "Take away the pin or the ban."),
        ({"place": "rear_driver"}, "place", "rear_driver", "Choose one of: driver, passenger."),
        ({"kind": "knob", "material": "wood"}, "place", "driver", "Leave it empty."),
        ({"kind": "armrest", "place": "rear_driver", "material": "vinyl"}, "place", "rear_driver", "of: driver."),
        ({"kind": "door_card_r", "place": None, "material": "vinyl"}, "kind", "door_card_r", "estate, four-door."),
        ({"kind": "own", "own": {"zone": "rear"}}, "area_mm2", "", "State the size"),
    ],
)  # fmt: skip
def test_what_the_facts_do_not_know_is_a_problem(
    part: dict[str, Any], where: str, value: str, way_out: str, trade: Trade
) -> None:
    found = [each for each in checked(job_with(part), trade).problems if each.where == f"parts › p › {where}"]
    assert [(each.value, way_out in each.way_out) for each in found] == [(value, True)]


@pytest.mark.parametrize(("body", "problems"), [("two-door", 1), ("four-door", 0), ("van", 1), ("estate", 0)])
def test_a_rear_door_needs_a_body_that_has_one(body: str, problems: int, trade: Trade) -> None:
    part = {"kind": "armrest", "place": "rear_driver", "material": "vinyl"}
    job = job_with(part, car={"text": "x", "year": 1990, "body": body})
    assert len(checked(job, trade).problems) == problems


@pytest.mark.parametrize(("fitted", "problems"), [("yes", 0), ("unknown", 0), ("no", 1)])
def test_an_airbag_part_needs_a_car_that_may_have_one(fitted: str, problems: int, trade: Trade) -> None:
    car = {"text": "x", "year": 1990, "body": "van", "equipment": {"passenger_airbag": fitted}}
    job = job_with({"kind": "bag", "place": None, "material": "plastic"}, car=car)
    assert len(checked(job, trade).problems) == problems


@pytest.mark.parametrize(
    ("money", "problems"),
    [
        ({"currency": "GBP", "sum": 1}, 1),
        ({"currency": "GBP", "sum": 1, "rates": {"JPY": 2.0}}, 1),
        ({"currency": "GBP", "sum": 1, "rates": {"EUR": 0.9}}, 0),
        ({"currency": "EUR", "sum": 1}, 0),
    ],
)
def test_another_currency_needs_a_rate(money: dict[str, Any], problems: int, trade: Trade) -> None:
    found = checked(job_with(money=money), trade).problems
    assert [each.where for each in found] == ["money › rates"] * problems


def test_stock_and_tools_must_be_known(trade: Trade) -> None:
    job = job_with(stock=[{"material": "dy", "amount": 1}], tools=["guns"])
    assert [(each.where, each.way_out) for each in checked(job, trade).problems] == [
        ("stock", "Did you mean 'dye'?"),
        ("tools", "Did you mean 'gun'?"),
    ]


@pytest.mark.parametrize(
    ("part", "where", "what"),
    [
        ({"finish_now": 3}, "finish_now", "no fault says why"),
        ({"finish_now": 8, "faults": [{"fault": "L_torn", "extent": "heavy"}]}, "finish_now", "at most 3"),
        ({"area_mm2": 3_200_001}, "area_mm2", "more than 4 times the largest usual (0.80 m²)"),
        ({"length_mm": 8_001}, "length_mm", "more than 4 times"),
        ({"material": "vinyl"}, "material", "unusual for this part"),
        ({"place": None}, "place", "belongs to no side"),
        (
            {"kind": "knob", "place": None, "material": "wood", "faults": [{"fault": "A_loose", "extent": "light"}]},
            "area_mm2",
            "is not known",
        ),
        (
            {"kind": "belt", "material": "webbing", "offers": [{"source": "used", "low": 1, "likely": 1, "high": 1}]},
            "offers",
            "only ever bought new",
        ),
    ],
)
def test_what_is_odd_is_a_remark(part: dict[str, Any], where: str, what: str, trade: Trade) -> None:
    findings = checked(job_with(part), trade)
    assert findings.problems == ()
    [remark] = [each for each in findings.remarks if each.where == f"parts › p › {where}"]
    assert what in remark.what
    assert remark.way_out


def test_a_size_of_many_pieces_is_held_against_as_many(trade: Trade) -> None:
    assert checked(job_with({"area_mm2": 3_200_001, "count": 2}), trade).remarks == ()


def test_the_job_itself_is_looked_over(trade: Trade) -> None:
    job = job_with(
        money={"currency": "USD", "sum": 0},
        time={"start": "2026-05-31", "wanted_by": "2026-05-01"},
        wishes={"zones": {"front seat": 2.0}},
    )
    assert [(each.where, each.value) for each in checked(job, trade).remarks] == [
        ("money › sum", "0"),
        ("time › wanted_by", "2026-05-01"),
        ("wishes › zones", "front seat"),
    ]


def test_one_look_tells_everything(trade: Trade) -> None:
    part = {"kind": "cushin", "material": "lether", "pin": "x", "bans": ["y"]}
    assert len(checked(job_with(part, tools=["z"]), trade).problems) == 5


@pytest.mark.parametrize(("unseen", "told"), [(10, ["10"]), (6, ["6"]), (5, []), (0, [])])
def test_a_cabin_that_is_hardly_surveyed_is_worth_a_second_look(unseen: int, told: list[str], trade: Trade) -> None:
    parts = [SOUND | {"id": f"p{n}", "finish_now": None if n < unseen else 8} for n in range(10)]
    remarks = checked(job_with(parts=parts), trade).remarks
    assert [each.value for each in remarks if each.where == "parts"] == told
