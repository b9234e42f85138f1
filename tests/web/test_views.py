"""The pages of the core, as a person meets them: with scripts and without, what is right and what is wrong."""

from __future__ import annotations

import json
import re
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from pytest_django import DjangoAssertNumQueries

from tests.plan.small_cabin import CUSHION, VISOR
from tests.web.conftest import LAPTOP, PHONE
from trimwright.demo import demo_job
from trimwright.job.edits import EDIT, Edit, SetField
from trimwright.web.jobs import store

pytestmark = pytest.mark.django_db

JSON = {"accept": "application/json"}
FRAGMENT = {"hx-request": "true"}
ON_A_PHONE = {"user-agent": "Mozilla/5.0 (Linux; Android 15) Mobile"}
FINISH = SetField(path=("parts", CUSHION, "finish_now"), value=2)
NEW = {
    "car": "two-door left in a yard", "year": "1994", "body": "two-door", "sum": "2,400", "currency": "eur",
    "units": "metric", "wanted_by": "2027-05-01",
}  # fmt: skip


def send(
    client: Client, key: str, edit: Edit, *, seen: int = 1, edit_id: str = "one", headers: dict[str, str] | None = None
) -> Any:
    sent = {"edit": EDIT.dump_json(edit).decode(), "revision": seen, "edit_id": edit_id}
    return client.post(reverse("edits", args=[key]), sent, headers=headers or {})


# A new job.


def test_four_questions_make_a_job_with_the_parts_of_its_body(client: Client) -> None:
    answer = client.post(reverse("new_job"), NEW)
    (row,) = store.jobs()
    assert answer["Location"] == reverse("job", args=[row.key])
    job = store.job_at(row.key, 1)
    assert (job.car.text, job.car.year, job.money.sum, job.money.currency) == (NEW["car"], 1994, 240_000, "EUR")
    assert str(job.time.wanted_by) == "2027-05-01"
    assert len(job.parts) > 50
    assert (row.seen, row.parts) == (0, len(job.parts))


@pytest.mark.parametrize(
    ("field", "typed"),
    [("car", ""), ("year", "1870"), ("year", "soon"), ("body", "boat"), ("sum", "a lot"), ("sum", "-5"),
     ("sum", "1.005"), ("currency", "XXQ"), ("currency", ""), ("units", "cubits"), ("wanted_by", "tomorrow")],
)  # fmt: skip
def test_a_wrong_answer_is_told_beside_its_question_and_the_others_stay(client: Client, field: str, typed: str) -> None:
    answer = client.post(reverse("new_job"), {**NEW, field: typed})
    assert answer.status_code == 422
    assert list(answer.context["form"].errors) == [field]
    assert not store.jobs()
    if field != "car":
        assert f'value="{NEW["car"]}"' in answer.content.decode()


def test_a_name_with_markup_is_shown_and_never_run(client: Client) -> None:
    client.post(reverse("new_job"), {**NEW, "car": "<script>alert(1)</script>"})
    (row,) = store.jobs()
    for page in (reverse("jobs"), reverse("job", args=[row.key]), reverse("history", args=[row.key])):
        text = client.get(page).content.decode()
        assert "&lt;script&gt;" in text
        assert "<script>alert" not in text


def test_without_jobs_the_list_says_what_to_do(client: Client) -> None:
    assert "A new one takes four questions." in client.get("/").content.decode()


# Edits.


def test_an_edit_by_script_is_answered_with_its_revision_and_line(client: Client, key: str) -> None:
    answer = send(client, key, FINISH, headers=JSON)
    assert answer.json()["saved"] == {
        "revision": 2, "line": "Front cushion cover, driver's: finish 3 → 2", "stored": True,
    }  # fmt: skip
    assert send(client, key, FINISH, headers=JSON).json()["saved"]["stored"] is False


