"""The bench: today's list, clocks by what was noted, the air, dates of one's own, papers; few questions asked."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from datetime import date, datetime, timedelta
from functools import cache
from typing import Any
from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from tests.plan.small_cabin import small_job
from tests.web.conftest import LAPTOP
from tests.web.decided import TODAY, decided_once, keep_plan, newest, unheard
from trimwright.book.document import Book
from trimwright.errors import Problem
from trimwright.job.edits import AddEntry, SetField
from trimwright.job.events import Air, Worked
from trimwright.web.jobs import benching, calendars, papers, store
from trimwright.web.jobs.answering import CHANGE
from trimwright.web.jobs.calendars import CALENDAR
from trimwright.web.jobs.models import Answer, PlanRecord
from trimwright.web.jobs.planning import answered, decided, planned, weighed

pytestmark = pytest.mark.django_db

LONG = 10
JSON = {"accept": "application/json"}


@cache
def pieces(day: date) -> tuple[tuple[str, str, Any], ...]:
    """What the maker tells of the small cabin's calendar; a day of its own, as it is laid out from now on."""
    return tuple(answered(decided_once(), CALENDAR, day, lambda _stage, _gap: None))


def keep_calendar(plan: PlanRecord) -> dict[str, Any]:
    """The calendar kept with a plan, as the planner does it, as JSON carries it; its plain data."""
    data: dict[str, Any] = {}
    for kind, name, told in pieces(timezone.localdate()):
        if kind == "answer":
            data = json.loads(json.dumps(told))
        else:
            papers.keep(plan, name, told)
    store.end_answer(store.ask(plan.pk, CALENDAR, urgent=True).pk, data)
    return data


@pytest.fixture
def at_bench(key: str) -> tuple[str, dict[str, Any]]:
    return key, keep_calendar(keep_plan(key))


def first_task(data: dict[str, Any], *, waits: bool = False) -> str:
    """A task that is noted at the bench; with `waits`, one after which something dries."""
    tasks = data["calendar"]["tasks"]
    drying = {after["task"] for each in tasks for after in each.get("after", ()) if after["wait"][1] >= LONG}
    found: str = next(
        each["id"] for each in tasks
        if each["kind"] in ("bench", "batch") and each.get("people", 1) and (not waits or each["id"] in drying)
    )  # fmt: skip
    return found


def send(client: Client, key: str, view: str, *also: str, headers: Any = None, **told: Any) -> Any:
    told = {"revision": str(store.record(key).revision), "edit_id": uuid4().hex} | told
    return client.post(reverse(view, args=[key, *also]), told, headers=headers)


def noted(key: str, ago: timedelta, **told: Any) -> None:
    at = (timezone.localtime() - ago).replace(microsecond=0).isoformat()
    value = {"id": f"t{len(newest(key).events)}", "at": at, "by": "phone", **told}
    store.edit_job(key, AddEntry(path=("events",), value=value), LAPTOP, seen=store.record(key).revision)


def test_a_calendar_is_the_same_once_it_was_kept(at_bench: tuple[str, dict[str, Any]]) -> None:
    from trimwright.plan.calendar.kept import check_calendar
    from trimwright.plan.calendar.remembered import of_plain, to_plain

    _key, data = at_bench
    calendar = of_plain(data["calendar"])
    assert to_plain(calendar) == data["calendar"]
    assert not check_calendar(calendar)
    assert calendar.end == datetime.fromisoformat(data["end"])
    assert datetime.fromisoformat(data["promised"]) >= calendar.end - timedelta(days=14)


def test_today_costs_little(
    client: Client, at_bench: tuple[str, dict[str, Any]], django_assert_max_num_queries: Any
) -> None:
    key, data = at_bench
    noted(key, timedelta(minutes=3), kind="worked", task=first_task(data), state="begun")
    for view, *also in (("bench",), ("bench_task", benching.step_of(first_task(data))), ("bench_calendar",)):
        with django_assert_max_num_queries(15):
            page = client.get(reverse(view, args=[key, *also]))
        assert page.status_code == 200
    with django_assert_max_num_queries(15):
        client.get(reverse("bench_progress", args=[key]))


def test_before_anything_is_decided_the_page_says_so(client: Client, key: str) -> None:
    page = client.get(reverse("bench", args=[key])).content.decode()
    assert "follows by itself" in page
    assert client.get(reverse("bench_calendar", args=[key])).status_code == 200
    assert client.get(reverse("bench_task", args=[key, "nothing"])).status_code == 404
    assert client.get(reverse("bench_paper", args=[key, "day-sheet", "pdf"])).status_code == 404


