from __future__ import annotations

from typing import Any

import pytest

from tests.plan.happened import AT, YES, everything_bought, happened, promise, work
from tests.plan.small_cabin import BELT, CUSHION, KNOB, VISOR, small_job, small_plan
from trimwright.errors import BadInput
from trimwright.facts import load
from trimwright.job.document import Job
from trimwright.plan.plan import Plan, make_plan
from trimwright.plan.quantities.cabin import Course, PartOptions, Quantities
from trimwright.plan.quantities.measure import measure
from trimwright.plan.verdicts import charges

LABOUR = {"currency": "EUR", "sum": 900_000, "covers": ["parts", "materials", "tools", "outside work", "labour"],
          "labour_rate": 4_000}  # fmt: skip
WIRE = "wire_rubbing@front_seats.driver"
COVER_STEP = "fseat_cushion_cover.driver"


def measured(job: Job) -> Quantities:
    return measure(job, load())


def option(quantities: Quantities, part: str) -> PartOptions:
    return next(each for each in quantities.parts if each.part == part)


def courses(plan: Plan) -> dict[str, str]:
    return {each.part: each.course.id for each in plan.verdicts.verdicts if each.course}


def hunt(plan: Plan) -> int:
    """Minutes on the clock that go once the belt is found; doing it again counts them by its odds."""
    belt, terms = chosen(plan, BELT), plan.quantities.terms
    found = belt.minutes - round(load().practice["hunt_minutes"].value)
    odds = charges.redo_odds(belt.redo_at[0])
    return sum(
        charges.planned_minutes(terms, times * belt.minutes) - charges.planned_minutes(terms, times * found)
        for times in (1, odds)
    )


# Money.


def test_a_plan_bought_and_promised_is_the_same_plan_to_the_cent() -> None:
    """Nothing was found: what is bought costs what it was reckoned at, and all verdicts stand."""
    before = small_plan()
    bought = everything_bought(before)
    after = make_plan(happened(small_job(), *bought, promise(before)), load())
    assert after.quantities.spent.money == sum(each["paid"] for each in bought)
    assert after.verdicts.money.firm == before.verdicts.money.firm
    assert after.verdicts.minutes == before.verdicts.minutes - hunt(before)
    assert courses(after) == courses(before)
    assert (after.verdicts.finish_after, after.verdicts.points) == (
        before.verdicts.finish_after,
        before.verdicts.points,
    )
    assert after.verdicts.bought == ()
    assert after.verdicts.money.reserve < before.verdicts.money.reserve  # prices are known now
    assert after.verdicts.status == "optimal"


def test_money_spent_is_counted_to_the_cent_and_neither_taxed_nor_shared_out_again() -> None:
    taxed = {"currency": "EUR", "sum": 320_000, "covers": ["parts", "materials", "tools", "outside work", "tax"],
             "tax_percent": 19}  # fmt: skip
    before = make_plan(small_job(money=taxed), load())
    job = happened(
        small_job(money=taxed),
        {"kind": "spent", "what": "a wrong part", "money": 1_237, "minutes": 41},
        {"kind": "bought", "thing": "carriage", "paid": 999, "returned": 500},
        promise(before),
    )
    after = make_plan(job, load())
    assert after.quantities.spent.money == 1_237 + 499
    assert after.verdicts.money.firm == before.verdicts.money.firm + 1_237 + 499
    assert after.verdicts.money.expected == before.verdicts.money.expected + 1_237 + 499
    assert after.verdicts.minutes == before.verdicts.minutes + 41
    shared_out = sum(each.money for each in after.verdicts.verdicts)
    assert shared_out == sum(each.money for each in before.verdicts.verdicts)


def test_hours_spent_cost_the_sum_its_rate_and_no_more() -> None:
    spent = measured(happened(small_job(money=LABOUR), {"kind": "spent", "what": "hours lost", "minutes": 50})).spent
    assert (spent.money, spent.minutes, spent.labour) == (0, 50, 3_333)
    outside = measured(happened(small_job(), {"kind": "spent", "what": "hours lost", "minutes": 50})).spent
    assert (outside.minutes, outside.labour, outside.total) == (50, 0, 0)