def test_an_edit_by_form_leads_back_and_says_what_was_done(client: Client, key: str) -> None:
    answer = send(client, key, FINISH)
    assert answer["Location"] == reverse("job", args=[key])
    assert "finish 3 → 2" in client.get(answer["Location"]).content.decode()


def test_the_same_field_changed_meanwhile_answers_409_with_both_values_and_a_way_to_settle_it(
    client: Client, key: str
) -> None:
    store.edit_job(key, FINISH.model_copy(update={"value": 7}), PHONE, seen=1)
    told = send(client, key, FINISH, headers=JSON)
    assert told.status_code == 409
    assert told.json()["fields"] == [
        {"what": "Front cushion cover, driver's: finish", "seen": "3", "theirs": "7", "mine": "2"}
    ]
    page = send(client, key, FINISH)
    text = page.content.decode()
    assert (page.status_code, "Changed by the phone" in text) == (409, True)
    fields = dict(re.findall(r'name="(edit|revision|edit_id)" value="([^"]*)"', text))
    fields["edit"] = fields["edit"].replace("&quot;", '"')
    assert client.post(reverse("edits", args=[key]), fields, headers=JSON).json()["saved"]["revision"] == 3
    assert store.job_at(key, 3).part(CUSHION).finish_now == 2
    fragment = send(client, key, FINISH.model_copy(update={"value": 9}), edit_id="two", headers=FRAGMENT)
    assert (fragment.status_code, fragment["HX-Retarget"]) == (409, "#answer")
    assert "<html" not in fragment.content.decode()


@pytest.mark.parametrize(
    ("sent", "told"),
    [
        ({"edit": "{}", "revision": "1", "edit_id": "x"}, "do"),
        ({"edit": "not JSON", "revision": "1", "edit_id": "x"}, ""),
        ({"edit": EDIT.dump_json(FINISH).decode(), "revision": "", "edit_id": "x"}, "needs the revision"),
        ({"edit": EDIT.dump_json(FINISH).decode(), "revision": "1", "edit_id": ""}, "needs the revision"),
        ({"edit": EDIT.dump_json(FINISH).decode(), "revision": "1", "edit_id": "x" * 65}, "needs the revision"),
        ({"edit": json.dumps({"do": "set", "path": ["parts", "cushion", "finish_now"], "value": 99}), "revision": "1",
          "edit_id": "x"}, "finish_now"),
    ],
)  # fmt: skip
def test_an_edit_that_cannot_be_taken_says_all_that_is_wrong(
    client: Client, key: str, sent: dict[str, str], told: str
) -> None:
    answer = client.post(reverse("edits", args=[key]), sent, headers=JSON)
    assert answer.status_code == 422
    assert told in answer.content.decode()
    page = client.post(reverse("edits", args=[key]), sent)
    assert (page.status_code, page["Content-Type"]) == (422, "text/html; charset=utf-8")
    assert store.record(key).revision == 1


def test_an_edit_on_a_revision_that_never_was_is_not_found(client: Client, key: str) -> None:
    assert send(client, key, FINISH, seen=9, headers=JSON).status_code == 404


@pytest.mark.parametrize("name", ["job", "history", "plan", "job_file", "bundle", "compare"])
def test_a_job_that_is_not_there_is_told_in_our_look(client: Client, name: str) -> None:
    answer = client.get(reverse(name, args=["nothing"]))
    assert answer.status_code == 404
    assert "There is nothing here" in answer.content.decode()


