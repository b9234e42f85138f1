"""A whole job as one file: the document, every revision and the photos, out of one Trimwright and into another.

A zip of `bundle.json` (format, revisions without their documents, photos), `job.json` (the newest document),
`revisions/N.json` (each document, byte for byte as kept) and `photos/NAME.jpg`. What comes in is read by name, never
unpacked to where it says; sizes are counted while reading, whatever the file claims of itself.
"""

from __future__ import annotations

import zipfile
from collections.abc import Iterator, Sequence
from datetime import datetime
from typing import IO, Literal, NoReturn

from django.utils.translation import gettext as _
from pydantic import AwareDatetime, BaseModel, ConfigDict, Field, ValidationError

from trimwright.errors import BadInput, Problem, UnreadableFile
from trimwright.job.document import Job
from trimwright.job.edits import read_edit
from trimwright.job.files import read_job
from trimwright.job.json_file import MAX_BYTES as MAX_DOCUMENT
from trimwright.web.jobs import photos, store
from trimwright.web.jobs.devices import Device
from trimwright.web.jobs.models import JobRecord, Photo, Revision, new_key

MAX_REVISIONS = 20_000
MAX_PHOTOS = 5_000
MAX_PHOTO = 20_000_000
MAX_IN_ALL = 4_000_000_000
"""Bytes of everything unpacked."""
CHUNK = 1 << 16


