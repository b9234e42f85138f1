"""What plans are asked is answered beside the pages, stands back for the next plan, and is about every way alike."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from django.utils import timezone

from tests.plan.small_cabin import CUSHION
from tests.web.conftest import LAPTOP
from tests.web.decided import answered_once, decided_once, keep_plan
from trimwright.facts import load
from trimwright.job.edits import SetField
from trimwright.papers.wording import text
from trimwright.plan.quantities.cabin import POINT_SCALE
from trimwright.plan.verdicts.staircase import Change, Stair
from trimwright.web.jobs import answering, store
from trimwright.web.jobs.answering import FILLED, PART, STAIRS, WHY
from trimwright.web.jobs.calendars import CALENDAR
from trimwright.web.jobs.maker import Maker
from trimwright.web.jobs.models import Answer, PlanRecord
from trimwright.web.jobs.planner import answer_next, make_next

pytestmark = pytest.mark.django_db(transaction=True)

FINISH = SetField(path=("parts", CUSHION, "finish_now"), value=2)


@pytest.fixture
def maker() -> Iterator[Maker]:
    maker = Maker()
    yield maker
    maker.end()


# The planner.


def test_a_plan_brings_every_part_s_ways_and_the_staircase_follows(key: str, maker: Maker) -> None:
    assert make_next(maker)
    plan = store.newest_result(key)
    assert plan is not None
    written = {each.about for each in Answer.objects.filter(plan=plan, state="done")}
    assert written == {FILLED, *(f"{PART}{part.id}" for part in store.job_at(key, 1).parts)}
    waiting = store.answer(plan.pk, STAIRS)
    assert waiting is not None
    assert waiting.state == "waiting"
    why = store.ask(plan.pk, f"{WHY}carpet", urgent=True)
    assert answer_next(maker), "what a person waits for goes first"
    found = Answer.objects.get(pk=why.pk).data
    assert found
    assert found["others"]
    assert answer_next(maker)
    done = store.answer(plan.pk, STAIRS)
    assert done is not None
    assert done.data is not None
    here = done.data["stairs"][done.data["here"]]
    money = plan.result["money"] if plan.result else {}
    assert here["finish"] == money["finish_after"]
    assert here["sum"] <= money["sum"]
    assert answer_next(maker)
    calendar = store.answer(plan.pk, CALENDAR)
    assert calendar is not None
    assert calendar.state == "done"
    assert not answer_next(maker)


def test_an_answer_stands_back_for_a_plan_and_goes_on_after_it(
    key: str, maker: Maker, monkeypatch: pytest.MonkeyPatch
) -> None:
    plan, tell = keep_plan(key), store.tell_answer

    def changed_meanwhile(pk: int, share: float) -> bool:
        if store.record(key).revision == 1:
            store.edit_job(key, FINISH, LAPTOP, seen=1)
        return tell(pk, share)

    monkeypatch.setattr(store, "tell_answer", changed_meanwhile)
    assert answer_next(maker)
    cut_off = store.answer(plan.pk, STAIRS)
    assert cut_off is not None
    assert (cut_off.state, cut_off.data) == ("waiting", None)
    assert not answer_next(maker), "a plan waits"
    taken = store.take_plan(settled_before=timezone.now())
    assert taken is not None
    assert taken.revision == 2
    store.end_plan(taken.pk)
    assert not answer_next(maker), "nobody asks about verdicts of an older job"


def test_an_answer_that_slips_has_failed_and_may_be_asked_anew(key: str, maker: Maker) -> None:
    plan = keep_plan(key)
    Answer.objects.filter(plan=plan, about=STAIRS).delete()
    store.ask(plan.pk, "nothing there is", urgent=True)
    assert answer_next(maker)
    failed = store.answer(plan.pk, "nothing there is")
    assert failed is not None
    assert failed.state == "failed"
    store.ask_anew(plan.pk, "nothing there is")
    again = store.answer(plan.pk, "nothing there is")
    assert again is not None
    assert again.state == "waiting"


def test_verdicts_that_were_shown_are_kept_when_the_job_changes_before_the_papers_are_set(key: str) -> None:
    store.ask_for_plan(store.record(key))
    plan = store.take_plan(settled_before=timezone.now())
    assert plan is not None
    store.add_to_plan(plan.pk, "verdicts", {"zones": []})
    store.edit_job(key, FINISH, LAPTOP, seen=1)
    kept = PlanRecord.objects.get(pk=plan.pk)
    assert kept.state == "done"
    assert not store.tell_plan(plan.pk, progress="", gap=None), "its maker is told to stop"
    newest = store.newest_plan(key)
    assert newest is not None
    assert store.result_before(newest) == kept


# What is answered.


def test_every_way_that_needs_make_safe_says_so_first_whether_the_plan_takes_it_or_not() -> None:
    plan = decided_once().plan
    ways = answering.at_once(plan, load())
    found = 0
    for part in plan.quantities.parts:
        for course, told in zip(part.courses, ways[f"{PART}{part.part}"]["courses"], strict=True):
            on_the_way = answering.strip_down(course, plan.quantities.steps)
            assert {step.id for step in on_the_way} >= set(course.steps)
            for step in on_the_way:
                assert {each.id for each in on_the_way} >= set(step.requires)
            if any(step.hold for step in on_the_way):
                assert told["cautions"][0] == text(load().cautions["make_safe"].text)
                found += course.id not in {each.course.id for each in plan.verdicts.verdicts if each.course}
    assert found, "or this test shows nothing"


def test_points_lost_are_told_as_the_cabin_s_finish() -> None:
    """One finish step of one part is its share of the weights, of a hundred."""
    plan = decided_once().plan
    parts = plan.quantities.parts
    weight = sum(each.weight for each in parts)
    for part in parts:
        step = round(part.weight * POINT_SCALE)
        assert answering.finish_lost(step, plan) == pytest.approx(10 * part.weight / weight, abs=0.02)


def test_what_differs_on_a_stair_is_all_that_changed_on_the_way_to_it() -> None:
    plan = decided_once().plan
    verdict = {each.part: each for each in plan.verdicts.verdicts}

    def change(part: str, from_course: str, to_course: str, before: int, after: int) -> Change:
        return Change(part, verdict[part].name, from_course, to_course, f"the {from_course}", f"the {to_course}",
                      before, after)  # fmt: skip

    decided = {part: each.course.id for part, each in verdict.items() if each.course}
    stairs = [
        stair(),
        stair(change("carpet", "wash", decided["carpet"], 6, 8)),
        stair(change("dash", decided["dash"], "paint", 6, 8)),
        stair(change("dash", "paint", decided["dash"], 8, 6), change("carpet", decided["carpet"], "new", 8, 10)),
        stair(change("carpet", "new", "newer", 10, 9)),
    ]

    def told(at: int) -> list[tuple[str, str, int, int]]:
        found = answering.differing(plan, stairs, 1, at)
        return [(each["part"], each["to"], each["before"], each["after"]) for each in found]

    assert told(0) == [("carpet", "the wash", 8, 6)]
    assert told(1) == []
    assert told(2) == [("dash", "the paint", 6, 8)]
    assert told(3) == [("carpet", "the new", 8, 10)]
    assert told(4) == [("carpet", "the newer", 8, 9)]


def stair(*changes: Change) -> Stair:
    """A stair of which only the changes matter."""
    figures = dict.fromkeys(Stair.__slots__, 0)
    return Stair(**{**figures, "changes": changes})  # type: ignore[arg-type]


def test_stairs_rise_and_each_differs_from_the_decided_plan() -> None:
    told = answered_once(STAIRS)
    sums = [each["sum"] for each in told["stairs"]]
    assert sums == sorted(sums)
    assert [bool(each["changes"]) for each in told["stairs"]] == [at != told["here"] for at in range(len(sums))]
