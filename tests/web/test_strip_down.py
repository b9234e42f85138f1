"""The strip-down as it is without scripts, and what it answers its script; holds are passed by no door."""

from __future__ import annotations

import io
from datetime import datetime, timedelta
from typing import Any
from uuid import uuid4

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from PIL import Image
from pytest_django import DjangoAssertNumQueries, Settings

from tests.web.conftest import LAPTOP
from tests.web.decided import keep_plan, newest
from trimwright.errors import BadInput
from trimwright.facts import load
from trimwright.job.edits import EDIT, AddEntry, SetField
from trimwright.job.events import Bag, BookWait, Find, Intake, Opened
from trimwright.job.files import job_bytes
from trimwright.web.jobs import store
from trimwright.web.jobs.maker import Maker
from trimwright.web.jobs.store import rows
from trimwright.web.jobs.weigher import weigh_next

pytestmark = pytest.mark.django_db

JSON = {"accept": "application/json"}
TAKEN_IN = {"fuel_smell": "no", "restraint_lamp": "lights, then goes out", "keys": "2"}
SEAT, BATTERY, PLATE = "fseat_off.driver", "battery_off", "knob_gear"
LONGEST = load().practice["make_safe_wait"].value
YES = {"name": "Kim", "at": "2026-03-05T10:20", "how": "call"}


def picture(name: str = "seat.jpg") -> SimpleUploadedFile:
    into = io.BytesIO()
    Image.new("RGB", (400, 300), "#7a6a58").save(into, "JPEG")
    return SimpleUploadedFile(name, into.getvalue(), "image/jpeg")


def send(client: Client, key: str, view: str, *also: str, json: Any = False, **told: Any) -> Any:
    whole = {"edit_id": uuid4().hex, "revision": str(store.record(key).revision), **told}
    return client.post(reverse(view, args=[key, *also]), whole, headers=JSON if json else {})


def off(client: Client, key: str, step: str, **told: Any) -> Any:
    return send(client, key, "strip_step", step, then="off", **told)


def opened(key: str) -> list[str]:
    return [each.step for each in newest(key).events if isinstance(each, Opened)]


@pytest.fixture
def ready(client: Client, key: str) -> str:
    """The small cabin decided and taken in."""
    keep_plan(key)
    send(client, key, "intake", **TAKEN_IN)
    return key


def long_since(key: str, minutes: float) -> None:
    """The battery came off so long ago: the clock is turned, not the note."""
    for revision in store.revisions_whole(key):
        job = store.job_at(key, revision.number)
        events = tuple(
            each.model_copy(update={"at": each.at - timedelta(minutes=minutes)})
            if isinstance(each, Opened) and each.step == BATTERY
            else each
            for each in job.events
        )
        revision.document = job_bytes(job.model_copy(update={"events": events})).decode()
        revision.save()
    rows._document.cache_clear()


# ---- pages -----------------------------------------------------------------------------------------------------------


def test_every_step_of_the_plan_has_its_screen(client: Client, ready: str) -> None:
    page = client.get(reverse("strip_down", args=[ready]))
    way = page.context["way"]
    assert [each.kind for each in way.screens[:3]] == ["record", "battery", "wait"]
    assert page.content.decode().count("data-step=") == len(way.screens) + 1
    for each in way.screens:
        one = client.get(each.url)
        assert one.status_code == 200
        assert f"<title>{each.name}" in one.content.decode()
    assert client.get(reverse("strip_step", args=[ready, "wing"])).status_code == 404


def test_a_screen_tells_what_holds_it_and_what_to_mind(client: Client, ready: str) -> None:
    text = client.get(reverse("strip_step", args=[ready, SEAT])).content.decode()
    seat = text[text.index(f'data-step="{SEAT}"') :]
    seat = seat[: seat.find("data-step=", 20)]
    assert "4 bolts or nuts to the floor" in seat
    assert "only somebody trained for it" in seat
    assert "restraint" in seat


