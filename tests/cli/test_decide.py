from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

from tests.cli.conftest import Trimwright
from tests.plan.small_cabin import BELT, CUSHION, KNOB, VISOR, small_job
from trimwright.job.files import write_job

TOP = {
    "status", "finish_before", "finish_after", "points", "bound", "gap", "money", "minutes", "verdicts", "buy",
    "given_up", "seconds",
}  # fmt: skip
MONEY = {"currency", "sum", "firm", "expected", "reserve", "left", "chance", "chance_se"}
VERDICT = {"part", "course", "treatments", "money", "minutes", "finish_before", "finish_after", "pinned"}
BUY = {"material", "pack", "count", "money", "supplier"}
MINOR = ("sum", "firm", "expected", "reserve", "left")


def test_the_json_is_one_object_of_the_agreed_shape(trimwright: Trimwright, small: Path) -> None:
    ran = trimwright("decide", small, "--json")
    assert (ran.code, ran.err) == (0, "")
    plan = ran.json
    assert set(plan) >= TOP
    assert set(plan["money"]) == MONEY
    assert all(set(each) >= VERDICT for each in plan["verdicts"])
    assert all(set(each) >= BUY for each in plan["buy"])
    assert plan["status"] == "optimal"
    assert all(type(plan["money"][each]) is int for each in MINOR)
    assert plan["money"]["left"] == plan["money"]["sum"] - plan["money"]["firm"] - plan["money"]["reserve"] >= 0
    assert 0 <= plan["finish_before"] <= plan["finish_after"] <= 100
    assert [each["part"] for each in plan["verdicts"]] == [part.id for part in small_job().parts]
    assert plan["gap"] == 0
    assert plan["bound"] == pytest.approx(plan["points"], abs=0.5)


def test_what_is_bought_and_charged_adds_up_to_firm(trimwright: Trimwright, small: Path) -> None:
    plan = trimwright("decide", small, "--json").json
    bought = trimwright("buy", small, "--json").json
    assert bought["buy"] == plan["buy"]
    charged = sum(each["money"] for each in bought["once"]) + sum(bought["carriage"].values()) + bought["sundries"]
    assert sum(each["money"] for each in bought["buy"]) + charged == plan["money"]["firm"]


def test_the_table_names_every_part_and_ends_with_the_money(trimwright: Trimwright, small: Path) -> None:
    ran = trimwright("decide", small)
    assert (ran.code, ran.err) == (0, "")
    words = " ".join(ran.out.split())
    assert all(part.name in words for part in small_job().parts)
    *_, sums, chance = ran.out.splitlines()
    assert sums.startswith("the sum 1,550 EUR   firm ")
    assert chance.startswith("chance it ends inside ")
    assert max(map(len, ran.out.splitlines())) <= 118


def test_the_options_ask_without_changing_the_job(trimwright: Trimwright, small: Path) -> None:
    before = small.read_bytes()
    plan = trimwright("decide", small, "--sum", "3,000", "--sure", "0.8", "--hours", "80", "--json").json
    assert plan["money"]["sum"] == 300_000
    assert plan["money"]["chance"] >= 0.8 - 2 * plan["money"]["chance_se"]
    assert plan["minutes"] <= 80 * 60
    assert small.read_bytes() == before


def test_pins_hold_by_course_and_by_treatment(trimwright: Trimwright, small: Path) -> None:
    plan = trimwright("decide", small, "--pin", f"{CUSHION}=leave", "--pin", f"{VISOR}=leave", "--json").json
    found = {each["part"]: each for each in plan["verdicts"]}
    for part in (CUSHION, VISOR):
        assert found[part]["course"] == "leave"
        assert found[part]["pinned"] is True
    assert found[KNOB]["treatments"] == ["used_fit"]


