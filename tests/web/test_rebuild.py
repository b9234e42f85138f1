"""The rebuild: gates that no post passes, bags by their code, torques in both units, what was typed kept."""

from __future__ import annotations

import io
import re
from datetime import timedelta
from typing import Any
from uuid import uuid4

import pytest
import segno
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from tests.plan.happened import happened
from tests.plan.small_cabin import VISOR, small_job, small_plan
from tests.web.conftest import LAPTOP
from tests.web.decided import keep_plan, newest
from trimwright.job.edits import EDIT, AddEntry, SetField
from trimwright.job.events import Bag, Check, FixingKnown, Opened, Tightened
from trimwright.web.jobs import store

pytestmark = pytest.mark.django_db

SEAT, BOLTS = "fseat_off.driver", "bolts or nuts to the floor"
SILL, VISOR_STEP, COVER = "sill_plate.driver", "sun_visor.driver", "fseat_cushion_cover.driver"
BACK_SEAT, BACK_SILL, BACK_VISOR = f"back:{SEAT}", f"back:{SILL}", f"back:{VISOR_STEP}"
JSON = {"accept": "application/json"}
LONG_AGO = timedelta(days=30)


def begun(*events: dict[str, Any], ago: timedelta = LONG_AGO) -> str:
    """The small cabin, kept and planned, as these events left it so long ago."""
    at = (timezone.localtime() - ago).replace(microsecond=0).isoformat()
    job = happened(small_job(), *({"at": at} | each for each in events))
    key = store.start_job(job, LAPTOP).key
    keep_plan(key)
    return key


def then(key: str, event: dict[str, Any], ago: timedelta) -> None:
    """One more event, noted by another hand so long ago."""
    at = (timezone.localtime() - ago).replace(microsecond=0).isoformat()
    value = {"id": f"t{len(newest(key).events)}", "at": at} | event
    store.edit_job(key, AddEntry(path=("events",), value=value), LAPTOP, seen=store.record(key).revision)


def opened(step: str, *, back_on: bool = False) -> dict[str, Any]:
    return {"kind": "opened", "step": step, "back_on": back_on}


def done(part: str) -> dict[str, Any]:
    course = next(each.course for each in small_plan().verdicts.verdicts if each.part == part)
    assert course is not None
    return {"kind": "done", "part": part, "course": course.id}


def send(client: Client, key: str, view: str, *also: str, headers: Any = None, **told: Any) -> Any:
    told = {
        "revision": str(store.record(key).revision),
        "edit_id": store.Saved.__name__ + str(len(newest(key).events)),
    } | told
    return client.post(reverse(view, args=[key, *also]), told, headers=headers)


def refused(client: Client, key: str, move: str, **told: Any) -> str:
    """Noting the move as made is refused, by script as by hand, and nothing is stored; what stands in the way."""
    before = newest(key).events
    by_script = send(client, key, "rebuild_step", move, headers=JSON, **told)
    assert by_script.status_code == 422
    by_hand = send(client, key, "rebuild_step", move, **told)
    assert by_hand.status_code == 422
    assert newest(key).events == before
    return " ".join(f"{each['where']} {each['what']} {each['way_out']}" for each in by_script.json()["problems"])


def test_the_way_back_is_the_plans_and_costs_little(client: Client, django_assert_max_num_queries: Any) -> None:
    key = begun(
        opened("battery_off"),
        opened(VISOR_STEP),
        done(VISOR),
        opened(SILL),
        {"kind": "bag", "step": SILL, "state": "filled"},
    )
    with django_assert_max_num_queries(15):
        page = client.get(reverse("rebuild", args=[key]))
    way = page.context["way"]
    assert [each.id for each in way.open] == ["looms", "clips", BACK_VISOR]
    assert [each.id for each in way.held] == [BACK_SILL, "battery_on"]
    assert page.context["counted"] == "0 of 5 made"
    text = page.content.decode()
    assert "Sill plates, driver side" in text
    with django_assert_max_num_queries(15):
        client.get(reverse("rebuild_step", args=[key, BACK_SILL]))
    assert client.get(reverse("rebuild_step", args=[key, "back:nothing"])).status_code == 404