def test_pages_ask_few_questions(
    client: Client, ready: str, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    for address in (
        reverse("strip_down", args=[ready]),
        reverse("strip_step", args=[ready, PLATE]),
        reverse("found_here", args=[ready]),
        reverse("intake", args=[ready]),
    ):
        with django_assert_max_num_queries(15):
            assert client.get(address).status_code == 200


def test_without_a_plan_the_page_says_so(client: Client, key: str) -> None:
    assert "follows by itself" in client.get(reverse("strip_down", args=[key])).content.decode()


def test_nobody_comes_in_without_the_passphrase(client: Client, ready: str, settings: Settings) -> None:
    settings.GUARDED = True
    for view, also in (("strip_down", []), ("strip_step", [PLATE]), ("intake", []), ("intake_sheet", [])):
        assert client.get(reverse(view, args=[ready, *also])).status_code == 302
    assert off(client, ready, PLATE).status_code == 302
    assert opened(ready) == []


# ---- a step off ------------------------------------------------------------------------------------------------------


def test_a_tick_notes_the_step_its_bag_and_its_photos(client: Client, ready: str) -> None:
    send(client, ready, "strip_photo", PLATE, photo=picture())
    answer = off(client, ready, PLATE, counted="4", broken="1", missing="0", minutes="7", note="thread dry")
    assert answer.status_code == 302
    [event] = [each for each in newest(ready).events if isinstance(each, Opened)]
    assert (event.step, event.minutes, event.note, len(event.photos)) == (PLATE, 7, "thread dry", 1)
    [bag] = [each for each in newest(ready).events if isinstance(each, Bag)]
    assert (bag.state, bag.counted, bag.broken, bag.missing) == ("filled", 4, 1, 0)
    assert reverse("strip_step", args=[ready, PLATE]) != answer.url
    send(client, ready, "strip_photo", PLATE, photo=picture())
    assert len(next(each for each in newest(ready).events if isinstance(each, Opened)).photos) == 2


def test_sent_twice_or_by_two_hands_it_is_there_once(client: Client, ready: str) -> None:
    told = {"edit_id": "0a1b2c3d4e5f", "counted": "4", "broken": "0", "missing": "0"}
    off(client, ready, PLATE, **told)
    off(client, ready, PLATE, **told)
    off(Client(), ready, PLATE, counted="4", broken="0", missing="0")
    assert opened(ready) == [PLATE]
    assert sum(isinstance(each, Bag) for each in newest(ready).events) == 1


def test_a_bag_is_put_right_and_a_step_taken_back(client: Client, ready: str) -> None:
    off(client, ready, PLATE, counted="4", broken="0", missing="0")
    send(client, ready, "strip_step", PLATE, then="bag", counted="3", broken="1", missing="0")
    bag = next(each for each in newest(ready).events if isinstance(each, Bag))
    assert (bag.counted, bag.broken) == (3, 1)
    send(client, ready, "strip_step", PLATE, then="take back")
    assert opened(ready) == []
    assert not any(isinstance(each, Bag) for each in newest(ready).events)


@pytest.mark.parametrize("wrong", [{"counted": "some"}, {"broken": "-1"}, {"minutes": "7 or so"}])
def test_what_is_wrong_is_said_and_what_was_typed_stays(client: Client, ready: str, wrong: dict[str, str]) -> None:
    told = {"counted": "4", "broken": "1", "missing": "0", "note": "thread dry", **wrong}
    answer = off(client, ready, PLATE, **told)
    text = answer.content.decode()
    assert answer.status_code == 422
    assert "thread dry" in text
    assert f'value="{next(iter(wrong.values()))}"' in text
    assert off(client, ready, PLATE, json=True, **told).json()["problems"]
    assert opened(ready) == []


# ---- holds -----------------------------------------------------------------------------------------------------------


def test_nothing_wired_comes_off_before_the_battery_and_the_battery_after_the_intake(client: Client, key: str) -> None:
    keep_plan(key)
    assert off(client, key, BATTERY).status_code == 422
    assert off(client, key, SEAT).status_code == 422
    send(client, key, "intake", **TAKEN_IN)
    assert off(client, key, SEAT).status_code == 422
    assert off(client, key, BATTERY).status_code == 302
    assert opened(key) == [BATTERY]


def test_no_restraint_connector_is_noted_before_the_wait_is_over(client: Client, ready: str) -> None:
    off(client, ready, BATTERY)
    early = off(client, ready, SEAT, json=True)
    assert early.status_code == 422
    assert LONGEST * 60 - 10 < early.json()["wait_s"] <= LONGEST * 60
    long_since(ready, LONGEST - 0.1)
    assert off(client, ready, SEAT).status_code == 422
    long_since(ready, 0.1)
    assert off(client, ready, SEAT).status_code == 302
    assert opened(ready) == [BATTERY, SEAT]


def test_whatever_the_client_says_the_wait_runs_from_when_it_is_noted_here(client: Client, ready: str) -> None:
    """A note of the battery with an older moment is refused, and so is a moment changed afterwards."""
    past = (timezone.now() - timedelta(hours=2)).isoformat()
    raw: dict[str, Any] = {"kind": "opened", "id": "forged", "at": past, "step": BATTERY}
    edit = AddEntry(path=("events",), value=raw)
    told = {"edit": EDIT.dump_json(edit).decode(), "revision": str(store.record(ready).revision), "edit_id": "forged"}
    assert client.post(reverse("edits", args=[ready]), told).status_code == 422
    off(client, ready, BATTERY, at=past)
    event = next(each for each in newest(ready).events if isinstance(each, Opened))
    assert event.at > timezone.now() - timedelta(seconds=30)
    with pytest.raises(BadInput):
        store.edit_job(
            ready, SetField(path=("events", event.id, "at"), value=past), LAPTOP, seen=store.record(ready).revision
        )
    seat = AddEntry(path=("events",), value={**raw, "id": "seat", "step": SEAT})
    with pytest.raises(store.TooEarly):
        store.edit_job(ready, seat, LAPTOP, seen=store.record(ready).revision)


def test_doing_again_passes_no_hold_either(client: Client, ready: str) -> None:
    off(client, ready, BATTERY)
    long_since(ready, LONGEST)
    off(client, ready, SEAT)
    client.post(reverse("undo", args=[ready]))
    client.post(reverse("undo", args=[ready]))
    assert opened(ready) == []
    off(Client(), ready, BATTERY)
    assert off(client, ready, SEAT).status_code == 422


def test_the_cars_own_book_moves_the_clock(client: Client, ready: str) -> None:
    off(client, ready, BATTERY)
    assert send(client, ready, "book_wait", minutes="3", page="").status_code == 422
    send(client, ready, "book_wait", minutes="3", page="restraints, 4")
    assert any(isinstance(each, BookWait) for each in newest(ready).events)
    page = client.get(reverse("strip_step", args=[ready, "wait"]))
    noted = next(each.at for each in newest(ready).events if isinstance(each, Opened))
    until = round((noted + timedelta(minutes=3)).timestamp() * 1000)
    assert f'data-until="{until}"' in page.content.decode()


def test_the_battery_stays_off_while_something_wired_is(client: Client, ready: str) -> None:
    off(client, ready, BATTERY)
    long_since(ready, LONGEST)
    off(client, ready, SEAT)
    assert send(client, ready, "strip_step", BATTERY, then="take back").status_code == 422
    send(client, ready, "strip_step", SEAT, then="take back")
    assert send(client, ready, "strip_step", BATTERY, then="take back").status_code == 302
    assert opened(ready) == []


def test_a_part_of_ones_own_that_keeps_the_battery_off_is_named(client: Client, ready: str) -> None:
    harness: dict[str, Any] = {
        "id": "harness", "kind": "own", "name": "Racing harness", "place": "driver", "material": "webbing",
        "area_mm2": 1000, "own": {"zone": "belts", "is_restraint": True},
    }  # fmt: skip
    whole = AddEntry(path=("parts",), value=harness)
    store.edit_job(ready, whole, LAPTOP, seen=store.record(ready).revision)
    off(client, ready, BATTERY)
    long_since(ready, LONGEST)
    assert off(client, ready, "own:harness.driver").status_code == 302
    refused = send(client, ready, "strip_step", BATTERY, then="take back", json=True)
    assert refused.status_code == 422
    assert "Racing harness" in refused.content.decode()


def test_fuel_stops_everything_until_the_car_is_taken_in_anew(client: Client, key: str) -> None:
    keep_plan(key)
    send(client, key, "intake", **{**TAKEN_IN, "fuel_smell": "yes"})
    assert off(client, key, PLATE).status_code == 422
    assert "Stop: fuel can be smelt" in client.get(reverse("strip_down", args=[key])).content.decode()
    send(client, key, "intake", **TAKEN_IN)
    assert off(client, key, PLATE).status_code == 302


# ---- intake ----------------------------------------------------------------------------------------------------------


def test_the_intake_is_written_down_put_right_and_signed(client: Client, key: str) -> None:
    told = {**TAKEN_IN, "faults": "left window stuck\nclock stands", "radio_code": "4711", "belongings": "torch"}
    send(client, key, "intake", **told)
    send(client, key, "angle_photo", angle="dash", photo=picture())
    send(client, key, "intake", **{**told, "keys": "3"})
    [event] = [each for each in newest(key).events if isinstance(each, Intake)]
    assert (event.faults, event.keys, event.radio_code) == (("left window stuck", "clock stands"), 3, "4711")
    assert list(event.angles) == ["dash"]
    send(client, key, "intake_yes", **{**YES, "how": "signed"})
    [event] = [each for each in newest(key).events if isinstance(each, Intake)]
    assert event.yes is not None
    assert event.yes.name == "Kim"
    assert "Signed by Kim" in client.get(reverse("intake", args=[key])).content.decode()
    assert send(client, key, "intake_yes", **YES).status_code == 422
    send(client, key, "intake", **TAKEN_IN)
    assert sum(isinstance(each, Intake) for each in newest(key).events) == 2


def test_the_lamp_and_the_smell_must_be_said_and_what_was_typed_stays(client: Client, key: str) -> None:
    answer = send(client, key, "intake", keys="2", faults="left window stuck")
    assert answer.status_code == 422
    assert set(answer.context["form"].errors) == {"fuel_smell", "restraint_lamp"}
    assert "left window stuck" in answer.content.decode()
    assert send(client, key, "angle_photo", angle="from above", photo=picture()).status_code == 422
    assert not newest(key).events


def test_the_intake_is_a_page_to_sign(client: Client, key: str) -> None:
    assert client.get(reverse("intake_sheet", args=[key])).status_code == 404
    send(client, key, "intake", **TAKEN_IN, faults="left window stuck")
    paper: Any = client.get(reverse("intake_sheet", args=[key]))
    assert paper.content.startswith(b"%PDF")


# ---- a find ----------------------------------------------------------------------------------------------------------


def test_a_find_is_weighed_from_the_plan_before_it_and_answered(client: Client, ready: str) -> None:
    send(client, ready, "angle_photo", angle="dash", photo=picture())
    told = {
        "step": "carpet_main",
        "find": "other",
        "what": "floor soft",
        "extent": "heavy",
        "money": "120",
        "hours": "1.5",
    }
    answer = send(client, ready, "found_here", photo=picture(), **told)
    [find] = [each for each in newest(ready).events if isinstance(each, Find)]
    assert answer.url == reverse("weighed", args=[ready, find.id])
    assert (find.part, find.what, find.money.likely, find.minutes.likely) == ("carpet", "floor soft", 12_000, 90)
    assert len(find.photos) == 1
    assert 'hx-trigger="every 400ms"' in client.get(answer.url).content.decode()
    maker = Maker()
    try:
        assert weigh_next(maker)
    finally:
        maker.end()
    text = client.get(answer.url).content.decode()
    for each in ("The reserve pays", "Others are dropped for it", "It is left and recorded"):
        assert each in text
    wrong = send(client, ready, "answer_here", find.id, answer="from the reserve", **{**YES, "name": ""})
    assert wrong.status_code == 422
    assert send(client, ready, "answer_here", find.id, answer="from the reserve", **YES).status_code == 302
    assert newest(ready).find(find.id).answer == "from the reserve"


def test_a_suspected_fault_brings_the_trades_figures_by_how_bad_it_is(client: Client, ready: str) -> None:
    page = client.get(reverse("found_here", args=[ready]))
    step, find = next((step, names[0]) for step, names in page.context["found"].suspects.items() if names)
    known = load().finds[find]
    for extent, figures in (("light", (0, 0, 1)), ("medium", (0, 1, 2)), ("heavy", (1, 2, 2))):
        send(client, ready, "found_here", step=step, find=find, extent=extent)
        event = [each for each in newest(ready).events if isinstance(each, Find)][-1]
        assert (event.minutes.low, event.minutes.likely, event.minutes.high) == tuple(
            round(known.minutes[at]) for at in figures
        )
        assert (event.find, event.must) == (find, known.must_deal)


@pytest.mark.parametrize(
    ("wrong", "field"),
    [
        ({"step": "moon"}, "step"),
        ({"what": ""}, "what"),
        ({"money": "a lot"}, "money"),
        ({"hours": "", "money": ""}, "money"),
    ],
)
def test_a_find_says_what_where_and_what_it_takes(
    client: Client, ready: str, wrong: dict[str, str], field: str
) -> None:
    told = {"step": "carpet_main", "find": "other", "what": "floor soft", "extent": "light", "money": "120", **wrong}
    answer = send(client, ready, "found_here", **told)
    assert answer.status_code == 422
    assert list(answer.context["found"].errors) == [field]
    assert 'value="light" ' in answer.content.decode()
    assert send(client, ready, "found_here", json=True, **told).json()["problems"]
    assert not any(isinstance(each, Find) for each in newest(ready).events)


def test_the_clock_tells_the_servers_time(client: Client) -> None:
    told = client.get(reverse("clock")).json()["now"] / 1000
    assert abs(told - datetime.now().astimezone().timestamp()) < 2


def test_the_rail_tells_how_much_is_off(client: Client, ready: str) -> None:
    off(client, ready, PLATE, counted="", broken="0", missing="0")
    steps = len(client.get(reverse("strip_down", args=[ready])).context["way"].taken_off)
    assert f"1 of {steps} off" in client.get(reverse("quote", args=[ready])).content.decode()
