from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from tests.book.samples import DYE, HALF, TODAY, TRADE, WHOLE, a_book, found, observed, packs_of, price, timed
from tests.plan.small_cabin import CUSHION, small_job
from trimwright.book.applied import apply_book, equipped, over_a_year
from trimwright.book.differences import differences
from trimwright.errors import BadInput
from trimwright.facts.trade import Trade
from trimwright.plan.quantities.cabin import Course
from trimwright.plan.quantities.measure import measure

TANNERY = {"id": "tannery", "name": "Tannery by the river", "currency": "EUR", "carriage": 900, "days": [2, 4, 9]}


def applied(currency: str = "EUR", **fields: Any) -> Trade:
    return apply_book(TRADE, a_book(**fields), currency, TODAY)


def test_an_empty_book_changes_nothing() -> None:
    after = applied()
    assert replace(after, sources=TRADE.sources) == TRADE


def test_an_own_price_is_exact_and_says_its_day() -> None:
    trade = applied(prices=[price()])
    pack = packs_of("leather_hide", trade)[HALF]
    assert pack.price.own == 26_500
    assert pack.price.eur == packs_of("leather_hide")[HALF].price.eur  # the table's stays beside it
    assert (pack.evidence.level, pack.evidence.told) == ("own book", "own price of 2026-03-01")
    assert packs_of("leather_hide", trade)[WHOLE] == packs_of("leather_hide")[WHOLE]


def test_the_latest_price_at_a_seller_counts() -> None:
    asked = [(20_000, "2025-11-01"), (30_000, "2026-01-10"), (9_000, "2022-01-01")]
    prices = [price(minor=minor, on=on) for minor, on in asked]
    assert packs_of("leather_hide", applied(prices=prices))[HALF].price.own == 30_000


def test_an_old_price_is_used_and_marked() -> None:
    pack = packs_of("leather_hide", applied(prices=[price(on="2025-05-31")]))[HALF]
    assert pack.price.own == 26_500
    assert pack.evidence.told == "price of 2025-05-31, over a year old"
    assert not over_a_year(date(2024, 2, 29), date(2025, 2, 28))
    assert over_a_year(date(2024, 2, 29), date(2025, 3, 1))


def test_a_price_in_another_currency_is_not_converted() -> None:
    assert packs_of("leather_hide", applied("USD", prices=[price()])) == packs_of("leather_hide")


def test_another_seller_is_another_pack_and_the_guess_is_gone() -> None:
    trade = applied(suppliers=[TANNERY], prices=[price(), price(minor=19_900, supplier="tannery")])
    packs = packs_of("leather_hide", trade)
    assert {packs[HALF].supplier, packs[f"{HALF}.tannery"].supplier} == {"leather_seller", "tannery"}
    assert trade.suppliers["tannery"].carriage.own == 900
    only = packs_of("leather_hide", applied(suppliers=[TANNERY], prices=[price(supplier="tannery")]))
    assert HALF not in only


def test_an_own_pack_is_offered_once_it_has_a_price() -> None:
    own = {"id": "offcuts", "material": "leather_hide", "sold_as": "bag of offcuts", "size": 0.8}
    assert packs_of("leather_hide", applied(packs=[own])) == packs_of("leather_hide")
    priced = packs_of("leather_hide", applied(packs=[own], prices=[price("offcuts", 4_000)]))
    [pack] = [each for each in priced.values() if each.sold_as == "bag of offcuts"]
    assert (pack.size, pack.price.own, pack.supplier) == (0.8, 4_000, "leather_seller")


def test_taught_rows_say_what_is_the_shops_own() -> None:
    trade = applied(
        timed=[timed(number, 60, 120) for number in range(4)],
        redone=[observed(number, treatment=DYE, again=number == 0) for number in range(4)],
        found=[found(True)],
    )
    dye, table = trade.treatments[DYE], TRADE.treatments[DYE]
    assert dye.pace == pytest.approx(2**0.5, abs=1e-6)
    assert dye.hours == table.hours
    assert dye.redo[0] == dye.redo[1] == pytest.approx((2 * sum(table.redo) + 1) / 8)
    assert dye.evidence.level == "own book"
    assert (
        dye.evidence.note == f"hours × 1.41, timed 4 times; done again 1 of 4 times; the rest: {table.evidence.level}"
    )
    assert trade.finds["foam_crushed"].evidence.note == "there 1 of 1 time; the rest: guess"


