"""The tasks of a whole cabin: the minutes the verdicts paid for, holds that nothing loosens, and what has been told.

Orders of colours and what a pair wins are common practice, no source; the hold is that of workshop manuals.
"""

from __future__ import annotations

from collections import Counter
from datetime import date, datetime, timedelta
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from pydantic import TypeAdapter

from tests.plan.calendar.shops import LISBON, TRADE, WEEK, Stages, damp, demo, drawn, small, stages
from tests.plan.happened import everything_bought, happened
from tests.plan.small_cabin import small_job, small_plan
from trimwright.errors import BadInput
from trimwright.job.document import Job, Pin, Places, TimeTerms
from trimwright.job.fields import TaskId
from trimwright.plan.calendar.batches import lightness
from trimwright.plan.calendar.drafts import Drafts
from trimwright.plan.calendar.listing import STRIP_REVIEW
from trimwright.plan.calendar.schedule import longest_way, to_project
from trimwright.plan.calendar.tasks import Air, Bench, Task
from trimwright.plan.sequence.moves import BATTERY_OFF, FLOOR, HAND_OVER, WAIT, back_id, off_id
from trimwright.plan.verdicts.recount import hands_on_minutes, outcomes_of

COLD = Air(11.0, 60.0)


def with_time(job: Job, **changes: Any) -> Job:
    return job.model_copy(update={"time": job.time.model_copy(update=changes)})


def behind(bench: Bench, task: str) -> set[str]:
    """All that comes before a task, through and through."""
    reached: set[str] = set()
    waiting = [task]
    while waiting:
        for each in bench.by_id[waiting.pop()].after:
            if each.task not in reached:
                reached.add(each.task)
                waiting.append(each.task)
    return reached


def likely(tasks: list[Task]) -> int:
    return sum(task.minutes[1] for task in tasks)


@pytest.mark.parametrize("hands", [1, 2])
def test_two_lift_a_front_seat_where_there_are_two(hands: int) -> None:
    """Common practice, no source: it weighs 15 to 30 kg, and its runners are sharp."""
    bench = small().bench(job=with_time(small().job, hands=hands))
    for task in (off_id("fseat_off.driver"), back_id("fseat_off.driver")):
        assert "lifting" in bench.by_id[task].cautions
        assert bench.by_id[task].people == hands


# ---- the minutes -----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("of", [small, demo], ids=["small", "demo"])
def test_the_minutes_are_those_the_verdicts_paid_for(of: Any) -> None:
    """Hands-on minutes of the recount times the hours factor; the battery's own are in the record of making safe."""
    cabin: Stages = of()
    quantities, verdicts = cabin.quantities, cabin.verdicts
    outcomes = outcomes_of(quantities, cabin.courses)
    paid = hands_on_minutes(quantities, outcomes, verdicts.steps, verdicts.shared)
    battery = quantities.steps["battery_off"].minutes if "battery_off" in verdicts.steps else 0
    moves = sum(cabin.sequence[each].minutes for each in (BATTERY_OFF, "battery_on"))
    tasks = [task for task in cabin.bench().tasks if task.people]
    planned = likely(tasks) - (moves - battery) * quantities.terms.hours_factor
    assert planned == pytest.approx(sum(paid) * quantities.terms.hours_factor, abs=len(paid))


def test_a_course_s_tasks_take_its_minutes_to_the_minute() -> None:
    cabin = demo()
    bench = cabin.bench()
    lonely = [cabin.courses[part] for part in ("headliner_board", "rseat_back_cover", "dash_top")]
    for course in lonely:
        own = [task for task in bench.tasks if task.id.startswith(f"{course.part}/") and task.people]
        assert likely(own) == round(course.minutes * cabin.quantities.terms.hours_factor)


def test_figures_rise() -> None:
    for task in demo().bench().tasks:
        assert list(task.minutes) == sorted(task.minutes)
        for each in task.after:
            assert list(each.wait) == sorted(each.wait)
            assert each.closes is None or each.closes >= each.wait[1]


