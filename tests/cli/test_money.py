from __future__ import annotations

import io
from pathlib import Path

import pytest
from pypdf import PdfReader

from tests.cli.conftest import Trimwright
from tests.plan.small_cabin import small_job
from trimwright.job.files import write_job

STAIR = {"sum", "expected", "finish", "points", "gap", "changes"}
WORTH = {"part", "treatment", "price", "most_to_pay"}


def test_the_staircase_as_json_has_the_agreed_shape_and_the_plan_on_it(trimwright: Trimwright, small: Path) -> None:
    ran = trimwright("stairs", small, "--json")
    assert (ran.code, ran.err) == (0, "")
    found, plan = ran.json, trimwright("decide", small, "--json").json
    assert found["seconds"] > 0
    assert all(set(each) >= STAIR for each in found["stairs"])
    assert all(set(change) >= {"part", "from", "to"} for each in found["stairs"] for change in each["changes"])
    assert all(type(each[name]) is int for each in found["stairs"] for name in ("sum", "expected", "finish", "points"))
    here = found["stairs"][found["here"]]
    assert here["points"] == plan["points"]
    assert here["finish"] == plan["finish_after"]
    assert here["sum"] <= plan["money"]["sum"]
    points = [each["points"] for each in found["stairs"]]
    assert points == sorted(points)


def test_the_staircase_of_hours_rises_in_minutes(trimwright: Trimwright, small: Path) -> None:
    found = trimwright("stairs", small, "--hours", "--seconds", "5", "--json").json
    minutes = [each["minutes"] for each in found["stairs"]]
    assert found["of"] == "hours"
    assert minutes == sorted(minutes)


@pytest.mark.parametrize("hours", [(), ("--hours",)])
def test_the_staircase_as_a_table_marks_the_plan(trimwright: Trimwright, small: Path, hours: tuple[str, ...]) -> None:
    ran = trimwright("stairs", small, *hours)
    assert (ran.code, ran.err) == (0, "")
    (own,) = (line for line in ran.out.splitlines() if line.startswith(">"))
    assert "your plan" in own
    assert "First out, with less than " in ran.out
    assert "Next in, for " in ran.out or "Nothing more can be had" in ran.out
    assert max(map(len, ran.out.splitlines())) <= 118


def test_what_a_part_is_worth_as_json(trimwright: Trimwright, small: Path) -> None:
    ran = trimwright("worth", small, "--json")
    assert (ran.code, ran.err) == (0, "")
    found = ran.json
    assert found["seconds"] > 0
    (dash,) = found["parts"]
    assert set(dash) >= WORTH
    assert (dash["part"], dash["treatment"]) == ("dash", "new_fit")
    assert 0 < dash["jump_at"] <= dash["most_to_pay"] <= dash["at_most"]
    assert all(type(dash[name]) is int for name in ("price", "most_to_pay", "jump_at"))


def test_only_the_parts_asked_for(trimwright: Trimwright, small: Path) -> None:
    assert trimwright("worth", small, "carpet", "--json").json["parts"] == []
    assert "Nothing that could be bought" in trimwright("worth", small, "carpet").out
    refused = trimwright("worth", small, "dash", "carpe", "nosuch")
    assert refused.code == 2
    assert "2 problems" in refused.err
    assert "Did you mean 'carpet'?" in refused.err


def test_what_a_part_is_worth_as_a_table_and_a_pocket_list(trimwright: Trimwright, small: Path, tmp_path: Path) -> None:
    most = trimwright("worth", small, "--json").json["parts"][0]["most_to_pay"]
    ran = trimwright("worth", small, "--out", "pocket.pdf")
    assert (ran.code, ran.err) == (0, "")
    assert f"{most / 100:,.2f}".removesuffix(".00") in ran.out
    assert "written: pocket.pdf" in ran.out
    (wide,) = {round(float(page.mediabox.width)) for page in PdfReader(tmp_path / "pocket.pdf").pages}
    assert wide == round(105 / 25.4 * 72)
    assert trimwright("worth", small, "--out", "phone.pdf", "--phone").code == 0
    text = PdfReader(io.BytesIO((tmp_path / "phone.pdf").read_bytes())).pages[0].extract_text()
    assert "Pocket list" in text


def test_another_ending_is_refused_before_anything_is_worked_out(trimwright: Trimwright, small: Path) -> None:
    refused = trimwright("worth", small, "--out", "pocket.docx")
    assert refused.code == 2
    assert "does not end in .pdf" in refused.err


def test_a_short_sum_leaves_with_its_code(trimwright: Trimwright, tmp_path: Path) -> None:
    short = tmp_path / "short.json"
    write_job(small_job(money={"currency": "EUR", "sum": 1000}), short)
    for command in ("stairs", "worth"):
        ran = trimwright(command, short)
        assert ran.code == 3
        assert "The sum is short by" in ran.out


def test_the_papers_command_sets_the_offers_in_the_quote(trimwright: Trimwright, small: Path, tmp_path: Path) -> None:
    assert trimwright("papers", small, "p").code == 0
    text = "".join(page.extract_text() for page in PdfReader(tmp_path / "p" / "quote.pdf").pages)
    assert "For less" in text


def test_a_gap_that_nothing_bounds_is_null() -> None:
    """The largest sum's plan may have been found without any bound: JSON knows no infinity."""
    from trimwright.cli.shapes import stairs
    from trimwright.plan.verdicts.staircase import Stair, Staircase

    figures = dict.fromkeys(("sum", "modelled", "expected", "minutes", "finish", "points"), 1)
    found = Staircase("money", (Stair(**figures, gap=float("inf"), changes=()),), 0, None, None, 1.0)
    assert stairs(found, "EUR")["stairs"][0]["gap"] is None
