"""The first call: a rough answer from a real decision, how far it may be off, and what speaks against the job."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from trimwright.facts import load
from trimwright.web.jobs import store
from trimwright.web.jobs.answering import ROUGH
from trimwright.web.jobs.maker import Maker
from trimwright.web.jobs.planner import answer_next, make_next

pytestmark = pytest.mark.django_db

CALL: dict[str, Any] = {
    "car": "coupé from a damp garage", "year": "1994", "body": "two-door", "sum": "2,400", "currency": "EUR",
    "units": "metric", "wear": "worn", "hurts": ["front seats"], "untouched": ["boot"], "trouble": ["damp"],
}  # fmt: skip


def rung(client: Client, **told: Any) -> str:
    answer = client.post(reverse("first_call"), CALL | told)
    assert answer.status_code == 302
    (row,) = store.calls()
    return str(row.key)


def worked_out(client: Client, key: str) -> None:
    """The plan is made; the page asks how far it may be off, and is told."""
    maker = Maker()
    try:
        assert make_next(maker)
        client.get(reverse("call", args=[key]))
        while answer_next(maker):
            pass
    finally:
        maker.end()


def test_a_call_is_decided_and_says_how_far_it_may_be_off(client: Client) -> None:
    key = rung(client)
    assert "every 2s" in client.get(reverse("call", args=[key])).content.decode()
    maker = Maker()
    try:
        assert make_next(maker)
        first = client.get(reverse("call", args=[key]))
        assert "Rough: guessed from usual wear" in first.content.decode()
        while answer_next(maker):
            pass
    finally:
        maker.end()
    page = client.get(reverse("call", args=[key]))
    rough, money = page.context["rough"], page.context["plan"]["money"]
    assert rough["worse"]["finish_after"] <= money["finish_after"] <= rough["better"]["finish_after"]
    assert rough["worse"]["finish_before"] < money["finish_before"] < rough["better"]["finish_before"]
    assert page.context["works"]
    assert "every 2s" not in page.content.decode()
    grave = [each["find"] for each in rough["grave"]]
    assert "floor_holes" in grave
    assert "body work" in page.content.decode()


def test_a_sum_under_what_must_be_done_is_a_reason_to_decline(client: Client) -> None:
    key = rung(client, sum="150", trouble=["belts", "lamp"])
    worked_out(client, key)
    text = client.get(reverse("call", args=[key])).content.decode()
    assert "short of what has to be done" in text
    assert "What holds people takes" in text


def test_hours_that_do_not_fit_are_a_reason_to_decline(client: Client) -> None:
    key = rung(client, hours="3", trouble=["belts"])
    worked_out(client, key)
    assert "hours more than there are" in client.get(reverse("call", args=[key])).content.decode()


def test_a_call_is_no_job_until_it_is_taken(client: Client) -> None:
    key = rung(client)
    assert not store.jobs()
    client.post(reverse("take_call", args=[key]))
    (row,) = store.jobs()
    assert not store.calls()
    job = store.job_at(key, row.revision)
    assert all(part.finish_now is None and not part.faults for part in job.parts)
    assert dict(job.wishes.zones) == {"front seats": 2.0}
    boot = {part.id for part in job.parts if load().parts[part.kind].zone == "boot"}
    assert boot
    assert boot == set(job.wishes.leave_alone)
    assert job.wishes.must_do == ()
    assert any(part.faults for part in store.job_at(key, 1).parts)
    assert client.get(reverse("call", args=[key]))["Location"] == reverse("job", args=[key])


def test_a_declined_call_is_put_away_and_a_job_never(client: Client, key: str) -> None:
    called = rung(client)
    client.post(reverse("decline_call", args=[called]))
    assert not store.calls()
    assert client.post(reverse("decline_call", args=[key])).status_code == 404
    assert [each.key for each in store.jobs()] == [key]


@pytest.mark.parametrize(
    ("field", "typed"), [("car", ""), ("sum", "much"), ("wear", "odd"), ("hurts", ["moon"]), ("hours", "-1")]
)
def test_a_wrong_answer_is_told_beside_its_question(client: Client, field: str, typed: Any) -> None:
    answer = client.post(reverse("first_call"), CALL | {field: typed})
    assert answer.status_code == 422
    assert list(answer.context["form"].errors) == [field]
    assert not store.calls()


def test_the_rough_answer_is_asked_once(client: Client) -> None:
    key = rung(client)
    worked_out(client, key)
    plan = store.newest_result(key)
    assert plan is not None
    for _time in range(2):
        client.get(reverse("call", args=[key]))
    assert store.answer(plan.pk, ROUGH) is not None
