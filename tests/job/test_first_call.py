from __future__ import annotations

from itertools import pairwise
from typing import Literal

import pytest

from trimwright.facts import load
from trimwright.job.check import checked
from trimwright.job.document import Job
from trimwright.job.first_call import WEARS, Answers, Wear, harder, rough_job, taken

CAR = {"text": "coupé from a damp garage", "year": 1994, "body": "two-door", "units": "metric"}
STEPS: tuple[Literal[-1, 1], ...] = (-1, 1)
MONEY = {"currency": "EUR", "sum": 240_000}


def rough(wear: Wear = "worn", **told: object) -> Job:
    return rough_job(load(), car=CAR, money=MONEY, told=Answers(wear, **told))  # type: ignore[arg-type]


def finish(job: Job) -> float:
    return sum(part.finish_now or 0 for part in job.parts) / len(job.parts)


@pytest.mark.parametrize("wear", WEARS)
def test_every_guess_is_a_job_the_engine_takes(wear: Wear) -> None:
    job = rough(wear, trouble=frozenset({"belts", "lamp", "damp"}))
    assert not checked(job, load()).problems
    assert all(part.finish_now is not None for part in job.parts)


def test_the_more_it_is_worn_the_worse_it_is() -> None:
    worn = [finish(rough(wear)) for wear in WEARS]
    assert all(better > worse for better, worse in pairwise(worn))


def test_a_step_harder_is_worse_and_a_step_easier_better() -> None:
    job, trade = rough(), load()
    assert finish(harder(job, trade, 1)) < finish(job) < finish(harder(job, trade, -1))


def test_what_holds_people_stays_as_it_was_told() -> None:
    trade = load()
    job = rough(trouble=frozenset({"belts"}))
    for steps in STEPS:
        moved = harder(job, trade, steps)
        frayed = {part.id: [f.extent for f in part.faults if f.fault == "B_frayed"] for part in moved.parts}
        assert {extents[0] for extents in frayed.values() if extents} == {"medium"}


def test_what_hurts_must_be_done_and_what_must_not_be_touched_is_left_alone() -> None:
    trade, job = load(), rough(hurts=("front seats", "dash"), untouched=("dash",))
    zones = {part.id: trade.parts[part.kind].zone for part in job.parts}
    assert {zones[each] for each in job.wishes.must_do} == {"front seats"}
    assert {zones[each] for each in job.wishes.leave_alone} == {"dash"}
    assert dict(job.wishes.zones) == {"front seats": 2.0}


def test_taken_it_keeps_the_wishes_and_forgets_every_guess() -> None:
    job = taken(rough(hurts=("front seats",), untouched=("boot",), hours=60), load())
    assert all(part.finish_now is None and not part.faults for part in job.parts)
    assert (job.wishes.must_do, job.time.hours) == ((), 60)
    assert job.wishes.leave_alone


def test_usual_wear_names_faults_that_the_family_can_have() -> None:
    trade = load()
    for each in trade.usual_wear.values():
        assert trade.is_for(each.family, trade.faults[each.fault].materials), each.id
        assert each.evidence.level == "guess"
