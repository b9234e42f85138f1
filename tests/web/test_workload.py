"""All jobs on one page: where each stands, what it needs next, the hands they share, the days they are wanted."""

from __future__ import annotations

import io
import json
import time as clock
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from pytest_django import DjangoAssertNumQueries

from tests.plan.small_cabin import CUSHION, small_job
from tests.web.conftest import LAPTOP, PHONE
from tests.web.decided import keep_plan
from tests.web.test_bench import keep_calendar
from tests.web.test_photos import camera_photo
from trimwright.job.document import Job
from trimwright.job.edits import AddEntry, SetField
from trimwright.web import serving
from trimwright.web.jobs import papers, photos, shared_calendar, store
from trimwright.web.jobs.models import JobRecord, SharedCalendar, State
from trimwright.web.jobs.planner import lay_out_next
from trimwright.web.jobs.shared_calendar import laid_over

pytestmark = pytest.mark.django_db

NAMES = ("first car", "second car")


@pytest.fixture(autouse=True)
def briefly(monkeypatch: pytest.MonkeyPatch) -> None:
    """No better end of all is looked for."""
    monkeypatch.setattr(shared_calendar, "SECONDS", 0.2)


@pytest.fixture
def two(key: str) -> tuple[str, str]:
    """Two small cabins, each with a calendar of its own."""
    store.edit_job(key, SetField(path=("name",), value=NAMES[0]), LAPTOP, seen=1)
    keep_calendar(keep_plan(key))
    other = store.start_job(small_job(), PHONE).key
    store.edit_job(other, SetField(path=("name",), value=NAMES[1]), LAPTOP, seen=1)
    keep_calendar(keep_plan(other))
    return key, other


def lay_out() -> dict[str, Any]:
    """Laid out as the planner does it, as JSON carries it."""
    store.ask_for_shared_calendar()
    held = store.take_shared_calendar()
    assert held is not None
    told: dict[str, Any] = json.loads(json.dumps(laid_over(held, datetime.now(UTC))))
    store.end_shared_calendar(told)
    return told


def noted(key: str, kind: str, **told: Any) -> Job:
    at = timezone.localtime().replace(microsecond=0).isoformat()
    edit = AddEntry(path=("events",), value={"kind": kind, "id": f"{kind}-x", "at": at, **told})
    return store.edit_job(key, edit, LAPTOP, seen=store.record(key).revision).job


def card(client: Client, key: str) -> Any:
    page = client.get(reverse("jobs"))
    assert page.status_code == 200
    return next(each for each in page.context["standings"] if each.row.key == key)


# The calendar of all.


def test_two_jobs_share_the_hands_and_neither_ends_before_it_would_alone(two: tuple[str, str]) -> None:
    told = lay_out()
    ends = {key: datetime.fromisoformat(told["ends"][key]) for key in two}
    alone = {key: datetime.fromisoformat(told["jobs"][key]["alone"]) for key in two}
    assert max(ends.values()) > max(alone.values()), "one pair of hands has twice the work"
    for day in told["days"]:
        assert day["taken"] == sum(each["minutes"] for each in day["jobs"]) <= day["open"] * told["hands"]
    busy = {each["key"] for day in told["days"] for each in day["jobs"]}
    assert busy == set(two) == set(told["next"])


def test_the_table_by_the_day_adds_up_to_the_hands_on_minutes_of_all_tasks(two: tuple[str, str]) -> None:
    told = lay_out()
    minutes = 0
    for key in two:
        found = store.newest_calendar(key)
        assert found is not None
        assert found.data is not None
        tasks = found.data["calendar"]["tasks"]
        minutes += sum(
            each["minutes"][1] * each.get("people", 1) for each in tasks if each.get("people", 1) and "minutes" in each
        )
    assert sum(day["taken"] for day in told["days"]) == minutes


