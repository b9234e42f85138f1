from __future__ import annotations

import csv
import zipfile
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from openpyxl import Workbook, load_workbook

from trimwright.errors import BadInput, Problem, UnreadableFile
from trimwright.facts.trade import Trade
from trimwright.job.document import Job
from trimwright.job.survey import Reading, read_sheet, write_sheet

FORMS = ("sheet.xlsx", "sheet.csv")
Change = Callable[[Workbook], object]
Rewrite = Callable[[Change], Reading]


def column(sheet: Any, header: str) -> int:
    return next(number for number, cell in enumerate(sheet[1], 1) if cell.value == header)


def put(book: Workbook, sheet: str, row: int, header: str, value: Any) -> str:
    """Write a cell by its header; gives the address that a message would name."""
    cell = book[sheet].cell(row, column(book[sheet], header))
    cell.value = value
    return f"{sheet}!{cell.coordinate}"


def say(book: Workbook, item: str, value: Any) -> str:
    """Fill in a line of the Job table."""
    row = next(number for number, cell in enumerate(book["Job"]["A"], 1) if cell.value == item)
    return put(book, "Job", row, "Value", value)


@pytest.fixture
def rewrite(job: Job, trade: Trade, tmp_path: Path) -> Rewrite:
    """Write the sheet, let another hand change it, read it back."""

    def changed(change: Change) -> Reading:
        path = tmp_path / "sheet.xlsx"
        write_sheet(job, trade, path)
        book = load_workbook(path)
        change(book)
        book.save(path)
        return read_sheet(path, job, trade)

    return changed


def refused(rewrite: Rewrite, change: Change) -> tuple[Problem, ...]:
    with pytest.raises(BadInput) as caught:
        rewrite(change)
    return caught.value.problems


# There and back.


@pytest.mark.parametrize("form", FORMS)
@pytest.mark.parametrize("units", ["metric", "US customary"])
def test_a_job_comes_back_from_its_sheet_whole(
    form: str, units: str, job: Job, bare: Job, trade: Trade, tmp_path: Path
) -> None:
    """Read over a job that shares nothing with it, so that everything has to come from the sheet."""
    job = job.model_copy(update={"car": job.car.model_copy(update={"units": units})})
    write_sheet(job, trade, tmp_path / form)
    reading = read_sheet(tmp_path / form, bare, trade)
    assert reading.job == job
    assert [remark.value for remark in reading.remarks] == ["z"]


@pytest.mark.parametrize("form", FORMS)
def test_the_barest_job_comes_back_too(form: str, job: Job, bare: Job, trade: Trade, tmp_path: Path) -> None:
    write_sheet(bare, trade, tmp_path / form)
    assert read_sheet(tmp_path / form, job, trade).job == bare


TEXTS = st.text(st.characters(exclude_categories=["Cs", "Cc"]), max_size=30) | st.sampled_from(
    [
        "=1+1",
        "+1",
        "-1",
        "@x",
        "'=1",
        "''",
        "#N/A",
        "TRUE",
        "1e5",
        "007",
        "_x0041_",
        "[Parts]",
        "a\n=b",
        ' "q", ',
        "\tx",
        "yes",
    ]
)


@settings(max_examples=30, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    note=TEXTS,
    colour=TEXTS,
    area=st.integers(1, 20_000_000),
    length=st.integers(1, 50_000),
    price=st.integers(0, 10**12),
    amount=st.floats(1e-9, 10_000, exclude_min=True),
    units=st.sampled_from(["metric", "US customary"]),
)
def test_any_writing_and_every_figure_come_back(
    note: str, colour: str, area: int, length: int, price: int, amount: float, units: str,
    raw: dict[str, Any], bare: Job, trade: Trade, tmp_path: Path,
) -> None:  # fmt: skip
    part = raw["parts"][0] | {"notes": note, "area_mm2": area, "length_mm": length}
    part["offers"] = [{"source": "new", "low": price, "likely": price, "high": price, "seller": " ".join(note.split())}]
    job = Job.from_plain(
        raw
        | {
            "car": raw["car"] | {"units": units},
            "parts": [part, *raw["parts"][1:]],
            "stock": [{"material": "dye", "colour": " ".join(colour.split()), "amount": amount}],
        }
    )
    for form in FORMS:
        write_sheet(job, trade, tmp_path / form)
        assert read_sheet(tmp_path / form, bare, trade).job == job