def test_without_a_plan_it_says_so(client: Client, key: str) -> None:
    assert "the way back follows by itself" in client.get(reverse("rebuild", args=[key])).content.decode()
    assert send(client, key, "rebuild_step", BACK_SILL).status_code == 422


def test_a_wait_that_is_not_over_is_passed_by_no_post_and_says_until_when(client: Client) -> None:
    """The visor's glue has 12 h, its likely wait."""
    key = begun(opened(VISOR_STEP))
    assert "is not noted as done." in refused(client, key, BACK_VISOR)
    then(key, done(VISOR), timedelta(hours=11))
    told = refused(client, key, BACK_VISOR)
    until = timezone.localtime() + timedelta(hours=1)
    assert "has not had its wait (cure)" in told
    assert f"Until {until:%Y-%m-%d} " in told
    page = client.get(reverse("rebuild_step", args=[key, BACK_VISOR]))
    [ms] = re.findall(r'data-until="(\d+)"', page.content.decode())
    assert abs(int(ms) / 1000 - until.timestamp()) < 120
    then(key, done(VISOR), timedelta(hours=13))
    assert send(client, key, "rebuild_step", BACK_VISOR, bag="back").status_code == 302
    last = newest(key).events[-1]
    assert isinstance(last, Opened)
    assert (last.step, last.back_on) == (VISOR_STEP, True)


def test_checks_come_before_what_they_are_covered_by(client: Client) -> None:
    key = begun(opened("battery_off"), opened(SILL))
    told = refused(client, key, BACK_SILL)
    assert "Looms tested is not noted." in told
    assert "New clips and fixings in hand is not noted." in told
    send(client, key, "rebuild_step", "looms")
    answer = send(client, key, "rebuild_step", "clips", headers=JSON)
    assert answer.json()["next"] == reverse("rebuild_step", args=[key, BACK_SILL])
    assert [each.what for each in newest(key).events if isinstance(each, Check)] == ["looms tested", "clips in hand"]
    assert send(client, key, "rebuild_step", BACK_SILL, bag="back").status_code == 302
    assert not any(isinstance(each, Bag) for each in newest(key).events)


def test_looms_are_not_tested_with_the_battery_on(client: Client) -> None:
    key = begun(opened(SILL))
    assert "The battery's negative is not noted as off." in refused(client, key, "looms")


def ready_sill(*more: dict[str, Any], missing: int = 1) -> str:
    """A sill plate that may go back, its bag filled."""
    bag = {"kind": "bag", "step": SILL, "state": "filled", "missing": missing}
    checks = ({"kind": "check", "what": what} for what in ("looms tested", "clips in hand"))
    return begun(opened("battery_off"), opened(SILL), bag, *checks, *more)


def test_nothing_is_left_over_without_a_reason(client: Client) -> None:
    key = ready_sill()
    assert "The bag This field is required." in refused(client, key, BACK_SILL)
    assert "Nothing is left over without a reason" in refused(client, key, BACK_SILL, bag="written off", why=" ")
    send(client, key, "rebuild_step", BACK_SILL, bag="written off", why="a screw of the tailgate's", minutes="7")
    back, bag = newest(key).events[-2:]
    assert isinstance(back, Opened)
    assert isinstance(bag, Bag)
    assert (back.step, back.back_on, back.minutes) == (SILL, True, 7)
    assert (bag.state, bag.note, bag.missing) == ("written off", "a screw of the tailgate's", 1)


def test_what_was_typed_stays_when_it_is_refused(client: Client) -> None:
    key = ready_sill()
    told = {"bag": "written off", "why": "", "minutes": "12", "note": "sits tight"}
    page = send(client, key, "rebuild_step", BACK_SILL, **told)
    text = page.content.decode()
    assert page.status_code == 422
    assert re.search(r'name="bag" value="written off" required checked', text)
    assert re.search(r'name="minutes"[^>]*value="12"', text)
    assert ">sits tight</textarea>" in text


