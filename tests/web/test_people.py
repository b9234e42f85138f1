"""People of a small shop: the owner's account and the hands', what each may change, and how what they do is signed."""

from __future__ import annotations

from typing import Any

import pytest
from django.contrib.auth.hashers import make_password
from django.contrib.auth.models import User
from django.core.management import call_command
from django.db import connection
from django.db.migrations.executor import MigrationExecutor
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from pytest_django import DjangoAssertNumQueries, Settings

from tests.plan.small_cabin import CUSHION, VISOR
from tests.web.conftest import LAPTOP
from tests.web.decided import keep_plan, newest
from trimwright.errors import BadInput
from trimwright.job.edits import EDIT, AddEntry, AddPart, Edit, RemoveEntry, RemovePart, SetField
from trimwright.web.jobs import store
from trimwright.web.jobs.devices import Device
from trimwright.web.serving import begin_owner

pytestmark = pytest.mark.django_db

OWNER, HAND = "Robin", "Kim"
PASSPHRASES = {OWNER: "needle and thread", HAND: "awl and wax thread"}
KIM = Device("kim-id", "phone", HAND, may_change_money=False)
NOW = "2026-11-05T10:00:00+00:00"
JSON = {"accept": "application/json"}


@pytest.fixture
def shop(settings: Settings) -> None:
    """The door is shut; an owner and a hand have accounts."""
    settings.GUARDED = True
    begin_owner(OWNER, PASSPHRASES[OWNER])
    owner = entered(OWNER)
    told = {"username": HAND, "password1": PASSPHRASES[HAND], "password2": PASSPHRASES[HAND]}
    assert owner.post(reverse("people"), told).status_code == 302


def entered(name: str, passphrase: str = "") -> Client:
    client = Client()
    client.post(reverse("door"), {"username": name, "password": passphrase or PASSPHRASES[name]})
    return client


def is_in(client: Client) -> bool:
    return client.get(reverse("jobs")).status_code == 200


def event(kind: str, **told: Any) -> AddEntry:
    return AddEntry(path=("events",), value={"kind": kind, "id": f"{kind}-x".replace("_", "-"), "at": NOW, **told})


NOTES: list[Edit] = [
    event("note", note="clips ordered by phone"),
    event("opened", step="sill_plate.driver", minutes=4),
    event("bag", step="sill_plate.driver", state="filled", counted=4),
    event("worked", task="cushion/x/1", state="finished", minutes=30),
    event("air", temperature=19, humidity=55),
    event("find", part=CUSHION, what="foam is dust", money={"low": 1000, "likely": 2000, "high": 3000}),
    event("spent", what="a seized bolt", minutes=25),
    event("tightened", step="fseat_off.driver", fixing="seat rail bolt", newton_metres=46),
    SetField(path=("parts", CUSHION, "finish_now"), value=2),
    SetField(path=("parts", VISOR, "photos"), value=["a"]),
    SetField(path=("causes",), value={"damp": "seen"}),
    SetField(path=("time", "pins", "cushion/x/1"), value={"not_before": NOW, "not_after": None}),
    RemovePart(part="carpet"),
]
MONEY: list[Edit] = [
    SetField(path=("money", "sum"), value=1),
    SetField(path=("money", "sure"), value=0.5),
    SetField(path=("time", "hours"), value=10),
    SetField(path=("wishes", "floor"), value=3),
    SetField(path=("name",), value="another"),
    SetField(path=("tools",), value=["steamer"]),
    SetField(path=("parts", CUSHION, "pin"), value="leave"),
    SetField(path=("parts", CUSHION, "bans"), value=["dye"]),
    AddEntry(path=("parts", CUSHION, "offers"), value={"source": "used", "low": 1, "likely": 1, "high": 1}),
    event("ordered", thing="sundries", expected=0),
    event("bought", thing="sundries", paid=0),
    event("spent", what="a seized bolt", money=1),
    event("payment", what="deposit", money=5),
    event("account", what="core", name="old motor"),
    event("promised", verdicts={CUSHION: "leave"}, sum=100, yes={"at": NOW, "name": "Ada", "how": "call"}),
    event("find", part=CUSHION, what="foam is dust", answer="leave and record"),
    event("handed_over"),
    event("owners_book", warranty="two years"),
]