def test_a_line_of_the_whole_job_that_is_done_asks_no_more() -> None:
    before = measured(small_job())
    after = measured(happened(small_job(), {"kind": "spent", "what": "made safe", "minutes": 20, "line": "make_safe"}))
    assert [each.id for each in before.lines] == ["make_safe", "photographs"]
    assert [each.id for each in after.lines] == ["photographs"]


def test_packs_bought_are_on_the_shelf_and_their_small_things_still_to_come() -> None:
    pack: dict[str, Any] = {"kind": "bought", "thing": "material", "material": "cloths", "pack": "cloths-20"}
    [size] = [each.size_milli for each in measured(small_job()).materials["cloths"].packs if each.id == "cloths-20"]
    after = measured(happened(small_job(), pack | {"count": 3, "paid": 1_000}))
    assert after.materials["cloths"].stock_milli == 30_000 + 3 * size
    assert [each.money for each in after.lines if each.id == "sundries"] == [41]  # 3 packs at 333.33: 4 % and rounding
    paid = {"kind": "bought", "thing": "sundries", "paid": 25}
    assert [each.money for each in measured(happened(small_job(), pack | {"count": 3, "paid": 1_000}, paid)).lines
            if each.id == "sundries"] == [16]  # fmt: skip
    returned = measured(happened(small_job(), pack | {"count": 3, "paid": 1_000, "returned": 900}))
    assert returned.materials["cloths"].stock_milli == 30_000
    assert returned.spent.money == 100


def test_what_is_done_has_used_its_materials_each_time() -> None:
    before = small_plan()
    used = {need.material: need.milli for need in chosen(before, VISOR).needs}
    stock = {"kind": "bought", "thing": "material", "material": "thread_machine", "amount": 90.5, "paid": 2_000}
    after = measured(happened(small_job(), stock, work(before, VISOR, redone=2)))
    assert after.materials["thread_machine"].stock_milli == 20_000 + 90_500 - 3 * used["thread_machine"]


# What is done stays done.


def chosen(plan: Plan, part: str) -> Course:
    [verdict] = [each for each in plan.verdicts.verdicts if each.part == part]
    assert verdict.course is not None
    return verdict.course


def test_a_part_that_is_done_has_one_course_at_the_finish_it_reached() -> None:
    before = small_plan()
    after = measured(happened(small_job(), work(before, CUSHION, finish=7, redone=1, minutes=400)))
    [course] = option(after, CUSHION).courses
    assert course.done
    assert (course.id, course.finish_at, course.minutes, course.needs) == (chosen(before, CUSHION).id, (7,), 0, ())
    assert set(course.redo_at) == {0.0}
    assert course.points_at[0] < chosen(before, CUSHION).points_at[0]
    assert after.spent.minutes == 400


def test_without_a_finish_it_is_the_one_planned() -> None:
    before = small_plan()
    [course] = option(measured(happened(small_job(), work(before, VISOR))), VISOR).courses
    assert course.finish_at == chosen(before, VISOR).finish_at
    assert course.points_at == chosen(before, VISOR).points_at


def test_what_was_surveyed_anew_since_is_still_done() -> None:
    """With its faults gone no treatment would suit the part any more."""
    job = happened(small_job(), work(small_plan(), VISOR, finish=8))
    raw = job.model_dump(mode="json")
    for part in raw["parts"]:
        if part["id"] == VISOR:
            part |= {"faults": [], "finish_now": 8, "pin": None}
    [course] = option(measured(Job.from_plain(raw)), VISOR).courses
    assert (course.id, course.finish_at, course.done) == ("visor_recover", (8,), True)


def test_a_whole_that_is_done_settles_its_children_even_pinned_ones() -> None:
    raw = small_job().model_dump(mode="json")
    raw["parts"] += [
        {"id": "card", "kind": "door_card_f", "name": "Door card", "material": "vinyl", "place": "driver",
         "finish_now": 3, "faults": [{"fault": "V_torn", "extent": "heavy"}]},
        {"id": "insert", "kind": "door_insert_f", "name": "Insert", "material": "cloth", "place": "driver",
         "finish_now": 4, "pin": "leave"},
    ]  # fmt: skip
    job = happened(Job.from_plain(raw), {"kind": "done", "part": "card", "course": "used_fit", "finish": 6})
    plan = make_plan(job, load())
    child = next(each for each in plan.verdicts.verdicts if each.part == "insert")
    assert (child.settled_by, child.finish_after) == ("card", 6)


