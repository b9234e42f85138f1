"""Lines of a workbench question filled in from a job's task; what the task does not ask is refused with a way out."""

from __future__ import annotations

from functools import cache

import pytest

from tests.plan.small_cabin import CUSHION, VISOR, small_job, small_plan
from trimwright.craft.workbench import QUESTIONS, ask
from trimwright.demo import demo_job
from trimwright.errors import BadInput
from trimwright.facts import load
from trimwright.facts.workbench import load_workbench
from trimwright.plan.filling import Filled, filled
from trimwright.plan.plan import Plan, make_plan

TODAY = {"air coat": {"air": "20 C", "humidity": "50 %", "surface": "20 C"}}
"""What no job can know."""


@cache
def demo_plan() -> Plan:
    return make_plan(demo_job(), load())


def of(plan: Plan, question: str, part: str) -> Filled:
    return filled(question, part, job=plan.job, trade=plan.trade, quantities=plan.quantities, verdicts=plan.verdicts)


def test_a_glued_part_fills_in_its_glue() -> None:
    found = of(small_plan(), "air tin", VISOR)
    (need,) = (
        need
        for verdict in small_plan().verdicts.verdicts
        if verdict.part == VISOR and verdict.course
        for need in verdict.course.needs
        if need.material == "spray_glue"
    )
    litres = need.milli / 1000 * load_workbench().coats["spray_glue"].litres_a_unit
    assert found.typed["tin"] == "spray_glue"
    assert float(found.typed["amount"].removesuffix(" L")) == pytest.approx(litres, abs=5e-4)
    assert "visor" in found.task


def test_every_task_of_the_demo_can_be_asked_or_says_why_not() -> None:
    """What is filled in is read by the question itself; at least one part answers each."""
    plan = demo_plan()
    answered = set()
    for part in plan.job.parts:
        for question in QUESTIONS:
            try:
                found = of(plan, question, part.id)
            except BadInput:
                continue
            if question == "torque" and found.typed["holds"] == "trim" and "torque" not in found.typed:
                continue  # thread and class are read on the bolt
            assert set(found.typed) <= {each.name for each in QUESTIONS[question].asks}
            answer = ask(question, {**TODAY.get(question, {}), **found.typed})
            answered.add(question)
            if question == "torque":
                assert answer.refused
    assert answered == set(QUESTIONS)


def test_what_holds_people_comes_first_and_is_refused() -> None:
    found = of(demo_plan(), "torque", "fseat_off.driver")
    assert found.typed["holds"] == "seat"
    assert ask("torque", found.typed).refused


def test_what_cannot_be_filled_in_is_refused_with_a_way_out() -> None:
    for question, part, told in (
        ("air tin", "viser", "is no part of this job"),
        ("coats grit", CUSHION, "has nothing for this question"),
        ("torque", "nothing", "is no step or part with a bolt"),
    ):
        with pytest.raises(BadInput, match=told) as refused:
            of(small_plan(), question, part)
        assert refused.value.problems[0].way_out


def test_a_shop_with_a_booth_sprays_there() -> None:
    shop = small_job(capabilities=["booth", "air_fed_mask"])
    assert of(make_plan(shop, load()), "air tin", VISOR).typed["place"] == "booth"