def test_a_cabin_is_about_so_many_tasks_and_none_is_longer_than_a_day() -> None:
    bench = demo().bench()
    assert 250 <= len(bench.tasks) <= 450
    assert all(task.minutes[1] <= max(bench.hours.week) for task in bench.tasks if task.people)
    assert {task.kind for task in bench.tasks} >= {"strip-down", "bench", "batch", "delivery", "rebuild", "check"}


def test_days_too_short_for_what_cannot_be_left_are_told() -> None:
    job = with_time(demo().job, week=(0.5,) * 7)
    with pytest.raises(BadInput, match="can't be left") as refused:
        demo().bench(job=job)
    assert all("time › week" in problem.way_out for problem in refused.value.problems)


def test_glue_that_would_dry_overnight_is_told() -> None:
    """An hour of glue, a quarter of an hour's flash and the laying: no day of an hour and a half has room for them."""
    job = with_time(demo().job, week=(1.8,) * 7)
    with pytest.raises(BadInput, match="on one day, as the glue closes after 30 min") as refused:
        demo().bench(job=job)
    assert any("moulded headliner: glue both" in problem.where for problem in refused.value.problems)


# ---- what waits for what ---------------------------------------------------------------------------------------------


def test_nothing_that_needs_a_material_or_a_part_starts_before_it_is_here() -> None:
    bench = demo().bench()
    assert "delivery:leather_seller" in behind(bench, "fseat_back_cover.d/leather_recover/4")
    assert "delivery:leather_seller" not in behind(bench, "fseat_back_cover.d/leather_recover/1")
    assert "delivery:radio_surround" in behind(bench, "radio_surround/new_fit/1")
    assert "radio_surround/hunt" in behind(bench, "delivery:radio_surround")
    assert "delivery:parts_shop" in behind(small().bench(), "clips")


def test_what_the_shelf_gives_waits_for_no_delivery() -> None:
    bench = demo().bench()
    assert "cloths" in {each.material for each in demo().verdicts.bought}
    cleaned = [task for task in bench.tasks if task.treatment == "clean_dry"]
    waiting = [task for task in cleaned if any(each.task == "delivery:paint_shop" for each in task.after)]
    assert 0 < len(waiting) < len(cleaned)
    assert "delivery:parts_shop" not in behind(bench, "clips")  # a hundred lie on the shelf


def test_a_part_goes_back_when_its_last_wait_is_over() -> None:
    bench = demo().bench()
    link = {each.task: each for each in bench.by_id[back_id("headliner_board")].after}
    assert link["headliner_board/headliner_recover/6"].wait[1] == 24 * 60
    keys = {each.task: each for each in bench.by_id[HAND_OVER].after}
    assert keys["carpet_main/carpet_extract/2"].wait == (8 * 60, 24 * 60, 72 * 60)  # dries in the car


def test_a_cover_goes_over_foam_that_has_set() -> None:
    bench = demo().bench()
    cover = [task for task in bench.tasks if task.id.startswith("fseat_cushion_cover.d/")][-1]
    assert any(each.startswith("fseat_foam_c.d/foam_topup") for each in behind(bench, cover.id))


def test_a_wet_floor_dries_is_painted_is_called_dry_and_only_then_has_its_felt() -> None:
    """Common practice, no source: nothing is painted wet, and no felt goes over a floor that nobody has looked at."""
    bench = damp().bench()
    dried, painted = "underlay/floor_dry/1", "floor_metal/floor_treat/3"
    links = {each.task: each.wait[1] for each in bench.by_id[painted].after}
    assert links[dried] == 4 * 24 * 60
    assert {painted, dried, "carpet_main/carpet_dry/6"} <= behind(bench, FLOOR)
    assert {each.task: each.wait[1] for each in bench.by_id[FLOOR].after}[painted] == 12 * 60
    assert FLOOR in behind(bench, "underlay/underlay_new/2")
    assert "underlay/underlay_new/2" in behind(bench, back_id("carpet_main"))
    assert bench.by_id[painted].place == "car"


