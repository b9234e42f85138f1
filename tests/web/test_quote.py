"""Quote and account: a yes promises what was shown, payments change the account alone, finds get an answer."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from tests.plan.small_cabin import small_plan
from tests.web.conftest import LAPTOP
from tests.web.decided import TODAY, keep_plan, newest
from trimwright.book.document import Book
from trimwright.job.edits import SetField
from trimwright.job.events import Account, Find, Payment, Promised, Released
from trimwright.web.jobs import purchases, store
from trimwright.web.jobs.maker import Maker
from trimwright.web.jobs.models import PlanRecord
from trimwright.web.jobs.planner import answer_next, make_next
from trimwright.web.jobs.planning import decided
from trimwright.web.jobs.weigher import weigh_next

pytestmark = pytest.mark.django_db

YES = {"name": "Kim", "at": "2026-03-05T10:20", "how": "call", "note": "number on the card"}
FIND = {"what": "seam rotten under the piping", "part": "cushion", "money": "80", "hours": "1.5"}


def send(client: Client, key: str, view: str, told: dict[str, Any], *also: str, **how: Any) -> Any:
    return client.post(reverse(view, args=[key, *also]), {"edit_id": purchases.new_id(), **told}, **how)


def printed(plan: PlanRecord) -> PlanRecord:
    """The plan as it is once its papers are there."""
    store.add_to_plan(plan.pk, "papers", {"names": ["quote"], "quote_pages": 0, "has_offers": False})
    return plan


def test_the_quote_is_shown_as_it_prints_with_its_offers(client: Client, key: str) -> None:
    maker = Maker()
    try:
        assert make_next(maker)
        pages = client.get(reverse("quote", args=[key])).context["pages"]
        assert len(pages) > 1
        assert client.get(reverse("quote", args=[key])).context["plan"]["papers"]["has_offers"] is False
        while answer_next(maker):
            pass
    finally:
        maker.end()
    assert client.get(reverse("quote", args=[key])).context["plan"]["papers"]["has_offers"] is True
    picture: Any = client.get(reverse("quote_page", args=[key, 1]))
    assert b"".join(picture.streaming_content).startswith(b"\x89PNG")
    assert client.get(reverse("quote_page", args=[key, 99])).status_code == 404


def test_the_owners_yes_promises_every_verdict_that_was_shown(client: Client, key: str) -> None:
    plan = printed(keep_plan(key))
    assert "Yes to 1,550 EUR" in client.get(reverse("quote", args=[key])).content.decode()
    send(client, key, "owner_yes", {**YES, "plan": str(plan.pk)})
    [event] = newest(key).events
    assert isinstance(event, Promised)
    own = [each for each in small_plan().verdicts.verdicts if each.settled_by is None]
    assert dict(event.verdicts) == {each.part: each.course.id for each in own if each.course}
    assert (event.sum, event.yes.name, event.yes.how, event.note) == (155_000, "Kim", "call", "number on the card")
    assert f"{timezone.localtime(event.yes.at):%Y-%m-%dT%H:%M}" == YES["at"]
    assert "Kim said yes" in client.get(reverse("quote", args=[key])).content.decode()


def test_a_yes_to_a_quote_that_was_changed_meanwhile_is_refused(client: Client, key: str) -> None:
    plan = printed(keep_plan(key))
    store.edit_job(key, SetField(path=("money", "sum"), value=100_000), LAPTOP, seen=1)
    keep_plan(key, decided(newest(key), Book(), TODAY, unheard))
    answer = send(client, key, "owner_yes", {**YES, "plan": str(plan.pk)})
    assert answer.status_code == 422
    assert "changed meanwhile" in answer.content.decode()
    assert not newest(key).events


def test_while_verdicts_are_being_decided_no_yes_can_be_given(client: Client, key: str) -> None:
    plan = printed(keep_plan(key))
    store.edit_job(key, SetField(path=("money", "sum"), value=100_000), LAPTOP, seen=1)
    text = client.get(reverse("quote", args=[key])).content.decode()
    assert reverse("owner_yes", args=[key]) not in text
    assert send(client, key, "owner_yes", {**YES, "plan": str(plan.pk)}).status_code == 422


@pytest.mark.parametrize("wrong", [{"name": ""}, {"at": "yesterday"}, {"how": "telepathy"}])
def test_a_yes_says_who_when_and_how(client: Client, key: str, wrong: dict[str, str]) -> None:
    plan = printed(keep_plan(key))
    answer = send(client, key, "owner_yes", {**YES, "plan": str(plan.pk), **wrong})
    assert answer.status_code == 422
    assert list(answer.context["yes"].errors) == list(wrong)
    assert not newest(key).events


def test_letting_go_releases_what_was_promised(client: Client, key: str) -> None:
    plan = printed(keep_plan(key))
    send(client, key, "owner_yes", {**YES, "plan": str(plan.pk)})
    send(client, key, "let_go", YES)
    promised, released = newest(key).events
    assert isinstance(promised, Promised)
    assert isinstance(released, Released)
    assert set(released.parts) == set(promised.verdicts)
    assert client.get(reverse("quote", args=[key])).context["promised"] is None


def test_payments_change_the_account_and_no_plan(client: Client, key: str) -> None:
    """Worked by hand: 1,550 − 600 − 300 + 50 = 700 due."""
    for what, money in (("deposit", "600"), ("stage", "300"), ("given back", "50")):
        send(client, key, "payment", {"what": what, "money": money, "how": "transfer"})
    assert [each.money for each in newest(key).events if isinstance(each, Payment)] == [60000, 30000, 5000]
    assert client.get(reverse("quote", args=[key])).context["owed"].due == 70000
    assert decided(newest(key), Book(), TODAY, unheard).plan.verdicts.money == small_plan().verdicts.money
    assert send(client, key, "payment", {"what": "deposit", "money": "a lot"}).status_code == 422


def test_what_is_kept_beside_the_sum_is_settled_in_place(client: Client, key: str) -> None:
    core = {"what": "core", "name": "old belt reel", "money": "40", "until": "2026-04-01"}
    send(client, key, "beside", core)
    send(client, key, "beside", {"what": "left-over", "name": "old seats", "money": "100", "for_owner": "on"})
    first, second = newest(key).events
    assert isinstance(first, Account)
    assert (first.money, str(first.until), first.for_owner) == (4000, "2026-04-01", False)
    assert client.get(reverse("quote", args=[key])).context["owed"].held == 4000
    send(client, key, "came_of_it", {"came": "40"}, first.id)
    send(client, key, "came_of_it", {"came": "80"}, second.id)
    owed = client.get(reverse("quote", args=[key])).context["owed"]
    assert (owed.held, owed.credit, owed.due) == (0, 8000, 147_000)


def test_a_find_is_weighed_and_answered_with_the_owners_yes(client: Client, key: str) -> None:
    send(client, key, "found", FIND)
    [find] = newest(key).events
    assert isinstance(find, Find)
    assert (find.part, find.money.likely, find.minutes.likely, find.must) == ("cushion", 8000, 90, False)
    maker = Maker()
    try:
        client.post(reverse("ask_change", args=[key, find.id]))
        assert weigh_next(maker)
    finally:
        maker.end()
    told = store.change(key, find.id)
    assert told is not None
    assert told.data is not None
    assert told.data["answers"] == ["from the reserve", "drop others for it", "leave and record"]
    page = client.get(reverse("quote", args=[key]))
    assert "The reserve pays" in page.content.decode()
    paper: Any = client.get(reverse("change_sheet", args=[key, find.id]))
    assert b"".join(paper.streaming_content).startswith(b"%PDF")
    assert send(client, key, "answer_find", {**YES, "answer": "shrug"}, find.id).status_code == 422
    send(client, key, "answer_find", {**YES, "answer": "from the reserve"}, find.id)
    answered = newest(key).find(find.id)
    assert answered.answer == "from the reserve"
    assert answered.yes is not None
    assert answered.yes.name == "Kim"


def test_what_has_to_be_dealt_with_cannot_be_left(client: Client, key: str) -> None:
    send(client, key, "found", {**FIND, "must": "on"})
    find = newest(key).events[0].id
    assert send(client, key, "answer_find", {**YES, "answer": "leave and record"}, find).status_code == 422
    assert newest(key).find(find).answer == "undecided"


def test_what_is_not_there_is_404(client: Client, key: str) -> None:
    for view in ("change", "change_sheet"):
        assert client.get(reverse(view, args=[key, "ghost"])).status_code == 404
    assert send(client, key, "came_of_it", {"came": "1"}, "ghost").status_code == 404


def unheard(stage: str, gap: float | None) -> None:
    """Nobody listens to how far it is."""
