"""Looks worth taking: recomputed by plain searches, and worth nothing where nothing is in doubt."""

from __future__ import annotations

from dataclasses import replace

import pytest
from random_cabins import random_cabin

from tests.plan.quantities.cabins import part, quantities_of
from trimwright.plan.quantities.cabin import LookAt, Quantities
from trimwright.plan.verdicts import charges, decide
from trimwright.plan.verdicts.looks import worth_taking
from trimwright.plan.verdicts.recount import recount
from trimwright.plan.verdicts.reserve import simulate
from trimwright.plan.verdicts.search import Search
from trimwright.plan.verdicts.seeing import may_be_seen

LONG = 60.0


def with_look(cabin: Quantities, *settles: str, minutes: int = 10, wait: int = 0) -> Quantities:
    return replace(cabin, looks=(LookAt("look", "a look", "carpet_edge", minutes, wait, settles),))


@pytest.mark.parametrize("seed", range(4))
def test_every_answer_is_what_a_plain_search_finds_at_the_same_z(seed: int) -> None:
    cabin = with_look(random_cabin(400 + seed, 9, labour=seed % 2 == 1), "find0", "find1")
    verdicts = decide(cabin, draws=4_000)
    (worth,) = worth_taking(cabin, verdicts, seconds=LONG, draws=4_000)
    plain = {}
    for seen in may_be_seen(cabin, ("find0", "find1")):
        found = Search(replace(cabin, hidden=seen.hidden), seconds=LONG, draws=100, seed=0, progress=None).at(
            verdicts.proof.z
        )
        plain[tuple(sorted(seen.there))] = (seen.chance, None if found is None else found.count.points)
    assert {each.there: (each.chance, each.points) for each in worth.answers} == plain
    gained = sum(chance * (points - verdicts.points) for chance, points in plain.values() if points is not None)
    assert worth.points == pytest.approx(gained)


def test_the_reserve_of_an_answer_is_that_of_the_decided_plan_with_the_fault_known() -> None:
    cabin = with_look(random_cabin(402, 9), "find0")
    verdicts = decide(cabin, draws=4_000)
    (worth,) = worth_taking(cabin, verdicts, seconds=LONG, draws=4_000)
    chosen = {each.part: each.course for each in verdicts.verdicts if each.course and not each.settled_by}
    packs = {(each.material, each.pack_id): each.count for each in verdicts.bought}
    for seen, answer in zip(may_be_seen(cabin, ("find0",)), worth.answers, strict=True):
        known = replace(cabin, hidden=seen.hidden)
        odds = simulate(known, recount(cabin, chosen, packs), packs, draws=4_000)
        assert answer.reserve == odds.quantile - verdicts.money.firm


def test_with_all_chances_0_a_look_is_worth_nothing() -> None:
    cabin = random_cabin(403, 9)
    cabin = replace(cabin, hidden={key: replace(each, chance=0.0, loading=0.0) for key, each in cabin.hidden.items()})
    (worth,) = worth_taking(with_look(cabin, "find0", "find1"), decide(cabin, draws=2_000), draws=2_000)
    assert (worth.points, worth.reserve, worth.on_suspicion) == (0, 0, 0)
    (answer,) = worth.answers
    assert answer.there == ()
    assert answer.chance == pytest.approx(1.0)


def test_money_on_suspicion_is_what_must_be_dealt_with_on_average() -> None:
    cabin = random_cabin(404, 9)
    certain = replace(cabin.hidden["find0"], certain=True, must_deal=True)
    cabin = with_look(replace(cabin, hidden={**cabin.hidden, "find0": certain}), "find0", "find1")
    doubtful = replace(cabin.hidden["find1"], certain=False)
    cabin = replace(cabin, hidden={**cabin.hidden, "find1": doubtful})
    (worth,) = worth_taking(cabin, decide(cabin, draws=2_000), draws=2_000)
    assert worth.on_suspicion == round(certain.chance * charges.find_cost(cabin.terms, certain))


def test_waiting_counts_in_the_time_of_a_look() -> None:
    cabin = with_look(random_cabin(405, 9), "find0", minutes=30, wait=30)
    (worth,) = worth_taking(cabin, decide(cabin, draws=2_000), draws=2_000)
    assert worth.minutes == 60
    assert worth.reserve_per_minute == pytest.approx(worth.reserve / 60)


# ---- measured --------------------------------------------------------------------------------------------------

DAMP_CARPET = part("carpet_main", "carpet", 4, "K_smell medium")


def test_a_damp_carpet_asks_for_a_look_under_its_edge() -> None:
    (look,) = quantities_of(DAMP_CARPET).looks
    assert look.glance == "carpet_edge"
    assert "wet_underlay" in look.settles
    assert (look.minutes, look.wait_minutes) == (10, 0)


def test_where_equipment_may_lie_the_car_is_made_safe_first() -> None:
    """20 min hands on and 30 min of waiting (`facts practice`): the longest wait in print, with no book at hand."""
    (look,) = quantities_of(DAMP_CARPET, car={"equipment": {"pretensioner": "unknown", "side_airbag": "no"}}).looks
    assert (look.minutes, look.wait_minutes) == (10 + 20, 30)


def test_what_a_look_has_settled_asks_for_no_other() -> None:
    told = [
        {"kind": "look", "id": f"l{number}", "at": "2026-03-01T10:00:00+00:00", "find": find, "there": False}
        for number, find in enumerate(quantities_of(DAMP_CARPET).looks[0].settles)
    ]
    told = [{**each, "find": each["find"].partition("@")[0]} for each in told]  # type: ignore[attr-defined]
    assert quantities_of(DAMP_CARPET, events=told).looks == ()