def test_no_text_is_ever_a_formula(job: Job, trade: Trade, tmp_path: Path) -> None:
    write_sheet(job, trade, tmp_path / "sheet.xlsx")
    cells = [cell for sheet in load_workbook(tmp_path / "sheet.xlsx") for row in sheet.iter_rows() for cell in row]
    risky = [cell for cell in cells if isinstance(cell.value, str) and cell.value[:1] in "=+-@"]
    assert len(risky) >= 4
    assert all(cell.data_type == "s" and cell.quotePrefix for cell in risky)
    write_sheet(job, trade, tmp_path / "sheet.csv")
    with (tmp_path / "sheet.csv").open(encoding="utf-8-sig", newline="") as file:
        assert not [cell for row in csv.reader(file) for cell in row if cell[:1] in ("=", "+", "-", "@", "\t")]


def test_the_workbook_helps_to_fill_it_in(job: Job, trade: Trade, tmp_path: Path) -> None:
    write_sheet(job, trade, tmp_path / "sheet.xlsx")
    book = load_workbook(tmp_path / "sheet.xlsx")
    sheet = book["Parts"]
    assert sheet.freeze_panes == "D2"
    assert [cell.value for cell in sheet[1]][8:11] == ["Area [m²]", "Length [m]", "Finish now"]
    assert "Restraint part" in str(sheet.cell(4, column(sheet, "Help")).value)

    def choices(address: str) -> list[Any]:
        [found] = [
            each for each in sheet.data_validations.dataValidation if each.type == "list" and address in each.sqref
        ]
        letter, last = found.formula1.split("$")[1], int(found.formula1.split("$")[-1])
        return [book["Lists"][f"{letter}{row}"].value for row in range(1, last + 1)]

    assert choices("G2") == ["leather", "cloth"]
    assert choices("K3") == list(range(11))
    assert choices("L2") == ["dirty, shiny with grease [L_dirty]", "torn (seam) [L_torn]"]
    assert choices("L3") == ["loose [A_loose]"]
    assert choices("L5") == ["loose [A_loose]"]


# What people do to it.


def test_sizes_are_read_in_any_unit(rewrite: Rewrite) -> None:
    def change(book: Workbook) -> None:
        put(book, "Parts", 2, "Area [m²]", "3.2 sq ft")
        put(book, "Parts", 2, "Length [m]", "41 in")
        put(book, "Parts", 3, "Area [m²]", "0,5")
        put(book, "Offers", 2, "High [KWD]", "1,000.5")
        say(book, "How sure", "85 %")
        say(book, "Hours on hand", "6 h 30")

    job = rewrite(change).job
    assert (job.parts[0].area_mm2, job.parts[0].length_mm, job.parts[1].area_mm2) == (297_290, 1041, 500_000)
    assert job.parts[0].offers[0].high == 1_000_500
    assert (job.money.sure, job.time.hours) == (0.85, 6.5)


def test_a_bare_figure_has_the_unit_of_its_header(rewrite: Rewrite) -> None:
    def change(book: Workbook) -> None:
        put(book, "Parts", 1, "Area [m²]", "area  [sq ft]")
        book["Parts"]["I2"], book["Parts"]["I3"], book["Parts"]["I4"] = 3.2, None, 4

    job = rewrite(change).job
    assert job.parts[0].area_mm2 == 297_290
    assert job.parts[2].area_mm2 == 371_612


def test_columns_may_change_places(rewrite: Rewrite, job: Job) -> None:
    def change(book: Workbook) -> None:
        sheet = book["Parts"]
        rows = [[cell.value for cell in row] for row in sheet.iter_rows()]
        sheet.delete_cols(1, sheet.max_column)
        for number, row in enumerate(rows, 1):
            for index, value in enumerate(reversed(row), 1):
                cell = sheet.cell(number, index)
                cell.value = value
                cell.data_type = "s" if isinstance(value, str) else cell.data_type

    assert rewrite(change).job == job


def test_parts_keep_what_a_missing_column_would_say(rewrite: Rewrite, job: Job) -> None:
    def change(book: Workbook) -> None:
        for header in ("Colour", "Must do", "Notes", "Zone"):
            book["Parts"].delete_cols(column(book["Parts"], header))
        del book["Stock"], book["Events"]

    reading = rewrite(change)
    assert reading.job == job
    assert [remark.what.split("'")[1] for remark in reading.remarks] == ["Colour", "Must do", "Notes"]


