"""The walk-round as it is without scripts, and what it answers its script."""

from __future__ import annotations

import json
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from pytest_django import DjangoAssertNumQueries

from tests.plan.small_cabin import BELT, CUSHION, KNOB
from trimwright.facts import load
from trimwright.job.document import Job
from trimwright.job.starting import started
from trimwright.web.jobs import store
from trimwright.web.jobs.devices import Device

pytestmark = pytest.mark.django_db

JSON = {"accept": "application/json"}
TRADE = load()


def now(key: str) -> Job:
    return store.job_at(key, store.record(key).revision)


def faults(key: str, part: str) -> dict[str, str]:
    return {each.fault: each.extent for each in now(key).part(part).faults}


def say(client: Client, key: str, part: str, *, seen: int = 1, edit_id: str = "one", **controls: Any) -> Any:
    sent = {"revision": seen, "edit_id": edit_id, **{name.replace("__", "-"): each for name, each in controls.items()}}
    return client.post(reverse("survey_part", args=[key, part]), sent, headers=JSON)


@pytest.fixture
def fresh(db: None) -> str:  # noqa: ARG001
    """A four-door that nobody has looked at yet."""
    job = started(
        TRADE,
        car={"text": "plain four-door", "year": 1994, "body": "four-door"},
        money={"currency": "EUR", "sum": 240_000},
    )
    return store.start_job(job, Device("laptop-id", "laptop")).key


# Pages.


def test_the_list_tells_what_is_left_and_leads_to_it(client: Client, fresh: str) -> None:
    page = client.get(reverse("walk_round", args=[fresh]))
    text = page.content.decode()
    first = now(fresh).parts[0]
    assert f"0 of {len(now(fresh).parts)} seen" in text
    assert f'href="{reverse("survey_part", args=[fresh, first.id])}"' in text
    assert text.count('data-row="') == len(now(fresh).parts) == text.count('<a class="region hatched')
    assert "7 items are unknown and count as fitted." in text
    assert text.count("make safe first") == 5


