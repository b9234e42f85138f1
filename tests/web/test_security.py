"""Who may see what: the door, hosts, forms from elsewhere, the content security policy."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver, reverse
from pytest_django import Settings

from trimwright.web import security
from trimwright.web.jobs import store
from trimwright.web.serving import begin_owner

pytestmark = pytest.mark.django_db

PASSPHRASE, NEW = "needle and thread", "awl and wax thread"
OWNER = {"username": "Robin", "password": PASSPHRASE}
SAMPLES = {"slug": "some-name", "int": "1", "str": "some.name"}
"""Something for each kind of place in a route."""


@pytest.fixture
def guarded(settings: Settings) -> None:
    settings.GUARDED = True
    begin_owner(OWNER["username"], PASSPHRASE)


def addresses(patterns: list[URLPattern | URLResolver], above: str = "") -> Iterator[tuple[str, str]]:
    """Name and route of every view there is."""
    for each in patterns:
        route = above + str(each.pattern)
        if isinstance(each, URLResolver):
            yield from addresses(each.url_patterns, route)
        else:
            yield each.name or route, route


EVERY = sorted(addresses(get_resolver().url_patterns))


def sample(route: str, key: str) -> str:
    """The route with the job's key and something else in its other places."""
    return "/" + re.sub(
        r"<(?:(\w+):)?(\w+)>", lambda each: key if each[2] == "key" else SAMPLES[each[1] or "str"], route
    )


def test_there_are_views_to_walk() -> None:
    assert {"jobs", "job", "edits", "photo", "bundle", "settings", "door"} <= {name for name, _ in EVERY}


@pytest.mark.usefixtures("guarded")
@pytest.mark.parametrize(("name", "route"), EVERY, ids=[name for name, _ in EVERY])
@pytest.mark.parametrize("method", ["get", "post", "head", "options", "put", "delete"])
def test_a_stranger_comes_no_further_than_the_door(
    client: Client, key: str, name: str, route: str, method: str
) -> None:
    answer = getattr(client, method)(sample(route, key))
    if name == "door":
        assert answer.status_code in (200, 405, 422)
        assert "two-door" not in answer.content.decode()
    else:
        assert answer.status_code == 302
        assert answer["Location"].startswith(reverse("door"))
        assert answer.content == b""
    assert store.record(key).revision == 1


@pytest.mark.usefixtures("guarded")
def test_a_fragment_is_sent_to_the_door_as_a_whole_page(client: Client, key: str) -> None:
    answer = client.get(reverse("plan", args=[key]), headers={"hx-request": "true"})
    assert (answer["HX-Redirect"], answer.content) == (reverse("door"), b"")


@pytest.mark.usefixtures("guarded")
def test_what_is_not_there_is_behind_the_door_too(client: Client) -> None:
    assert client.get("/no/such/page/").status_code == 302


@pytest.mark.usefixtures("guarded")
def test_name_and_passphrase_open_and_lead_on(client: Client, key: str) -> None:
    there = reverse("job", args=[key])
    asked = client.get(there)
    assert client.get(asked["Location"]).status_code == 200
    answer = client.post(reverse("door"), {**OWNER, "next": there})
    assert answer["Location"] == there
    assert client.get(there).status_code == 200
    client.post(reverse("leave"))
    assert client.get(there).status_code == 302


@pytest.mark.usefixtures("guarded")
@pytest.mark.parametrize("onward", ["https://elsewhere.example/", "//elsewhere.example/", "javascript:alert(1)"])
def test_the_door_leads_nowhere_else(client: Client, onward: str) -> None:
    answer = client.post(reverse("door"), {**OWNER, "next": onward})
    assert answer["Location"] == reverse("jobs")


@pytest.mark.usefixtures("guarded")
def test_a_wrong_passphrase_is_told_and_tries_are_counted(client: Client) -> None:
    for _try in range(security.TRIES):
        answer = client.post(reverse("door"), {**OWNER, "password": "not it at all"})
        assert answer.status_code == 422
        assert "That is not the name and the passphrase." in answer.content.decode()
    answer = client.post(reverse("door"), OWNER)
    assert answer.status_code == 429
    assert "Too many tries" in answer.content.decode()
    assert client.get(reverse("jobs")).status_code == 302
    elsewhere = client.post(reverse("door"), OWNER, REMOTE_ADDR="192.0.2.7")
    assert elsewhere.status_code == 302


@pytest.mark.usefixtures("guarded")
def test_no_word_tells_a_name_that_is_there_from_one_that_is_not(client: Client) -> None:
    told = [
        client.post(reverse("door"), {"username": name, "password": "not it at all"}).context["form"].errors
        for name in (OWNER["username"], "nobody")
    ]
    assert told[0] == told[1]