def test_columns_and_sheets_of_ones_own_are_left_out_and_said_so(rewrite: Rewrite, job: Job) -> None:
    def change(book: Workbook) -> None:
        book["Parts"]["AZ1"], book["Parts"]["AZ2"], book["Parts"]["BA3"] = "Ask Sam", "tomorrow", "headless"
        book.create_sheet("Shopping")["A1"] = "milk"

    reading = rewrite(change)
    assert reading.job == job
    assert [remark.where for remark in reading.remarks] == ["Shopping", "Parts!AZ1", "Parts!BA1"]


def test_a_misspelt_header_is_no_column_of_ones_own(rewrite: Rewrite) -> None:
    found = refused(rewrite, lambda book: put(book, "Parts", 1, "Finish now", "Finnish now"))
    assert found[0] == Problem("Parts!K1", "Finnish now", "is no column of this table.", "Did you mean 'Finish now'?")


def test_a_title_above_the_table_and_empty_rows_in_it_do_no_harm(rewrite: Rewrite, job: Job) -> None:
    def change(book: Workbook) -> None:
        book["Parts"].insert_rows(1, 2)
        book["Parts"]["A1"] = "Walk-round"
        book["Parts"].merge_cells("A1:F1")
        book["Parts"].insert_rows(5)

    assert rewrite(change).job == job


def test_a_new_row_needs_only_its_kind(rewrite: Rewrite) -> None:
    def change(book: Workbook) -> None:
        for number, place in ((7, None), (8, "rear_driver"), (9, "rear_driver")):
            put(book, "Parts", number, "Kind", "armrest")
            put(book, "Parts", number, "Place", place)

    new = rewrite(change).job.parts[5:]
    assert [part.id for part in new] == ["armrest", "armrest.rear_driver", "armrest.rear_driver-2"]
    assert {(part.name, part.material) for part in new} == {("Door armrest", "vinyl")}


def test_a_row_taken_out_takes_the_part_out(rewrite: Rewrite) -> None:
    def change(book: Workbook) -> None:
        book["Parts"].delete_rows(5)

    reading = rewrite(change)
    assert "knob" not in {part.id for part in reading.job.parts}
    assert [(remark.where, remark.value) for remark in reading.remarks] == [("Parts", "knob")]


def test_numbers_as_text_and_ticks_are_read(rewrite: Rewrite) -> None:
    def change(book: Workbook) -> None:
        put(book, "Parts", 2, "Finish now", "7")
        put(book, "Parts", 2, "Missing fixings", 4.0)
        put(book, "Parts", 3, "Colour", 7016)
        put(book, "Parts", 3, "Must do", True)
        put(book, "Parts", 3, "Fault 2", "A_loose")
        put(book, "Parts", 3, "How bad 2", "Light")
        say(book, "Wanted by", datetime(2026, 5, 31))  # noqa: DTZ001 a spreadsheet knows no zones

    job = rewrite(change).job
    assert (job.parts[0].finish_now, job.parts[0].missing, job.parts[1].colour) == (7, 4, "7016")
    assert "cushion.passenger" in job.wishes.must_do
    assert [(each.fault, each.extent) for each in job.parts[1].faults] == [("A_loose", "light")]
    assert str(job.time.wanted_by) == "2026-05-31"


# What cannot be read.