def test_what_may_never_be_done_to_a_restraint_part_does_not_stand() -> None:
    job = happened(small_job(), {"kind": "done", "part": BELT, "course": "used_fit", "minutes": 60})
    quantities = measured(job)
    assert not any(each.done for each in option(quantities, BELT).courses)
    assert any("can't stand" in note for note in quantities.notes)
    assert quantities.spent.minutes == 60


def test_all_done_nothing_is_left_to_pay() -> None:
    before = small_plan()
    steps = [{"kind": "opened", "step": each, "minutes": 10, "back_on": True} for each in before.verdicts.steps]
    done = [work(before, each.part) for each in before.verdicts.verdicts]
    lines = [{"kind": "spent", "what": each.name, "minutes": each.minutes, "line": each.id}
             for each in before.quantities.lines]  # fmt: skip
    small_things = {"kind": "bought", "thing": "sundries", "paid": before.verdicts.sundries}
    after = make_plan(happened(small_job(), *everything_bought(before), small_things, *steps, *done, *lines), load())
    assert after.verdicts.money.firm == after.quantities.spent.total == before.verdicts.money.firm
    assert after.verdicts.money.reserve == 0
    assert after.verdicts.minutes == after.quantities.spent.minutes
    assert (after.verdicts.steps, after.verdicts.bought, after.verdicts.hidden) == ((), (), ())


# What is off, bought, promised.


def test_a_step_that_is_off_costs_only_its_way_back_whatever_is_decided() -> None:
    kind = load().parts["fseat_cushion_cover"]
    quantities = measured(happened(small_job(), {"kind": "opened", "step": COVER_STEP, "minutes": 77}))
    step = quantities.steps[COVER_STEP]
    assert step.off
    assert step.minutes == round(sum(kind.back_min) / 2)
    assert all(quantities.steps[before].off for before in step.requires)
    leaving = happened(small_job(parts=[each | {"pin": "leave"} if each["id"] == CUSHION else each
                                        for each in small_job().model_dump(mode="json")["parts"]]),
                       {"kind": "opened", "step": COVER_STEP, "minutes": 77})  # fmt: skip
    plan = make_plan(leaving, load())
    assert COVER_STEP in plan.verdicts.steps


def test_a_step_back_on_has_used_its_clips_and_costs_again_when_it_comes_off_again() -> None:
    once = happened(small_job(), {"kind": "opened", "step": "carpet_main", "minutes": 30})
    back = happened(once, {"kind": "opened", "step": "carpet_main", "minutes": 40, "back_on": True})
    assert measured(back).spent.minutes == 70
    assert not measured(back).steps["carpet_main"].off
    assert measured(back).steps["carpet_main"].minutes == measured(small_job()).steps["carpet_main"].minutes


def test_a_part_bought_costs_its_course_nothing_more_and_no_other_gets_it_back() -> None:
    bought = {"kind": "bought", "thing": "part", "part": KNOB, "source": "used", "seller": "breaker by the harbour",
              "paid": 2_222, "finish": 8}  # fmt: skip
    after = measured(happened(small_job(), bought))
    [fit] = [each for each in option(after, KNOB).courses if each.id == "used_fit"]
    assert (fit.purchases, fit.finish_at) == ((), (8,))
    assert fit.redo_money > 0  # a bad one has to be bought again
    assert after.spent.money == 2_222
    gone = measured(happened(small_job(), bought | {"returned": 2_000}))
    assert all(each.purchases for each in option(gone, KNOB).courses if each.id == "used_fit")
    assert gone.spent.money == 222


def test_a_part_bought_where_the_price_was_guessed_needs_no_hunt() -> None:
    bought = {"kind": "bought", "thing": "part", "part": BELT, "source": "new", "paid": 18_000}
    before, after = measured(small_job()), measured(happened(small_job(), bought))
    [old], [new] = ([each for each in option(found, BELT).courses if each.id == "belt_replace"]
                    for found in (before, after))  # fmt: skip
    assert old.minutes - new.minutes == round(load().practice["hunt_minutes"].value)
    assert new.purchases == ()