def test_jobs_called_alike_are_told_apart(two: tuple[str, str]) -> None:
    store.ask_for_shared_calendar()
    held = store.take_shared_calendar()
    assert held is not None
    alike = [replace(each, job=each.job.model_copy(update={"name": "alike"})) for each in held]
    assert laid_over(alike, datetime.now(UTC))["names"] == dict(zip(two, ("alike", "alike (2)"), strict=True))


@pytest.mark.usefixtures("two")
def test_jobs_of_other_hours_are_told_by_name_and_what_to_do() -> None:
    store.ask_for_shared_calendar()
    held = store.take_shared_calendar()
    assert held is not None
    job = held[0].job
    week = [120, *held[0].kept["calendar"]["hours"]["week"][1:]]
    hours = {**held[0].kept["calendar"]["hours"], "week": week}
    other = {**held[0].kept, "calendar": {**held[0].kept["calendar"], "hours": hours}}
    told = laid_over([type(held[0])(held[0].key, job, other), held[1]], datetime.now(UTC))
    [problem] = told["problems"]
    assert problem["where"] in NAMES
    assert "Set it alike in every job" in problem["way_out"]


def test_it_is_asked_for_when_a_calendar_is_there_a_job_comes_or_goes_or_a_day_is_over(two: tuple[str, str]) -> None:
    assert store.shared_calendar().state == State.WAITING
    lay_out()
    assert store.shared_calendar().state == State.DONE
    assert store.take_shared_calendar() is None
    store.put_job_away(two[0], LAPTOP)
    held = store.take_shared_calendar()
    assert [each.key for each in held or ()] == [two[1]]
    store.end_shared_calendar({})
    SharedCalendar.objects.update(heard_at=timezone.now() - timedelta(days=1))
    assert store.shared_calendar().state == State.WAITING


def test_a_plan_that_waits_goes_first(two: tuple[str, str]) -> None:
    store.ask_for_shared_calendar()
    store.ask_again(two[0])
    assert store.take_shared_calendar() is None


class Told:
    """A maker that answers with these pieces."""

    def __init__(self, *pieces: Any) -> None:
        self.pieces = list(pieces)
        self.asked: list[Any] = []
        self.ended = 0

    def start(self) -> Any:
        return self

    def send(self, order: Any) -> None:
        self.asked.append(order)

    def poll(self, _seconds: float) -> bool:
        return bool(self.pieces)

    def recv(self) -> Any:
        return self.pieces.pop(0)

    def end(self) -> None:
        self.ended += 1


def test_the_planner_keeps_what_the_maker_lays_out_and_gives_way_to_a_plan(two: tuple[str, str]) -> None:
    store.ask_for_shared_calendar()
    maker = Told(("answer", "", {"names": {}}), ("done", (), None))
    assert lay_out_next(maker)  # type: ignore[arg-type]
    assert [each.key for each in maker.asked[0].jobs] == list(two)
    assert store.shared_calendar().data == {"names": {}}
    assert not lay_out_next(maker)  # type: ignore[arg-type]
    store.ask_for_shared_calendar()
    assert lay_out_next(Told(), lambda: True)  # type: ignore[arg-type]
    assert SharedCalendar.objects.get().state == State.WAITING
    assert lay_out_next(Told(("slip", "oh", "here")))  # type: ignore[arg-type]
    assert SharedCalendar.objects.get().state == State.FAILED


# The cards.


def test_without_jobs_the_page_says_what_to_do(client: Client) -> None:
    page = client.get(reverse("jobs")).content.decode()
    assert "A new one takes four questions." in page


def test_a_card_tells_stage_next_thing_and_what_is_waited_for(client: Client, two: tuple[str, str]) -> None:
    key, other = two
    lay_out()
    noted(key, "ordered", thing="part", part=CUSHION, source="used", expected=4000)
    noted(key, "find", part=CUSHION, what="foam is dust")
    noted(key, "intake", restraint_lamp="none fitted")
    here = card(client, key)
    assert here.parts == 1
    assert [told for told, _url in here.yeses] == ["one find", "the intake", "the quote"]
    assert here.next["what"]
    assert here.next["start"].tzinfo is not None
    assert card(client, other).parts == 0
    text = client.get(reverse("jobs")).content.decode()
    assert "<svg" in text
    assert text.count('id="together"') == 1


