"""The end of a job: snags, the test sheet filled and signed, the keys back; nothing opens a hold of safety."""

from __future__ import annotations

import re
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from tests.plan.small_cabin import BELT, VISOR
from tests.web.decided import newest
from tests.web.test_rebuild import begun, opened, send
from trimwright.facts import load
from trimwright.job.events import HandedOver, Snag
from trimwright.job.events import Tested as Made
from trimwright.plan.sequence.closing import asked_tests

pytestmark = pytest.mark.django_db

YES = {"name": "Kim", "at": "2026-11-20T16:00", "how": "signed", "note": ""}
NEW_BELT = (
    {"kind": "done", "part": BELT, "course": "belt_replace"},
    {"kind": "bought", "thing": "part", "part": BELT, "source": "new", "paid": 18000},
)
TIGHT = (
    {"kind": "fixing", "step": "belt_front.driver", "fixing": "anchor bolts", "newton_metres": 45},
    {"kind": "tightened", "step": "belt_front.driver", "fixing": "anchor bolts", "newton_metres": 45},
)


def all_passed(key: str, **other: str) -> dict[str, str]:
    """Every test passed, as the page sends it."""
    found = {f"test-{each.id}": "passed" for each in asked_tests(newest(key), load())}
    return {**found, "trained": "the dealer's workshop", **{f"test-{test}": told for test, told in other.items()}}


def events(key: str, kind: type[Any]) -> list[Any]:
    return [each for each in newest(key).events if isinstance(each, kind)]


# ---- snags -----------------------------------------------------------------------------------------------------------


def test_a_snag_is_put_right_with_its_minutes(client: Client, django_assert_max_num_queries: Any) -> None:
    key = begun()
    send(client, key, "snags", what="visor drops", part=VISOR)
    [snag] = events(key, Snag)
    with django_assert_max_num_queries(15):
        assert "Visor drops" in client.get(reverse("snags", args=[key])).content.decode()
    wrong = send(client, key, "put_right", snag.id, minutes="many")
    assert wrong.status_code == 422
    assert 'value="many"' in wrong.content.decode()
    send(client, key, "put_right", snag.id, minutes="25")
    [snag] = events(key, Snag)
    assert (snag.state, snag.minutes, snag.part) == ("put right", 25, VISOR)


def test_a_snag_is_left_with_a_reason_and_never_on_what_holds_people(client: Client) -> None:
    key = begun(
        {"kind": "snag", "id": "squeak", "what": "squeaks"},
        {"kind": "snag", "id": "slow", "what": "slow", "part": BELT},
    )
    assert send(client, key, "put_right", "squeak", then="left").status_code == 422
    send(client, key, "put_right", "squeak", then="left", note="Kim takes it so")
    assert send(client, key, "put_right", "slow", then="left", note="Kim takes it so").status_code == 422
    assert [each.state for each in events(key, Snag)] == ["left", "open"]
    assert send(client, key, "put_right", "nothing").status_code == 404


def test_a_snag_without_words_is_refused_and_keeps_where(client: Client) -> None:
    key = begun()
    page = send(client, key, "snags", what="", part=VISOR)
    assert page.status_code == 422
    assert re.search(rf'<option value="{VISOR}" selected', page.content.decode())


# ---- the test sheet --------------------------------------------------------------------------------------------------


def test_only_what_is_new_is_noted_and_what_failed_is_a_snag(
    client: Client, django_assert_max_num_queries: Any
) -> None:
    key = begun()
    send(client, key, "final_tests", **{"test-horn": "passed", "test-water": "failed"})
    [made] = events(key, Made)
    assert made.results == {"horn": "passed", "water": "failed"}
    [snag] = events(key, Snag)
    assert (snag.test, snag.state) == ("water", "open")
    send(client, key, "final_tests", **{"test-horn": "passed", "test-water": "passed"})
    assert events(key, Made)[-1].results == {"water": "passed"}
    with django_assert_max_num_queries(15):
        page = client.get(reverse("final_tests", args=[key])).content.decode()
    assert re.search(r'name="test-water" value="passed" checked', page)