def test_a_tool_and_a_visit_paid_ask_no_more() -> None:
    paid = [{"kind": "bought", "thing": "tool", "tool": "steamer", "paid": 100},
            {"kind": "bought", "thing": "visit", "tool": "trained_person", "paid": 13_000}]  # fmt: skip
    assert {"tool:steamer", "visit:trained_person"} <= measured(small_job()).shared.keys()
    assert not {"tool:steamer", "visit:trained_person"} & measured(happened(small_job(), *paid)).shared.keys()


def test_a_promise_is_kept_until_it_is_let_go_of() -> None:
    """At another sum the plan would rather do something else; the owner has been told."""
    promised = {"kind": "promised", "sum": 155_000, "yes": YES, "verdicts": {"dash": "leave"}}
    free, kept = make_plan(small_job(), load()), make_plan(happened(small_job(), promised), load())
    assert courses(free)["dash"] != "leave"
    assert courses(kept)["dash"] == "leave"
    assert chosen(kept, "dash").promised
    released = happened(small_job(), promised, {"kind": "released", "parts": ["dash"]})
    assert courses(make_plan(released, load())) == courses(free)


def test_a_later_promise_replaces_an_earlier_one_part_by_part() -> None:
    first = {"kind": "promised", "sum": 1, "yes": YES, "verdicts": {"dash": "leave", "rim": "leave"}}
    second = {"kind": "promised", "sum": 1, "yes": YES, "verdicts": {"dash": "clean_dry+vinyl_clean"}}
    quantities = measured(happened(small_job(), first, second))
    held = {part.part: each.id for part in quantities.parts for each in part.courses if each.promised}
    assert held == {"dash": "clean_dry+vinyl_clean", "rim": "leave"}


@pytest.mark.parametrize(
    ("verdicts", "event", "why"),
    [
        ({"gone": "leave"}, None, "no part of the job"),
        ({KNOB: "leave"}, None, "pinned otherwise"),
        ({"dash": "leather_recover"}, None, "not offered any more"),
        ({"dash": "leave"}, {"kind": "done", "part": "dash", "course": "vinyl_clean"}, "done otherwise"),
    ],
)
def test_a_promise_that_cannot_be_kept_makes_the_plan_short_and_says_why(
    verdicts: dict[str, str], event: dict[str, Any] | None, why: str
) -> None:
    promised = {"kind": "promised", "sum": 155_000, "yes": YES, "verdicts": verdicts}
    plan = make_plan(happened(small_job(), promised, *([event] if event else [])), load())
    assert plan.verdicts.status == "short"
    assert plan.verdicts.short is not None
    assert (plan.verdicts.short.money, plan.verdicts.short.minutes) == (0, 0)
    assert why in plan.verdicts.short.because[0]


def test_promises_the_sum_cannot_pay_are_short_by_so_much() -> None:
    before = small_plan()
    less = {**before.job.model_dump(mode="json")["money"], "sum": before.verdicts.money.firm - 10_000}
    plan = make_plan(happened(small_job(money=less), promise(before)), load())
    assert plan.verdicts.status == "short"
    assert plan.verdicts.short is not None
    assert plan.verdicts.short.money > 10_000
    assert "6 parts: promised" in plan.verdicts.short.because
    assert courses(plan) == courses(before)


def test_an_event_about_what_is_not_there_counts_and_stops_nothing() -> None:
    job = happened(
        small_job(),
        {"kind": "opened", "step": "no_such_step", "minutes": 5},
        {"kind": "done", "part": "no-such-part", "course": "leather_clean", "minutes": 6},
        {"kind": "bought", "thing": "material", "material": "unobtainium", "pack": "x", "paid": 7},
        {"kind": "bought", "thing": "material", "material": "cloths", "pack": "x", "paid": 8},
        {"kind": "look", "find": "no_such_find", "there": True},
        {"kind": "find", "part": "no-such-part", "what": "a mouse", "money": {"low": 9, "likely": 9, "high": 9}},
    )
    plan = make_plan(job, load())
    assert (plan.quantities.spent.money, plan.quantities.spent.minutes) == (15, 11)
    assert any(plan.quantities.hidden[each].name == "a mouse" for each in plan.verdicts.hidden)


def test_a_course_done_that_nobody_knows_is_refused() -> None:
    with pytest.raises(BadInput, match="is no treatment the trade knows"):
        measured(happened(small_job(), {"kind": "done", "part": KNOB, "course": "magic", "at": AT}))