def test_everything_is_over_before_the_keys_go_back() -> None:
    for cabin in (small(), demo()):
        bench = cabin.bench()
        assert behind(bench, HAND_OVER) == bench.by_id.keys() - {HAND_OVER}


def test_what_is_sent_away_is_packed_is_away_and_is_looked_at_again() -> None:
    """Pages of the trade: a wood set is away 4 to 12 weeks, plating 2 to 10."""
    cabin = drawn(damp(), lambda courses: next((each for each in courses if each.kind == "send out"), courses[0]))
    bench = cabin.bench()
    away = bench.by_id["fascia/away"]
    assert (away.kind, away.people, away.minutes) == ("sent out", 0, (28 * 1440, 56 * 1440, 84 * 1440))
    assert [each.task for each in away.after] == ["fascia/wood_send/1"]
    assert [each.task for each in bench.by_id["fascia/wood_send/4"].after] == ["fascia/away"]
    assert "fascia/wood_send/4" in behind(bench, back_id("fascia"))
    assert bench.by_id["winder_pull.d/away"].minutes[1] == 35 * 1440
    assert STRIP_REVIEW not in behind(bench, "fascia/away")  # what takes longest is sent first


def test_what_strip_down_shows_is_known_before_dear_work_begins() -> None:
    """Common practice, no source: strip, look, ask for the yes, and only then the bench; cleaning fills the gaps."""
    bench = demo().bench()
    off = {task.id for task in bench.tasks if task.id.startswith("off:")}
    assert off <= behind(bench, STRIP_REVIEW)
    dear = [task for task in bench.tasks if task.treatment and TRADE.treatments[task.treatment].kind != "clean"]
    assert all(STRIP_REVIEW in behind(bench, task.id) for task in dear)
    assert STRIP_REVIEW not in behind(bench, "carpet_main/carpet_extract/1")
    assert STRIP_REVIEW not in behind(bench, "radio_surround/hunt")
    later = Pin(not_before=NOON + timedelta(days=9))
    pinned = demo().bench(job=with_time(demo().job, pins={"off:mats.driver": later}))
    assert "off:mats.driver" not in behind(pinned, STRIP_REVIEW)


def test_glue_is_joined_while_it_is_open() -> None:
    """A data sheet of a solvent contact adhesive: open for 30 min."""
    [link] = [each for each in demo().bench().by_id["headliner_board/headliner_recover/6"].after if each.closes]
    assert (link.wait[1], link.closes) == (15, 30)


# ---- batches and pairs -----------------------------------------------------------------------------------------------


def test_one_mix_for_all_parts_of_a_colour_and_one_clean_of_the_gun() -> None:
    bench = demo().bench()
    for batch in ("batch:leather_colour:sand", "batch:leather_colour:charcoal"):
        coats = [task for task in bench.tasks if task.batch == batch and task.kind == "bench"]
        assert coats
        assert all(batch in behind(bench, coat.id) for coat in coats)
        assert {coat.id for coat in coats} <= behind(bench, f"{batch}/clean")
        shared = demo().quantities.shared[batch].minutes
        own = [bench.by_id[batch], bench.by_id[f"{batch}/clean"]]
        assert likely(own) == round(shared * demo().quantities.terms.hours_factor)


def test_every_task_can_be_named_in_an_event_and_a_pin() -> None:
    names = TypeAdapter(TaskId)
    for cabin in (small(), demo()):
        for task in cabin.bench().tasks:
            assert names.validate_python(task.id) == task.id
    drafts = Drafts()
    assert drafts.free("batch:trim_colour:dark blue") == "batch:trim_colour:dark-blue"


def test_light_goes_before_dark_through_one_gun() -> None:
    bench = demo().bench()
    assert "batch:leather_colour:sand/clean" in behind(bench, "batch:leather_colour:charcoal")
    assert sorted(["black", "dark red", "cream", "red"], key=lightness) == ["cream", "red", "dark red", "black"]