def test_pages_ask_few_questions(
    client: Client, fresh: str, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    for name, more in (
        ("walk_round", []),
        ("survey_part", ["carpet_main"]),
        ("equipment", []),
        ("look", ["seat_base"]),
    ):
        with django_assert_max_num_queries(15):
            assert client.get(reverse(name, args=[fresh, *more])).status_code == 200


def test_nothing_stands_inline_that_the_policy_forbids(client: Client, fresh: str) -> None:
    text = client.get(reverse("survey_part", args=[fresh, "carpet_main"])).content.decode()
    assert " style=" not in text
    assert "onclick" not in text
    assert all('type="application/json"' in each or 'src="' in each for each in text.split("<script")[1:])


def test_only_faults_that_go_with_the_material_are_offered(client: Client, key: str) -> None:
    text = client.get(reverse("survey_part", args=[key, "carpet"])).content.decode()
    part = text[text.index("data-faults") : text.index('class="sheet photos"')]
    for fault in TRADE.faults.values():
        assert (f'data-fault="{fault.id}"' in part) == ("carpet" in fault.materials)


def test_a_part_that_is_not_there_is_told(client: Client, key: str) -> None:
    assert client.get(reverse("survey_part", args=[key, "wing"])).status_code == 404
    assert say(client, key, "wing", finish="3").status_code == 404


def test_a_restraint_part_says_what_to_mind(client: Client, key: str) -> None:
    text = client.get(reverse("survey_part", args=[key, BELT])).content.decode()
    assert "open nothing, unplug nothing" in text
    assert "Never bleach, dye, solvent" in text


# What is said of a part.


def test_one_control_is_one_edit_with_its_line(client: Client, key: str) -> None:
    answer = say(client, key, CUSHION, finish="2").json()
    assert answer["revision"] == 2
    assert answer["line"] == "Front cushion cover, driver's: finish 3 → 2"
    assert answer["part"]["finish"] == 2


def test_sent_twice_it_is_there_once(client: Client, key: str) -> None:
    say(client, key, CUSHION, finish="2")
    say(Client(), key, CUSHION, edit_id="theirs", seen=2, finish="1")
    answer = say(client, key, CUSHION, finish="2").json()
    assert (answer["revision"], answer["own"], answer["stored"]) == (3, 2, False)
    assert answer["part"]["finish"] == 1


def test_sound_is_one_word_and_overrules_nothing_said_before(client: Client, fresh: str) -> None:
    say(client, fresh, "carpet_main", then="sound")
    assert now(fresh).part("carpet_main").finish_now == TRADE.practice["sound_finish"].value
    say(client, fresh, "dash_top", seen=2, edit_id="two", fault__D_crack="light")
    say(client, fresh, "dash_top", seen=3, edit_id="three", then="sound")
    assert now(fresh).part("dash_top").finish_now is None


@pytest.mark.parametrize("finish", ["", "0", "10"])
def test_a_finish_can_be_nothing_ruined_or_new(client: Client, key: str, finish: str) -> None:
    say(client, key, CUSHION, finish=finish)
    assert now(key).part(CUSHION).finish_now == (int(finish) if finish else None)


def test_faults_come_grow_and_go(client: Client, key: str) -> None:
    say(client, key, CUSHION, edit_id="a", fault__L_torn="light")
    say(client, key, CUSHION, seen=2, edit_id="b", fault__L_torn="heavy")
    assert {each.fault: each.extent for each in now(key).part(CUSHION).faults} == {
        "L_worn": "medium",
        "L_torn": "heavy",
    }
    say(client, key, CUSHION, seen=3, edit_id="c", fault__L_worn="", fault__L_torn="medium", fault__L_dry="light")
    assert faults(key, CUSHION) == {"L_torn": "medium", "L_dry": "light"}


def test_size_is_read_in_either_system_and_what_was_shown_is_no_change(client: Client, key: str) -> None:
    say(client, key, CUSHION, edit_id="a", area="9.7 sq ft")
    assert now(key).part(CUSHION).area_mm2 == 901_159  # 9.7 × 92903.04 mm², NIST SP 811
    shown = say(client, key, CUSHION, seen=2, edit_id="b", area="0.90 m²").json()
    assert (shown["stored"], shown["part"]["area"]) == (False, "0.90 m²")
    say(client, key, CUSHION, seen=2, edit_id="c", area="", edge="3 ft")
    assert (now(key).part(CUSHION).area_mm2, now(key).part(CUSHION).length_mm) == (None, 914)


def test_three_measures_and_a_shape_are_an_area(client: Client, key: str) -> None:
    tape: dict[str, Any] = {"shape": "trapezium", "measure__a": "52", "measure__b": "48", "measure__c": "60"}
    asked = {name.replace("__", "-"): each for name, each in tape.items()}
    told = client.get(reverse("part_size", args=[key, KNOB]), asked).json()
    assert told == {"working": "(0.52 m + 0.48 m) ÷ 2 × 0.60 m = 0.30 m²", "problems": []}
    say(client, key, KNOB, then="measure", **tape)
    assert now(key).part(KNOB).area_mm2 == 300_000
    assert client.get(reverse("part_size", args=[key, KNOB]), {"shape": "oval"}).json()["problems"]


def test_another_kind_brings_a_side_and_a_material_that_go_with_it(client: Client, fresh: str) -> None:
    say(client, fresh, "carpet_main", kind="door_card_f")
    part = now(fresh).part("carpet_main")
    assert (part.kind, part.place, part.material) == ("door_card_f", "driver", TRADE.parts["door_card_f"].materials[0])


def test_note_name_material_and_clips(client: Client, key: str) -> None:
    say(client, key, KNOB, notes="cracked\r\nbelow", name="Lever knob", material="wood", missing="3")
    part = now(key).part(KNOB)
    assert (part.notes, part.name, part.material, part.missing) == (
        "cracked\nbelow",
        "Lever knob",
        "wood",
        3,
    )


@pytest.mark.parametrize(
    "wrong",
    [{"finish": "11"}, {"finish": "-1"}, {"finish": "good"}, {"missing": "many"}, {"area": "large"}, {"edge": "0"},
     {"material": "fog"}, {"kind": "battery_off"}, {"kind": "wing"}, {"fault__L_torn": "awful"}, {"fault__Q": "light"},
     {"name": ""}, {"then": "measure", "shape": "rectangle"}],
)  # fmt: skip
def test_what_is_wrong_is_told_and_changes_nothing(client: Client, key: str, wrong: dict[str, Any]) -> None:
    answer = say(client, key, CUSHION, **wrong)
    assert answer.status_code == 422
    assert answer.json()["problems"][0]["what"]
    assert store.record(key).revision == 1


def test_all_that_is_wrong_is_told_at_once(client: Client, key: str) -> None:
    assert len(say(client, key, CUSHION, finish="11", area="large", missing="x").json()["problems"]) == 3


def test_a_form_without_its_revision_is_refused(client: Client, key: str) -> None:
    assert client.post(reverse("survey_part", args=[key, CUSHION]), {"finish": "3"}, headers=JSON).status_code == 422


def test_without_scripts_the_whole_form_is_one_edit_and_leads_on(client: Client, fresh: str) -> None:
    first, second = now(fresh).parts[:2]
    sent = {"revision": 1, "edit_id": "x", "finish": "4", "missing": "2", "area": "", "edge": "", "notes": "dull",
            "name": first.name, "kind": first.kind, "material": first.material, "shape": "rectangle", "measure-a": "",
            "then": "next"}  # fmt: skip
    answer = client.post(reverse("survey_part", args=[fresh, first.id]), sent)
    assert answer["Location"] == reverse("survey_part", args=[fresh, second.id])
    part = now(fresh).part(first.id)
    assert (part.finish_now, part.missing, part.notes, store.record(fresh).revision) == (4, 2, "dull", 2)


def test_two_devices_are_asked_only_about_the_same_field(client: Client, key: str) -> None:
    other = Client()
    say(other, key, CUSHION, edit_id="theirs", finish="1")
    assert say(client, key, CUSHION, edit_id="mine", fault__L_torn="light").status_code == 200
    answer = say(client, key, CUSHION, edit_id="mine too", finish="5")
    assert answer.status_code == 409
    (field,) = answer.json()["fields"]
    assert (field["seen"], field["theirs"], field["mine"]) == ("3", "1", "5")
    assert say(client, key, CUSHION, seen=answer.json()["revision"], edit_id="mine too", finish="5").status_code == 200
    assert now(key).part(CUSHION).finish_now == 5


# Parts come and go.


def test_a_part_is_removed_and_undo_brings_it_back(client: Client, key: str) -> None:
    before = now(key)
    client.post(reverse("remove_part", args=[key, KNOB]), {"revision": 1, "edit_id": "x"})
    assert KNOB not in {part.id for part in now(key).parts}
    client.post(reverse("undo", args=[key]))
    assert now(key) == before


def test_a_part_is_added_behind_those_of_its_zone(client: Client, fresh: str) -> None:
    answer = client.post(reverse("add_part", args=[fresh]), {"kind": "knee_panel", "edit_id": "x", "revision": 1})
    assert answer["Location"] == reverse("survey_part", args=[fresh, "knee_panel.driver"])
    client.post(reverse("add_part", args=[fresh]), {"kind": "knee_panel", "edit_id": "y", "revision": 2})
    ids = [part.id for part in now(fresh).parts]
    assert ids.index("knee_panel.passenger") == ids.index("knee_panel.driver") + 1
    assert TRADE.parts[now(fresh).parts[ids.index("knee_panel.driver") - 1].kind].zone == "dash"


def test_a_part_of_ones_own_is_added(client: Client, fresh: str) -> None:
    told = {"kind": "own", "name": "Cigar tray", "zone": "console", "material": "metal", "edit_id": "x", "revision": 1}
    client.post(reverse("add_part", args=[fresh]), told)
    part = now(fresh).part("cigar-tray")
    assert part.own is not None
    assert (part.own.zone, part.material, part.own.is_restraint) == ("console", "metal", False)


@pytest.mark.parametrize(
    ("told", "wrong"),
    [({}, ["kind"]), ({"kind": "own"}, ["name", "zone", "material"]), ({"kind": "wing"}, ["kind"]),
     ({"kind": "carpet_main", "place": "driver"}, ["place"])],
)  # fmt: skip
def test_what_is_missing_of_a_new_part_is_told(
    client: Client, fresh: str, told: dict[str, str], wrong: list[str]
) -> None:
    answer = client.post(reverse("add_part", args=[fresh]), {"edit_id": "x", "revision": 1, **told})
    assert answer.status_code == 422
    assert sorted(answer.context["form"].errors) == sorted(wrong)


# Equipment and looks.


def test_equipment_is_told_item_by_item(client: Client, fresh: str) -> None:
    client.post(
        reverse("equipment", args=[fresh]),
        {"revision": 1, "edit_id": "x", "driver_airbag": "no", "seat_sensor": "yes", "knee_airbag": "perhaps"},
    )
    fitted = now(fresh).car.equipment
    assert (fitted.driver_airbag, fitted.seat_sensor, fitted.knee_airbag) == ("no", "yes", "unknown")
    assert "horn_pad" in {part.kind for part in now(fresh).parts}
    client.post(reverse("undo", args=[fresh]))
    assert now(fresh).car.equipment.driver_airbag == "unknown"


def test_a_look_says_make_safe_first_where_something_may_lie(client: Client, fresh: str) -> None:
    page = reverse("look", args=[fresh, "seat_base"])
    text = client.get(page).content.decode()
    assert "Make safe first" in text
    assert "Battery negative off first" in text
    assert "seat sensor" in text
    assert "Nothing is unplugged." in text
    absent = dict.fromkeys(("side_airbag", "seat_sensor", "pretensioner"), "no")
    client.post(reverse("equipment", args=[fresh]), {"revision": 1, "edit_id": "x", **absent})
    text = client.get(page).content.decode()
    assert "Make safe first" not in text
    assert "Nothing is unplugged." in text


def test_what_a_look_told_is_kept_with_the_job(client: Client, fresh: str) -> None:
    told = {"revision": 1, "edit_id": "abc", "spot": "carpet_main", "cause-damp": "seen", "cause-sun": "unknown",
            "find-wet_underlay": "yes", "find-floor_rust": "no", "find-floor_holes": "", "note": "sill"}  # fmt: skip
    client.post(reverse("look", args=[fresh, "carpet_edge"]), told)
    job = now(fresh)
    assert job.causes == {"damp": "seen"}
    assert [each.kind for each in job.events] == ["look", "look", "note"]
    assert "taken" in client.get(reverse("walk_round", args=[fresh])).content.decode()


def test_a_look_without_its_place_or_name_is_refused(client: Client, fresh: str) -> None:
    page = reverse("look", args=[fresh, "seat_base"])
    assert client.post(page, {"revision": 1, "edit_id": "x", "spot": "roof"}).status_code == 422
    assert client.get(reverse("look", args=[fresh, "moon"])).status_code == 404


# What the script is given.


def test_the_catalogue_may_be_kept_for_good_under_its_name(client: Client, key: str) -> None:
    text = client.get(reverse("walk_round", args=[key])).content.decode()
    cabin = json.loads(text.split('<script id="cabin" type="application/json">')[1].split("</script>")[0])
    answer = client.get(cabin["urls"]["catalogue"])
    assert "immutable" in answer["Cache-Control"]
    assert set(answer.json()["faults"]) == set(TRADE.faults)
    assert {part["id"] for part in cabin["parts"]} == {part.id for part in now(key).parts}


def test_the_keeper_may_keep_this_walk_round_alone(client: Client, key: str) -> None:
    answer = client.get(reverse("keeper", args=[key]))
    assert answer["Content-Type"].startswith("text/javascript")
    assert "Service-Worker-Allowed" not in answer
    assert reverse("keeper", args=[key]).rpartition("/")[0] + "/" == reverse("walk_round", args=[key])