def changed(key: str, edit: Edit, by: Device, edit_id: str = "one") -> store.Saved:
    return store.edit_job(key, edit, by, seen=store.record(key).revision, edit_id=edit_id)


# What a hand may change.


@pytest.mark.parametrize("edit", NOTES, ids=lambda edit: EDIT.dump_json(edit).decode()[:60])
def test_a_hand_notes_what_is_seen_and_done(key: str, edit: Edit) -> None:
    assert changed(key, edit, KIM).stored


@pytest.mark.parametrize("edit", MONEY, ids=lambda edit: EDIT.dump_json(edit).decode()[:60])
def test_money_is_not_for_a_hand_to_change_and_is_for_the_owner(key: str, edit: Edit) -> None:
    before = newest(key)
    with pytest.raises(store.NotYours) as refused:
        changed(key, edit, KIM)
    assert "for the owner to change" in refused.value.problems[0].what
    assert newest(key) == before
    if "handed_over" not in str(edit):  # the keys are held by more than this
        assert changed(key, edit, Device("robin-id", "laptop", OWNER)).stored


def test_a_part_with_a_price_on_it_neither_comes_nor_goes_by_a_hand(key: str) -> None:
    offer: dict[str, Any] = {"source": "used", "low": 100, "likely": 100, "high": 100}
    changed(key, AddEntry(path=("parts", CUSHION, "offers"), value=offer), LAPTOP)
    part = newest(key).part(CUSHION).model_copy(update={"id": "another"})
    for edit in (RemovePart(part=CUSHION), AddPart(part=part)):
        with pytest.raises(store.NotYours):
            changed(key, edit, KIM, "two")


def test_a_delivery_is_noted_at_the_price_it_was_ordered_for_and_no_other(key: str) -> None:
    order = {"thing": "part", "part": CUSHION, "source": "used", "expected": 4000}
    changed(key, event("ordered", **order), LAPTOP)
    came = {"thing": "part", "part": CUSHION, "source": "used", "order": "ordered-x"}
    wrong = ({"paid": 3999}, {"paid": 0}, {"paid": 4000, "part": VISOR}, {"paid": 4000, "returned": 0},
             {"paid": 4000, "order": None}, {"paid": 8000, "count": 2})  # fmt: skip
    for told in wrong:
        with pytest.raises(store.NotYours):
            changed(key, event("bought", **{**came, **told}), KIM, "two")
    assert changed(key, event("bought", **came, paid=4000), KIM, "three").stored


def test_a_find_once_answered_is_the_owners(key: str) -> None:
    changed(key, event("find", part=CUSHION, what="foam is dust"), KIM)
    changed(key, SetField(path=("events", "find-x", "note"), value="the whole of it"), KIM, "two")
    changed(key, SetField(path=("events", "find-x", "answer"), value="from the reserve"), LAPTOP, "three")
    found = newest(key).find("find-x").model_dump(mode="json")
    for edit in (
        SetField(path=("events", "find-x", "answer"), value="undecided"),
        SetField(path=("events", "find-x", "note"), value="none of it"),
        RemoveEntry(path=("events",), value=found),
    ):
        with pytest.raises(store.NotYours):
            changed(key, edit, KIM, "four")


def test_neither_undo_nor_restore_nor_redo_goes_round_it(key: str) -> None:
    changed(key, SetField(path=("money", "sum"), value=123_400), LAPTOP)
    store.undo(key, LAPTOP)
    for way, number in ((store.revert, 3), (store.restore, 2)):
        with pytest.raises(store.NotYours):
            way(key, number, KIM)
    assert newest(key).money.sum == store.job_at(key, 1).money.sum