def test_a_sum_that_cannot_pay_the_must_dos_says_what_is_short(trimwright: Trimwright, small: Path) -> None:
    ran = trimwright("decide", small, "--sum", "10", "--json")
    assert (ran.code, ran.err) == (3, "")
    plan = ran.json
    assert plan["status"] == "short"
    assert plan["short"]["money"] > 0
    belt = next(part.name for part in small_job().parts if part.id == BELT)
    assert any(belt in each for each in plan["short"]["because"])
    told = trimwright("decide", small, "--sum", "10")
    assert told.code == 3
    assert "The sum is short by" in told.out
    assert belt in told.out


@pytest.mark.parametrize("hours", ["0", "1"])
def test_hours_that_are_too_few_are_told_too(trimwright: Trimwright, small: Path, hours: str) -> None:
    ran = trimwright("decide", small, "--hours", hours)
    assert ran.code == 3
    assert "The hours are short by" in ran.out


def test_a_short_sum_leaves_the_other_commands_with_the_same_code(trimwright: Trimwright, tmp_path: Path) -> None:
    short = tmp_path / "short.json"
    write_job(small_job(money={"currency": "EUR", "sum": 1000}), short)
    for command in (("buy", short), ("buy", short, "--json"), ("papers", short, "p")):
        assert trimwright(*command).code == 3
    assert len(list((tmp_path / "p").glob("*.pdf"))) == 4


def test_a_currency_without_decimals_is_reckoned_whole(trimwright: Trimwright, tmp_path: Path) -> None:
    job = tmp_path / "yen.json"
    parts = [part.model_dump(mode="json") for part in small_job().parts if not part.offers]
    money = {"currency": "JPY", "sum": 250_000, "rates": {"EUR": 160.0}}
    write_job(small_job(money=money, parts=parts), job)
    ran = trimwright("decide", job, "--sum", "260,000")
    assert ran.code == 0, ran.err
    assert "the sum 260,000 JPY" in ran.out
    plan = trimwright("decide", job, "--json").json
    assert plan["money"]["sum"] == 250_000
    assert 10_000 < plan["money"]["firm"] <= 250_000
    refused = trimwright("decide", job, "--sum", "2500.50")
    assert refused.code == 2
    assert "more decimals than JPY has (0)" in refused.err


def test_the_model_is_written_for_any_solver(trimwright: Trimwright, small: Path, tmp_path: Path) -> None:
    """Read back by HiGHS itself here; another solver reads it in tests/plan/verdicts."""
    import highspy

    plan = trimwright("decide", small, "--json", "--mps", "model.mps").json
    other = highspy.Highs()  # type: ignore[no-untyped-call]
    other.setOptionValue("output_flag", False)
    other.readModel(str(tmp_path / "model.mps"))
    other.setOptionValue("mip_rel_gap", 0.0)
    other.run()
    assert -other.getInfo().objective_function_value == pytest.approx(plan["points"], abs=0.5)


def test_nothing_but_the_answer_is_printed(small: Path) -> None:
    """In a process of its own: a solver prints past Python's own streams."""
    command = [sys.executable, "-m", "trimwright", "decide", str(small), "--json"]
    done = subprocess.run(command, capture_output=True, encoding="utf-8", timeout=120, check=True)
    assert json.loads(done.stdout)["status"] == "optimal"
    assert done.stderr == ""


def test_demo_leaves_everything(trimwright: Trimwright, small: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """With the small cabin in place of the demo's, which test_docs decides."""
    monkeypatch.setattr("trimwright.demo.demo_job", small_job)
    ran = trimwright("demo", "--out", "left here", "--json")
    assert ran.code == 0
    folder = small.parent / "left here"
    assert json.loads((folder / "plan.json").read_text(encoding="utf-8")) == ran.json
    assert {each.name for each in folder.iterdir()} == {
        "job.json", "plan.json", "quote.pdf", "verdict-sheet.pdf", "buying-list.pdf", "work-sheets.pdf"
    }  # fmt: skip