def test_our_own_slip_is_a_page_of_ours(client: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(store, "jobs", lambda: 1 // 0)
    client.raise_request_exception = False
    answer = client.get("/")
    assert (answer.status_code, "That was our slip" in answer.content.decode()) == (500, True)


# Undo, history, restore.


def test_undo_and_redo_from_the_page(client: Client, key: str) -> None:
    send(client, key, FINISH)
    page = reverse("job", args=[key])
    assert 'title="Front cushion cover, driver&#x27;s: finish 3 → 2"' in client.get(page).content.decode()
    for name, finish in (("undo", 3), ("redo", 2), ("redo", 2)):
        client.post(reverse(name, args=[key]))
        assert store.job_at(key, store.record(key).revision).part(CUSHION).finish_now == finish
    assert "There is nothing to take back or do again." in client.get(page).content.decode()


def test_the_history_can_be_read(client: Client, key: str) -> None:
    send(client, key, FINISH, headers=ON_A_PHONE)
    text = client.get(reverse("history", args=[key])).content.decode()
    at = timezone.localtime(store.history(key)[0].at)
    assert "Front cushion cover, driver&#x27;s: finish 3 → 2" in text
    assert f"by the phone, {at:%H:%M}" in text


def test_a_device_is_called_as_its_person_says(client: Client, key: str) -> None:
    client.post(reverse("settings"), {"form": "device", "name": "garage phone"})
    send(client, key, FINISH)
    assert store.history(key)[0].by == "garage phone"


def test_two_revisions_compared_whichever_is_named_first(client: Client, key: str) -> None:
    send(client, key, FINISH)
    for query in ({"old": 1, "new": 2}, {"old": 2, "new": 1}, {}):
        text = client.get(reverse("compare", args=[key]), query).content.decode()
        assert "Front cushion cover, driver&#x27;s: finish" in text
    assert "The two are alike." in client.get(reverse("compare", args=[key]), {"old": 1, "new": 1}).content.decode()
    assert client.get(reverse("compare", args=[key]), {"old": 1, "new": 9}).status_code == 404


def test_taken_back_and_restored_from_the_history(client: Client, key: str) -> None:
    send(client, key, FINISH)
    store.edit_job(key, SetField(path=("parts", VISOR, "finish_now"), value=6), PHONE, seen=2)
    client.post(reverse("take_back", args=[key, 2]))
    assert store.job_at(key, 4).part(CUSHION).finish_now == 3
    client.post(reverse("restore", args=[key, 1]))
    assert store.job_at(key, 5) == store.job_at(key, 1)
    assert "it is so already" in client.post(reverse("restore", args=[key, 1]), follow=True).content.decode()


# Settings.


def test_what_a_new_job_starts_with_is_kept(client: Client) -> None:
    client.post(reverse("settings"), {"form": "shop", "currency": "usd", "units": "US customary"})
    text = client.get(reverse("new_job")).content.decode()
    assert 'value="USD"' in text
    assert '<option value="US customary" selected>' in text


@pytest.mark.parametrize(
    "sent",
    [{"form": "device", "name": ""}, {"form": "shop", "currency": "XXQ", "units": "metric"}],
    ids=["no name", "no currency"],
)
def test_a_setting_that_cannot_be_kept_says_why(client: Client, sent: dict[str, str]) -> None:
    answer = client.post(reverse("settings"), sent)
    assert answer.status_code == 422
    assert "errorlist" in answer.content.decode()


def test_dates_follow_the_language_of_the_person(client: Client, key: str) -> None:
    at = timezone.localtime(store.history(key)[0].at)
    there = reverse("history", args=[key])
    assert f"{at.day} {at:%B %Y}" in client.get(there).content.decode()
    client.post(reverse("set_language"), {"language": "en-us", "next": there})
    assert re.search(rf"{at:%b}\w*\.? {at.day}, {at.year}", client.get(there).content.decode())


# What a page costs.


@pytest.mark.parametrize("name", ["job", "history", "compare", "plan"])
def test_a_page_asks_the_database_little(
    client: Client, name: str, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    key = store.start_job(demo_job(), LAPTOP).key
    for number in range(1, 20):
        edit = SetField(path=("money", "sum"), value=200_000 + number)
        store.edit_job(key, edit, PHONE, seen=number)
    with django_assert_max_num_queries(15):
        assert client.get(reverse(name, args=[key])).status_code == 200