def test_every_mistake_is_told_at_once_by_cell(rewrite: Rewrite) -> None:
    where: dict[str, str] = {}

    def change(book: Workbook) -> None:
        where["area"] = put(book, "Parts", 2, "Area [m²]", "4000 m2")
        where["negative"] = put(book, "Parts", 3, "Area [m²]", -3)
        where["nan"] = put(book, "Parts", 3, "Length [m]", "NaN")
        where["finish"] = put(book, "Parts", 4, "Finish now", 11)
        where["half"] = put(book, "Parts", 5, "Finish now", 4.5)
        where["bad"] = put(book, "Parts", 2, "How bad 1", "terrible")
        where["alone"] = put(book, "Parts", 5, "Fault 1", "A_loose").replace("L5", "M5")
        where["place"] = put(book, "Parts", 2, "Place", "boot")
        where["twice"] = put(book, "Parts", 3, "Id", "cushion.driver")
        where["count"] = put(book, "Parts", 4, "Count", 0)
        where["sum"] = say(book, "The sum", "two thousand")
        where["currency"] = say(book, "Currency", "LEATHER")
        where["line"] = put(book, "Job", 5, "Item", "Yeer")
        where["ghost"] = put(book, "Offers", 2, "Part id", "cushion.drivr")
        where["falls"] = put(book, "Offers", 3, "High [KWD]", 0.001).replace("E3", "A3")
        where["zone"] = put(book, "Zones", 2, "Weight", 9)
        where["rate"] = put(book, "Rates", 2, "Currency", "XYZW")
        where["when"] = put(book, "Events", 2, "When", "yesterday")

    found = {problem.where: problem for problem in refused(rewrite, change)}
    assert {name for name, cell in where.items() if cell not in found} == set()
    assert all(problem.what for problem in found.values())
    assert found[where["ghost"]].way_out == "Did you mean 'cushion.driver'?"
    assert str(found[where["area"]]) == (
        "Parts!I2: '4000 m2' is more than any cabin part has (at most 20 m²). Check the unit."
    )
    assert len(found) == len(where)


def test_dates_merged_cells_and_errors_of_the_spreadsheet_are_refused(rewrite: Rewrite) -> None:
    def change(book: Workbook) -> None:
        put(book, "Parts", 2, "Colour", datetime(2026, 3, 4))  # noqa: DTZ001 a spreadsheet knows no zones
        book["Parts"].merge_cells("K3:K4")
        book["Parts"]["K3"] = 4
        put(book, "Parts", 4, "Colour", "#REF!")
        book["Parts"]["H4"].data_type = "e"

    assert {(each.where, each.what) for each in refused(rewrite, change)} == {
        ("Parts!H2", "was made a date by the program it was typed in."),
        ("Parts!K3", "is merged over K3:K4."),
        ("Parts!H4", "is an error of the spreadsheet."),
    }


def test_a_formula_without_a_saved_value_is_refused(rewrite: Rewrite) -> None:
    [problem] = refused(rewrite, lambda book: put(book, "Parts", 2, "Area [m²]", "=0.5*0.6"))
    assert (problem.where, problem.value) == ("Parts!I2", "=0.5*0.6")


def test_a_formula_counts_as_the_value_saved_with_it(job: Job, trade: Trade, tmp_path: Path) -> None:
    """openpyxl saves no values, so the saved value is put into the package by hand, as a spreadsheet program would."""
    path = tmp_path / "sheet.xlsx"
    write_sheet(job, trade, path)
    book = load_workbook(path)
    put(book, "Parts", 2, "Area [m²]", "=0.5*0.6")
    book.save(path)
    with zipfile.ZipFile(path) as package:
        members = {name: package.read(name) for name in package.namelist()}
    with zipfile.ZipFile(path, "w") as package:
        for name, data in members.items():
            package.writestr(name, data.replace(b"<f>0.5*0.6</f><v />", b"<f>0.5*0.6</f><v>0.3</v>"))
    assert read_sheet(path, job, trade).job.parts[0].area_mm2 == 300_000


def test_a_currency_changed_in_one_place_only_is_refused(rewrite: Rewrite) -> None:
    found = refused(rewrite, lambda book: say(book, "Currency", "EUR"))
    assert {"Offers!C1", "Offers!D1", "Offers!E1", "Offers!F1"} <= {problem.where for problem in found}


def test_a_column_that_tells_entries_apart_must_be_there(rewrite: Rewrite) -> None:
    def change(book: Workbook) -> None:
        book["Parts"].delete_cols(1)
        book["Offers"].delete_cols(3)

    found = refused(rewrite, change)
    assert {(each.where, each.what) for each in found} >= {
        ("Parts", "has no column 'Id'."),
        ("Offers", "has no column 'Low'."),
    }


def test_more_than_a_thousand_parts_are_refused(rewrite: Rewrite) -> None:
    def change(book: Workbook) -> None:
        for number in range(7, 1200):
            book["Parts"].cell(number, column(book["Parts"], "Kind")).value = "knob"

    assert any("more than 1000 entries" in problem.what for problem in refused(rewrite, change))


def zip_bomb(path: Path) -> None:
    with (
        zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as package,
        package.open("xl/worksheets/sheet1.xml", "w") as member,
    ):
        for _ in range(60):
            member.write(bytes(1_000_000))


def large(path: Path) -> None:
    with path.open("wb") as file:
        file.truncate(60_000_000)