@pytest.mark.usefixtures("guarded")
def test_tries_from_everywhere_together_are_counted_too(client: Client) -> None:
    for number in range(security.TRIES_IN_ALL):
        client.post(reverse("door"), {**OWNER, "password": "not it at all"}, REMOTE_ADDR=f"192.0.2.{number}")
    assert client.post(reverse("door"), OWNER, REMOTE_ADDR="192.0.2.99").status_code == 429


@pytest.mark.usefixtures("guarded")
def test_a_new_passphrase_asks_that_person_again_everywhere_but_where_it_was_set(client: Client) -> None:
    other = Client()
    for each in (client, other):
        each.post(reverse("door"), OWNER)
    new = {"form": "passphrase", "old_password": PASSPHRASE, "new_password1": NEW, "new_password2": NEW}
    assert client.post(reverse("settings"), {**new, "old_password": "not it at all"}).status_code == 422
    assert client.post(reverse("settings"), new).status_code == 302
    assert client.get(reverse("jobs")).status_code == 200
    assert other.get(reverse("jobs")).status_code == 302


@pytest.mark.parametrize("typed", ["short", "password123", "needle and bread"])
@pytest.mark.usefixtures("guarded")
def test_a_passphrase_too_short_too_usual_or_not_alike_is_not_kept(client: Client, typed: str) -> None:
    client.post(reverse("door"), OWNER)
    again = typed if typed != "needle and bread" else NEW
    new = {"form": "passphrase", "old_password": PASSPHRASE, "new_password1": typed, "new_password2": again}
    answer = client.post(reverse("settings"), new)
    assert (answer.status_code, 'class="errorlist"' in answer.content.decode()) == (422, True)
    assert User.objects.get().check_password(PASSPHRASE)


def test_without_an_account_nothing_opens(client: Client, settings: Settings) -> None:
    settings.GUARDED = True
    for typed in ("", "x", PASSPHRASE):
        client.post(reverse("door"), {"username": typed, "password": typed})
    assert client.get(reverse("jobs")).status_code == 302


@pytest.mark.usefixtures("guarded")
def test_the_passphrase_is_not_kept_as_it_is_typed() -> None:
    assert PASSPHRASE not in User.objects.get().password


def test_on_this_machine_alone_there_is_no_door(client: Client) -> None:
    assert client.get(reverse("jobs")).status_code == 200


@pytest.mark.parametrize("host", ["elsewhere.example", "127.0.0.1.elsewhere.example", "192.0.2.1"])
def test_pages_are_not_given_under_another_name(client: Client, host: str) -> None:
    """A name of an attacker's that leads here (DNS rebinding) gets nothing."""
    answer = client.get("/", headers={"host": host})
    assert answer.status_code == 400
    assert b"two-door" not in answer.content


@pytest.mark.parametrize(
    "headers",
    [{}, {"origin": "https://elsewhere.example"}, {"origin": "null"}],
    ids=["no token", "another origin", "no origin at all"],
)
def test_posts_from_elsewhere_are_refused(key: str, headers: dict[str, str]) -> None:
    client = Client(enforce_csrf_checks=True)
    if headers:
        token = re.search(r'x-csrftoken": "(\w+)"', client.get("/").content.decode())
        assert token
        headers = {**headers, "x-csrftoken": token[1]}
    edit = {"edit": '{"do":"remove part","part":"knob"}', "revision": "1", "edit_id": "x"}
    answer = client.post(reverse("edits", args=[key]), edit, headers=headers)
    assert answer.status_code == 403
    assert "out of date" in answer.content.decode()
    assert store.record(key).revision == 1


def test_every_answer_carries_the_policy_and_no_page_has_anything_inline(client: Client, key: str) -> None:
    pages = [reverse(name) for name in ("jobs", "new_job", "settings", "import_job", "door")]
    pages += [reverse(name, args=[key]) for name in ("job", "history", "compare")]
    for page in [*pages, "/nothing/"]:
        answer = client.get(page)
        policy = answer["Content-Security-Policy"]
        assert "default-src 'self'" in policy
        assert "unsafe" not in policy
        text = answer.content.decode()
        assert not re.search(r"<script(?![^>]*\bsrc=)(?![^>]*application/json)", text), page
        assert not re.search(r"<style|\sstyle=|\son[a-z]+=|javascript:", text), page


def test_cookies_are_kept_from_scripts_and_other_sites(client: Client, key: str) -> None:
    client.get(reverse("job", args=[key]))
    for each in client.cookies.values():
        assert (each["httponly"], each["samesite"]) == (True, "Lax")
    assert {"sessionid", "csrftoken"} <= set(client.cookies)
