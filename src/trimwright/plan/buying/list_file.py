"""The buying list as a CSV or a workbook: one row a thing to buy, money as plain figures in the job's currency.

Cells that a spreadsheet could take for a formula get an apostrophe in front (the advice of OWASP, "CSV Injection").
"""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from pathlib import Path

from trimwright.errors import BadInput, Problem
from trimwright.plan.buying.order import Buying, Order, how_known
from trimwright.units import amount, exponent

Cell = str | int | Decimal

_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n", "=", "+", "-", "@")
"""What makes a spreadsheet read a cell as a formula; the full-width signs too."""
_WIDTHS = (30, 44, 34, 9, 14, 14, 24, 16)


def export(buying: Buying, path: Path) -> None:
    """Write the list to `path`, .csv or .xlsx by its ending; BadInput for any other ending."""
    match path.suffix.lower():
        case ".csv":
            path.write_bytes(as_csv(buying))
        case ".xlsx":
            path.write_bytes(as_workbook(buying))
        case _:
            raise BadInput(Problem(str(path), path.suffix, "is no kind of list.", "End the name in .csv or .xlsx."))


def as_csv(buying: Buying) -> bytes:
    """UTF-8 with the mark that spreadsheets look for."""
    import csv
    import io

    text = io.StringIO()
    csv.writer(text, lineterminator="\r\n").writerows(
        [harmless(cell) if isinstance(cell, str) else cell for cell in row] for row in [headings(buying), *rows(buying)]
    )
    return text.getvalue().encode("utf-8-sig")


def as_workbook(buying: Buying) -> bytes:
    """Two sheets: what to buy, and each material from shelf to leftover."""
    import io

    from openpyxl import Workbook
    from openpyxl.styles import Alignment, Font
    from openpyxl.utils import get_column_letter

    book = Workbook()
    buy = book.active
    assert buy is not None
    buy.title = "Buying"
    left = book.create_sheet("Materials")
    for sheet, table in ((buy, [headings(buying), *rows(buying)]), (left, list(material_rows(buying)))):
        for number, row in enumerate(table, 1):
            for column, cell in enumerate(row, 1):
                written = sheet.cell(number, column, harmless(cell) if isinstance(cell, str) else cell)
                written.alignment = Alignment(vertical="top", wrap_text=isinstance(cell, str))
                if number == 1:
                    written.font = Font(bold=True)
        for column, width in enumerate(_WIDTHS[: len(table[0])], 1):
            sheet.column_dimensions[get_column_letter(column)].width = width
        sheet.freeze_panes = "A2"
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def headings(buying: Buying) -> list[Cell]:
    """The units stand in the header."""
    each, money = f"Each ({buying.currency})", f"Money ({buying.currency})"
    what = ["Seller", "What", "Sold as, or for which part", "Count"]
    return [*what, each, money, "How far the price is known", "Delivery (days)"]


def rows(buying: Buying) -> Iterator[list[Cell]]:
    """Packs, parts, carriage, tools, visits and sundries; the money column adds up to the list's total."""
    for order in buying.orders:
        yield from _order_rows(order, buying)
    for each in buying.once:
        value = figure(each.money, buying.currency)
        yield ["", each.name, "tool" if each.what == "tool" else "a trained person's visit", 1, value, value, "", ""]
    for name, money in (("Sundries", buying.sundries), ("Whole-job lines", buying.whole_job)):
        if money:
            yield ["", name, "", 1, figure(money, buying.currency), figure(money, buying.currency), "", ""]


def _order_rows(order: Order, buying: Buying) -> Iterator[list[Cell]]:
    currency = buying.currency
    seller = order.name or "seller not named"
    days = f"{order.days[0]} to {order.days[2]}"
    for pack in order.packs:
        each = figure(pack.money // pack.count, currency)
        known = how_known(buying.evidence[pack.pack_id])
        yield [seller, pack.name, pack.pack, pack.count, each, figure(pack.money, currency), known, days]
    for whole in order.wholes:
        money = figure(whole.money, currency)
        own_days = f"{whole.days[0]} to {whole.days[2]}"
        yield [
            seller,
            f"{whole.what}, {whole.source}",
            whole.name,
            1,
            money,
            money,
            how_known(whole.evidence),
            own_days,
        ]
    if order.carriage:
        money = figure(order.carriage, currency)
        yield [seller, "Carriage", "", 1, money, money, "the trade's figure", ""]


def material_rows(buying: Buying) -> Iterator[list[Cell]]:
    """Each material: used, from the shelf, bought, left over."""
    yield ["Material", "Used", "From the shelf", "Bought", "Left over", "One batch", "How to keep it"]
    for each in buying.materials:
        figures = (each.used_milli, each.from_stock_milli, each.bought_milli, each.left_milli)
        yield [
            each.name, *(amount(value, each.unit) for value in figures), "yes" if each.one_batch else "", each.handling,
        ]  # fmt: skip


def figure(minor: int, currency: str) -> Decimal:
    """A sum as a plain figure that a spreadsheet can add."""
    return Decimal(minor).scaleb(-exponent(currency))


def harmless(text: str) -> str:
    """The text with an apostrophe in front where a spreadsheet would read a formula.

    >>> harmless("=1+1"), harmless("gear knob"), harmless(" @x")
    ("'=1+1", 'gear knob', "' @x")
    """
    return "'" + text if text.lstrip(" ").startswith(_FORMULA) else text