def test_the_second_of_a_pair_is_quicker_and_both_take_what_was_planned() -> None:
    bench, share = demo().bench(), TRADE.practice["pair_second"].value
    both = [[task for task in bench.tasks if task.id.startswith(f"door_card_f.{side}/")] for side in ("d", "p")]
    first, second = map(likely, both)
    assert second == pytest.approx(share * first, abs=len(both[0]))
    planned = 2 * round(demo().courses["door_card_f.d"].minutes * demo().quantities.terms.hours_factor)
    assert first + second == planned
    assert both[0][0].id in behind(bench, both[1][0].id)


def test_pieces_share_a_rack_by_their_area_and_a_part_larger_than_it_is_told() -> None:
    bench = demo().bench()
    board = bench.by_id["headliner_board/headliner_recover/6"]
    assert (board.rests, board.rests_minutes) == ("rack", 24 * 60)
    assert board.rests_room > 1_000_000  # mm²
    job = with_time(demo().job, places=Places(rack_mm2=1_000_000))
    with pytest.raises(BadInput, match=r"of rack, and there is 1\.00 m²"):
        demo().bench(job=job)


# ---- the air ---------------------------------------------------------------------------------------------------------


def test_cold_draws_waits_out_and_asks_for_warmth_before_a_coat() -> None:
    """Ten degrees colder doubles a wait; the post does not know of it. The leather colour's limit is 15 °C."""
    warm, cold = demo().bench(), demo().bench(air=COLD)

    def dry(bench: Bench) -> int:
        return {each.task: each for each in bench.by_id[HAND_OVER].after}["carpet_main/carpet_extract/2"].wait[1]

    assert dry(cold) > 1.8 * dry(warm)
    assert [task.minutes for task in cold.tasks if task.kind == "delivery"] == [
        task.minutes for task in warm.tasks if task.kind == "delivery"
    ]
    coats = [task for task in cold.tasks if task.batch and task.kind == "bench"]
    assert all(coat.air is not None and coat.air.temperature >= 15 for coat in coats)
    assert any("Bring it to 15 °C" in note for note in cold.notes)
    assert not warm.notes


def test_the_air_is_that_which_was_read_last() -> None:
    job = happened(
        small().job,
        {"kind": "air", "temperature": 24.0, "humidity": 40.0},
        {"kind": "air", "temperature": 18.5, "humidity": 55.0},
    )
    assert small().bench(job=job).air == Air(18.5, 55.0)


def test_air_that_no_rule_covers_is_refused() -> None:
    with pytest.raises(BadInput, match="ten-degree rule") as refused:
        demo().bench(air=Air(-8.0, 70.0))
    assert len(refused.value.problems) == 1  # not once for every wait
    with pytest.raises(BadInput, match="Read the hygrometer again"):
        demo().bench(air=Air(20.0, 0.0))


# ---- in the middle of a job ------------------------------------------------------------------------------------------

NOON = datetime(2026, 3, 9, 12, tzinfo=LISBON)


def test_what_was_told_as_done_or_begun_is_so() -> None:
    cabin = demo()
    glue, sewing = "headliner_board/headliner_recover/5", "fseat_back_cover.d/leather_recover/4"
    job = happened(
        cabin.job,
        {"kind": "opened", "step": "mats.driver", "minutes": 4, "at": "2026-03-09T09:00:00+00:00"},
        {"kind": "worked", "task": glue, "state": "finished", "minutes": 50, "at": "2026-03-09T11:55:00+00:00"},
        {"kind": "worked", "task": sewing, "state": "begun", "at": "2026-03-09T11:30:00+00:00"},
    )
    bench = cabin.bench(NOON, job=job)
    assert bench.by_id[off_id("mats.driver")].minutes == (4, 4, 4)
    assert bench.by_id[glue].done == NOON - timedelta(minutes=5)
    assert bench.by_id["headliner_board/headliner_recover/1"].done == NOON - timedelta(minutes=5)  # comes before it
    assert bench.by_id[off_id("headliner_board")].done is not None
    assert bench.by_id[sewing].begun == NOON - timedelta(minutes=30)
    assert bench.by_id["headliner_board/headliner_recover/6"].done is None
    assert not bench.notes


