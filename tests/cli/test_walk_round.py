"""From an empty folder to a surveyed job: new, sheet, check, and the facts beside them."""

from __future__ import annotations

import csv
import json
from pathlib import Path

import pytest

from tests.cli.conftest import Trimwright
from trimwright.facts import load
from trimwright.facts.telling import entries, tables
from trimwright.job.document import Job
from trimwright.job.files import read_job

WHOLE = ("--car", "van from a farm", "--body", "van", "--year", "1988", "--sum", "1,200")


def test_a_new_job_asks_for_what_is_not_given(trimwright: Trimwright, tmp_path: Path) -> None:
    """A wrong answer is asked again; the body may be typed as it is spoken."""
    ran = trimwright("new", "car.json", typed="blue coupe\ntricycle\nTwo door\nold\n1994\nusd\n2,400\n")
    assert ran.code == 0, ran.err
    assert ran.out.strip().startswith("car.json: ")
    job = read_job(tmp_path / "car.json")
    assert (job.car.text, job.car.body, job.car.year) == ("blue coupe", "two-door", 1994)
    assert (job.money.currency, job.money.sum) == ("USD", 240_000)


def test_a_new_job_given_whole_asks_nothing(trimwright: Trimwright, tmp_path: Path) -> None:
    ran = trimwright("new", "van.json", *WHOLE, "--us-units", "--json")
    assert (ran.code, ran.err) == (0, "")
    job = read_job(tmp_path / "van.json")
    assert ran.json == {"job": "van.json", "parts": len(job.parts)}
    assert (job.money.currency, job.car.units) == ("EUR", "US customary")


def test_questions_nobody_answers_leave_nothing(trimwright: Trimwright, tmp_path: Path) -> None:
    ran = trimwright("new", "van.json", typed="a van\n")
    assert ran.code == 2
    assert "nothing is written" in ran.err
    assert not list(tmp_path.iterdir())


def test_all_that_is_wrong_with_a_new_job_is_told(trimwright: Trimwright) -> None:
    ran = trimwright(
        "new", "v.json", "--car", " ", "--body", "van", "--year", "1200", "--sum", "lots", "--currency", "EUR"
    )
    assert ran.code == 2
    assert {"--sum", "car › text", "car › year"} <= {each.split(":")[0].strip() for each in ran.err.splitlines()}
    ran = trimwright("new", "v.json", *WHOLE, "--currency", "ZZZ")
    assert ran.code == 2
    assert "'ZZZ'" in ran.err


def test_nothing_is_written_over(trimwright: Trimwright, tmp_path: Path) -> None:
    assert trimwright("new", "van.json", *WHOLE).code == 0
    assert trimwright("sheet", "van.json", "sheet.csv").code == 0
    for line in (("new", "van.json", *WHOLE), ("sheet", "van.json", "sheet.csv")):
        before = {each.name: each.read_bytes() for each in tmp_path.iterdir()}
        ran = trimwright(*line)
        assert ran.code == 2
        assert "is already there" in ran.err
        assert {each.name: each.read_bytes() for each in tmp_path.iterdir()} == before
        assert trimwright(*line, "--force").code == 0


@pytest.mark.parametrize("form", ["csv", "xlsx"])
def test_the_sheet_goes_out_and_comes_back(trimwright: Trimwright, tmp_path: Path, form: str) -> None:
    trimwright("new", "van.json", *WHOLE)
    sheet = f"walk-round.{form}"
    parts = len(read_job(tmp_path / "van.json").parts)
    assert trimwright("sheet", "van.json", sheet, "--json").json == {"sheet": sheet, "parts": parts}
    read = trimwright("sheet", "van.json", sheet, "--read", "--json").json
    assert (read["parts"], read["seen"], read["remarks"]) == (parts, 0, [])