class _Plain(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class RevisionRow(_Plain):
    """A revision without its document."""

    number: int = Field(ge=1)
    kind: Literal["start", "edit", "undo", "redo", "restore"]
    of: int | None
    edit: str = Field(max_length=MAX_DOCUMENT)
    edit_id: str | None = Field(max_length=64)
    line: str = Field(max_length=1_000_000)
    device: str = Field(max_length=32)
    by: str = Field(max_length=60)
    author: str = Field(default="", max_length=150)
    at: AwareDatetime


class PhotoRow(_Plain):
    """A photo without its file."""

    name: str = Field(pattern=rf"^{photos.NAME.pattern}$")
    part: str = Field(max_length=80)
    by: str = Field(max_length=60)
    author: str = Field(default="", max_length=150)
    at: AwareDatetime


class Contents(_Plain):
    """What `bundle.json` says."""

    format: Literal[1] = 1
    made_at: AwareDatetime
    revisions: tuple[RevisionRow, ...] = Field(min_length=1, max_length=MAX_REVISIONS)
    photos: tuple[PhotoRow, ...] = Field(max_length=MAX_PHOTOS)


def write_bundle(key: str, into: IO[bytes], made_at: datetime) -> None:
    """Write a job's bundle."""
    rows, newest = [], ""
    with zipfile.ZipFile(into, "w", zipfile.ZIP_DEFLATED, compresslevel=6) as bundle:
        for each in store.revisions_whole(key):
            bundle.writestr(f"revisions/{each.number}.json", each.document)
            rows.append(RevisionRow.model_validate({name: getattr(each, name) for name in RevisionRow.model_fields}))
            newest = each.document
        kept = store.photos(key)
        for photo in kept:
            # a JPEG does not get smaller
            bundle.write(photos.photo_file(key, photo.name), f"photos/{photo.name}.jpg", zipfile.ZIP_STORED)
        shown = [PhotoRow(name=each.name, part=each.part, by=each.by, author=each.author, at=each.at) for each in kept]
        contents = Contents(made_at=made_at, revisions=tuple(rows), photos=tuple(shown))
        bundle.writestr("job.json", newest)
        bundle.writestr("bundle.json", contents.model_dump_json(indent=1))


def take_in_bundle(file: IO[bytes], by: Device) -> JobRecord:
    """Keep the job in a bundle, under a new key; UnreadableFile when the file is not what it should be.

    Nothing is kept of a bundle that is refused.
    """
    try:
        with zipfile.ZipFile(file) as bundle:
            reading = _Reading(bundle)
            contents = reading.contents()
            documents = [reading.document(row.number) for row in contents.revisions]
            newest = _checked(contents.revisions, documents, reading.read("job.json", MAX_DOCUMENT))
            return _keep(contents, documents, newest, reading, by)
    except (zipfile.BadZipFile, zipfile.LargeZipFile, NotImplementedError, RuntimeError, EOFError, OSError) as error:
        if isinstance(error, OSError) and error.errno is not None:
            raise  # the disk, not the file
        _refuse("", _("is no bundle, or did not come whole."))


class _Reading:
    """Reads entries of a zip by name, and counts what comes out of it."""

    def __init__(self, bundle: zipfile.ZipFile) -> None:
        self.bundle = bundle
        self.left = MAX_IN_ALL

    def read(self, name: str, most: int) -> bytes:
        try:
            entry = self.bundle.open(name)
        except KeyError:
            _refuse(name, _("is missing."))
        with entry:
            data = bytearray()
            while chunk := entry.read(CHUNK):
                data += chunk
                self.left -= len(chunk)
                if len(data) > most or self.left < 0:
                    _refuse(name, _("is larger than it may be."))
        return bytes(data)

    def contents(self) -> Contents:
        data = self.read("bundle.json", MAX_REVISIONS * 2_000)
        try:
            return Contents.model_validate_json(data)
        except ValidationError as error:
            first = error.errors()[0]
            where = " › ".join(["bundle.json", *map(str, first["loc"])])
            _refuse(where, _("is not as it should be (%(why)s).") % {"why": first["msg"]})

    def document(self, number: int) -> bytes:
        return self.read(f"revisions/{number}.json", MAX_DOCUMENT)


def _checked(rows: Sequence[RevisionRow], documents: Sequence[bytes], newest: bytes) -> Job:
    """The newest job, when every revision is a right one and they stand in a row."""
    ids = [row.edit_id for row in rows if row.edit_id is not None]
    if [row.number for row in rows] != list(range(1, len(rows) + 1)) or len(set(ids)) < len(ids):
        _refuse("bundle.json", _("tells of revisions that do not follow each other."))
    if newest != documents[-1]:
        _refuse("job.json", _("is not the newest revision."))
    for row, document in zip(rows, documents, strict=True):
        try:
            job = read_job(document)
            if row.edit:
                read_edit(row.edit)
        except BadInput as error:
            where = f"revisions/{row.number}.json"
            raise UnreadableFile(
                [Problem(f"{where} › {each.where}", each.value, each.what, each.way_out) for each in error.problems]
            ) from None
    return job


def _keep(contents: Contents, documents: Sequence[bytes], newest: Job, reading: _Reading, by: Device) -> JobRecord:
    key = new_key()
    revisions = [
        Revision(**row.model_dump(), document=document.decode())
        for row, document in zip(contents.revisions, documents, strict=True)
    ]
    names = [row.name for row in contents.photos]
    if len(set(names)) < len(names):
        _refuse("bundle.json", _("names a photo twice."))
    rows: list[Photo] = []
    try:
        rows += _photos(contents.photos, key, reading)
        return store.take_in(revisions, rows, newest, key, by)
    except BaseException:
        photos.drop(key)
        raise


def _photos(rows: Sequence[PhotoRow], key: str, reading: _Reading) -> Iterator[Photo]:
    for row in rows:
        name = f"photos/{row.name}.jpg"
        data = reading.read(name, MAX_PHOTO)
        size = photos.is_ours(data)
        if size is None:
            _refuse(name, _("is no photo such as a bundle holds."))
        photos.write_photo(key, row.name, data)
        yield Photo(**row.model_dump(), width=size[0], height=size[1], bytes=len(data))


def _refuse(where: str, what: str) -> NoReturn:
    raise UnreadableFile(Problem(where or _("bundle"), "", what, _("Fetch a whole copy, or make the bundle anew.")))