def test_a_life_looked_at_moves_the_whole_spread() -> None:
    table = TRADE.treatments[DYE]
    years = table.life_years[1]
    seen = [observed(number, treatment=DYE, years=years / 2, failed=True) for number in range(4)]
    dye = applied(held=seen).treatments[DYE]
    assert dye.life_years == pytest.approx([each * 0.75 for each in table.life_years], rel=1e-5)
    assert "failed 4 of 4 times looked at again" in dye.evidence.note


def test_a_name_nobody_knows_is_refused() -> None:
    with pytest.raises(BadInput, match="is no pack"):
        applied(prices=[price("hide")])


# ---- a job in this shop ----------------------------------------------------------------------------------------------


def cushion(trade: Trade) -> Course:
    [part] = [each for each in measure(small_job(), trade).parts if each.part == CUSHION]
    [course] = [each for each in part.courses if "leather_recover" in each.treatments]
    return course


def test_the_plan_counts_with_the_shops_figures() -> None:
    """Twice the hours in four jobs: the root of two times the minutes; and the working says so."""
    taught = applied(
        timed=[timed(number, 60, 120, "leather_recover") for number in range(4)],
        redone=[observed(number, treatment="leather_recover", again=True) for number in range(4)],
        prices=[price(on="2024-01-01")],
    )
    before, after = cushion(TRADE), cushion(taught)
    assert after.minutes == pytest.approx(before.minutes * 2**0.5, abs=1)
    assert "× 1.4142 own pace" in str(after.worked[0])
    assert after.redo_at[0] > before.redo_at[0]
    quantities = measure(small_job(), taught)
    [half] = [pack for pack in quantities.materials["leather_hide:sand"].packs if pack.id == HALF]
    assert (half.price, half.price_variance) == (26_500, 0)
    assert half.evidence == "price of 2024-01-01, over a year old"
    assert any(note.startswith("Hours of the shop’s own") for note in quantities.notes)


def rated(hour: int, on: str) -> dict[str, Any]:
    return {"currency": "EUR", "hour": hour, "on": on}


def test_tools_shelf_and_rate_are_the_shops_where_the_job_says_nothing() -> None:
    book = a_book(
        tools=["vacuum"],
        stock=[{"material": "cloths", "amount": 5}, {"material": "leather_hide", "colour": "Sand", "amount": 0.4}],
        rates=[rated(4500, "2025-01-01"), rated(5000, "2026-01-01")],
    )
    job = small_job()
    after = equipped(job, book)
    assert after.tools == ("vacuum",)
    assert after.money.labour_rate == 5000
    assert {(each.material, each.amount) for each in after.stock} == {
        ("cloths", 30), ("thread_machine", 20), ("leather_hide", 0.4),
    }  # fmt: skip
    assert equipped(after, a_book(rates=[rated(1, "2026-02-01")])).money.labour_rate == 5000


# ---- both beside each other ------------------------------------------------------------------------------------------


def test_every_own_figure_stands_beside_the_tables() -> None:
    own = {"id": "offcuts", "material": "leather_hide", "sold_as": "bag of offcuts", "size": 0.8}
    book = a_book(
        packs=[own],
        prices=[price(on="2024-03-01"), price(minor=24_000, currency="USD"), price("offcuts", 4_000)],
        timed=[timed(1, 60, 120)],
        redone=[observed(1, treatment=DYE, again=True)],
        found=[found(True)],
    )
    rows = differences(TRADE, book, TODAY)
    assert [(each.what, each.id, each.unit, each.old) for each in rows] == [
        ("price", HALF, "EUR", True),
        ("price", HALF, "USD", False),
        ("price", "offcuts", "EUR", False),
        ("hours", DYE, "times", False),
        ("redo", DYE, "chance", False),
        ("find", "foam_crushed", "chance", False),
    ]
    table = packs_of("leather_hide")[HALF].price
    assert [each.table for each in rows[:3]] == [table.eur, table.usd, None]
    assert rows[4].table == TRADE.treatments[DYE].redo
    assert rows[5].table == (TRADE.finds["foam_crushed"].chance[0], TRADE.finds["foam_crushed"].chance[2])
