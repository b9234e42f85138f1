"""The shop book: every change is a revision, every own figure stands beside the built-in one and can be put back."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from tests.plan.happened import work
from tests.plan.small_cabin import small_plan
from tests.web.conftest import LAPTOP
from trimwright.book.document import Book
from trimwright.book.entries import with_entry
from trimwright.facts import load
from trimwright.facts.telling import tables
from trimwright.job.edits import AddEntry
from trimwright.web.jobs import store

pytestmark = pytest.mark.django_db

DYE = {"pack": "leather_hide-0_6m2", "supplier": "leather_seller"}
STEAM = {
    "family": ["carpet"], "name": "lift a stain with steam", "kind": "clean", "reach": "in place", "hours": "0.2",
    "hours_per": "job", "finish_low": "7", "finish": "8", "finish_high": "9", "life_low": "3", "life": "5",
    "life_high": "8", "redo_low": "0", "redo_high": "5", "fault-K_stain": "heavy", "use-0": "cloths",
    "amount-0": "1", "per-0": "job", "cautions": ["heat"],
}  # fmt: skip


def prices_shown(client: Client) -> list[Any]:
    figures: list[Any] = client.get(reverse("shop_book")).context["figures"]
    return figures


def test_a_price_stands_beside_the_built_in_one_and_is_put_back(client: Client) -> None:
    client.post(reverse("book_price"), {**DYE, "price": "31.50"})
    [figure] = prices_shown(client)
    table = next(each for each in load().materials["leather_hide"].packs if each.id == DYE["pack"]).price.eur
    assert (figure.own, figure.unit, figure.table) == (3150, "EUR", table)
    text = client.get(reverse("shop_book")).content.decode()
    assert "31.50 EUR" in text
    assert "Put the built-in back" in text
    client.post(reverse("book_price"), {**DYE, "currency": "EUR", "put back": "1"})
    assert not prices_shown(client)
    assert store.book_history()[0].line.startswith("Built-in price again")


def test_a_price_over_a_year_old_is_marked(client: Client) -> None:
    old = {**DYE, "currency": "EUR", "price": 3000, "on": date(2020, 1, 1)}
    store.change_book(lambda book: with_entry(book, "prices", old), LAPTOP, "old")
    assert "over a year old" in client.get(reverse("shop_book")).content.decode()
    assert "over a year old" in client.get(reverse("shop_book"), {"q": "leather"}).content.decode()


def test_packs_are_found_by_a_word_with_or_without_scripts(client: Client) -> None:
    whole = client.get(reverse("shop_book"), {"q": "leather"})
    part = client.get(reverse("shop_book"), {"q": "leather"}, headers={"hx-request": "true"})
    assert "<html" in whole.content.decode()
    assert "<html" not in part.content.decode()
    for answer in (whole, part):
        assert {each.pack for each in answer.context["found"]} >= {"leather_hide-0_6m2"}
        assert not any("carpet_cut" in each.pack for each in answer.context["found"])
    assert "No pack by" in client.get(reverse("shop_book"), {"q": "zzz"}).content.decode()


@pytest.mark.parametrize("typed", ["", "dear", "-4", "1.005"])
def test_a_wrong_price_is_told_and_not_kept(client: Client, typed: str) -> None:
    answer = client.post(reverse("book_price"), {**DYE, "price": typed, "q": "leather"})
    assert answer.status_code == 422
    assert 'class="errorlist"' in answer.content.decode()
    assert store.book() == Book()


def test_a_name_nobody_knows_is_refused_whole(client: Client) -> None:
    answer = client.post(reverse("book_price"), {"pack": "moon_dust", "supplier": "leather_seller", "price": "3"})
    assert answer.status_code == 422
    assert store.book() == Book()


def test_a_pack_of_ones_own_with_its_price(client: Client) -> None:
    told = {"material": "leather_hide", "sold_as": "offcut by weight", "size": "0.25", "supplier": "leather_seller",
            "price": "9"}  # fmt: skip
    client.post(reverse("own_pack"), told)
    [pack], [price] = store.book().packs, store.book().prices
    assert (pack.size, pack.sold_as, price.pack, price.price) == (0.25, "offcut by weight", pack.id, 900)
    client.post(reverse("own_pack"), {"gone": pack.id})
    assert store.book() == Book()


def test_own_terms_with_a_seller_and_the_built_in_ones_again(client: Client) -> None:
    terms = {"id": "leather_seller", "name": "the hide man", "carriage": "12", "free_over": "300", "least_order": "",
             "fewest": "1", "usual": "2", "most": "4"}  # fmt: skip
    client.post(reverse("sellers"), terms)
    [seller] = store.book().suppliers
    assert (seller.id, seller.carriage, seller.free_over, seller.least_order, seller.days) == (
        "leather_seller", 1200, 30000, None, (1, 2, 4),
    )  # fmt: skip
    text = client.get(reverse("sellers")).content.decode()
    assert "the hide man" in text.lower()
    assert "built in: carriage" in text
    assert client.post(reverse("sellers"), {**terms, "usual": "9"}).status_code == 422
    client.post(reverse("sellers"), {"id": "leather_seller", "put back": "1"})
    assert store.book() == Book()


def test_rate_tools_and_shelf(client: Client) -> None:
    client.post(reverse("rate"), {"hour": "55"})
    client.post(reverse("tools"), {"tool": ["steamer", "heat_gun"]})
    client.post(reverse("shelf"), {"material": "leather_hide", "colour": "sand", "amount": "1.2"})
    book = store.book()
    assert [each.hour for each in book.rates] == [5500]
    assert book.tools == ("heat_gun", "steamer")
    assert [(each.material, each.colour, each.amount) for each in book.stock] == [("leather_hide", "sand", 1.2)]
    client.post(reverse("shelf"), {"material": "leather_hide", "colour": "sand", "amount": "0"})
    client.post(reverse("rate"), {"gone": book.rates[0].on.isoformat()})
    client.post(reverse("tools"), {})
    assert store.book() == Book()
    assert client.post(reverse("tools"), {"tool": "time_machine"}).status_code == 422


def test_what_a_job_has_shown_is_taken_in_and_the_built_in_figure_put_back(client: Client, key: str) -> None:
    done = {"id": "d", "at": "2026-03-05T10:00:00", **work(small_plan(), "carpet", minutes=900)}
    store.edit_job(key, AddEntry(path=("events",), value=done), LAPTOP, seen=1)
    client.post(reverse("learn"), {"job": key})
    timed = [each for each in client.get(reverse("shown")).context["figures"] if each.what == "hours"]
    assert timed
    assert store.book().jobs
    client.post(reverse("forget"), {"what": "hours", "of": timed[0].id})
    left = [each.id for each in client.get(reverse("shown")).context["figures"] if each.what == "hours"]
    assert timed[0].id not in left
    assert client.post(reverse("forget"), {"what": "luck", "of": "x"}).status_code == 422


def test_a_treatment_of_ones_own_is_kept_changed_and_taken_out(client: Client) -> None:
    page = client.get(reverse("new_treatment"), {"family": ["carpet"]})
    assert "fault-K_stain" in page.content.decode()
    answer = client.post(reverse("new_treatment"), STEAM)
    assert answer["Location"] == reverse("own_treatments")
    [own] = store.book().treatments
    assert (own.id, own.kind, own.finish, own.redo) == ("lift_a_stain_with_steam", "clean", (7, 8, 9), (0, 0.05))
    assert [(each.fault, each.upto) for each in own.suits] == [("K_stain", "heavy")]
    one = reverse("own_treatment", args=[own.id])
    assert 'value="lift a stain with steam"' in client.get(one).content.decode()
    client.post(one, {**STEAM, "name": "steam it"})
    assert [each.name for each in store.book().treatments] == ["steam it"]
    client.post(one, {"gone": "1"})
    assert store.book() == Book()


def test_no_treatment_of_ones_own_for_what_holds_people(client: Client) -> None:
    page = client.get(reverse("own_treatments")).content.decode()
    restraint = [each.id for each in load().families.values() if each.restraint]
    assert restraint
    for each in restraint:
        assert f'value="{each}"' not in page
        assert client.get(reverse("new_treatment"), {"family": [each]})["Location"] == reverse("own_treatments")
        client.post(reverse("new_treatment"), {**STEAM, "family": [each]})
    assert store.book() == Book()
    floor = client.get(reverse("new_treatment"), {"family": ["floor-steel"]}).content.decode()
    assert "fault-M_rust" in floor
    assert "X_anchor" not in floor


def test_what_is_wrong_with_a_treatment_is_told_and_the_rest_stays(client: Client) -> None:
    answer = client.post(reverse("new_treatment"), {**STEAM, "finish_low": "9", "finish": "3"})
    assert answer.status_code == 422
    assert "falls" in answer.content.decode()
    assert 'value="lift a stain with steam"' in answer.content.decode()
    assert client.post(reverse("new_treatment"), {**STEAM, "fault-K_stain": ""}).status_code == 422
    assert store.book() == Book()


def test_facts_are_browsed_and_found_with_how_far_to_trust_them(client: Client) -> None:
    assert client.get(reverse("facts")).status_code == 200
    for table in tables():
        assert client.get(reverse("facts_table", args=[table])).status_code == 200
    found = client.get(reverse("facts"), {"q": "headlining"}, headers={"hx-request": "true"})
    assert "<html" not in found.content.decode()
    assert {each["table"] for each in found.context["found"]} >= {"families", "materials"}
    text = client.get(reverse("fact", args=["treatments", "wheel_rewrap"])).content.decode()
    treatment = load().treatments["wheel_rewrap"]
    assert load().sources[treatment.evidence.source].title in text
    assert treatment.evidence.level in text
    assert client.get(reverse("fact", args=["treatments", "nothing"])).status_code == 404
    assert client.get(reverse("facts_table", args=["nothing"])).status_code == 404
    assert client.get(reverse("fact", args=["__class__", "x"])).status_code == 404


def test_prices_are_in_the_shops_currency(client: Client) -> None:
    store.keep_shop(LAPTOP, currency="USD")
    client.post(reverse("book_price"), {**DYE, "price": "40"})
    [figure] = prices_shown(client)
    assert (figure.unit, figure.table_unit) == ("USD", "USD")
