from __future__ import annotations

from typing import Any

import pytest

from trimwright.errors import UnreadableFile
from trimwright.job.document import Job
from trimwright.job.upgrades import UPGRADES, upgraded


def renamed(raw: dict[str, Any]) -> dict[str, Any]:
    return {("title" if key == "name" else key): value for key, value in raw.items()}


def doubled(raw: dict[str, Any]) -> dict[str, Any]:
    return raw | {"sum": raw["sum"] * 2}


def test_the_chain_ends_at_the_format_that_is_written() -> None:
    assert len(UPGRADES) + 1 == Job.model_fields["format"].default


def test_an_older_job_goes_through_every_step_it_needs() -> None:
    chain = (renamed, doubled)
    assert upgraded({"format": 1, "name": "a", "sum": 3}, chain) == {"format": 3, "title": "a", "sum": 6}
    assert upgraded({"format": 2, "title": "a", "sum": 3}, chain) == {"format": 3, "title": "a", "sum": 6}
    assert upgraded({"format": 3, "title": "a", "sum": 3}, chain) == {"format": 3, "title": "a", "sum": 3}


def test_what_was_given_is_left_as_it_was() -> None:
    raw = {"format": 1, "name": "a", "sum": 3}
    upgraded(raw, (renamed, doubled))
    assert raw == {"format": 1, "name": "a", "sum": 3}


def test_a_newer_job_is_refused_with_both_numbers() -> None:
    with pytest.raises(UnreadableFile) as caught:
        upgraded({"format": 7}, (renamed,))
    assert caught.value.problems[0].value == "7"
    assert "format 2" in caught.value.problems[0].what


@pytest.mark.parametrize(
    "raw", [{}, {"format": "1"}, {"format": True}, {"format": 0}, {"format": None}, {"format": 1.0}]
)
def test_a_job_without_a_format_is_refused(raw: dict[str, Any]) -> None:
    with pytest.raises(UnreadableFile, match="no format number"):
        upgraded(raw)