def test_a_filled_in_sheet_is_read_and_a_wrong_one_changes_nothing(trimwright: Trimwright, tmp_path: Path) -> None:
    trimwright("new", "van.json", *WHOLE)
    trimwright("sheet", "van.json", "walk.csv")
    sheet = tmp_path / "walk.csv"
    with sheet.open(encoding="utf-8-sig", newline="") as file:
        rows = list(csv.reader(file))
    head, column = next(
        (y, x) for y, row in enumerate(rows) for x, cell in enumerate(row) if cell.casefold().startswith("finish now")
    )
    first = next(y for y in range(head + 1, len(rows)) if len(rows[y]) > column and rows[y][0])

    def fill(value: str) -> None:
        rows[first][column] = value
        with sheet.open("w", encoding="utf-8-sig", newline="") as file:
            csv.writer(file).writerows(rows)

    before = (tmp_path / "van.json").read_bytes()
    fill("eleven")
    ran = trimwright("sheet", "van.json", "walk.csv", "--read")
    assert ran.code == 2
    assert "'eleven'" in ran.err
    assert (tmp_path / "van.json").read_bytes() == before
    fill("4")
    ran = trimwright("sheet", "van.json", "walk.csv", "--read")
    assert ran.code == 0, ran.err
    assert "1 of " in ran.out


def test_check_tells_what_is_wrong_and_what_is_odd(trimwright: Trimwright, small: Path) -> None:
    ran = trimwright("check", small)
    assert ran.code == 0
    assert ran.out.startswith("nothing wrong\n")
    raw = json.loads(small.read_bytes())
    raw["parts"][0]["material"] = "lether"
    raw["tools"] = ["hamer"]
    small.write_text(json.dumps(raw), encoding="utf-8")
    ran = trimwright("check", small, "--json")
    assert ran.code == 2
    assert {each["value"] for each in ran.json["problems"]} >= {"lether", "hamer"}
    assert all(each["way_out"] for each in ran.json["problems"])


@pytest.mark.parametrize("table", tables())
def test_every_table_of_the_facts_is_shown(trimwright: Trimwright, table: str) -> None:
    held = entries(load(), table)
    shown = trimwright("facts", table)
    assert shown.code == 0
    assert shown.out.count("\n") > len(held)
    assert len(trimwright("facts", table, "--json").json[table]) == len(held)
    first = next(iter(held))
    assert trimwright("facts", table, first, "--json").json["id"] == first
    assert first in trimwright("facts", table, first).out


def test_a_fact_tells_its_source_and_how_far_to_trust_it(trimwright: Trimwright) -> None:
    treatment = load().treatments["wheel_rewrap"]
    shown = " ".join(trimwright("facts", "treatments", "wheel_rewrap").out.split())
    assert f"how far to trust it {treatment.evidence.level}" in shown
    assert load().sources[treatment.evidence.source].title in shown
    guess = next(each for each in load().treatments.values() if each.evidence.level == "guess")
    assert "guess" in trimwright("facts", "treatments", guess.id).out
    assert trimwright("facts", "treatments", "wheel_rewarp").err.count("Did you mean 'wheel_rewrap'") == 1
    assert trimwright("facts", "nothing").code == 2


def test_the_schema_is_that_of_the_document(trimwright: Trimwright) -> None:
    schema = trimwright("schema").json
    assert schema == json.loads(json.dumps(Job.model_json_schema()))
    told = {(name, field): each.get("description") for name, group in {"Job": schema, **schema["$defs"]}.items()
            for field, each in group.get("properties", {}).items()}  # fmt: skip
    assert len(told) > 70
    assert all(told.values()), [where for where, description in told.items() if not description]


def test_the_version_and_help(trimwright: Trimwright) -> None:
    assert trimwright("--version").out.startswith("trimwright ")
    shown = trimwright("--help")
    assert shown.code == 0
    listed = shown.out.partition("Commands:")[2]
    assert "decide" in listed
    assert "..." not in listed


def test_papers_have_the_same_bytes_on_the_same_day(
    trimwright: Trimwright, small: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """SOURCE_DATE_EPOCH as reproducible-builds.org specifies it: whole seconds since 1970, UTC."""
    for folder, seconds in (("morning", "1000000000"), ("later", "1000000999"), ("another-day", "1000086400")):
        monkeypatch.setenv("SOURCE_DATE_EPOCH", seconds)
        assert trimwright("papers", small, folder).code == 0
    first = {each.name: each.read_bytes() for each in (tmp_path / "morning").iterdir()}
    assert len(first) == 4
    assert first == {each.name: each.read_bytes() for each in (tmp_path / "later").iterdir()}
    assert all((tmp_path / "another-day" / name).read_bytes() != data for name, data in first.items())
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "today")
    ran = trimwright("papers", small, "never")
    assert ran.code == 2
    assert "SOURCE_DATE_EPOCH" in ran.err
