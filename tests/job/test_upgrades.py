from __future__ import annotations

import json
from typing import Any

import pytest

from trimwright.errors import UnreadableFile
from trimwright.job.document import Job
from trimwright.job.events import Note
from trimwright.job.files import read_job
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


def test_events_of_format_1_are_notes_and_lose_nothing(raw: dict[str, Any]) -> None:
    old = [
        {"id": "e1", "at": "2026-03-01T12:30:15Z", "part": "knob", "what": "looked\nagain", "by": "A", "photos": ["x"]},
        {"id": "e1", "at": "2026-03-02T12:30:15Z", "what": "the id stood twice"},
        {"id": "e1-2", "at": "2026-03-03T12:30:15Z", "what": "taken"},
    ]
    job = Job.from_plain(upgraded(raw | {"format": 1, "events": old}))
    assert job.format == 2
    assert [each.id for each in job.events] == ["e1", "e1-3", "e1-2"]
    first, second, _ = job.events
    assert isinstance(first, Note)
    assert isinstance(second, Note)
    assert (first.part, first.note, first.by, first.photos) == ("knob", "looked\nagain", "A", ("x",))
    assert second.note == "the id stood twice"


@pytest.mark.parametrize("events", [None, 3, [3], [{"id": ["e1"]}], [{"id": "e1", "what": 4, "kind": "find"}]])
def test_what_is_wrong_with_old_events_is_told_by_their_validation(events: object, raw: dict[str, Any]) -> None:
    with pytest.raises(UnreadableFile):
        read_job(json.dumps(raw | {"format": 1, "events": events}).encode())


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
