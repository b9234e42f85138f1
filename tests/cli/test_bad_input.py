"""What a person can do wrong on the command line; and where each kind of bad input is tested."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from tests.cli.conftest import Trimwright
from tests.plan.small_cabin import CUSHION, KNOB, small_job
from trimwright.job.files import job_bytes, write_job

ROOT = Path(__file__).parents[2]

MET: dict[str, tuple[str, ...]] = {
    "unknown part": ("job/test_check.py::test_what_the_facts_do_not_know_is_a_problem",
                     "cli/test_bad_input.py::test_every_option_is_looked_at"),
    "unknown treatment": ("job/test_check.py::test_what_the_facts_do_not_know_is_a_problem",
                          "cli/test_bad_input.py::test_pins_that_cannot_be"),
    "unknown unit": ("test_units.py::test_sizes_that_cannot_be_are_refused",
                     "job/test_survey.py::test_every_mistake_is_told_at_once_by_cell"),
    "unknown currency": ("job/test_files.py::test_money_that_is_none_is_refused",
                         "test_units.py::test_a_code_that_no_shop_prices_in_is_refused",
                         "cli/test_walk_round.py::test_all_that_is_wrong_with_a_new_job_is_told"),
    "negative or absurd sizes": ("job/test_files.py::test_absurd_sizes_are_refused",
                                 "test_units.py::test_sizes_that_cannot_be_are_refused",
                                 "job/test_check.py::test_what_is_odd_is_a_remark"),
    "a sum of 0": ("plan/verdicts/test_decide.py::test_a_sum_of_nothing_leaves_everything_or_is_short",
                   "cli/test_bad_input.py::test_a_sum_of_nothing_is_short_or_leaves_everything"),
    "a sum in words": ("test_units.py::test_what_is_no_sum_or_could_be_read_two_ways_is_refused",
                       "cli/test_bad_input.py::test_every_option_is_looked_at"),
    "a cycle added to access": ("facts/test_access.py::test_a_circle_is_named",),
    "a pin on a banned course": ("cli/test_bad_input.py::test_pins_that_cannot_be",
                                 "plan/quantities/test_safety.py::test_a_pin_never_beats_a_ban_of_safety"),
    "a currency without decimals": ("cli/test_decide.py::test_a_currency_without_decimals_is_reckoned_whole",
                                    "test_units.py::test_decimals_of_a_currency_are_those_of_iso_4217"),
    "a sheet with merged cells, dates or formulas": (
        "job/test_survey.py::test_dates_merged_cells_and_errors_of_the_spreadsheet_are_refused",
        "job/test_survey.py::test_a_formula_without_a_saved_value_is_refused",
        "job/test_survey.py::test_a_formula_counts_as_the_value_saved_with_it"),
    "a 60 MB sheet or a zip bomb": ("job/test_survey.py::test_what_is_no_survey_workbook_is_refused",
                                    "job/test_survey.py::test_a_csv_too_large_or_missing_is_refused"),
    "a job file cut in half": ("job/test_files.py::test_a_file_cut_in_half_says_so",
                               "cli/test_bad_input.py::test_a_job_file_that_is_none"),
    "a newer format": ("job/test_upgrades.py::test_a_newer_job_is_refused_with_both_numbers",
                       "cli/test_bad_input.py::test_a_job_file_that_is_none"),
    "a duplicate id": ("job/test_files.py::test_a_duplicate_id_is_told_beside_other_mistakes",
                       "cli/test_bad_input.py::test_a_job_file_that_is_none"),
    "5,000 parts": ("job/test_files.py::test_five_thousand_parts_are_refused",
                    "cli/test_bad_input.py::test_a_job_file_that_is_none"),
    "NaN and infinity": ("job/test_files.py::test_nan_and_infinity_are_refused_by_place",
                         "cli/test_bad_input.py::test_every_option_is_looked_at",
                         "cli/test_bad_input.py::test_a_job_file_that_is_none"),
    "names with markup, emoji, right-to-left text": (
        "cli/test_bad_input.py::test_any_name_goes_through_every_command",
        "papers/test_papers.py::test_any_name_prints_without_a_warning",
        "job/test_survey.py::test_any_writing_and_every_figure_come_back"),
    "names of 10,000 characters": ("cli/test_bad_input.py::test_a_job_file_that_is_none",
                                   "cli/test_bad_input.py::test_any_name_goes_through_every_command",
                                   "job/test_files.py::test_notes_hold_ten_thousand_characters"),
}  # fmt: skip
"""Every kind of bad input that must be met, and the tests that meet it."""


@pytest.mark.parametrize("kind", MET)
def test_each_kind_of_bad_input_has_its_test(kind: str) -> None:
    for test in MET[kind]:
        path, _, name = test.partition("::")
        assert f"def {name}(" in (ROOT / "tests" / path).read_text(encoding="utf-8"), test


# ---- options -----------------------------------------------------------------------------------------------------


def test_every_option_is_looked_at(trimwright: Trimwright, small: Path) -> None:
    options = ("--sum", "two thousand", "--sure", "2", "--hours", "nan", "--pin", "cushon=leave", "--pin", "knob")
    ran = trimwright("decide", small, *options)
    assert (ran.code, ran.out) == (2, "")
    first, *problems = ran.err.splitlines()
    assert first == "5 problems:"
    assert [each.split(":")[0].strip() for each in problems] == ["--sum", "--sure", "--hours", "--pin", "--pin"]
    assert "Did you mean 'cushion'?" in ran.err


@pytest.mark.parametrize(
    "option", [("--sum", "nan"), ("--sum", "-5"), ("--sum", ""), ("--sure", "inf"), ("--hours", "-1")]
)
def test_figures_that_are_none(trimwright: Trimwright, small: Path, option: tuple[str, str]) -> None:
    ran = trimwright("decide", small, *option)
    assert ran.code == 2
    assert ran.err.startswith(f"1 problem:\n  {option[0]}: ")


def test_a_sum_of_nothing_is_short_or_leaves_everything(trimwright: Trimwright, small: Path, tmp_path: Path) -> None:
    assert trimwright("decide", small, "--sum", "0").code == 3
    calm = tmp_path / "calm.json"
    parts = [{**part.model_dump(mode="json"), "pin": None} for part in small_job().parts if part.id != "belt"]
    write_job(small_job(parts=parts), calm)
    ran = trimwright("decide", calm, "--sum", "0", "--json")
    assert ran.code == 0
    assert ran.json["money"]["firm"] == 0


@pytest.mark.parametrize(
    ("pin", "told"),
    [
        (f"{KNOB}=knob_polishing", "is no treatment the trade knows"),
        ("belt=leather_recover", "The courses there are"),
        (f"{KNOB}=leave", "pinned and banned at once"),
        (f"{KNOB}=", "Write PART=COURSE"),
        (f"{KNOB}=two words", "--pin"),
    ],
)
def test_pins_that_cannot_be(trimwright: Trimwright, tmp_path: Path, pin: str, told: str) -> None:
    job = tmp_path / "job.json"
    parts = [part.model_dump(mode="json") for part in small_job().parts]
    for part in parts:
        if part["id"] == KNOB:
            part["bans"] = ["leave"]
    write_job(small_job(parts=parts), job)
    ran = trimwright("decide", job, "--pin", pin)
    assert ran.code == 2
    assert told in ran.err


def test_one_part_is_not_pinned_twice(trimwright: Trimwright, small: Path) -> None:
    ran = trimwright("decide", small, "--pin", f"{KNOB}=leave", "--pin", f"{KNOB}=used_fit")
    assert ran.code == 2
    assert "is pinned to leave and to used_fit" in ran.err


@pytest.mark.parametrize(
    "line",
    [
        ["decide"],
        ["paint"],
        ["decide", "small.json", "--loud"],
        ["decide", "small.json", "--hours", "many"],
        ["new", "a.json", "--body", "tricycle"],
    ],
)
def test_a_line_that_cannot_be_read_says_how_it_goes(trimwright: Trimwright, small: Path, line: list[str]) -> None:
    assert small.exists()
    ran = trimwright(*line)
    assert ran.code == 2
    assert ran.err.startswith("Usage: trimwright")
    assert "--help" in ran.err
    assert "Error: " in ran.err


# ---- files -------------------------------------------------------------------------------------------------------


def _spoilt(how: str) -> bytes:
    raw: dict[str, Any] = json.loads(job_bytes(small_job()))
    match how:
        case "cut in half":
            whole = job_bytes(small_job())
            return whole[: len(whole) // 2]
        case "newer format":
            raw["format"] = 99
        case "duplicate id":
            raw["parts"][1]["id"] = raw["parts"][0]["id"]
        case "5,000 parts":
            raw["parts"] = [{**raw["parts"][2], "id": f"knob-{number}"} for number in range(5000)]
        case "not a number":
            raw["money"]["sure"] = float("nan")
        case "a name too long":
            raw["parts"][0]["name"] = "x" * 10_000
        case "a name of control characters":
            raw["parts"][0]["name"] = "\x1b[2J\x07"
    return json.dumps(raw).encode()


@pytest.mark.parametrize(
    ("how", "told"),
    [
        ("cut in half", "in the middle of the job"),
        ("newer format", "99"),
        ("duplicate id", "is the id of 2 parts"),
        ("5,000 parts", "has more than 1000 entries"),
        ("not a number", "money › sure"),
        ("a name too long", "is longer than 200 characters"),
        ("a name of control characters", "control character"),
    ],
)
def test_a_job_file_that_is_none(trimwright: Trimwright, tmp_path: Path, how: str, told: str) -> None:
    job = tmp_path / "job.json"
    job.write_bytes(_spoilt(how))
    for command in ("check", "decide", "buy", "papers"):
        ran = trimwright(command, job)
        assert (ran.code, ran.out) == (2, "")
        assert told in ran.err
        assert len(ran.err) < 2000
        assert "\x1b" not in ran.err


def test_places_that_cannot_be_written(trimwright: Trimwright, small: Path) -> None:
    for line in (
        ("decide", small, "--mps", "no folder/model.mps"),
        ("decide", small, "--mps", "model.txt"),
        ("buy", small, "--out", "no folder/list.csv"),
        ("papers", small, small),
        ("sheet", small, "no folder/sheet.csv"),
        ("new", "no folder/a.json", "--car", "a van", "--body", "van", "--year", "1990", "--sum", "100"),
    ):
        ran = trimwright(*line)
        assert ran.code == 2, line
        assert ran.err.startswith("1 problem:\n"), line
    assert trimwright("buy", small, "--out", "list.doc").code == 2
    assert trimwright("check", "nowhere.json").code == 2


NAMES = [
    "[bold red]Cushion[/bold red] #set page(width: 1cm) $x^2$ <b>&amp;</b>",
    "Sitz 🪡🧵 für vorn",
    "מושב הנהג، مقعد السائق",
    "=HYPERLINK(1)",
    "x" * 200,
    ":smile: \\[a]",
]


@pytest.mark.parametrize("name", NAMES, ids=["markup", "emoji", "right to left", "formula", "long", "shortcode"])
def test_any_name_goes_through_every_command(trimwright: Trimwright, tmp_path: Path, name: str) -> None:
    """Told in full, never taken for markup, a formula or a command of the terminal; notes hold 10,000 characters."""
    job = tmp_path / "job.json"
    parts = [part.model_dump(mode="json") for part in small_job().parts]
    for part in parts:
        if part["id"] in (CUSHION, KNOB):
            part |= {"name": name, "notes": name * (10_000 // len(name))}
    write_job(small_job(name=name, parts=parts), job)
    table = trimwright("decide", job)
    assert table.code == 0, table.err
    assert "".join(name.split())[:12] in "".join(table.out.split())
    assert trimwright("buy", job, "--out", "list.csv").code == 0
    listed = (tmp_path / "list.csv").read_text(encoding="utf-8-sig")
    assert name.replace('"', '""') in listed
    assert f",{name}" not in listed or not name.startswith("=")
    assert trimwright("papers", job, "papers").code == 0
    assert trimwright("sheet", job, "sheet.csv").code == 0
    before = job.read_bytes()
    assert trimwright("sheet", job, "sheet.csv", "--read").code == 0
    assert job.read_bytes() == before


@pytest.mark.skipif(os.name == "nt", reason="pipes close otherwise there")
def test_a_pipe_that_closes_early_is_no_error_worth_a_word() -> None:
    command = f"{sys.executable} -m trimwright facts treatments --json | head -n 1"
    done = subprocess.run(["sh", "-c", command], capture_output=True, text=True, check=False, timeout=60)
    assert (done.stdout, done.stderr) == ("{\n", "")
