"""A job goes out as one file and comes in the same, to the byte; a file that is not one leaves nothing behind."""

from __future__ import annotations

import io
import json
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any, cast

import pytest
from django.conf import settings
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from tests.plan.small_cabin import CUSHION, KNOB, small_job
from tests.web.conftest import LAPTOP, PHONE
from tests.web.test_photos import camera_photo
from trimwright.errors import UnreadableFile
from trimwright.job.edits import RemovePart, SetField
from trimwright.job.files import job_bytes
from trimwright.job.json_file import MAX_BYTES
from trimwright.web.jobs import bundle, photos, store
from trimwright.web.jobs.models import JobRecord, Photo, Revision

pytestmark = pytest.mark.django_db

FIELDS = ("number", "kind", "of", "document", "edit", "edit_id", "line", "device", "by", "author", "at")


@pytest.fixture
def lived(key: str) -> str:
    """A job that has lived: edits by two devices, an undo, a restore, two photos."""
    store.edit_job(key, SetField(path=("parts", CUSHION, "finish_now"), value=2), PHONE, seen=1, edit_id="a")
    store.edit_job(key, RemovePart(part=KNOB), LAPTOP, seen=2, edit_id="b")
    store.undo(key, PHONE)
    store.restore(key, 1, LAPTOP)
    for name in ("first-photo", "second-photo"):
        photos.keep_photo(key, name, io.BytesIO(camera_photo((400, 300))), part=CUSHION, by=PHONE)
    return key


def bundled(key: str) -> bytes:
    into = io.BytesIO()
    bundle.write_bundle(key, into, timezone.now())
    return into.getvalue()


def changed(data: bytes, **entries: bytes | None) -> bytes:
    """The bundle with entries replaced, or left out where None is given; names with __ for / and a dot at the end."""
    into = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as old, zipfile.ZipFile(into, "w", zipfile.ZIP_DEFLATED) as new:
        for name in old.namelist():
            if entries.get(name, b"") is not None:
                new.writestr(name, entries.get(name) or old.read(name))
        for name, content in entries.items():
            if content is not None and name not in old.namelist():
                new.writestr(name, content)
    return into.getvalue()


def contents(data: bytes, change: Callable[[Any], object]) -> bytes:
    """The bundle with what `bundle.json` says changed."""
    with zipfile.ZipFile(io.BytesIO(data)) as old:
        told = json.loads(old.read("bundle.json"))
    change(told)
    return changed(data, **{"bundle.json": json.dumps(told).encode()})


def test_a_bundle_brings_everything_back_to_the_byte(lived: str) -> None:
    taken = bundle.take_in_bundle(io.BytesIO(bundled(lived)), LAPTOP)
    assert taken.key != lived
    was, now = ([tuple(row) for row in Revision.objects.filter(job=key).order_by("number").values_list(*FIELDS)]
                for key in (lived, taken.key))  # fmt: skip
    assert now == was
    assert len(now) == 5
    for one, other in zip(store.photos(lived), store.photos(taken.key), strict=True):
        assert (one.name, one.part, one.width, one.height, one.bytes, one.by, one.at) == (
            other.name, other.part, other.width, other.height, other.bytes, other.by, other.at,
        )  # fmt: skip
        assert photos.photo_file(lived, one.name).read_bytes() == photos.photo_file(taken.key, one.name).read_bytes()
        assert photos.photo_file(taken.key, one.name, small=True).is_file()


def test_a_job_taken_in_goes_on(lived: str) -> None:
    taken = bundle.take_in_bundle(io.BytesIO(bundled(lived)), LAPTOP)
    store.undo(taken.key, LAPTOP)
    assert store.job_at(taken.key, 6) == store.job_at(lived, 4)
    assert store.ask_for_plan(store.record(taken.key)).revision == 6


