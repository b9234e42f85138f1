"""`bench` and `today`: the calendar as JSON, for the phone and as papers; what is wrong is told, all of it at once."""

from __future__ import annotations

import json
from datetime import date, datetime
from pathlib import Path
from typing import Any

import pytest
from icalendar import Calendar

from tests.cli.conftest import Trimwright
from tests.plan.small_cabin import small_job
from trimwright.job.files import write_job

NOW = "1772438400"  # Monday 2 March 2026, 08:00 in Lisbon
WEEK = {"zone": "Europe/Lisbon", "week": [8, 8, 8, 8, 8, 0, 0], "opens": "08:00:00"}
FAST = ("--seconds", "1")


@pytest.fixture(autouse=True)
def monday(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("SOURCE_DATE_EPOCH", NOW)


@pytest.fixture
def cabin(tmp_path: Path) -> Path:
    return with_time(tmp_path)


def with_time(folder: Path, name: str = "small", **changed: Any) -> Path:
    path = folder / f"{name}.json"
    write_job(small_job(id=name, time={**WEEK, **changed}), path)
    return path


def test_the_json_says_when_each_task_is_made(trimwright: Trimwright, cabin: Path) -> None:
    ran = trimwright("bench", cabin, "--json", *FAST)
    assert ran.code == 0, ran.err
    told = ran.json
    assert list(told) == ["start", "end", "bound", "gap", "promise_80", "tasks", "seconds"]
    assert all(list(each) == ["id", "part", "kind", "start", "end", "place"] for each in told["tasks"])
    start, end, bound, promised = (
        datetime.fromisoformat(told[each]) for each in ("start", "end", "bound", "promise_80")
    )
    assert None not in {each.tzinfo for each in (start, end, bound, promised)}
    assert start <= bound <= end
    assert told["gap"] == pytest.approx((end - bound) / (end - start))
    assert max(datetime.fromisoformat(each["end"]) for each in told["tasks"]) == end
    assert {each["kind"] for each in told["tasks"]} >= {"strip-down", "bench", "delivery", "rebuild", "check"}


def test_a_second_run_says_the_same(trimwright: Trimwright, cabin: Path) -> None:
    once, again = (trimwright("bench", cabin, "--json", *FAST).json for _ in range(2))
    assert {each["id"] for each in once["tasks"]} == {each["id"] for each in again["tasks"]}
    if once["gap"] == again["gap"] == 0:
        assert once["end"] == again["end"]


def test_the_table_says_what_holds_the_date_and_what_would_free_it(trimwright: Trimwright, cabin: Path) -> None:
    ran = trimwright("bench", cabin, *FAST)
    assert ran.code == 0, ran.err
    for each in (
        "Hand-over ", "Ready in 8 of 10 cases by", "Worked down as a list", "What holds the date",
        "What would bring it forward", "Another pair of hands", "Saturdays worked too",
    ):  # fmt: skip
        assert each in ran.out


def test_a_day_that_cannot_be_met_is_named(trimwright: Trimwright, tmp_path: Path) -> None:
    ran = trimwright("bench", with_time(tmp_path, wanted_by="2026-03-04"), *FAST)
    assert ran.code == 0
    assert "The car is wanted by Wed 4 March:" in ran.out
    assert "days late" in ran.out
    assert "at the earliest, and the car is wanted by 2026-03-04" in ran.out
    assert "What holds the date" in ran.out


def test_a_later_start_and_another_air(trimwright: Trimwright, cabin: Path) -> None:
    soon = trimwright("bench", cabin, "--json", *FAST).json
    later = trimwright("bench", cabin, "--from", "2026-03-16", "--temp", "14", "--rh", "70", "--json", *FAST).json
    assert datetime.fromisoformat(later["start"]).date() == date(2026, 3, 16)
    assert datetime.fromisoformat(soon["start"]) < datetime.fromisoformat(later["start"])


def test_the_phone_and_the_papers_are_written(trimwright: Trimwright, cabin: Path) -> None:
    ran = trimwright("bench", cabin, "--ics", "bench.ics", "--out", "papers", "--letter", *FAST)
    assert ran.code == 0, ran.err
    read = Calendar.from_ical(Path("bench.ics").read_bytes())
    assert any("Hand-over" in str(each["SUMMARY"]) for each in read.walk("VEVENT"))
    assert Path("papers/bench-calendar.pdf").read_bytes().startswith(b"%PDF")
    assert trimwright("today", cabin, "--out", "papers", *FAST).code == 0
    assert Path("papers/day-sheet.pdf").read_bytes().startswith(b"%PDF")


def test_today_has_what_is_on_the_bench(trimwright: Trimwright, cabin: Path) -> None:
    told = trimwright("today", cabin, "--json", *FAST).json
    assert told["day"] == "2026-03-02"
    assert told["on_the_bench"]
    assert all(each["start"].startswith("2026-03-02") for each in told["on_the_bench"])
    assert told["to_order"]
    said = trimwright("today", cabin, *FAST)
    assert said.out.startswith("Mon 2 March")


def test_on_a_sunday_it_is_monday_that_is_told(
    trimwright: Trimwright, cabin: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("SOURCE_DATE_EPOCH", str(int(NOW) - 86_400))
    assert trimwright("today", cabin, "--json", *FAST).json["day"] == "2026-03-02"


def test_two_jobs_over_the_same_hands(trimwright: Trimwright, cabin: Path, tmp_path: Path) -> None:
    other = with_time(tmp_path, "other")
    alone = trimwright("bench", cabin, "--json", *FAST).json
    both = trimwright("bench", cabin, "--beside", other, "--json", *FAST).json
    assert {each["id"].partition("/")[0] for each in both["tasks"]} == {"small", "other"}
    assert len(both["tasks"]) == 2 * len(alone["tasks"])
    assert both["end"] >= alone["bound"]
    twice = trimwright("bench", cabin, "--beside", cabin)
    assert twice.code == 2
    assert "names a job twice" in twice.err


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (("--rh", "140"), "is no relative humidity"),
        (("--temp", "200"), "is no temperature to work at"),
        (("--from", "2026-02-30"), "is no date"),
        (("--from", "2026-03-01"), "is over"),
    ],
)
def test_what_is_wrong_is_told(arguments: tuple[str, ...], told: str, trimwright: Trimwright, cabin: Path) -> None:
    before = cabin.read_bytes()
    ran = trimwright("bench", cabin, *arguments)
    assert ran.code == 2
    assert told in ran.err
    assert cabin.read_bytes() == before