@pytest.mark.parametrize(
    ("told", "why"),
    [
        ({"test-lamp": "passed", "trained": ""}, "Say who of licensed practice made it."),
        ({"test-lamp": "not on this car", "trained": "R. Osei"}, "It holds people"),
        ({"test-belt_pull": "not on this car"}, "It holds people"),
    ],
)
def test_what_holds_people_is_tried_by_whom_it_takes(client: Client, told: dict[str, str], why: str) -> None:
    key = begun()
    page = send(client, key, "final_tests", **told, **{"test-horn": "passed"})
    text = page.content.decode()
    assert page.status_code == 422
    assert why in text
    assert re.search(r'name="test-horn" value="passed" checked', text)
    assert not events(key, Made)


def test_no_lamp_lights_while_the_battery_is_off(client: Client) -> None:
    key = begun(opened("battery_off"))
    page = send(client, key, "final_tests", **all_passed(key))
    assert page.status_code == 422
    assert "The battery is off" in page.content.decode()


def test_the_sheet_tells_the_lamp_at_intake(client: Client) -> None:
    key = begun({"kind": "intake", "restraint_lamp": "stays on"})
    assert "At intake: stays on." in client.get(reverse("final_tests", args=[key])).content.decode()


def test_the_sheet_is_signed_when_all_is_settled_and_nothing_is_off(client: Client) -> None:
    key = begun()
    early = send(client, key, "sign_tests", **YES)
    assert early.status_code == 422
    assert "Tests that are not settled: 18." in early.content.decode()
    assert 'value="Kim"' in early.content.decode()
    send(client, key, "final_tests", **all_passed(key, drains="not on this car"))
    send(client, key, "sign_tests", **YES)
    assert events(key, Made)[-1].yes.name == "Kim"
    assert "Kim, " in client.get(reverse("final_tests", args=[key])).content.decode()


def test_nothing_is_signed_while_something_is_off(client: Client) -> None:
    key = begun(opened("mats.driver"))
    send(client, key, "final_tests", **all_passed(key))
    refused = send(client, key, "sign_tests", **YES)
    assert refused.status_code == 422
    assert "is off." in refused.content.decode()


# ---- the keys --------------------------------------------------------------------------------------------------------


def test_the_keys_are_refused_with_all_that_is_open_and_the_way_out(
    client: Client, django_assert_max_num_queries: Any
) -> None:
    key = begun({"kind": "snag", "id": "squeak", "what": "squeaks"}, opened("mats.driver"))
    with django_assert_max_num_queries(15):
        client.get(reverse("hand_over", args=[key]))
    page = send(client, key, "hand_over", **YES)
    text = page.content.decode()
    assert page.status_code == 422
    assert not events(key, HandedOver)
    kinds = {each.hold.kind: each.url for each in page.context["in_the_way"]}
    assert set(kinds) == {"off", "not done", "snag", "not tried", "not signed"}
    assert kinds["off"] == reverse("rebuild_step", args=[key, "back:mats.driver"])
    assert kinds["snag"] == reverse("snags", args=[key])
    assert 'value="Kim"' in text


def test_an_unpaid_must_do_keeps_the_car(client: Client) -> None:
    done, _bought = NEW_BELT
    key = begun(done, *TIGHT)
    send(client, key, "final_tests", **all_passed(key))
    send(client, key, "sign_tests", **YES)
    page = send(client, key, "hand_over", **YES)
    assert [(each.hold.kind, each.url) for each in page.context["in_the_way"]] == [
        ("not paid", reverse("buying", args=[key]))
    ]


def test_a_belt_fitted_new_is_tightened_on_its_screen_though_nobody_noted_the_old_one_off(client: Client) -> None:
    key = begun(*NEW_BELT)
    [wanted] = [each for each in send(client, key, "hand_over", **YES).context["in_the_way"] if each.hold.fixing]
    assert wanted.hold.kind == "no torque"
    screen = client.get(wanted.url)
    assert screen.status_code == 200
    assert "anchor bolts" in screen.content.decode()


def test_the_keys_go_back_once_nothing_is_open(client: Client) -> None:
    key = begun(*NEW_BELT, *TIGHT)
    send(client, key, "final_tests", **all_passed(key))
    send(client, key, "sign_tests", **YES)
    for _time in range(2):
        assert send(client, key, "hand_over", **YES).status_code == 302
    [event] = events(key, HandedOver)
    assert event.yes.name == "Kim"
    assert "Kim took the car over" in client.get(reverse("hand_over", args=[key])).content.decode()