def test_a_week_without_hours_is_told_with_the_way_out(client: Client) -> None:
    job = small_job()
    job = job.model_copy(update={"time": job.time.model_copy(update={"week": (0.0,) * 7})})
    key = store.start_job(job, LAPTOP).key
    plan = keep_plan(key)
    made = decided_once()
    found = calendars.laid_out(replace(made.plan, job=job), "a4", lambda _share: None)
    [(kind, about, data)] = list(found)
    assert (kind, about) == ("answer", CALENDAR)
    assert data["problems"]
    store.end_answer(store.ask(plan.pk, CALENDAR, urgent=True).pk, data)
    page = client.get(reverse("bench", args=[key])).content.decode()
    assert "No calendar yet" in page
    assert Problem(**data["problems"][0]).way_out in page


def test_one_tap_begins_and_finishes_with_the_minutes_between(
    client: Client, at_bench: tuple[str, dict[str, Any]]
) -> None:
    key, data = at_bench
    task = first_task(data)
    step = benching.step_of(task)
    assert send(client, key, "bench_task", step, headers=JSON, then="begun").status_code == 200
    [begun] = [each for each in newest(key).events if isinstance(each, Worked)]
    assert (begun.task, begun.state, begun.minutes) == (task, "begun", 0)
    page = client.get(reverse("bench", args=[key]))
    assert page.context["at"].onward.task.id == task, "what is under way goes on first"
    assert send(client, key, "bench_task", step, then="finished", minutes="37").status_code == 302
    last = newest(key).events[-1]
    assert isinstance(last, Worked)
    assert (last.state, last.minutes, last.redone) == ("finished", 37, 0)
    send(client, key, "bench_task", step, then="again")
    again = newest(key).events[-1]
    assert isinstance(again, Worked)
    assert (again.state, again.redone) == ("begun", 1)
    screen = client.get(reverse("bench_task", args=[key, step])).context["chosen"]
    assert screen.begun
    assert not screen.done


def test_minutes_left_empty_are_those_since_it_was_begun(
    client: Client, at_bench: tuple[str, dict[str, Any]], monkeypatch: pytest.MonkeyPatch
) -> None:
    key, data = at_bench
    task = first_task(data)
    noon = timezone.localtime().replace(hour=12, minute=0, second=0, microsecond=0)
    noted(key, timezone.localtime() - (noon - timedelta(minutes=42)), kind="worked", task=task, state="begun")
    monkeypatch.setattr("django.utils.timezone.now", lambda: noon)
    send(client, key, "bench_task", benching.step_of(task), then="finished")
    last = newest(key).events[-1]
    assert isinstance(last, Worked)
    assert last.minutes == 42


def test_a_clock_runs_from_when_the_task_before_was_noted(client: Client, at_bench: tuple[str, dict[str, Any]]) -> None:
    """By the note and the recipe's wait, whatever the kept calendar had planned."""
    key, data = at_bench
    before = first_task(data, waits=True)
    noted(key, timedelta(seconds=90), kind="worked", task=before, state="finished", minutes=5)
    finished = newest(key).events[-1].at
    following, after = next(
        (each["id"], after)
        for each in data["calendar"]["tasks"]
        for after in each.get("after", ())
        if after["task"] == before and after["wait"][1] >= LONG
    )
    page = client.get(reverse("bench_task", args=[key, benching.step_of(following)]))
    wanted = [each for each in (after["wait"][1], after["closes"]) if each is not None]
    assert [each.until for each in page.context["chosen"].clocks] == [
        finished + timedelta(minutes=each) for each in wanted
    ]
    untils = {int(each) for each in re.findall(r'data-until="(\d+)"', page.content.decode())}
    assert {round((finished + timedelta(minutes=each)).timestamp() * 1000) for each in wanted} <= untils


def test_air_is_typed_once_and_moves_the_dew_point(client: Client, at_bench: tuple[str, dict[str, Any]]) -> None:
    """20 °C and 60 %: a dew point of 12.0 °C, as psychrometric charts have it, so a margin of 8.0 K."""
    key, _data = at_bench
    assert send(client, key, "bench_air", temperature="warm", humidity="160").status_code == 422
    assert send(client, key, "bench_air", headers=JSON, temperature="20", humidity="60").status_code == 200
    read = newest(key).events[-1]
    assert isinstance(read, Air)
    assert (read.temperature, read.humidity) == (20, 60)
    page = client.get(reverse("bench", args=[key]))
    assert page.context["air"]["margin"] == pytest.approx(8.0, abs=0.1)
    assert page.context["calendar_pending"], "waits have moved: it is planned again"
    assert "Being planned again" in page.content.decode()


