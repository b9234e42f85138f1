"""The pocket list, read back with pypdf: its pages, its prices, pairs, and what is never on it."""

from __future__ import annotations

import io
from dataclasses import replace
from datetime import UTC, datetime
from functools import cache
from typing import Any

import pytest
from pypdf import PdfReader

from tests.plan.small_cabin import BELT, part, small_job
from trimwright.facts import load
from trimwright.papers import PocketSize, pocket_list, pocket_list_pdf
from trimwright.plan.plan import Plan, make_plan
from trimwright.plan.quantities.cabin import Course, Spread
from trimwright.plan.verdicts.search import Search
from trimwright.plan.verdicts.walkaway import PairWorth, WalkAway, pairs_worth, walk_away

MADE = datetime(2026, 11, 25, 12, 0, tzinfo=UTC)
SIZES: dict[PocketSize, tuple[float, float]] = {"a6": (105, 148), "phone": (90, 160)}
"""Width and height [mm]; A6 by ISO 216, a phone's own choice."""
MM = 72 / 25.4

pytestmark = pytest.mark.filterwarnings("error::trimwright.papers.press.PaperWarning")


def door_card(part_id: str, side: str, place: str) -> dict[str, Any]:
    offer = {"source": "used", "low": 4000, "likely": 6000, "high": 9000}
    more = {"place": place, "colour": "sand", "offers": [offer]}
    return part(part_id, "door_card_f", f"Front door card, {side}", "vinyl", 2, "V_torn", **more)


@cache
def pair() -> Plan:
    """Two torn door cards of one set, a mat and a frayed belt."""
    parts = [
        door_card("left", "driver's", "driver"),
        door_card("right", "passenger's", "passenger"),
        part("mat", "mats", "Loose mat, driver's", "carpet", 2, "K_worn", place="driver"),
        part(BELT, "belt_front", "Front belt, driver's", "webbing", 4, "B_frayed", place="driver"),
    ]
    wishes = {"sets": [{"name": "door cards", "parts": ["left", "right"]}]}
    return make_plan(small_job(parts=parts, money={"currency": "EUR", "sum": 60_000}, wishes=wishes), load())


@cache
def worth() -> tuple[WalkAway, ...]:
    return walk_away(pair().quantities, pair().verdicts)


def told(found: tuple[WalkAway, ...]) -> dict[str, Any]:
    return pocket_list.in_words(pair(), load(), found)


def words(found: tuple[WalkAway, ...], size: PocketSize = "a6") -> str:
    pdf = PdfReader(io.BytesIO(pocket_list_pdf(pair(), found, MADE, size, together())))
    return " ".join(" ".join(page.extract_text() for page in pdf.pages).replace("\u200b", "").split())


def used(part_id: str) -> WalkAway:
    return next(each for each in worth() if (each.sought.part, each.sought.course.id) == (part_id, "used_fit"))


@cache
def together() -> tuple[PairWorth, ...]:
    return pairs_worth(pair().quantities, pair().verdicts, worth(), seconds=30)


def used_pair() -> PairWorth:
    return next(each for each in together() if each.one.sought.course.id == "used_fit")


def buys_both(price: int) -> bool:
    """Whether the best plan, at the z of the pair's, takes both used cards at this price each."""
    quantities = pair().quantities

    def at(course: Course) -> Course:
        if course.id != "used_fit" or course.part not in ("left", "right"):
            return course
        mean = sum(each.price.mean for each in course.purchases)
        again = round(course.redo_money + course.redo_share * (price - mean))
        bought = tuple(replace(each, price=Spread(price, price, price)) for each in course.purchases)
        return replace(course, purchases=bought, redo_money=again)

    parts = tuple(replace(part, courses=tuple(map(at, part.courses))) for part in quantities.parts)
    search = Search(replace(quantities, parts=parts), seconds=60, draws=500, seed=1, progress=None)
    best = search.at(pair().verdicts.proof.z)
    assert best is not None
    chosen = search.finish(best).chosen
    return all(chosen[each].id == "used_fit" for each in ("left", "right"))


@pytest.mark.parametrize("size", SIZES)
def test_its_pages_fit_a_pocket_or_a_phone(size: PocketSize) -> None:
    pdf = pocket_list_pdf(pair(), worth(), MADE, size)
    for page in PdfReader(io.BytesIO(pdf)).pages:
        wide, high = SIZES[size]
        assert (float(page.mediabox.width), float(page.mediabox.height)) == pytest.approx((wide * MM, high * MM), abs=1)
    assert pdf == pocket_list_pdf(pair(), worth(), MADE, size)