def test_nobody_takes_the_battery_for_off_unless_it_was_told() -> None:
    cabin = demo()
    job = happened(
        cabin.job,
        {
            "kind": "worked",
            "task": "headliner_board/headliner_recover/1",
            "state": "finished",
            "at": "2026-03-09T11:00Z",
        },
    )
    bench = cabin.bench(NOON, job=job)
    assert bench.by_id[off_id("headliner_board")].done is not None
    assert bench.by_id[BATTERY_OFF].done is None
    still_on = bench.by_id[off_id("fseat_off.driver")]
    assert {each.task: each.wait[1] for each in still_on.after}[BATTERY_OFF] == 30


def test_what_is_begun_again_is_to_do_once_more() -> None:
    cabin, task = demo(), "headliner_board/headliner_recover/1"
    job = happened(
        cabin.job,
        {"kind": "worked", "task": task, "state": "finished", "at": "2026-03-09T10:00:00+00:00"},
        {"kind": "worked", "task": task, "state": "begun", "at": "2026-03-09T11:40:00+00:00", "redone": 1},
    )
    again = cabin.bench(NOON, job=job).by_id[task]
    assert (again.done, again.begun) == (None, NOON - timedelta(minutes=20))
    assert again.minutes[1] == cabin.bench().by_id[task].minutes[1]


def test_what_is_finished_tells_nothing_of_other_parts() -> None:
    """One door card is done; the other one, its batch and the whole strip-down are not."""
    cabin = demo()
    second = [task.id for task in cabin.bench().tasks if task.id.startswith("door_card_f.p/")]
    told = {"kind": "worked", "task": second[-1], "state": "finished", "at": "2026-03-09T11:00:00+00:00"}
    bench = cabin.bench(NOON, job=happened(cabin.job, told))
    done = {task.id for task in bench.tasks if task.done is not None}
    assert {*second, off_id("door_card_f.passenger"), "delivery:trim_supplier"} <= done
    others = {"door_card_f.d/door_card_recover/1", off_id("parcel_shelf"), STRIP_REVIEW, BATTERY_OFF}
    assert not done & others
    assert not [task for task in done if task.startswith("door_board.p/")]


def test_a_window_that_has_closed_is_told_and_the_work_begun_again() -> None:
    cabin = demo()
    glue = "headliner_board/headliner_recover/5"
    job = happened(cabin.job, {"kind": "worked", "task": glue, "state": "finished", "at": "2026-03-09T09:00:00+00:00"})
    bench = cabin.bench(NOON, job=job)
    [note] = bench.notes
    assert "begin that coat or that glue again" in note
    assert all(each.closes is None for each in bench.by_id["headliner_board/headliner_recover/6"].after)


def test_a_task_whose_recipe_is_cut_otherwise_by_now_is_found_by_its_step() -> None:
    cabin = demo()
    told = {"kind": "worked", "task": "headliner_board/headliner_recover/2-3", "state": "finished"}
    bench = cabin.bench(NOON, job=happened(cabin.job, told))
    assert bench.by_id["headliner_board/headliner_recover/1"].done is not None
    assert not bench.notes
    gone = {"kind": "worked", "task": "no_such/thing/1", "state": "finished"}
    assert any(
        "no task of this plan any more" in each for each in cabin.bench(NOON, job=happened(cabin.job, gone)).notes
    )


def test_what_is_bought_is_here_and_what_is_ordered_is_on_its_way() -> None:
    plan = small_plan()
    job = small_job(time=WEEK)
    assert any(task.kind == "delivery" for task in small().bench().tasks)
    here = stages(happened(job, *everything_bought(plan)))
    assert not [task for task in here.bench().tasks if task.kind == "delivery"]
    [pack, *_] = plan.verdicts.bought
    material, _, colour = pack.material.partition(":")
    ordered = happened(
        job,
        {"kind": "ordered", "thing": "material", "material": material, "colour": colour, "pack": pack.pack_id,
         "count": pack.count, "at": "2026-03-05T10:00:00+00:00"},
    )  # fmt: skip
    under_way = [task for task in small().bench(NOON, job=ordered).tasks if task.kind == "delivery" and task.begun]
    assert [task.begun for task in under_way] == [datetime(2026, 3, 5, 10, tzinfo=LISBON)]


