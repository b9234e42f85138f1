"""Changes to a job, each a revision.

Compute outside, save inside: a change is worked out on the newest revision, then saved on the condition that it still
is the newest; when another came first it is worked out again. What is returned is on the disk.

An edit says which revision it was made on. Different fields changed by two devices both stand; the same field changed
meanwhile raises `ChangedMeanwhile`. An edit's own id makes a retry harmless.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from uuid import uuid4

from django.db import IntegrityError, transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from trimwright.errors import TrimwrightError
from trimwright.job import merging
from trimwright.job.comparing import edit_between
from trimwright.job.document import Job
from trimwright.job.edits import EDIT, Edit, Together, apply, describe
from trimwright.job.files import job_bytes
from trimwright.web.jobs.devices import Device
from trimwright.web.jobs.models import JobRecord, Photo, Revision
from trimwright.web.jobs.store.allowed import refuse_hands, refuse_money
from trimwright.web.jobs.store.early import refuse_early
from trimwright.web.jobs.store.held import refuse_held
from trimwright.web.jobs.store.history import steps
from trimwright.web.jobs.store.plans import put_in_line
from trimwright.web.jobs.store.rows import MOST_TRIES, NoSuchRecord, job_at, listed, record, too_busy

MOST_TOLD = 6
"""So many changes of one edit are told in its line, the rest counted."""


class ChangedMeanwhile(TrimwrightError):
    """The same field was changed by somebody else since: both values, and the edit to send again if mine is to win."""

    def __init__(self, key: str, revision: Revision, fields: tuple[merging.Clash, ...], edit: Edit) -> None:
        self.key = key
        self.revision = revision.number
        self.signed = revision.signed
        self.at = revision.at
        self.fields = fields
        self.edit = EDIT.dump_json(edit).decode()
        self.new_edit_id = uuid4().hex
        super().__init__(f"{key}: {', '.join(each.what for each in fields)}")


@dataclass(frozen=True)
class Saved:
    """What a change came to: the newest revision, its job, and the line that tells the change.

    `stored` is False when there was nothing to do: a retry, or the value stood there already.
    """

    revision: int
    line: str
    job: Job
    stored: bool


def start_job(job: Job, by: Device, *, at: datetime | None = None, is_call: bool = False) -> JobRecord:
    """Keep a new job, or a first call; its first revision is 1."""
    refuse_hands(by, _("A new job"))
    at = at or timezone.now()
    with transaction.atomic():
        row = JobRecord.objects.create(revision=1, changed_at=at, is_call=is_call, **listed(job))
        Revision.objects.create(
            job=row,
            number=1,
            kind=Revision.Kind.START,
            document=job_bytes(job).decode(),
            line=_("Begun"),
            device=by.id,
            by=by.name,
            author=by.person,
            at=at,
        )
        put_in_line(row.key, 1, at)
    return row


def take_in(revisions: Sequence[Revision], photos: Sequence[Photo], newest: Job, key: str, by: Device) -> JobRecord:
    """Keep a whole job from elsewhere under a new key: its revisions in order from 1, and its photos."""
    refuse_hands(by, _("A job from elsewhere"))
    with transaction.atomic():
        row = JobRecord.objects.create(
            key=key, revision=revisions[-1].number, changed_at=revisions[-1].at, **listed(newest)
        )
        for revision in revisions:
            revision.job = row
        for photo in photos:
            photo.job = row
        Revision.objects.bulk_create(revisions, batch_size=50)
        Photo.objects.bulk_create(photos, batch_size=200)
        put_in_line(key, row.revision, timezone.now())
    return row


@dataclass(frozen=True)
class _Change:
    """A change as it will be saved: `edit` applies to revision `on`."""

    edit: Edit
    kind: str
    of: int | None = None
    edit_id: str | None = None


def take_call(key: str, wanted: Job, by: Device) -> Saved:
    """A first call becomes a job, `wanted`; its guesses stay in the history."""
    refuse_hands(by, _("A first call"))
    newest = record(key).revision
    edit = edit_between(job_at(key, newest), wanted)
    saved = Saved(newest, "", wanted, stored=False) if edit is None else edit_job(key, edit, by, seen=newest)
    JobRecord.objects.filter(pk=key).update(is_call=False)
    return saved


def drop_call(key: str, by: Device) -> None:
    """Forget a first call that is not taken; NoSuchRecord when it is none."""
    refuse_hands(by, _("A first call"))
    dropped, _rows = JobRecord.objects.filter(pk=key, is_call=True).delete()
    if not dropped:
        raise NoSuchRecord(f"{key}: first call")


def edit_job(key: str, edit: Edit, by: Device, *, seen: int, edit_id: str | None = None) -> Saved:
    """Apply an edit made on revision `seen`.

    BadEdit when it does not fit; ChangedMeanwhile when somebody else changed the same field since.
    """
    for _try in range(MOST_TRIES):
        newest = record(key).revision
        done = _stored_before(key, edit_id)
        if done is not None:
            return Saved(newest, done, job_at(key, newest), stored=False)
        job = job_at(key, newest)
        carried: Edit | None = edit if seen == newest else _carried(key, edit, seen, newest)
        changed = job if carried is None else apply(job, carried)
        if carried is None or changed == job:
            return Saved(newest, "", job, stored=False)
        saved = _save(key, newest, job, changed, _Change(carried, Revision.Kind.EDIT, edit_id=edit_id), by)
        if saved is not None:
            return saved
    raise too_busy()


def undo(key: str, by: Device) -> Saved | None:
    """Take back this device's last change that still stands; None when there is none."""
    done, _undone = steps(key, by)
    return revert(key, done[-1].number, by) if done else None


