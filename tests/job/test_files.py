from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from trimwright.errors import Problem, UnreadableFile
from trimwright.job.document import Job
from trimwright.job.files import job_bytes, read_job, write_job
from trimwright.job.json_file import MAX_BYTES


def with_part(raw: dict[str, Any], **changes: Any) -> dict[str, Any]:
    """The sample with its first part changed."""
    return raw | {"parts": [raw["parts"][0] | changes, *raw["parts"][1:]]}


def problems(raw: object) -> tuple[Problem, ...]:
    data = raw if isinstance(raw, bytes) else json.dumps(raw).encode()
    with pytest.raises(UnreadableFile) as caught:
        read_job(data)
    return caught.value.problems


def test_a_job_comes_back_from_its_file(job: Job, tmp_path: Path) -> None:
    write_job(job, tmp_path / "job.json")
    assert read_job(tmp_path / "job.json") == job
    assert [each.name for each in tmp_path.iterdir()] == ["job.json"]


def test_equal_jobs_are_equal_bytes(raw: dict[str, Any]) -> None:
    """Sets and mappings written in another order are the same job."""
    turned = raw | {
        "money": raw["money"] | {"covers": ["parts", "labour"], "rates": {"USD": 0.31, "EUR": 0.3333333333333333}},
        "wishes": raw["wishes"] | {"must_do": ["cushion.driver", "knob", "knob"]},
        "causes": {"damp": "unknown", "sun": "seen"},
    }
    assert job_bytes(Job.from_plain(turned)) == job_bytes(Job.from_plain(raw))
    assert job_bytes(Job.from_plain(raw)).endswith(b"}\n")
    assert "Coupé".encode() in job_bytes(Job.from_plain(raw))


def test_a_file_cut_in_half_says_so(job: Job) -> None:
    whole = job_bytes(job)
    for cut in range(1, len(whole.rstrip())):
        [problem] = problems(whole[:cut].decode(errors="ignore").encode())
        assert "in the middle" in problem.what
        assert problem.way_out


@pytest.mark.parametrize(
    "data", [b"", b"  \n", b"PK\x03\x04rest", b"\xff\xfe{}", b"[1, 2]", b"null", b"{'id': 1}", b"{} {}"]
)
def test_what_is_no_job_file_is_refused(data: bytes) -> None:
    assert problems(data)


def test_a_key_given_twice_is_refused() -> None:
    assert "'id'" in problems(b'{"format": 1, "id": "a", "id": "b"}')[0].what


def test_a_file_too_large_is_refused_unread(tmp_path: Path) -> None:
    with (tmp_path / "big.json").open("wb") as file:
        file.truncate(MAX_BYTES + 1)
    with pytest.raises(UnreadableFile, match="larger than 20 MB"):
        read_job(tmp_path / "big.json")


def test_a_file_that_is_not_there_is_refused(tmp_path: Path) -> None:
    with pytest.raises(UnreadableFile, match=r"none\.json"):
        read_job(tmp_path / "none.json")


def test_nesting_without_end_is_refused() -> None:
    assert problems(b'{"format": 1, "id": ' + b"[" * 100_000 + b"]" * 100_000 + b"}")


@pytest.mark.parametrize("figure", ["NaN", "Infinity", "-Infinity", "1e999"])
@pytest.mark.parametrize("field", ['"sure": 0.85', '"sum": 240001'])
def test_nan_and_infinity_are_refused_by_place(figure: str, field: str, raw: dict[str, Any]) -> None:
    name = field.partition(":")[0]
    text = json.dumps(raw).replace(field, f"{name}: {figure}")
    [problem] = problems(text.encode())
    assert problem.where == f"money › {json.loads(name)}"


