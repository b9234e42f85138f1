"""A task in words: how much to mix for the day, by hand; papers with none left out; its cautions."""

from __future__ import annotations

from datetime import datetime
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest

from tests.plan.small_cabin import small_plan
from trimwright.facts.workbench import load_workbench
from trimwright.papers.task_words import SPARE, papers_in_order, poured, task_words
from trimwright.plan.calendar.schedule import schedule
from trimwright.plan.calendar.tasks import Calendar
from trimwright.plan.plan import bench_of


@pytest.fixture(scope="module")
def calendar() -> Calendar:
    return schedule(bench_of(small_plan(), start=datetime(2026, 3, 2, 9, tzinfo=ZoneInfo("UTC"))), seconds=1)


def test_a_mix_is_poured_by_volume_and_read_on_the_scale() -> None:
    """300 ml at 2:1 are 200 and 100 ml; 200 × 0.98 g, then 100 × 1.03 g on top: 196 g and 299 g."""
    assert list(poured(load_workbench().coats["clear_2k"], 0.3)) == [
        "Colour or clear: 200 ml, the scale at 196 g",
        "Hardener: 100 ml, the scale at 299 g",
    ]


def test_what_comes_ready_is_not_weighed() -> None:
    assert list(poured(load_workbench().coats["leather_pigment"], 0.3)) == []


def test_no_paper_jumps_by_more_than_twice_the_grain() -> None:
    """FEPA 43-1 / ISO 6344 grain sizes; the factor of two is common practice, no source."""
    grits = load_workbench().grits
    way = papers_in_order("P120>P800").split(" → ")
    assert (way[0], way[-1]) == ("P120", "P800")
    assert all(grits[one].um / grits[other].um <= 2 for one, other in pairwise(way))


def test_every_open_task_for_hands_has_its_words_and_its_cautions(calendar: Calendar) -> None:
    plan = small_plan()
    told = task_words(plan, calendar, {part.id: part.name for part in plan.job.parts})
    for task in calendar.bench.tasks:
        if task.people and task.done is None:
            assert told[task.id]["what"]
            assert len(told[task.id]["cautions"]) == len(
                [each for each in task.cautions if each in plan.trade.cautions]
            )
        else:
            assert task.id not in told


def test_the_days_mixes_come_to_what_the_verdicts_reckon_and_the_spare(calendar: Calendar) -> None:
    """Over all days the cups hold all of a material that the plan takes, and a tenth more, rounded up to 5 ml each."""
    plan = small_plan()
    told = task_words(plan, calendar, {part.id: part.name for part in plan.job.parts})
    cups: dict[tuple[str, str, object], float] = {}
    for task, words in told.items():
        of = calendar.bench.by_id[task]
        group = of.batch or f"{of.part}/{of.treatment}"
        for mix in words["mix"]:
            cups[group, mix["what"], calendar.by_task[task].start.date()] = float(mix["total"].removesuffix(" ml"))
    coats = load_workbench().coats
    wanted: dict[str, float] = {}
    for verdict in plan.verdicts.verdicts:
        for need in verdict.course.needs if verdict.course else ():
            coat = coats.get(need.material.partition(":")[0])
            name = plan.quantities.materials[need.material].name.lower()
            if coat is not None and coat.film_um is not None:
                wanted[name] = wanted.get(name, 0.0) + need.milli * coat.litres_a_unit * (1 + SPARE)
    assert cups
    for name in {what for _group, what, _day in cups}:
        mixed = [amount for (_group, what, _day), amount in cups.items() if what == name]
        assert -0.1 <= sum(mixed) - wanted[name.lower()] <= 5 * len(mixed)
