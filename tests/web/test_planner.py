"""Plans are made beside the pages, stage by stage; what nobody wants any more is cut off; what fails says why."""

from __future__ import annotations

import io
import threading
from collections.abc import Iterator
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from pypdf import PdfReader

from tests.plan.small_cabin import CUSHION, small_job, small_plan
from tests.web.conftest import LAPTOP
from trimwright.job.edits import SetField, apply
from trimwright.web.jobs import store
from trimwright.web.jobs.maker import Maker
from trimwright.web.jobs.models import PlanRecord
from trimwright.web.jobs.planner import make_next

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture(scope="module")
def maker() -> Iterator[Maker]:
    """One child process for all tests here: it takes a second to load its libraries."""
    maker = Maker()
    yield maker
    maker.end()


def test_a_plan_holds_what_the_engine_says_and_its_papers(client: Client, key: str, maker: Maker) -> None:
    assert make_next(maker)
    assert not make_next(maker)
    said, plan = small_plan().verdicts, store.newest_result(key)
    assert plan is not None
    assert plan.state == "done"
    result: Any = plan.result
    money = result["money"]
    assert (money["sum"], money["firm"], money["reserve"], money["left"]) == (
        said.money.sum, said.money.firm, said.money.reserve, said.money.left,
    )  # fmt: skip
    told = {each["part"]: each["money"] for zone in result["verdicts"]["zones"] for each in zone["parts"]}
    assert told == {each.part: each.money for each in said.verdicts}
    assert result["buying"]["total"] == small_plan().buying.total
    for name in result["papers"]["names"]:
        answer: Any = client.get(reverse("paper", args=[key, name]))
        assert answer["Content-Type"] == "application/pdf"
        assert answer.headers["Content-Disposition"].startswith("inline")
        pdf = b"".join(answer.streaming_content)
        assert "The quarry two-door" in PdfReader(io.BytesIO(pdf)).pages[0].extract_text()
    assert client.get(reverse("paper", args=[key, "nothing"])).status_code == 404


def test_the_strip_is_asked_for_until_the_plan_is_done(client: Client, key: str, maker: Maker) -> None:
    there = reverse("plan", args=[key])
    waiting = client.get(there)
    assert waiting.status_code == 200
    assert 'hx-trigger="every 1s"' in waiting.content.decode()
    make_next(maker)
    done = client.get(there)
    assert done.status_code == 286
    assert "plan-ready" in done["HX-Trigger"]
    assert "every 1s" not in done.content.decode()
    made = store.newest_result(key)
    assert made is not None
    assert "HX-Trigger" not in client.get(f"{there}?had={','.join(made.result or ())}")


def test_a_job_that_does_not_fit_says_what_to_do(client: Client, maker: Maker) -> None:
    unknown = apply(small_job(), SetField(path=("money", "currency"), value="KWD"))
    key = store.start_job(unknown, LAPTOP).key
    make_next(maker)
    failed = store.newest_plan(key)
    assert failed is not None
    assert (failed.state, failed.problems[0]["value"]) == ("failed", "KWD")
    assert failed.problems[0]["way_out"] in client.get(reverse("job", args=[key])).content.decode()


def test_a_plan_nobody_wants_any_more_is_cut_off(key: str, maker: Maker, monkeypatch: pytest.MonkeyPatch) -> None:
    """The job changes while its plan is being made: the maker is ended, and the next plan is of the newest job."""
    wanted = store.tell_plan

    def changed_meanwhile(pk: int, *, progress: str, gap: float | None) -> bool:
        if store.record(key).revision == 1:
            store.edit_job(key, SetField(path=("parts", CUSHION, "finish_now"), value=2), LAPTOP, seen=1)
        return wanted(pk, progress=progress, gap=gap)

    monkeypatch.setattr(store, "tell_plan", changed_meanwhile)
    monkeypatch.setattr("trimwright.web.jobs.planner.LOOK_S", 0.0)
    assert make_next(maker)
    assert store.newest_result(key) is None
    monkeypatch.undo()
    assert make_next(maker)
    newest = store.newest_result(key)
    assert newest is not None
    assert newest.revision == 2


def test_a_planner_that_is_stopped_gives_the_plan_back(key: str, maker: Maker) -> None:
    assert make_next(maker, stopped=lambda: True)
    (plan,) = PlanRecord.objects.filter(job=key)
    assert (plan.state, plan.result) == ("waiting", None)


def test_a_maker_that_dies_fails_its_plan_and_is_started_again(key: str) -> None:
    maker = Maker()
    try:
        maker.start()
        threading.Timer(0.1, maker._process.kill).start()
        assert make_next(maker)
        failed = store.newest_plan(key)
        assert failed is not None
        assert (failed.state, failed.problems[0]["way_out"]) == ("failed", "Try again.")
        store.ask_again(key)
        assert make_next(maker)
        assert store.newest_result(key) is not None
    finally:
        maker.end()