def test_a_hand_begins_no_job_takes_none_in_and_leaves_shop_and_book_alone(key: str) -> None:
    for way in (
        lambda: store.start_job(newest(key), KIM),
        lambda: store.take_in([], [], newest(key), "x", KIM),
        lambda: store.take_call(key, newest(key), KIM),
        lambda: store.drop_call(key, KIM),
        lambda: store.keep_shop(KIM, currency="USD"),
        lambda: store.change_book(lambda book: book, KIM, "nothing"),
        lambda: store.put_person_away(1, KIM),
        lambda: store.bring_person_back(1, KIM),
    ):
        with pytest.raises(store.NotYours):
            way()


# What a hand is shown.


@pytest.mark.usefixtures("shop")
def test_pages_of_money_are_closed_to_a_hand_and_no_link_leads_there(key: str) -> None:
    keep_plan(key)
    hand, owner = entered(HAND), entered(OWNER)
    names = ("people", "new_job", "import_job", "shop_book", "first_call", "shown", "own_treatments")
    closed = [reverse(name) for name in names] + [reverse(name, args=[key]) for name in ("quote", "bundle", "job_file")]
    for address in closed:
        assert hand.get(address).status_code == 403, address
        assert owner.get(address).status_code == 200, address
    for page in [reverse("jobs"), reverse("settings"), *(reverse(name, args=[key]) for name in ("job", "buying"))]:
        text = hand.get(page).content.decode()
        linked = [each for each in closed if f'"{each}"' in text]
        assert not linked, page


@pytest.mark.usefixtures("shop")
def test_a_refusal_says_whose_it_is(key: str) -> None:
    sent = {"edit": EDIT.dump_json(MONEY[0]).decode(), "revision": 1, "edit_id": "one"}
    answer = entered(HAND).post(reverse("edits", args=[key]), sent, headers=JSON)
    assert (answer.status_code, answer.json()["problems"][0]["way_out"]) == (
        422, "Ask the owner, or log in as the owner.",
    )  # fmt: skip


