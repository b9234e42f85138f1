"""The survey sheet as a workbook: drop-downs and prompts on the way out, a guarded reader on the way back.

A formula counts as the value the spreadsheet program saved for it; one without a saved value is refused.
"""

from __future__ import annotations

import re
import zipfile
from collections import defaultdict
from collections.abc import Iterable, Sequence
from datetime import date, datetime
from itertools import groupby
from pathlib import Path
from typing import TYPE_CHECKING, Any

from trimwright.errors import Problem, UnreadableFile
from trimwright.facts.trade import Trade
from trimwright.job.document import Job
from trimwright.job.survey import layout
from trimwright.job.survey.cells import Shown, Terms, plain_figure
from trimwright.job.survey.filled import Table, job_lines, tables
from trimwright.job.survey.grids import Cell, Grid
from trimwright.job.survey.layout import Column
from trimwright.job.survey.read import Reading, read_grids

if TYPE_CHECKING:
    from openpyxl import Workbook
    from openpyxl.cell.cell import Cell as SheetCell
    from openpyxl.worksheet.worksheet import Worksheet

MAX_PACKED = 10_000_000
MAX_UNPACKED = 40_000_000
"""Bytes of a workbook as a file and unpacked; a thousand parts stay below both."""
MAX_ROWS, MAX_COLUMNS = 5_000, 300
SPARE_ROWS = 30
"""Empty rows below a table that have its drop-downs too."""

_INK, _CARD, _FAINT = "FF20242B", "FFF0EADC", "FF6B6F76"


def write_xlsx(job: Job, trade: Trade, path: Path) -> None:
    """Write the sheet for `job`, to be filled in beside the car."""
    from openpyxl import Workbook

    book = Workbook()
    book.remove(book.worksheets[0])
    terms = Terms(job.money.currency, job.car.units)
    lists = _Lists(book)
    _write_job(book.create_sheet("Job"), job, terms, lists)
    for table in tables(job, trade):
        _write_table(book.create_sheet(table.name), table, terms, lists)
    lists.write()
    book.save(path)


def read_xlsx(path: Path, job: Job, trade: Trade) -> Reading:
    """The job as the workbook tells it, `job` being what it does not show; BadInput with every mistake in it."""
    _check_package(path)
    book = _load(path, values=False)
    formulas = any(cell.data_type == "f" for sheet in book.worksheets for row in _rows(sheet) for cell in row)
    worked_out = _load(path, values=True) if formulas else book
    grids = [
        _grid(sheet, saved)
        for sheet, saved in zip(book.worksheets, worked_out.worksheets, strict=True)
        if sheet.title != _Lists.NAME
    ]
    return read_grids(grids, job, trade)


# Writing.


class _Lists:
    """The hidden sheet that holds the choices of the drop-downs, each list once."""

    NAME = "Lists"

    def __init__(self, book: Workbook) -> None:
        self._book = book
        self._columns: dict[tuple[str, ...], str] = {}

    def source(self, choices: tuple[str, ...]) -> str:
        """The formula that a drop-down names for `choices`."""
        from openpyxl.utils import get_column_letter

        letter = self._columns.setdefault(choices, get_column_letter(len(self._columns) + 1))
        return f"{self.NAME}!${letter}$1:${letter}${len(choices)}"

    def write(self) -> None:
        sheet = self._book.create_sheet(self.NAME)
        sheet.sheet_state = "hidden"
        for column, choices in enumerate(self._columns, 1):
            for row, choice in enumerate(choices, 1):
                _put(sheet.cell(row, column), int(choice) if choice.isdecimal() else choice)


def _write_job(sheet: Worksheet, job: Job, terms: Terms, lists: _Lists) -> None:
    _write_header(sheet, layout.JOB, terms)
    for number, (item, value) in enumerate(job_lines(job), 2):
        _put(sheet.cell(number, 1), item.name)
        _put(sheet.cell(number, 2), None if value is None else item.kind.show(value, terms))
        _put(sheet.cell(number, 3), item.help)
        _quiet(sheet.cell(number, 3))
        if item.kind.choices:
            _add_list(sheet, item.kind.choices, [f"B{number}"], "", lists)
    sheet.freeze_panes = "B2"