def test_a_day_that_cannot_be_kept_is_told_as_too_late_and_one_without_spare_as_at_risk(
    client: Client, two: tuple[str, str]
) -> None:
    key, other = two
    told = lay_out()
    end = datetime.fromisoformat(told["ends"][key])
    for key_, wanted in ((key, end.date() - timedelta(days=1)), (other, date(2099, 1, 1))):
        edit = SetField(path=("time", "wanted_by"), value=wanted.isoformat())
        store.edit_job(key_, edit, LAPTOP, seen=store.record(key_).revision)
    assert card(client, key).due.risk == "late"
    assert card(client, other).due.risk == ""
    assert "too late" in client.get(reverse("jobs")).content.decode()
    told["jobs"][key]["promised"] = (datetime.fromisoformat(told["jobs"][key]["alone"]) + timedelta(days=3)).isoformat()
    SharedCalendar.objects.update(data=told)
    edit = SetField(path=("time", "wanted_by"), value=(end.date() + timedelta(days=1)).isoformat())
    store.edit_job(key, edit, LAPTOP, seen=store.record(key).revision)
    assert card(client, key).due.risk == "tight"


@pytest.mark.usefixtures("two")
def test_the_page_asks_little_and_is_quick_with_ten_jobs(
    client: Client, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    lay_out()
    for _job in range(8):
        keep_plan(store.start_job(small_job(), PHONE).key)
    client.get(reverse("jobs"))
    with django_assert_max_num_queries(8):
        client.get(reverse("jobs"))
    took = []
    for _time in range(5):
        began = clock.perf_counter()
        client.get(reverse("jobs"))
        took.append(clock.perf_counter() - began)
    assert min(took) < 0.15


# Put away, and deleted.


def test_put_away_a_job_is_out_of_sight_and_comes_back_whole(client: Client, key: str) -> None:
    client.post(reverse("put_away", args=[key]))
    page = client.get(reverse("jobs"))
    assert (page.context["standings"], [each.key for each in page.context["away"]]) == ([], [key])
    assert client.get(reverse("job", args=[key])).status_code == 200
    answer = client.post(reverse("bring_back", args=[key]))
    assert answer["Location"] == reverse("job", args=[key])
    assert card(client, key).row.revision == 1


def test_deleting_offers_the_bundle_first_wants_a_tick_and_leaves_nothing(client: Client, two: tuple[str, str]) -> None:
    key, other = two
    photos.keep_photo(key, "a" * 32, io.BytesIO(camera_photo((400, 300))), part=CUSHION, by=LAPTOP)
    plan = store.newest_plan(key)
    assert plan is not None
    papers.keep(plan, "quote.pdf", b"%PDF")
    page = client.get(reverse("delete_job", args=[key])).content.decode()
    assert page.index(reverse("bundle", args=[key])) < page.index("Delete for good")
    assert client.post(reverse("delete_job", args=[key])).status_code == 422
    assert store.record(key).name == NAMES[0]
    assert client.post(reverse("delete_job", args=[key]), {"sure": "on"})["Location"] == reverse("jobs")
    assert client.get(reverse("job", args=[key])).status_code == 404
    assert list(JobRecord.objects.values_list("key", flat=True)) == [other]
    assert not photos.photo_file(key, "a" * 32).exists()
    assert not papers._folder(key, plan.pk).exists()


def test_the_demo_once_deleted_does_not_come_back(client: Client) -> None:
    serving.put_demo_in_place()
    (row,) = store.jobs()
    client.post(reverse("delete_job", args=[row.key]), {"sure": "on"})
    serving.put_demo_in_place()
    assert store.jobs() == []