def test_in_the_browser_a_bundle_or_a_job_file_comes_in_whatever_it_is_called(client: Client, lived: str) -> None:
    out = client.get(reverse("bundle", args=[lived]))
    data = b"".join(cast("Any", out).streaming_content)
    plain = client.get(reverse("job_file", args=[lived]))
    assert plain.content == job_bytes(small_job())
    for sent in (data, plain.content):
        file = io.BytesIO(sent)
        file.name = "whatever.dat"
        answer = client.post(reverse("import_job"), {"file": file})
        assert answer.status_code == 302
    assert JobRecord.objects.count() == 3


def too_many_bytes(name: str, data: bytes) -> bytes:
    return changed(data, **{name: b" " * (MAX_BYTES + 2)})


BAD: dict[str, tuple[Callable[[bytes], bytes], str]] = {
    "no zip": (lambda _: b"PK\x03\x04 and then nothing of the kind", "is no bundle"),
    "cut off": (lambda data: data[: len(data) // 2], "is no bundle"),
    "no contents": (lambda data: changed(data, **{"bundle.json": None}), "is missing"),
    "no document": (lambda data: changed(data, **{"revisions/2.json": None}), "is missing"),
    "no photo": (lambda data: changed(data, **{"photos/first-photo.jpg": None}), "is missing"),
    "a document that is none": (lambda data: changed(data, **{"revisions/2.json": b"{}"}), "format"),
    "another newest": (lambda data: changed(data, **{"job.json": b"{}"}), "is not the newest revision"),
    "a bomb": (lambda data: too_many_bytes("revisions/1.json", data), "is larger than it may be"),
    "a photo that is none": (lambda data: changed(data, **{"photos/first-photo.jpg": b"MZ"}), "is no photo"),
    "a photo with a place": (
        lambda data: changed(data, **{"photos/first-photo.jpg": camera_photo((64, 48))}),
        "is no photo",
    ),
    "a name that leads out": (
        lambda data: contents(data, lambda told: told["photos"][0].update(name="../../out")),
        "is not as it should be",
    ),
    "a photo twice": (
        lambda data: contents(data, lambda told: told["photos"].append(told["photos"][0])),
        "names a photo twice",
    ),
    "a revision left out": (
        lambda data: contents(data, lambda told: told["revisions"].pop(1)),
        "do not follow each other",
    ),
    "another format": (lambda data: contents(data, lambda told: told.update(format=9)), "is not as it should be"),
    "an edit that is none": (
        lambda data: contents(data, lambda told: told["revisions"][1].update(edit='{"do": "harm"}')),
        "",
    ),
}


@pytest.mark.parametrize("kind", BAD)
def test_a_bad_bundle_is_refused_and_leaves_nothing(lived: str, kind: str) -> None:
    spoil, told = BAD[kind]
    data = spoil(bundled(lived))
    with pytest.raises(UnreadableFile) as caught:
        bundle.take_in_bundle(io.BytesIO(data), LAPTOP)
    assert told in str(caught.value)
    assert caught.value.problems[0].way_out
    assert (JobRecord.objects.count(), Photo.objects.count()) == (1, 2)
    assert [each.name for each in Path(settings.PHOTOS).iterdir()] == [lived]


def test_all_that_is_unpacked_is_counted(lived: str, monkeypatch: pytest.MonkeyPatch) -> None:
    data = bundled(lived)
    monkeypatch.setattr(bundle, "MAX_IN_ALL", 20_000)
    with pytest.raises(UnreadableFile, match="larger than it may be"):
        bundle.take_in_bundle(io.BytesIO(data), LAPTOP)


def test_a_refused_file_is_told_on_the_page(client: Client) -> None:
    file = io.BytesIO(b'{"format": 1}')
    file.name = "job.json"
    answer = client.post(reverse("import_job"), {"file": file})
    assert answer.status_code == 422
    assert "This file cannot be taken in" in answer.content.decode()
    assert client.post(reverse("import_job")).status_code == 422
    assert not store.jobs()