def test_dates_of_ones_own_are_kept_whole_days_and_taken_out(
    client: Client, at_bench: tuple[str, dict[str, Any]]
) -> None:
    key, data = at_bench
    task = first_task(data)
    first, last = timezone.localdate() + timedelta(days=3), timezone.localdate() + timedelta(days=9)
    wrong = send(client, key, "bench_dates", headers=JSON, task=task, not_before=str(last), not_after=str(first))
    assert wrong.status_code == 422
    send(client, key, "bench_dates", task=task, not_before=str(first), not_after=str(last), next="calendar")
    pin, zone = newest(key).time.pins[task], benching.zone_of(data)
    assert pin.not_before == datetime(first.year, first.month, first.day, tzinfo=zone)
    assert pin.not_after == datetime(last.year, last.month, last.day, tzinfo=zone) + timedelta(days=1)
    shown = client.get(reverse("bench_calendar", args=[key]))
    assert [each["id"] for each in shown.context["pins"]] == [task]
    send(client, key, "bench_dates", task=task, not_before="", not_after="")
    assert not newest(key).time.pins


def test_a_changed_job_shows_the_calendar_before_it(client: Client, at_bench: tuple[str, dict[str, Any]]) -> None:
    key, data = at_bench
    had = Answer.objects.get(about=CALENDAR).pk
    edit = SetField(path=("time", "hands"), value=2)
    store.edit_job(key, edit, LAPTOP, seen=store.record(key).revision)
    page = client.get(reverse("bench", args=[key])).content.decode()
    assert "Being planned again" in page
    still = client.get(reverse("bench_progress", args=[key]), {"had": str(had)})
    assert "plan-ready" not in still.headers.get("HX-Trigger", "")
    keep_calendar(keep_plan(key))
    then = client.get(reverse("bench_progress", args=[key]), {"had": str(had)})
    assert "plan-ready" in then.headers["HX-Trigger"]
    assert "progress max" not in then.content.decode()
    assert data["end"]


def test_a_tick_shows_a_calendar_at_once_and_then_a_better_one(
    client: Client, at_bench: tuple[str, dict[str, Any]]
) -> None:
    """Nothing is decided again for it; until the better one is there the page says so, and prints the one before."""
    key, data = at_bench
    made, task = decided_once(), first_task(data)
    noted(key, timedelta(minutes=3), kind="worked", task=task, state="begun")
    had = client.get(reverse("bench", args=[key])).context["calendar_of"]
    kept = store.newest_calendar(key)
    again = decided(newest(key), Book(), TODAY, unheard, made.plan.decision)
    assert kept is not None
    assert again.stands
    kind, about, told = next(planned(again, TODAY, unheard, kept.data))
    assert (kind, about) == ("first", CALENDAR)
    slots = {each: datetime.fromisoformat(start) for each, start, _end in told["calendar"]["slots"]}
    assert slots[task] == min(slots.values()), "what is under way goes on first"
    plan = keep_plan(key, again)
    store.keep_first(plan.pk, about, json.loads(json.dumps(told)))
    page = client.get(reverse("bench", args=[key]))
    assert "a better calendar is being looked for" in page.content.decode()
    for each, also in (("bench_calendar", ()), ("bench_paper", ("day-sheet", "pdf"))):
        assert client.get(reverse(each, args=[key, *also])).status_code == 200
    told_of = client.get(reverse("bench_progress", args=[key]), {"had": had})
    assert "plan-ready" in told_of.headers["HX-Trigger"]
    keep_calendar(plan)
    told_of = client.get(reverse("bench_progress", args=[key]), {"had": page.context["calendar_of"]})
    assert "plan-ready" in told_of.headers["HX-Trigger"]
    assert "a better calendar" not in told_of.content.decode()


def test_a_calendar_is_laid_out_at_once_only_where_somebody_works_to_it(at_bench: tuple[str, dict[str, Any]]) -> None:
    """Verdicts that are still being weighed need none; at the bench even a new decision gets one first."""
    key, data = at_bench
    assert next(planned(decided_once(), TODAY, unheard, data))[0] == "stage"
    noted(key, timedelta(minutes=3), kind="spent", what="parking", money=100)
    again = decided(newest(key), Book(), TODAY, unheard, decided_once().plan.decision)
    assert not again.stands
    assert next(planned(again, TODAY, unheard, data))[0] == "stage"
    noted(key, timedelta(minutes=3), kind="worked", task=first_task(data), state="begun")
    working = replace(again, plan=replace(again.plan, job=newest(key)))
    assert next(planned(working, TODAY, unheard, data))[0] == "first"