def redo(key: str, by: Device) -> Saved | None:
    """Do again what this device took back last; None when there is nothing, or it changed something since."""
    _done, undone = steps(key, by)
    return _follow(key, undone[-1].number, by, Revision.Kind.REDO) if undone else None


def revert(key: str, number: int, by: Device) -> Saved:
    """Take back the change of one revision, whoever made it, and leave all later ones standing.

    To take back that a change was taken back is to do it again.
    """
    kind, of = Revision.objects.filter(job=key, number=number).values_list("kind", "of").first() or ("", None)
    if kind == Revision.Kind.UNDO and of is not None:
        return _follow(key, of, by, Revision.Kind.REDO)
    return _follow(key, of if kind == Revision.Kind.REDO and of is not None else number, by, Revision.Kind.UNDO)


def restore(key: str, number: int, by: Device) -> Saved:
    """Make the job what it was at a revision; all between stays in the history."""
    for _try in range(MOST_TRIES):
        newest = record(key).revision
        job, wanted = job_at(key, newest), job_at(key, number)
        edit = edit_between(job, wanted)
        if edit is None:
            return Saved(newest, "", job, stored=False)
        saved = _save(key, newest, job, wanted, _Change(edit, Revision.Kind.RESTORE, of=number), by)
        if saved is not None:
            return saved
    raise too_busy()


def _follow(key: str, number: int, by: Device, kind: Revision.Kind) -> Saved:
    """Undo or redo revision `number` on the newest: what it changed, backwards or forwards."""
    if number < 2:
        raise NoSuchRecord(f"{key} at {number}")
    before, after = job_at(key, number - 1), job_at(key, number)
    if kind == Revision.Kind.UNDO:
        before, after = after, before
    edit = edit_between(before, after)
    assert edit is not None, "a revision that changes nothing is never stored"
    for _try in range(MOST_TRIES):
        newest = record(key).revision
        job = job_at(key, newest)
        carried = _rebased(key, edit, before, newest)
        if carried is None:
            return Saved(newest, "", job, stored=False)
        saved = _save(key, newest, job, apply(job, carried), _Change(carried, kind, of=number), by)
        if saved is not None:
            return saved
    raise too_busy()


def _carried(key: str, edit: Edit, seen: int, newest: int) -> Edit | None:
    return _rebased(key, edit, job_at(key, seen), newest)


def _rebased(key: str, edit: Edit, seen: Job, newest: int) -> Edit | None:
    try:
        return merging.rebased(edit, seen, job_at(key, newest))
    except merging.ChangedMeanwhile as error:
        last = Revision.objects.defer("document", "edit").get(job=key, number=newest)
        raise ChangedMeanwhile(key, last, error.clashes, edit) from None


def _stored_before(key: str, edit_id: str | None) -> str | None:
    """The line of the edit with this id, when it came before."""
    if edit_id is None:
        return None
    return Revision.objects.filter(job=key, edit_id=edit_id).values_list("line", flat=True).first()


def _save(key: str, newest: int, job: Job, changed: Job, change: _Change, by: Device) -> Saved | None:
    """Save the next revision; None when another came first and the change has to be worked out anew."""
    at, number = timezone.now(), newest + 1
    refuse_money(job, changed, by)
    refuse_early(job, changed, at, is_new=change.kind == Revision.Kind.EDIT)
    refuse_held(key, job, changed, at)
    line = _line(key, change, job)
    document, edit = job_bytes(changed).decode(), EDIT.dump_json(change.edit).decode()
    try:
        with transaction.atomic():
            current = JobRecord.objects.filter(key=key, revision=newest)
            if not current.update(revision=number, changed_at=at, **listed(changed)):
                return None
            Revision.objects.create(
                job_id=key,
                number=number,
                kind=change.kind,
                of=change.of,
                document=document,
                edit=edit,
                edit_id=change.edit_id,
                line=line,
                device=by.id,
                by=by.name,
                author=by.person,
                at=at,
            )
            put_in_line(key, number, at)
    except IntegrityError:  # the same edit id came by another request at the same moment
        return None
    return Saved(number, line, changed, stored=True)


def _line(key: str, change: _Change, job: Job) -> str:
    if change.kind == Revision.Kind.RESTORE:
        return _("As it was at %(number)s") % {"number": change.of}
    if change.of is not None:
        told = Revision.objects.filter(job=key, number=change.of).values_list("line", flat=True).get()
        words = _("Taken back: %(change)s") if change.kind == Revision.Kind.UNDO else _("Done again: %(change)s")
        return words % {"change": told}
    if isinstance(change.edit, Together) and len(change.edit.edits) > MOST_TOLD:
        first = change.edit.model_copy(update={"edits": change.edit.edits[:MOST_TOLD]})
        more = len(change.edit.edits) - MOST_TOLD
        return _("%(changes)s; and %(more)s more") % {"changes": describe(first, job), "more": more}
    return describe(change.edit, job)