def test_both_of_a_pair_stand_on_one_card_with_a_price_for_both() -> None:
    found = pocket_list.in_words(pair(), load(), worth(), together())
    card = next(each for each in found["cards"] if "door card" in each["name"])
    assert card["name"] == "Front door card, driver’s, passenger’s"
    both = next(row for row in card["rows"] if row["both"])
    assert both["both"] == pocket_list.price(used_pair().most, "EUR")
    assert "Both from one donor" in words(worth())


def test_the_price_for_both_is_where_buying_both_stops_paying() -> None:
    """At the price, shared by two alike, the best plan takes both; at four minor units more it takes neither."""
    found = used_pair()
    assert found.at_most == found.most
    for more, taken in ((0, True), (4, False)):
        each = (found.most + more) // 2
        assert buys_both(each) == taken


def test_unlike_sides_of_a_pair_have_prices_of_their_own() -> None:
    found = tuple(replace(each, most=each.most + 1000) if each is used("left") else each for each in worth())
    card = next(each for each in told(found)["cards"] if "door card" in each["name"])
    told_apart = [(row["way"], row["most"]) for row in card["rows"] if row["way"].startswith("Used")]
    assert told_apart == [
        ("Used, driver’s side", pocket_list.price(used("left").most + 1000, "EUR")),
        ("Used, passenger’s side", pocket_list.price(used("right").most, "EUR")),
    ]


def test_a_card_tells_what_to_look_for_by_the_trades_own_words() -> None:
    text, torn = words(worth()), load().faults["V_torn"]
    assert f"{torn.name.capitalize()} ({torn.look_for})" in text
    assert "vinyl, both sides, sand" in text
    assert "An airbag or its wires may lie behind it" in text
    assert "numbers" in text


def test_restraint_parts_are_never_looked_for() -> None:
    belt = replace(used("left"), sought=replace(used("left").sought, part=BELT, name="Front belt, driver's"))
    found = told((belt, *worth()))
    assert not any("belt" in each["name"].lower() for each in found["cards"])
    assert found["new_only"] == "Front belt, driver’s"
    assert "Never used, at any price: belts, buckles, pretensioners, airbags" in words(worth())


def test_only_what_pays_at_a_price_somebody_asks_has_a_card() -> None:
    for most, at_most, where in ((0, 0, "never"), (0, 9000, "open"), (3000, 3000, "bargains")):
        found = tuple(replace(each, most=most, at_most=at_most) for each in worth() if each.sought.part == "left")
        answer = told(tuple(each for each in found if each.sought.source == "used"))
        assert answer["cards"] == []
        assert answer[where].startswith("Front door card, driver’s")
    assert "(to 30)" in told((replace(used("left"), most=3000, at_most=3000),))["bargains"]


def test_what_is_not_proven_says_so() -> None:
    found = tuple(replace(each, at_most=each.most + 5000) if each is used("left") else each for each in worth())
    assert f"perhaps to {(used('left').most + 5000) // 100}" in words(found)


def test_a_price_is_never_rounded_up() -> None:
    assert pocket_list.price(6899, "EUR") == "68"
    assert pocket_list.price(6899, "JPY") == "6,899"


def test_the_sum_paying_tax_says_that_tax_is_inside() -> None:
    plan = pair()
    taxed = plan.job.model_copy(
        update={"money": plan.job.money.model_copy(update={"covers": frozenset({"parts", "tax"})})}
    )
    assert "and tax" in pocket_list.in_words(replace(plan, job=taxed), load(), ())["all_in"]
    assert "tax" not in told(worth())["all_in"]


def test_nothing_worth_buying_still_prints() -> None:
    assert "Nobody asks a price" in words(())


@pytest.mark.parametrize("odd", ["x" * 200, "日本語の座席", "#panic() *bold*"])
def test_any_name_prints_without_a_warning(odd: str) -> None:
    parts = [{**door_card("left", "driver's", "driver"), "name": odd}]
    plan = make_plan(small_job(parts=parts, money={"currency": "EUR", "sum": 60_000}), load())
    assert pocket_list_pdf(plan, walk_away(plan.quantities, plan.verdicts), MADE).startswith(b"%PDF")