def _write_table(sheet: Worksheet, table: Table, terms: Terms, lists: _Lists) -> None:
    from openpyxl.utils import get_column_letter

    _write_header(sheet, table.columns, terms)
    for number, row in enumerate(table.rows, 2):
        for index, column in enumerate(table.columns, 1):
            value = row.get(column.field)
            cell = sheet.cell(number, index)
            _put(cell, None if value is None else column.kind.show(value, terms))
            if column.shown:
                _quiet(cell)
    rows = (*table.rows, *({} for _ in range(SPARE_ROWS)))
    for index, column in enumerate(table.columns, 1):
        drop_down = table.drop_downs.get(column.field)
        choices = [drop_down(row) if drop_down else column.kind.choices for row in rows]
        for each, ranges in _runs(choices, get_column_letter(index)).items():
            _add_list(sheet, each, ranges, column.help, lists)
    # the columns that say which row it is stay in sight
    sheet.freeze_panes = "D2" if table.name == "Parts" else "B2"


def _runs(choices: Iterable[tuple[str, ...]], letter: str) -> dict[tuple[str, ...], list[str]]:
    """The ranges of a column, from row 2 down, that have the same choices."""
    ranges: dict[tuple[str, ...], list[str]] = defaultdict(list)
    for each, run in groupby(enumerate(choices, 2), lambda numbered: numbered[1]):
        numbers = [number for number, _ in run]
        ranges[each].append(f"{letter}{numbers[0]}:{letter}{numbers[-1]}")
    return ranges


def _write_header(sheet: Worksheet, columns: Sequence[Column], terms: Terms) -> None:
    from openpyxl.styles import Alignment, Border, Font, PatternFill, Side
    from openpyxl.utils import get_column_letter
    from openpyxl.worksheet.properties import PageSetupProperties

    for index, column in enumerate(columns, 1):
        cell = sheet.cell(1, index)
        _put(cell, column.headed(terms))
        cell.font = Font(bold=True, color=_FAINT if column.shown else _INK)
        cell.fill = PatternFill("solid", start_color=_CARD)
        cell.border = Border(bottom=Side("medium", color=_INK))
        cell.alignment = Alignment(wrap_text=True, vertical="bottom")
        sheet.column_dimensions[get_column_letter(index)].width = column.width
    sheet.row_dimensions[1].height = 32
    sheet.print_title_rows = "1:1"
    sheet.page_setup.orientation = "landscape"
    sheet.page_setup.fitToHeight = 0
    sheet.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)


def _put(cell: SheetCell | Any, value: Shown) -> None:
    """A value into a cell; text stays text whatever it looks like, and is never run as a formula."""
    from openpyxl.styles import Alignment

    if value is None:
        return
    if isinstance(value, str):
        # _xHHHH_ stands for a character in this format, so an underscore before such text is written as one itself
        cell.value = re.sub(r"_(?=x[0-9A-Fa-f]{4}_)", "_x005F_", value)
        cell.data_type = "s"
        cell.quotePrefix = value[:1] in "=+-@"
    else:
        cell.value = value
    cell.alignment = Alignment(vertical="top", wrap_text=isinstance(value, str) and (len(value) > 30 or "\n" in value))


def _quiet(cell: SheetCell | Any) -> None:
    """A cell to read, not to fill in."""
    from openpyxl.styles import Font

    cell.font = Font(color=_FAINT, italic=True)


def _add_list(sheet: Worksheet, choices: tuple[str, ...], ranges: Iterable[str], prompt: str, lists: _Lists) -> None:
    """The drop-down and the prompt of some cells, where they have one. Other words stay possible: facts grow."""
    from openpyxl.worksheet.datavalidation import DataValidation

    if not choices and not prompt:
        return
    validation = DataValidation(
        type="list" if choices else None,
        formula1=lists.source(choices) if choices else None,
        allow_blank=True,
        showErrorMessage=False,
        showInputMessage=bool(prompt),
        prompt=prompt or None,
        sqref=" ".join(ranges),
    )
    sheet.add_data_validation(validation)


