from __future__ import annotations

import csv
import io
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from tests.plan.small_cabin import BELT, CUSHION, KNOB, VISOR, small_job, small_plan
from trimwright.errors import BadInput
from trimwright.facts import load
from trimwright.plan.buying import export
from trimwright.plan.buying.list_file import as_csv, as_workbook
from trimwright.plan.plan import Plan, make_plan
from trimwright.plan.verdicts import charges

YEN = {"currency": "JPY", "sum": 420_000, "rates": {"USD": 150}}
LABOUR = {"currency": "EUR", "sum": 500_000, "covers": ["parts", "materials", "labour"], "labour_rate": 4_000}
TAXED = {
    "currency": "EUR",
    "sum": 320_000,
    "covers": ["parts", "materials", "tools", "outside work", "tax"],
    "tax_percent": 19,
}


def hours_charged(plan: Plan) -> int:
    """Labour in firm, each item rounded once."""
    verdicts, quantities = plan.verdicts, plan.quantities
    minutes = [each.course.minutes for each in verdicts.verdicts if each.course and each.settled_by is None]
    minutes += [quantities.steps[each].minutes for each in verdicts.steps]
    minutes += [quantities.shared[each].minutes for each in verdicts.shared]
    minutes += [line.minutes for line in quantities.lines]
    return sum(charges.labour(quantities.terms, each) for each in minutes)


@pytest.mark.parametrize("money", [None, YEN, LABOUR, TAXED])
def test_the_list_and_the_hours_add_up_to_firm(money: dict[str, Any] | None) -> None:
    plan = small_plan() if money is None else make_plan(small_job(money=money), load())
    assert plan.buying.total + hours_charged(plan) == plan.verdicts.money.firm


def test_each_seller_has_one_order_with_its_carriage() -> None:
    plan = small_plan()
    suppliers = [order.supplier for order in plan.buying.orders]
    assert len(suppliers) == len(set(suppliers))
    assert {order.supplier: order.carriage for order in plan.buying.orders if order.carriage} == {
        each: paid for each, paid in plan.verdicts.carriage.items() if paid
    }
    packs = [pack for order in plan.buying.orders for pack in order.packs]
    assert sorted(packs, key=lambda pack: (pack.material, pack.pack_id)) == sorted(
        plan.verdicts.bought, key=lambda pack: (pack.material, pack.pack_id)
    )


def test_an_offer_is_ordered_from_its_own_seller() -> None:
    """15, 20 or 31 with 4 delivery: the mean of the three points is 26."""
    order = next(order for order in small_plan().buying.orders if order.name == "breaker by the harbour")
    (whole,) = order.wholes
    assert (whole.part, whole.source, whole.money, whole.low, whole.high) == (KNOB, "used", 2600, 1900, 3500)
    assert order.days == (9, 9, 9)
    assert whole.evidence == "offer"


def test_the_shelf_is_used_first_and_nothing_runs_out() -> None:
    by_key = {each.key: each for each in small_plan().buying.materials}
    cloths, thread = by_key["cloths"], by_key["thread_machine"]
    assert (cloths.bought_milli, cloths.from_stock_milli) == (0, cloths.used_milli)
    assert cloths.left_milli == 30_000 - cloths.used_milli
    assert (thread.bought_milli, thread.from_stock_milli) == (1_500_000, 20_000)  # a whole spool more
    assert thread.left_milli == 1_520_000 - thread.used_milli
    for each in by_key.values():
        assert each.left_milli >= 0
        assert each.from_stock_milli + each.bought_milli >= each.used_milli


def test_new_covers_need_a_burn_rate_statement() -> None:
    assert {CUSHION, VISOR} <= set(small_plan().buying.burn_rate)
    assert BELT not in small_plan().buying.burn_rate


def test_order_by_leaves_the_longest_delivery_before_the_start() -> None:
    assert all(order.order_by is None for order in small_plan().buying.orders)
    plan = make_plan(small_job(time={"start": "2027-03-01"}), load())
    order = next(order for order in plan.buying.orders if order.name == "breaker by the harbour")
    assert order.order_by == date(2027, 2, 20)


def test_the_money_column_adds_up_to_the_total() -> None:
    buying = small_plan().buying
    heads, *rows = csv.reader(io.StringIO(as_csv(buying).decode("utf-8-sig")))
    at = heads.index("Money (EUR)")
    assert sum(Decimal(row[at]) for row in rows) == Decimal(buying.total) / 100


def test_the_workbook_holds_figures_and_no_formula() -> None:
    from openpyxl import load_workbook

    parts = small_job().model_dump(mode="json")["parts"]
    for each in parts:
        each["name"] = "=1+1" if each["id"] == CUSHION else "@SUM(A1)" if each["id"] == BELT else each["name"]
        for offer in each["offers"]:
            offer["seller"] = '=HYPERLINK("http://x","y")'
    buying = make_plan(small_job(parts=parts), load()).buying
    book = load_workbook(io.BytesIO(as_workbook(buying)))
    cells = [cell for sheet in book for row in sheet.iter_rows() for cell in row if cell.value is not None]
    assert not [cell for cell in cells if cell.data_type == "f"]
    texts = [cell.value for cell in cells if isinstance(cell.value, str)]
    assert '\'=HYPERLINK("http://x","y")' in texts
    assert any(text.startswith("'@SUM(A1)") for text in texts)
    money = [row[5].value for row in book["Buying"].iter_rows(min_row=2)]
    assert round(sum(value for value in money if isinstance(value, int | float)) * 100) == buying.total
    lines = as_csv(buying).decode("utf-8-sig").splitlines()
    assert not [line for line in lines if line.lstrip('"').startswith(("=", "@"))]


def test_the_ending_of_the_file_says_what_is_written(tmp_path: Path) -> None:
    buying = small_plan().buying
    export(buying, tmp_path / "list.CSV")
    export(buying, tmp_path / "list.xlsx")
    assert (tmp_path / "list.CSV").read_bytes().startswith(b"\xef\xbb\xbfSeller")
    assert (tmp_path / "list.xlsx").read_bytes().startswith(b"PK")
    with pytest.raises(BadInput, match=r"\.csv or \.xlsx"):
        export(buying, tmp_path / "list.ods")