@pytest.mark.parametrize(
    ("changed", "told"),
    [
        ({"week": [0] * 7}, "has no working hours"),
        ({"zone": "Europe/Atlantis"}, "is no time zone"),
        ({"start": "2026-01-05"}, "is over"),
    ],
)
def test_hours_that_make_no_shop_are_told(
    changed: dict[str, Any], told: str, trimwright: Trimwright, tmp_path: Path
) -> None:
    ran = trimwright("bench", with_time(tmp_path, **changed), "--rh", "140")
    assert ran.code == 2
    assert told in ran.err
    assert "2 problems" in ran.err  # all at once


@pytest.mark.parametrize("change", ["2026-03-28", "2026-10-24"])
def test_the_weekend_the_clocks_change(change: str, trimwright: Trimwright, tmp_path: Path) -> None:
    """By the European Union's Directive 2000/84/EC; the shop opens at eight by the wall on both sides."""
    told = trimwright("bench", with_time(tmp_path, week=[8] * 7), "--from", change, "--json", *FAST).json
    hands = [each for each in told["tasks"] if each["kind"] in ("strip-down", "rebuild")]
    assert {each["start"][-6:] for each in told["tasks"]} == {"+00:00", "+01:00"}
    assert all(8 <= datetime.fromisoformat(each["start"]).hour <= 16 for each in hands)


def test_a_change_sheet_says_what_each_answer_does_to_the_date(
    trimwright: Trimwright, cabin: Path, tmp_path: Path
) -> None:
    trimwright("found", cabin, "rust", "--step", "carpet_main", "--hours", "10", "--id", "rust")
    told = trimwright("change", cabin, "rust", "--days", "--json").json
    ends = {way["answer"]: way["hand_over"] for way in told["ways"]}
    assert ends["from the reserve"] >= told["before"]["hand_over"]
    said = trimwright("change", cabin, "rust", "--days", "--out", tmp_path / "rust.pdf")
    assert "hand-over" in said.out
    assert "later by" in said.out
    assert (tmp_path / "rust.pdf").read_bytes().startswith(b"%PDF")


def test_the_answer_is_one_json_object(trimwright: Trimwright, cabin: Path) -> None:
    assert isinstance(json.loads(trimwright("bench", cabin, "--json", *FAST).out), dict)