@pytest.mark.usefixtures("shop")
def test_who_logged_in_costs_a_page_three_queries(
    key: str, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    keep_plan(key)
    hand = entered(HAND)
    for name in ("job", "buying", "strip_down", "walk_round"):
        with django_assert_max_num_queries(18):
            assert hand.get(reverse(name, args=[key])).status_code == 200


# How it is signed.


@pytest.mark.usefixtures("shop")
def test_every_change_is_signed_by_who_logged_in(key: str) -> None:
    hand = entered(HAND)
    sent = {"edit": EDIT.dump_json(NOTES[8]).decode(), "revision": 1, "edit_id": "one"}
    assert hand.post(reverse("edits", args=[key]), sent, headers=JSON).status_code == 200
    last = store.history(key)[0]
    assert (last.author, last.by) == (HAND, "computer")
    for page in ("history", "job"):
        assert "by Kim on the computer" in hand.get(reverse(page, args=[key])).content.decode()
    hand.post(
        reverse("bench_air", args=[key]), {"temperature": "19", "humidity": "55", "edit_id": "0a1b", "revision": "2"}
    )
    assert [each.by for each in newest(key).events if each.kind == "air"] == [HAND]


@pytest.mark.usefixtures("shop")
def test_the_next_to_log_in_on_a_device_undoes_nothing_of_the_one_before(key: str) -> None:
    shared = entered(HAND)
    sent = {"edit": EDIT.dump_json(NOTES[8]).decode(), "revision": 1, "edit_id": "one"}
    shared.post(reverse("edits", args=[key]), sent, headers=JSON)
    shared.post(reverse("leave"))
    shared.post(reverse("door"), {"username": OWNER, "password": PASSPHRASES[OWNER]})
    shared.post(reverse("undo", args=[key]))
    assert newest(key).part(CUSHION).finish_now == 2


def test_on_this_machine_alone_nobody_logs_in_may_everything_and_the_device_signs(client: Client, key: str) -> None:
    begin_owner(OWNER, PASSPHRASES[OWNER])
    sent = {"edit": EDIT.dump_json(MONEY[0]).decode(), "revision": 1, "edit_id": "one"}
    assert client.post(reverse("edits", args=[key]), sent, headers=JSON).status_code == 200
    assert (store.history(key)[0].author, store.history(key)[0].signed) == ("", "by the computer")
    assert client.get(reverse("people")).status_code == 200


# Accounts.


@pytest.mark.usefixtures("shop")
def test_put_away_nobody_comes_in_and_brought_back_they_do() -> None:
    owner, hand = entered(OWNER), entered(HAND)
    kim = User.objects.get(username=HAND)
    owner.post(reverse("person_away", args=[kim.pk]))
    assert not is_in(hand)
    assert not is_in(entered(HAND))
    assert "put away" in owner.get(reverse("people")).content.decode()
    owner.post(reverse("person_back", args=[kim.pk]))
    assert is_in(entered(HAND))


@pytest.mark.usefixtures("shop")
def test_a_passphrase_reset_by_the_owner_ends_what_the_old_one_opened() -> None:
    owner, hand = entered(OWNER), entered(HAND)
    kim = User.objects.get(username=HAND)
    new = "bone folder and glue"
    told = {"new_password1": new, "new_password2": new}
    assert owner.post(reverse("person", args=[kim.pk]), {**told, "new_password2": "x"}).status_code == 422
    assert owner.post(reverse("person", args=[kim.pk]), told).status_code == 302
    assert not is_in(hand)
    assert not is_in(entered(HAND))
    assert is_in(entered(HAND, new))
    assert is_in(owner)


@pytest.mark.usefixtures("shop")
def test_there_is_always_an_owner() -> None:
    owner, robin = entered(OWNER), User.objects.get(username=OWNER)
    assert owner.post(reverse("person_away", args=[robin.pk])).status_code == 422
    with pytest.raises(BadInput):
        store.put_person_away(robin.pk, LAPTOP)
    second = {"username": "Jo", "password1": "seam ripper blunt", "password2": "seam ripper blunt", "is_owner": "on"}
    owner.post(reverse("people"), second)
    assert entered("Jo", second["password1"]).get(reverse("people")).status_code == 200
    store.put_person_away(robin.pk, LAPTOP)
    assert not is_in(owner)


@pytest.mark.usefixtures("shop")
@pytest.mark.parametrize(
    "told",
    [{"username": ""}, {"username": "two words"}, {"username": "kim"}, {"username": "k" * 41}, {"password1": "short"}],
    ids=["no name", "two words", "there already", "too long", "not alike"],
)
def test_an_account_that_cannot_be_says_why(told: dict[str, str]) -> None:
    right = {"username": "Jo", "password1": "seam ripper blunt", "password2": "seam ripper blunt"}
    answer = entered(OWNER).post(reverse("people"), {**right, **told})
    assert (answer.status_code, User.objects.count()) == (422, 2)
    assert "errorlist" in answer.content.decode()


def test_the_first_account_made_on_a_page_is_the_owners(client: Client, settings: Settings) -> None:
    assert "The first one is the owner" in client.get(reverse("people")).content.decode()
    told = {"username": OWNER, "password1": PASSPHRASES[OWNER], "password2": PASSPHRASES[OWNER]}
    client.post(reverse("people"), told)
    settings.GUARDED = True
    assert entered(OWNER).get(reverse("people")).status_code == 200


# What was kept before there were names.


@pytest.mark.django_db(transaction=True)
def test_the_one_passphrase_of_before_is_that_of_an_account_called_owner(settings: Settings) -> None:
    settings.GUARDED = True
    kept = [("jobs", "0005_bench_work")]
    try:
        MigrationExecutor(connection).migrate(kept)
        old = MigrationExecutor(connection).loader.project_state(kept).apps
        old.get_model("jobs", "ShopRecord").objects.create(pk=1, passphrase=make_password("needle and thread"))
        job = old.get_model("jobs", "JobRecord").objects.create(
            revision=1, sum=1, parts=1, seen=0, changed_at=timezone.now()
        )
        old.get_model("jobs", "Revision").objects.create(
            job=job, number=1, kind="start", document="{}", line="Begun", device="x", by="phone", at=timezone.now()
        )
    finally:
        call_command("migrate", verbosity=0)
    assert entered("owner", "needle and thread").get(reverse("people")).status_code == 200
    assert [each.signed for each in store.history(job.key)] == ["by the phone"]
    assert store.owner() is not None