def test_every_wrong_field_is_told_at_once(raw: dict[str, Any]) -> None:
    wrong = with_part(raw, finish_now="4", area_mm2=-3, colour=7, surprise=1, material=None) | {"tools": "gun"}
    found = {problem.where: problem for problem in problems(wrong)}
    assert set(found) == {
        "parts › 1 (cushion.driver) › finish_now",
        "parts › 1 (cushion.driver) › area_mm2",
        "parts › 1 (cushion.driver) › colour",
        "parts › 1 (cushion.driver) › surprise",
        "parts › 1 (cushion.driver) › material",
        "tools",
    }
    finish = found["parts › 1 (cushion.driver) › finish_now"]
    assert str(finish) == "parts › 1 (cushion.driver) › finish_now: '4' is not a whole number. Write it in figures."


def test_a_duplicate_id_is_told_beside_other_mistakes(raw: dict[str, Any]) -> None:
    twice = raw | {"parts": [*raw["parts"], raw["parts"][0] | {"finish_now": 11}]}
    assert {(problem.value, problem.what) for problem in problems(twice)} == {
        ("11", "is more than 10."),
        ("cushion.driver", "is the id of 2 parts."),
    }


def test_wishes_about_parts_that_are_not_there_are_told(raw: dict[str, Any]) -> None:
    wishes = raw["wishes"] | {"must_do": ["ghost", "knob"], "floors": {"phantom": 3}, "leave_alone": ["knob"]}
    assert {(each.where, each.value) for each in problems(raw | {"wishes": wishes})} == {
        ("wishes › must_do", "ghost"),
        ("wishes › floors", "phantom"),
        ("wishes", "knob"),
    }


def test_five_thousand_parts_are_refused(raw: dict[str, Any]) -> None:
    many = [raw["parts"][3] | {"id": f"knob-{number}"} for number in range(5000)]
    assert any("more than 1000 entries" in problem.what for problem in problems(raw | {"parts": many}))


@pytest.mark.parametrize("area", [-1, 0, 4_000_000_000, 1.5, True, "4000 m2"])
def test_absurd_sizes_are_refused(area: object, raw: dict[str, Any]) -> None:
    [problem] = problems(with_part(raw, area_mm2=area))
    assert problem.where.endswith("area_mm2")
    assert problem.way_out


@pytest.mark.parametrize(
    "money", [{"sum": "two thousand"}, {"sum": -1}, {"sum": 1.5}, {"currency": "LEATHER"}, {"currency": "ZZZ"}]
)
def test_money_that_is_none_is_refused(money: dict[str, Any], raw: dict[str, Any]) -> None:
    assert [problem.where for problem in problems(raw | {"money": raw["money"] | money})] == [
        f"money › {next(iter(money))}"
    ]


def test_labour_covered_without_a_rate_is_refused(raw: dict[str, Any]) -> None:
    [problem] = problems(raw | {"money": raw["money"] | {"labour_rate": 0}})
    assert problem.where == "money"
    assert problem.way_out.startswith("give the rate")


@pytest.mark.parametrize(
    "name",
    ["<script>alert(1)</script>", "🪡🧵" * 50, "שלום \u202e abc", "x" * 200, "a\u200db", "&amp; \"quotes\" 'n' \\"],
)
def test_any_writing_in_a_name_is_kept(name: str, raw: dict[str, Any]) -> None:
    job = read_job(json.dumps(with_part(raw, name=name)).encode())
    assert job.parts[0].name == name
    assert read_job(job_bytes(job)) == job


@pytest.mark.parametrize("name", ["x" * 10_000, "", "   ", "two\nlines", "bell\x07", "\ud800"])
def test_names_that_are_none_are_refused(name: str, raw: dict[str, Any]) -> None:
    assert problems(with_part(raw, name=name))


def test_long_values_are_shortened_in_messages(raw: dict[str, Any]) -> None:
    [problem] = problems(with_part(raw, name="x" * 10_000))
    assert len(problem.value) == 60


def test_notes_hold_ten_thousand_characters(raw: dict[str, Any]) -> None:
    job = read_job(json.dumps(with_part(raw, notes="🪡" * 10_000)).encode())
    assert job.parts[0].notes == "🪡" * 10_000