def test_a_part_that_is_done_goes_back_once_it_has_hardened() -> None:
    job = happened(
        small_job(time=WEEK),
        {"kind": "opened", "step": "sun_visor.driver"},
        {"kind": "done", "part": "visor", "course": "visor_recover", "minutes": 70, "at": "2026-03-09T11:00:00+00:00"},
    )
    bench = stages(job).bench(NOON)
    done = bench.by_id["visor/done"]
    assert (done.done, done.minutes[1]) == (NOON - timedelta(hours=1), 70)
    link = {each.task: each for each in bench.by_id[back_id("sun_visor.driver")].after}["visor/done"]
    assert link.wait == (6 * 60, 12 * 60, 24 * 60)
    assert not [task for task in bench.tasks if task.part == "visor" and task.treatment and task.done is None]


def test_a_find_is_dealt_with_before_its_step_goes_back() -> None:
    find = {"kind": "find", "part": "visor", "what": "wire chafed",
            "minutes": {"low": 20, "likely": 30, "high": 60}, "id": "chafed"}  # fmt: skip
    job = happened(small_job(time=WEEK), {"kind": "opened", "step": "sun_visor.driver"}, find)
    bench = stages(job).bench(NOON)
    assert bench.by_id["find:chafed"].minutes == (22, 33, 66)
    assert "find:chafed" in behind(bench, back_id("sun_visor.driver"))


# ---- pins and dates --------------------------------------------------------------------------------------------------


def test_pins_narrow_a_task_and_one_on_nothing_is_told() -> None:
    pin = Pin(not_before=NOON, not_after=NOON + timedelta(days=2))
    job = with_time(small().job, pins={"off:sun_visor.driver": pin, "no:such": pin})
    bench = small().bench(job=job)
    task = bench.by_id["off:sun_visor.driver"]
    assert (task.not_before, task.not_after) == (NOON, NOON + timedelta(days=2))
    assert [note for note in bench.notes if note.startswith("no:such is pinned")]


def test_what_comes_after_the_day_the_car_is_wanted_is_told() -> None:
    bench = small().bench(job=with_time(small().job, wanted_by=date(2026, 3, 4)))
    assert any("and the car is wanted by 2026-03-04" in note for note in bench.notes)
    assert not small().bench(job=with_time(small().job, wanted_by=date(2026, 9, 1))).notes


def test_a_shop_without_a_zone_has_the_machine_s() -> None:
    assert small().bench(job=small().job.model_copy(update={"time": TimeTerms()})).hours.zone is not None


# ---- the holds, for any verdicts -------------------------------------------------------------------------------------


@given(data=st.data())
@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_no_list_of_tasks_lets_a_connector_be_touched_before_the_wait(data: st.DataObject) -> None:
    """Whatever is decided and pinned: battery off, the whole wait, then restraint connectors; and no circle."""
    cabin = drawn(
        data.draw(st.sampled_from([small, demo, damp]))(), lambda courses: data.draw(st.sampled_from(courses))
    )
    bench = cabin.bench()
    longest_way(bench)
    for move in cabin.sequence.moves:
        if WAIT in move.after:
            assert cabin.sequence.safe_wait is not None
            links = {each.task: each for each in bench.by_id[move.id].after}
            assert links[BATTERY_OFF].wait == (cabin.sequence.safe_wait.minutes,) * 3
            assert links[BATTERY_OFF].cures is False  # no heater shortens it
    counted = Counter(task.id for task in bench.tasks)
    assert max(counted.values()) == 1
    assert len(to_project(bench).activities) == len(bench.tasks)