def test_a_find_tells_its_three_answers_first_and_then_what_each_does_to_the_day(
    client: Client, at_bench: tuple[str, dict[str, Any]]
) -> None:
    key, data = at_bench
    figures = dict.fromkeys(("low", "likely", "high"), 9000)
    noted(key, timedelta(0), kind="find", what="floor soft", part="carpet", money=figures, minutes=figures)
    find = newest(key).events[-1].id
    found = weighed(newest(key), Book(), TODAY, f"{CHANGE}{find}", {}, decided_once().plan.decision, data)
    first, last, paper = found
    assert (first[0], last[0], paper[0]) == ("first", "answer", "paper")
    assert not any(row["name"] == "Hand-over" for row in first[2]["rows"])
    later = next(row["cells"] for row in last[2]["rows"] if row["name"] == "Later by")
    assert later[1] not in ("", "nothing"), "a hundred and fifty hours more on one pair of hands"
    assert later[3] == "nothing", "what is left takes no time"
    asked = store.ask(store.ask_for_plan(store.record(key)).pk, f"{CHANGE}{find}", urgent=True)
    assert store.take_change() == asked
    store.show_first(asked.pk, first[2])
    there = reverse("weighed", args=[key, find])
    page = client.get(there).content.decode()
    assert "The reserve pays" in page
    assert "to the day of the hand-over is being worked out" in page
    store.end_answer(asked.pk, None)
    page = client.get(there).content.decode()
    assert "The reserve pays" in page, "a slip behind the three answers takes none of them back"
    assert "being worked out" not in page
    store.end_answer(asked.pk, last[2])
    page = client.get(there).content.decode()
    assert later[1] in page


def test_papers_of_the_calendar_come_as_files(client: Client, at_bench: tuple[str, dict[str, Any]]) -> None:
    key, _data = at_bench
    sheet = client.get(reverse("bench_paper", args=[key, "day-sheet", "pdf"]))
    assert b"".join(sheet.streaming_content).startswith(b"%PDF")  # type: ignore[attr-defined]
    phone = client.get(reverse("bench_paper", args=[key, "bench", "ics"]))
    assert b"".join(phone.streaming_content).startswith(b"BEGIN:VCALENDAR")  # type: ignore[attr-defined]
    assert client.get(reverse("bench_paper", args=[key, "bench", "pdf"])).status_code == 404


def test_undo_takes_a_note_back(client: Client, at_bench: tuple[str, dict[str, Any]]) -> None:
    key, data = at_bench
    client.get(reverse("bench", args=[key]))
    send(client, key, "bench_task", benching.step_of(first_task(data)), then="begun")
    client.post(reverse("undo", args=[key]), {"next": reverse("bench", args=[key])})
    assert not newest(key).events


def test_every_task_leads_to_the_page_where_it_is_noted(client: Client, at_bench: tuple[str, dict[str, Any]]) -> None:
    key, data = at_bench
    at = benching.AtTheBench(key, newest(key), data, timezone.now())
    hands_on = [each for each in at.calendar.bench.tasks if each.people]
    odd = [each for each in hands_on if ":" not in each.id and "/" not in each.id]
    usual = {each.kind: each for each in hands_on}.values()
    for task in {*odd, *usual}:
        assert client.get(at.screen(task.id).url).status_code == 200, task.id


def test_what_holds_people_is_not_begun_before_it_is_safe(client: Client, at_bench: tuple[str, dict[str, Any]]) -> None:
    """No tap, by hand or by script, and no other door: the battery's wait is common to all of them."""
    key, data = at_bench
    task = next(
        each["id"] for each in data["calendar"]["tasks"]
        if any("battery" in after["why"] for after in each.get("after", ())) and "/" in each["id"]
    )  # fmt: skip
    step = benching.step_of(task)
    for then in ("begun", "finished", "again"):
        assert send(client, key, "bench_task", step, headers=JSON, then=then).status_code == 422
    edit = {"do": "add", "path": ["events"], "value": {"kind": "worked", "id": "x", "at": timezone.now().isoformat(),
            "task": task, "state": "begun"}}  # fmt: skip
    assert send(client, key, "edits", headers=JSON, edit=json.dumps(edit)).status_code == 422
    assert not newest(key).events
    page = client.get(reverse("bench_task", args=[key, step])).content.decode()
    assert "The battery" in page
    assert re.search(r'value="finished"[^>]*disabled', page)
    hunt = task.partition("/")[0] + "/hunt"
    assert send(client, key, "bench_task", benching.step_of(hunt), headers=JSON, then="begun").status_code == 200


def test_dates_that_fit_no_calendar_leave_the_one_before_and_say_what_to_do(
    client: Client, at_bench: tuple[str, dict[str, Any]]
) -> None:
    key, data = at_bench
    send(client, key, "bench_dates", task=first_task(data), not_after=str(timezone.localdate()))
    plan = keep_plan(key)
    wrong = [{"where": "the task", "value": "", "what": "finds no allowed start.", "way_out": "Take a date out."}]
    store.end_answer(store.ask(plan.pk, CALENDAR, urgent=True).pk, {"problems": wrong})
    for view in ("bench", "bench_calendar"):
        page = client.get(reverse(view, args=[key])).content.decode()
        assert "what is shown is the calendar before it" in page
        assert "Take a date out." in page
        assert "The promise" in page
