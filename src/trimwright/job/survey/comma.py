"""The survey sheet as one CSV file: every table under its name in square brackets, a blank line between.

One file rather than a folder or an archive: it opens in any spreadsheet program and any text editor, it can be mailed,
and there is nothing to pack again. Text that a spreadsheet would take for a formula gets an apostrophe in front, which
reading takes off again.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable
from pathlib import Path

from trimwright.errors import Problem, UnreadableFile
from trimwright.facts.trade import Trade
from trimwright.job.document import Job
from trimwright.job.json_file import file_bytes
from trimwright.job.survey import layout
from trimwright.job.survey.cells import Shown, Terms, plain_figure
from trimwright.job.survey.filled import job_lines, tables
from trimwright.job.survey.grids import Cell, Grid
from trimwright.job.survey.read import Reading, read_grids

_TABLE = re.compile(r"\[([A-Za-z ]+)\]")


def write_csv(job: Job, trade: Trade, path: Path) -> None:
    """Write the sheet for `job`; UTF-8 with a mark that spreadsheet programs know it by."""
    terms = Terms(job.money.currency, job.car.units)
    with path.open("w", encoding="utf-8-sig", newline="") as file:
        out = csv.writer(file)
        out.writerow(["[Job]"])
        out.writerow([column.header for column in layout.JOB])
        for item, value in job_lines(job):
            shown = None if value is None else item.kind.show(value, terms)
            out.writerow([_written(each) for each in (item.name, shown, item.help)])
        for table in tables(job, trade):
            out.writerow([])
            out.writerow([f"[{table.name}]"])
            out.writerow([column.headed(terms) for column in table.columns])
            for row in table.rows:
                values = ((column.kind, row.get(column.field)) for column in table.columns)
                out.writerow([_written(None if value is None else kind.show(value, terms)) for kind, value in values])


def read_csv(path: Path, job: Job, trade: Trade) -> Reading:
    """The job as the file tells it, `job` being what it does not show; BadInput with every mistake in it.

    Cells are named as a spreadsheet program shows the file: by the table, the column's letter and the row.
    """
    data = file_bytes(path, "sheet")
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise UnreadableFile(Problem(path.name, "", "is no UTF-8 text.", "Save it as CSV UTF-8.")) from None
    try:
        rows = list(csv.reader(io.StringIO(text, newline=""), delimiter=_delimiter(text)))
    except csv.Error as error:
        raise UnreadableFile(Problem(path.name, "", f"is no CSV file ({error}).", "Save it as CSV UTF-8.")) from None
    return read_grids(_grids(rows), job, trade)


def _grids(rows: Iterable[list[str]]) -> list[Grid]:
    """The tables of the file; what stands above the first is nobody's."""
    found: list[tuple[str, int, list[list[Cell | None]]]] = []
    for number, row in enumerate(rows, 1):
        named = _TABLE.fullmatch(row[0].strip()) if row and not any(row[1:]) else None
        if named:
            found.append((named[1], number + 1, []))
        elif found:
            found[-1][2].append([_cell(value) for value in row])
    return [Grid(name, cells, first) for name, first, cells in found]


def _cell(value: str) -> Cell | None:
    if re.match(r"'+[=+\-@\[\t]", value):
        value = value[1:]
    return Cell(value) if value.strip() else None


def _written(value: Shown) -> str:
    """A value as it stands in the file, made harmless where a spreadsheet would run it or take it for a table."""
    if value is None:
        return ""
    if isinstance(value, int | float):
        return plain_figure(value)
    return f"'{value}" if re.match(r"'*[=+\-@\[\t]", value) else value


def _delimiter(text: str) -> str:
    """The sign between cells, by the header of the first table: programs abroad write ';' or a tab."""
    head = re.search(r"^\W*Item\W.*$", text, re.MULTILINE) or re.search(r"^.*\bId\b.*$", text, re.MULTILINE)
    return max(",;\t", key=head[0].count) if head else ","