# Reading.


def _check_package(path: Path) -> None:
    """Refuse what is no workbook or would unpack into more than any survey, before anything is unpacked."""

    def refuse(what: str, way_out: str) -> UnreadableFile:
        return UnreadableFile(Problem(path.name, "", what, way_out))

    try:
        size = path.stat().st_size
    except OSError as error:
        raise refuse(f"cannot be read ({error.strerror}).", "Check the name and the folder.") from None
    if size > MAX_PACKED:
        raise refuse(
            f"is larger than {MAX_PACKED // 1_000_000} MB, which no survey is.",
            "Take pictures and other sheets out of it.",
        )
    with path.open("rb") as file:
        if file.read(8) == bytes.fromhex("D0CF11E0A1B11AE1"):
            raise refuse("is locked with a password, or of the old .xls kind.", "Save it as .xlsx without a password.")
    try:
        with zipfile.ZipFile(path) as package:
            members = package.infolist()
    except (zipfile.BadZipFile, OSError, NotImplementedError):
        raise refuse("is no workbook, or came only in part.", "Save it as .xlsx once more.") from None
    if any(member.flag_bits & 1 for member in members):
        raise refuse("is locked with a password.", "Save it as .xlsx without a password.")
    if sum(member.file_size for member in members) > MAX_UNPACKED:
        raise refuse(
            f"unpacks into more than {MAX_UNPACKED // 1_000_000} MB, which no survey does.",
            "Check that it is the sheet.",
        )


def _load(path: Path, *, values: bool) -> Workbook:
    import warnings

    from openpyxl import load_workbook

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # what openpyxl cannot keep (pictures, extensions) is not read anyway
            book = load_workbook(path, data_only=values)
    except Exception as error:  # a damaged package fails inside openpyxl in too many ways to name
        what = f"is no workbook that can be read ({type(error).__name__})."
        raise UnreadableFile(Problem(path.name, "", what, "Save it as .xlsx once more.")) from error
    problems = [
        Problem(
            sheet.title, "", f"has cells beyond row {MAX_ROWS:,} or column {MAX_COLUMNS}.", "Delete what is out there."
        )
        for sheet in book.worksheets
        if sheet.max_row > MAX_ROWS or sheet.max_column > MAX_COLUMNS
    ]
    if problems:
        raise UnreadableFile(problems)
    return book


def _rows(sheet: Worksheet) -> Iterable[tuple[Any, ...]]:
    return sheet.iter_rows()


def _grid(sheet: Worksheet, saved: Worksheet) -> Grid:
    """A sheet as rows of cells; a cell that stands for several by merging is in trouble if it holds something."""
    merged = {(area.min_row, area.min_col): str(area) for area in sheet.merged_cells.ranges}
    return Grid(
        sheet.title,
        [
            [
                _cell(cell, with_value.value, merged.get((cell.row, cell.column)))
                for cell, with_value in zip(row, row_saved, strict=True)
            ]
            for row, row_saved in zip(_rows(sheet), _rows(saved), strict=True)
        ],
    )


def _cell(cell: Any, saved: Any, merged: str | None) -> Cell | None:
    if cell.value is None or (isinstance(cell.value, str) and not cell.value.strip()):
        return None
    if cell.data_type == "f" and saved is None:
        formula = cell.value if isinstance(cell.value, str) else "formula"
        return Cell(formula, trouble=("is a formula without a saved value.", "Paste it as a value."))
    text = _text(saved)
    if merged:
        return Cell(text, trouble=(f"is merged over {merged}.", "Unmerge it and fill in each cell."))
    if cell.data_type == "e" or (cell.data_type == "f" and text.startswith("#")):
        return Cell(text, trouble=("is an error of the spreadsheet.", "Type the value."))
    return Cell(text, is_date=isinstance(saved, date | datetime))


def _text(value: Any) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float):
        return plain_figure(value)
    if isinstance(value, date | datetime):
        return value.isoformat()
    return str(value).replace("_x005F_", "_")