def test_a_bag_that_stayed_open_is_closed_later(client: Client) -> None:
    key = ready_sill()
    assert send(client, key, "rebuild_bag", BACK_SILL, bag="back").status_code == 422
    key = ready_sill(opened(SILL, back_on=True))
    assert "Nothing is left over" in str(
        send(client, key, "rebuild_bag", BACK_SILL, headers=JSON, bag="written off").json()
    )
    send(client, key, "rebuild_bag", BACK_SILL, bag="back")
    last = newest(key).events[-1]
    assert isinstance(last, Bag)
    assert last.state == "back"


def test_a_seat_is_blank_until_the_cars_own_figure_and_back_when_it_is_ticked(client: Client) -> None:
    key = begun(opened("battery_off"), opened(SEAT))
    assert "has no torque from the car's own book." in refused(client, key, BACK_SEAT)
    page = client.get(reverse("rebuild_step", args=[key, BACK_SEAT])).content.decode()
    assert "Blank: the car’s own book says it, and nothing else." in page
    early = send(client, key, "rebuild_fixing", BACK_SEAT, fixing=BOLTS, then="tick", set_to="45 N·m")
    assert early.status_code == 422
    without = send(client, key, "rebuild_fixing", BACK_SEAT, fixing=BOLTS, then="figure", torque="46", page="seats, 2")
    assert without.status_code == 422
    assert 'value="46"' in without.content.decode()
    assert "Is no torque with its unit." in without.content.decode()
    pageless = send(client, key, "rebuild_fixing", BACK_SEAT, fixing=BOLTS, then="figure", torque="34 lbf·ft", page="")
    assert "Say where it stands" in pageless.content.decode()
    by_size = send(client, key, "rebuild_fixing", BACK_SEAT, fixing=BOLTS, then="figure", thread="M10", grade="8.8")
    assert by_size.status_code == 422
    assert not any(isinstance(each, FixingKnown) for each in newest(key).events)
    send(client, key, "rebuild_fixing", BACK_SEAT, fixing=BOLTS, then="figure", torque="34 lbf·ft", page="seats, 2")
    assert "46.1 N·m (34 lbf·ft)" in client.get(reverse("rebuild_step", args=[key, BACK_SEAT])).content.decode()
    assert "is not noted as tightened." in refused(client, key, BACK_SEAT)
    send(client, key, "rebuild_fixing", BACK_SEAT, fixing=BOLTS, then="tick", set_to="62.4 N·m")
    assert "the book says 46.1 N·m (34 lbf·ft)." in refused(client, key, BACK_SEAT)
    send(client, key, "rebuild_fixing", BACK_SEAT, fixing=BOLTS, then="tick", set_to="46.1 N·m")
    last = newest(key).events[-1]
    assert isinstance(last, Tightened)
    assert last.newton_metres == 46.1
    trained = send(client, key, "rebuild_step", BACK_SEAT, bag="back")
    assert trained.status_code == 422
    assert "Who, trained for it" in trained.content.decode()
    send(client, key, "rebuild_step", BACK_SEAT, bag="back", trained="R. Osei")
    back = newest(key).events[-1]
    assert isinstance(back, Opened)
    assert back.note == "by R. Osei, trained for it"


def test_a_fixing_of_another_part_is_refused(client: Client) -> None:
    key = begun(opened(SEAT))
    told = send(client, key, "rebuild_fixing", BACK_SEAT, fixing="nut of the moon", then="tick", set_to="4 Nm")
    assert told.status_code == 422


def test_the_battery_goes_on_last_with_nobody_in_the_car(client: Client) -> None:
    key = ready_sill()
    assert "sill plates, driver side goes back first." in refused(client, key, "battery_on").lower()
    send(client, key, "rebuild_step", BACK_SILL, bag="back")
    assert "Nobody is in the car" in refused(client, key, "battery_on")
    send(client, key, "rebuild_step", "battery_on", nobody="on")
    last = newest(key).events[-1]
    assert isinstance(last, Opened)
    assert (last.step, last.back_on) == ("battery_off", True)