def cut_in_half(path: Path) -> None:
    Workbook().save(path)
    path.write_bytes(path.read_bytes()[: path.stat().st_size // 2])


def other_zip(path: Path) -> None:
    with zipfile.ZipFile(path, "w") as package:
        package.writestr("readme.txt", "no workbook")


def other_workbook(path: Path) -> None:
    Workbook().save(path)


def far_cell(path: Path) -> None:
    book = Workbook()
    book.worksheets[0]["XFD1048576"] = 1
    book.save(path)


@pytest.mark.parametrize(
    ("make", "told"),
    [
        (large, "larger than 10 MB"),
        (zip_bomb, "unpacks into more than 40 MB"),
        (cut_in_half, "is no workbook"),
        (other_zip, "is no workbook"),
        (other_workbook, "none of the tables"),
        (far_cell, "beyond row 5,000"),
        (lambda path: path.write_bytes(bytes.fromhex("D0CF11E0A1B11AE1") + bytes(600)), "locked with a password"),
        (lambda path: path.write_text("Id,Part"), "is no workbook"),
        (lambda path: path.write_bytes(b""), "is no workbook"),
        (lambda _path: None, "cannot be read"),
    ],
)
def test_what_is_no_survey_workbook_is_refused(
    make: Callable[[Path], object], told: str, job: Job, trade: Trade, tmp_path: Path
) -> None:
    make(tmp_path / "sheet.xlsx")
    with pytest.raises(UnreadableFile, match=told) as caught:
        read_sheet(tmp_path / "sheet.xlsx", job, trade)
    assert all(problem.way_out for problem in caught.value.problems)


@pytest.mark.parametrize(
    ("data", "told"),
    [
        (b"", "none of the tables"),
        (b"\xff\xfe\x00", "no UTF-8"),
        (b"a,b,c\n1,2,3\n", "none of the tables"),
        (b"[Job]\nItem,Value\n" + b"x" * 200_000 + b",1\n", "no CSV"),
    ],
)
def test_what_is_no_survey_csv_is_refused(data: bytes, told: str, job: Job, trade: Trade, tmp_path: Path) -> None:
    (tmp_path / "sheet.csv").write_bytes(data)
    with pytest.raises(UnreadableFile, match=told):
        read_sheet(tmp_path / "sheet.csv", job, trade)


def test_a_csv_too_large_or_missing_is_refused(job: Job, trade: Trade, tmp_path: Path) -> None:
    large(tmp_path / "large.csv")
    for name, told in (("large.csv", "larger than 20 MB"), ("none.csv", "cannot be read")):
        with pytest.raises(UnreadableFile, match=told):
            read_sheet(tmp_path / name, job, trade)


@pytest.mark.parametrize(("sign", "decimal"), [(";", ","), ("\t", ".")])
def test_csv_of_another_country_is_read(
    sign: str, decimal: str, job: Job, bare: Job, trade: Trade, tmp_path: Path
) -> None:
    path = tmp_path / "sheet.csv"
    write_sheet(job, trade, path)
    with path.open(encoding="utf-8-sig", newline="") as file:
        rows = list(csv.reader(file))
    for row in rows:
        row[:] = [cell.replace(".", decimal) if cell == "0.654321" else cell for cell in row]
    with path.open("w", encoding="utf-8", newline="") as file:
        csv.writer(file, delimiter=sign).writerows(rows)
    assert read_sheet(path, bare, trade).job == job


def test_csv_mistakes_are_told_by_the_cell_a_spreadsheet_shows(job: Job, trade: Trade, tmp_path: Path) -> None:
    path = tmp_path / "sheet.csv"
    write_sheet(job, trade, path)
    path.write_text(path.read_text("utf-8-sig").replace("0.654321", "4000 m2"), "utf-8")
    with pytest.raises(BadInput) as caught:
        read_sheet(path, job, trade)
    with path.open(encoding="utf-8", newline="") as file:
        row = next(number for number, cells in enumerate(csv.reader(file), 1) if "4000 m2" in cells)
    assert caught.value.problems[0].where == f"Parts!I{row}"


def test_another_form_is_refused(job: Job, trade: Trade, tmp_path: Path) -> None:
    with pytest.raises(BadInput, match=r"\.xlsx or \.csv"):
        write_sheet(job, trade, tmp_path / "sheet.ods")
