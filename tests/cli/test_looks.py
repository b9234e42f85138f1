"""`looks` and `reserve` on the small cabin: one JSON object, tables that fit, figures that add up."""

from __future__ import annotations

from pathlib import Path

from tests.cli.conftest import Trimwright
from tests.plan.small_cabin import part, small_job
from trimwright.job.files import write_job


def damp(folder: Path) -> Path:
    """The small cabin with a musty carpet, and a pretensioner that nobody has looked for."""
    parts = [each for each in small_job().model_dump(mode="json")["parts"] if each["id"] != "carpet"]
    path = folder / "damp.json"
    write_job(small_job(parts=[*parts, part("carpet", "carpet_main", "Main carpet", "carpet", 4, "K_smell")]), path)
    return path


def test_looks_as_json(trimwright: Trimwright, tmp_path: Path) -> None:
    ran = trimwright("looks", damp(tmp_path), "--seconds", "4", "--json")
    assert (ran.code, ran.err) == (0, "")
    assert set(ran.json) == {"currency", "looks", "open_first", "while_apart"}
    look = next(each for each in ran.json["looks"] if each["look"] == "carpet_edge")
    assert abs(sum(each["chance"] for each in look["answers"]) - 1) < 1e-4
    assert look["wait_minutes"] == 30
    assert look["settles"] == ["wet_underlay"]


def test_a_look_is_printed_with_how_it_is_taken_and_made_safe_before(trimwright: Trimwright, tmp_path: Path) -> None:
    ran = trimwright("looks", damp(tmp_path), "--seconds", "4")
    assert (ran.code, ran.err) == (0, "")
    told = " ".join(ran.out.split())
    assert told.index("Battery negative off first") < told.index("Lift the sill plate")
    assert "Open first" in told
    assert "While it is apart" in told
    assert max(map(len, ran.out.splitlines())) <= 118


def test_the_reserve_as_json_adds_up(trimwright: Trimwright, small: Path) -> None:
    ran = trimwright("reserve", small, "--seconds", "4", "--json")
    assert (ran.code, ran.err) == (0, "")
    plan = trimwright("decide", small, "--json").json
    assert ran.json["reserve"] == plan["money"]["reserve"]
    assert sum(ran.json["release"].values()) == ran.json["reserve"]
    assert all(each["frees"] > 0 for each in ran.json["drops"])


def test_the_reserve_as_a_table(trimwright: Trimwright, small: Path) -> None:
    ran = trimwright("reserve", small, "--seconds", "4")
    assert (ran.code, ran.err) == (0, "")
    assert "after strip-down" in ran.out
    assert "Given up in this order" in ran.out
    assert max(map(len, ran.out.splitlines())) <= 118