def test_the_same_move_twice_is_stored_once(client: Client) -> None:
    key = ready_sill()
    told = {"bag": "back", "edit_id": "a" * 32, "revision": str(store.record(key).revision)}
    for _time in range(2):
        answer = client.post(reverse("rebuild_step", args=[key, BACK_SILL]), told, headers=JSON)
        assert answer.status_code == 200, answer.content
    assert sum(isinstance(each, Opened) and each.back_on for each in newest(key).events) == 1


def test_photos_taken_as_it_came_off_stand_on_its_screen(client: Client) -> None:
    key = ready_sill()
    store.add_photo(key, "p" * 32, part=f"off:{SILL}", size=(40, 30), length=9, by=LAPTOP)
    page = client.get(reverse("rebuild_step", args=[key, BACK_SILL])).content.decode()
    assert "As it came off" in page
    assert reverse("small_photo", args=[key, "p" * 32]) in page


# ---- bags by their code ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("code", ["small/sill_plate.driver", "sill_plate.driver", "Sill plates, dri", "sill"])
def test_a_code_or_a_name_opens_the_bags_step(client: Client, code: str) -> None:
    key = ready_sill()
    answer = send(client, key, "rebuild_bags", code=code)
    expected = {reverse("rebuild_step", args=[key, BACK_SILL])}
    if code == "sill":  # both sides are in the plan
        assert answer.status_code == 422
        assert "choose one" in answer.content.decode()
    else:
        assert {answer["Location"]} == expected


def test_a_code_of_another_job_or_of_nothing_opens_none_and_stays_typed(client: Client) -> None:
    key = ready_sill()
    for code in ("quarry/sill_plate.driver", "xx", ""):
        answer = send(client, key, "rebuild_bags", code=code)
        assert answer.status_code == 422
        assert f'value="{code}"' in answer.content.decode()


def test_a_photographed_code_is_read_here(client: Client) -> None:
    key = ready_sill()
    drawn = io.BytesIO()
    segno.make(f"small/{SILL}", error="m", micro=False).save(drawn, kind="png", scale=10, border=4)
    photo = SimpleUploadedFile("label.png", drawn.getvalue(), "image/png")
    answer = send(client, key, "rebuild_bags", photo=photo)
    assert answer["Location"] == reverse("rebuild_step", args=[key, BACK_SILL])


# ---- other doors -----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("event", "why"),
    [
        ({"kind": "opened", "step": SILL, "back_on": True}, "is not noted."),
        ({"kind": "opened", "step": SEAT, "back_on": True}, "is not noted as off."),
        ({"kind": "handed_over"}, "is not signed."),
    ],
)
def test_no_plain_edit_passes_a_hold(client: Client, event: dict[str, Any], why: str) -> None:
    key = begun(opened("battery_off"), opened(SILL))
    value = {"id": "sly", "at": timezone.localtime().isoformat()} | event
    edit = EDIT.dump_json(AddEntry(path=("events",), value=value)).decode()
    told = {"edit": edit, "revision": "1", "edit_id": uuid4().hex}
    answer = client.post(reverse("edits", args=[key]), told, headers=JSON)
    assert answer.status_code == 422
    assert why in " ".join(each["what"] for each in answer.json()["problems"])
    assert len(newest(key).events) == 2


def test_a_note_turned_round_passes_no_hold_either(client: Client) -> None:
    key = begun(opened("battery_off"), opened(SILL))
    before = newest(key)
    edit = EDIT.dump_json(SetField(path=("events", before.events[1].id, "back_on"), value=True)).decode()
    told = {"edit": edit, "revision": "1", "edit_id": uuid4().hex}
    assert client.post(reverse("edits", args=[key]), told, headers=JSON).status_code == 422
    assert newest(key) == before


def test_what_was_taken_back_can_be_done_again(client: Client) -> None:
    key = ready_sill()
    send(client, key, "rebuild_step", BACK_SILL, bag="back")
    done_so = newest(key)
    client.post(reverse("undo", args=[key]))
    assert newest(key) != done_so
    client.post(reverse("redo", args=[key]))
    assert newest(key) == done_so
