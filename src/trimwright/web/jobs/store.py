"""Keeps jobs with every revision, plans, photos and the shop; the only module that writes rows.

Compute outside, save inside: a change is worked out on the newest revision, then saved on the condition that it still
is the newest; when another came first it is worked out again. What is returned is on the disk.

An edit says which revision it was made on. Different fields changed by two devices both stand; the same field changed
meanwhile raises `ChangedMeanwhile`. An edit's own id makes a retry harmless.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import lru_cache
from typing import Any
from uuid import uuid4

from django.db import IntegrityError, transaction
from django.db.models import F
from django.utils import timezone
from django.utils.translation import gettext as _

from trimwright.book.document import Book
from trimwright.book.files import book_bytes, read_book
from trimwright.errors import BadInput, Problem, TrimwrightError
from trimwright.job import merging
from trimwright.job.comparing import Difference, differences, edit_between
from trimwright.job.document import Job
from trimwright.job.edits import EDIT, Edit, Together, apply, describe
from trimwright.job.files import job_bytes, read_job
from trimwright.web.jobs.devices import Device
from trimwright.web.jobs.models import Answer, BookRevision, JobRecord, Photo, PlanRecord, Revision, ShopRecord

MOST_TRIES = 50
"""So often a change is worked out anew when others keep coming first."""
MOST_TOLD = 6
"""So many changes of one edit are told in its line, the rest counted."""
PLANS_KEPT = 5
"""Finished plans kept for a job."""


class NoSuchRecord(TrimwrightError):
    """No job, revision or photo by that name."""


class ChangedMeanwhile(TrimwrightError):
    """The same field was changed by somebody else since: both values, and the edit to send again if mine is to win."""

    def __init__(self, key: str, revision: Revision, fields: tuple[merging.Clash, ...], edit: Edit) -> None:
        self.key = key
        self.revision = revision.number
        self.by = revision.by
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


# Jobs.


def jobs() -> list[JobRecord]:
    """All jobs, the one changed last first."""
    return list(JobRecord.objects.all())


def record(key: str) -> JobRecord:
    """The job's row."""
    try:
        return JobRecord.objects.get(key=key)
    except JobRecord.DoesNotExist:
        raise NoSuchRecord(key) from None


def job_at(key: str, number: int) -> Job:
    """The job as it was at a revision."""
    return _document(key, number)


@lru_cache(maxsize=64)
def _document(key: str, number: int) -> Job:
    """A revision never changes and a key is never used again, so what was read once stays right."""
    text = Revision.objects.filter(job=key, number=number).values_list("document", flat=True).first()
    if text is None:
        raise NoSuchRecord(f"{key} at {number}")
    return read_job(text.encode())


def start_job(job: Job, by: Device, *, at: datetime | None = None) -> JobRecord:
    """Keep a new job; its first revision is 1."""
    at = at or timezone.now()
    with transaction.atomic():
        row = JobRecord.objects.create(revision=1, changed_at=at, **_listed(job))
        Revision.objects.create(
            job=row,
            number=1,
            kind=Revision.Kind.START,
            document=job_bytes(job).decode(),
            line=_("Begun"),
            device=by.id,
            by=by.name,
            at=at,
        )
        _ask_for_plan(row.key, 1, at)
    return row


# Changes.


@dataclass(frozen=True)
class _Change:
    """A change as it will be saved: `edit` applies to revision `on`."""

    edit: Edit
    kind: str
    of: int | None = None
    edit_id: str | None = None


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
    raise _too_busy()


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
    raise _too_busy()


@dataclass(frozen=True, slots=True)
class Step:
    """A change that can be undone or done again."""

    number: int
    line: str


def steps(key: str, by: Device) -> tuple[list[Step], list[Step]]:
    """This device's changes that stand, and those it took back and may do again; the next one last."""
    done: list[Step] = []
    undone: list[Step] = []
    rows = Revision.objects.filter(job=key, device=by.id).exclude(kind=Revision.Kind.START)
    for number, kind, of, line in rows.order_by("number").values_list("number", "kind", "of", "line"):
        if kind == Revision.Kind.UNDO:
            undone += [each for each in done if each.number == of]
            done = [each for each in done if each.number != of]
        elif kind == Revision.Kind.REDO:
            done += [each for each in undone if each.number == of]
            undone = [each for each in undone if each.number != of]
        else:
            done.append(Step(number, line))
            undone = []
    return done, undone


def history(key: str, *, most: int | None = None) -> list[Revision]:
    """Every revision, or the newest of them, newest first, without the documents."""
    return list(Revision.objects.filter(job=key).defer("document", "edit").order_by("-number")[:most])


def compared(key: str, old: int, new: int) -> tuple[Difference, ...]:
    """What differs between two revisions, field by field."""
    return differences(job_at(key, old), job_at(key, new))


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
    raise _too_busy()


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
    line, at, number = _line(key, change, job), timezone.now(), newest + 1
    document, edit = job_bytes(changed).decode(), EDIT.dump_json(change.edit).decode()
    try:
        with transaction.atomic():
            current = JobRecord.objects.filter(key=key, revision=newest)
            if not current.update(revision=number, changed_at=at, **_listed(changed)):
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
                at=at,
            )
            _ask_for_plan(key, number, at)
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


def _listed(job: Job) -> dict[str, Any]:
    """What a list of jobs shows."""
    return {
        "name": job.name,
        "car": job.car.text,
        "body": job.car.body,
        "currency": job.money.currency,
        "sum": job.money.sum,
        "parts": len(job.parts),
        "seen": sum(part.finish_now is not None for part in job.parts),
    }


def _too_busy() -> BadInput:
    what = _("could not be saved: too many changes came at once.")
    return BadInput(Problem(_("this change"), "", what, _("Send it once more.")))


# Plans.


def ask_for_plan(row: JobRecord) -> PlanRecord:
    """The plan of a job as it is now, with the shop book as it is now; asked for when nobody has yet."""
    newest = newest_plan(row.key)
    if newest is not None and (newest.revision, newest.book) == (row.revision, book_number()):
        return newest
    with transaction.atomic():
        return _ask_for_plan(row.key, row.revision, timezone.now())


def ask_again(key: str) -> PlanRecord:
    """A plan for the job as it is now, though there is one: after a slip."""
    row = record(key)
    with transaction.atomic():
        return _ask_for_plan(key, row.revision, timezone.now())


def newest_plan(key: str) -> PlanRecord | None:
    """The plan asked for last, whatever has become of it."""
    return PlanRecord.objects.filter(job=key).defer("result").order_by("-id").first()


def newest_result(key: str) -> PlanRecord | None:
    """The newest plan with a result; its `revision` tells whether it is the newest job's."""
    return PlanRecord.objects.filter(job=key, result__isnull=False).order_by("-id").first()


def result_before(plan: PlanRecord) -> PlanRecord | None:
    """The last plan with verdicts before this one of the same job."""
    earlier = PlanRecord.objects.filter(job=plan.job_id, pk__lt=plan.pk, result__has_key="verdicts")
    return earlier.order_by("-id").first()


def lines_between(key: str, after: int, until: int) -> list[str]:
    """The lines of the history behind one revision up to another, oldest first."""
    rows = Revision.objects.filter(job=key, number__gt=after, number__lte=until).order_by("number")
    return list(rows.values_list("line", flat=True))


def newest_printed(key: str) -> PlanRecord:
    """The newest plan whose papers are printed; NoSuchRecord when there is none."""
    for plan in PlanRecord.objects.filter(job=key, result__isnull=False).order_by("-id"):
        if "papers" in (plan.result or {}):
            return plan
    raise NoSuchRecord(f"{key}: papers")


def take_plan(*, settled_before: datetime) -> PlanRecord | None:
    """The plan that has waited longest, now this worker's; None when none asked before `settled_before` waits."""
    waiting = PlanRecord.objects.filter(state=PlanRecord.State.WAITING, asked_at__lte=settled_before)
    for plan in waiting.order_by("asked_at")[:10]:
        now = timezone.now()
        mine = PlanRecord.objects.filter(pk=plan.pk, state=PlanRecord.State.WAITING)
        if mine.update(state=PlanRecord.State.RUNNING, heard_at=now):
            plan.state = PlanRecord.State.RUNNING
            return plan
    return None


def tell_plan(pk: int, *, progress: str, gap: float | None) -> bool:
    """Note how far a plan is; False when nobody wants it any more."""
    running = PlanRecord.objects.filter(pk=pk, state=PlanRecord.State.RUNNING)
    return bool(running.update(progress=progress, gap=gap, heard_at=timezone.now()))


def is_wanted(pk: int) -> bool:
    """Whether a plan that is being made is still wanted."""
    return PlanRecord.objects.filter(pk=pk).exists()


def give_plan_back(pk: int) -> None:
    """Put a plan that could not be finished back among the waiting."""
    PlanRecord.objects.filter(pk=pk).update(state=PlanRecord.State.WAITING, progress="", gap=None, result=None)


def add_to_plan(pk: int, stage: str, data: object) -> None:
    """Add one stage's plain data to a plan's result."""
    with transaction.atomic():
        plan = PlanRecord.objects.filter(pk=pk).select_for_update().first()
        if plan is not None:
            plan.result = {**(plan.result or {}), stage: data}
            plan.heard_at = timezone.now()
            plan.save(update_fields=["result", "heard_at"])


def end_plan(pk: int, problems: Iterable[Problem] = (), *, ask: Iterable[str] = ()) -> list[int]:
    """Note that a plan is done, or why it failed, and what it is asked next; drop old ones, and say which."""
    rows = [{"where": p.where, "value": p.value, "what": p.what, "way_out": p.way_out} for p in problems]
    state = PlanRecord.State.FAILED if rows else PlanRecord.State.DONE
    with transaction.atomic():
        PlanRecord.objects.filter(pk=pk).update(state=state, problems=rows, progress="", heard_at=timezone.now())
        job = PlanRecord.objects.filter(pk=pk).values_list("job", flat=True).first()
        if job is not None:
            for about in ask:
                Answer.objects.get_or_create(plan_id=pk, about=about, defaults={"asked_at": timezone.now()})
        ended = PlanRecord.objects.filter(job=job, state__in=(PlanRecord.State.DONE, PlanRecord.State.FAILED))
        dropped = list(ended.order_by("-id").values_list("pk", flat=True)[PLANS_KEPT:])
        PlanRecord.objects.filter(pk__in=dropped).delete()
    return dropped


def plans_unheard(since: datetime) -> int:
    """Put plans and answers whose worker has told nothing since back among the waiting; how many plans."""
    lost = Answer.objects.filter(state=Answer.State.RUNNING, heard_at__lt=since)
    lost.update(state=Answer.State.WAITING, share=0.0)
    unheard = PlanRecord.objects.filter(state=PlanRecord.State.RUNNING, heard_at__lt=since)
    return unheard.update(state=PlanRecord.State.WAITING)


def _ask_for_plan(key: str, revision: int, at: datetime) -> PlanRecord:
    """A plan for this revision, in place of those of older revisions that are not made yet.

    One whose verdicts are there is kept: pages show it until there are others, and tell what changed since.
    """
    open_ones = PlanRecord.objects.filter(job=key, state__in=(PlanRecord.State.WAITING, PlanRecord.State.RUNNING))
    open_ones.filter(result__has_key="verdicts").update(state=PlanRecord.State.DONE, progress="")
    open_ones.filter(state__in=(PlanRecord.State.WAITING, PlanRecord.State.RUNNING)).delete()
    return PlanRecord.objects.create(job_id=key, revision=revision, book=book_number(), asked_at=at)


# What a plan is asked beyond its verdicts.


def keep_answers(pk: int, answers: Mapping[str, object]) -> None:
    """Keep answers that came with a plan, by what they are about; none when the plan is gone."""
    now = timezone.now()
    with transaction.atomic():
        if PlanRecord.objects.filter(pk=pk).select_for_update().exists():
            Answer.objects.filter(plan=pk).delete()
            rows = (
                Answer(plan_id=pk, about=about, data=data, state=Answer.State.DONE, share=1.0, asked_at=now)
                for about, data in answers.items()
            )
            Answer.objects.bulk_create(rows, batch_size=100)


def ask(pk: int, about: str, *, urgent: bool) -> Answer:
    """The answer of a plan; asked for when nobody has yet. `urgent` when a person waits for it."""
    found, made = Answer.objects.get_or_create(
        plan_id=pk, about=about, defaults={"urgent": urgent, "asked_at": timezone.now()}
    )
    if urgent and not made and not found.urgent and found.state == Answer.State.WAITING:
        Answer.objects.filter(pk=found.pk).update(urgent=True)
    return found


def answer(pk: int, about: str) -> Answer | None:
    """The answer of a plan as far as it has come; None when nobody has asked."""
    return Answer.objects.filter(plan=pk, about=about).first()


def take_answer() -> Answer | None:
    """The answer that has waited longest, urgent ones first, now this worker's; only of plans that are the newest.

    None while a plan waits to be made: it goes first.
    """
    if PlanRecord.objects.filter(state=PlanRecord.State.WAITING).exists():
        return None
    waiting = Answer.objects.filter(state=Answer.State.WAITING, plan__state=PlanRecord.State.DONE)
    current = waiting.filter(plan__revision=F("plan__job__revision")).select_related("plan")
    for found in current.order_by("-urgent", "asked_at")[:10]:
        mine = Answer.objects.filter(pk=found.pk, state=Answer.State.WAITING)
        if mine.update(state=Answer.State.RUNNING, heard_at=timezone.now()):
            return found
    return None


def tell_answer(pk: int, share: float) -> bool:
    """Note how much of an answer is worked out; False when it has to stand back for a plan, or nobody wants it."""
    if PlanRecord.objects.filter(state=PlanRecord.State.WAITING).exists():
        return False
    return bool(Answer.objects.filter(pk=pk).update(share=share, heard_at=timezone.now()))


def end_answer(pk: int, data: object | None) -> None:
    """Keep what was found; None when it failed."""
    state = Answer.State.FAILED if data is None else Answer.State.DONE
    Answer.objects.filter(pk=pk).update(state=state, data=data, share=1.0, heard_at=timezone.now())


def give_answer_back(pk: int) -> None:
    """Put an answer that could not be finished back among the waiting."""
    Answer.objects.filter(pk=pk, state=Answer.State.RUNNING).update(state=Answer.State.WAITING, share=0.0)


def ask_anew(pk: int, about: str) -> None:
    """Ask once more what failed."""
    failed = Answer.objects.filter(plan=pk, about=about, state=Answer.State.FAILED)
    failed.update(state=Answer.State.WAITING, share=0.0, urgent=True)


# Photos.


def add_photo(key: str, name: str, *, part: str, size: tuple[int, int], length: int, by: Device) -> Photo:
    """Keep a photo's row; its file is written before. A photo of that name that is there already stays."""
    width, height = size
    kept, _made = Photo.objects.get_or_create(
        job=record(key),
        name=name,
        defaults={
            "part": part,
            "width": width,
            "height": height,
            "bytes": length,
            "by": by.name,
            "at": timezone.now(),
        },
    )
    return kept


def photo(key: str, name: str) -> Photo:
    """A photo's row."""
    found = Photo.objects.filter(job=key, name=name).first()
    if found is None:
        raise NoSuchRecord(f"{key}: photo {name}")
    return found


def photos(key: str) -> list[Photo]:
    """All photos of a job, oldest first."""
    return list(Photo.objects.filter(job=key).order_by("id"))


# Whole jobs from elsewhere.


def revisions_whole(key: str) -> Iterable[Revision]:
    """Every revision of a job with its document, oldest first, one at a time."""
    return Revision.objects.filter(job=record(key)).order_by("number").iterator(chunk_size=20)


def take_in(revisions: Sequence[Revision], photos: Sequence[Photo], newest: Job, key: str) -> JobRecord:
    """Keep a whole job from elsewhere under a new key: its revisions in order from 1, and its photos."""
    with transaction.atomic():
        row = JobRecord.objects.create(
            key=key, revision=revisions[-1].number, changed_at=revisions[-1].at, **_listed(newest)
        )
        for revision in revisions:
            revision.job = row
        for photo in photos:
            photo.job = row
        Revision.objects.bulk_create(revisions, batch_size=50)
        Photo.objects.bulk_create(photos, batch_size=200)
        _ask_for_plan(key, row.revision, timezone.now())
    return row


# The shop and its book.


def shop() -> ShopRecord:
    """The shop's row; as new when nothing was kept yet."""
    return ShopRecord.objects.filter(pk=1).first() or ShopRecord(pk=1)


def keep_shop(**fields: str) -> None:
    """Keep what the shop said of itself."""
    ShopRecord.objects.update_or_create(pk=1, defaults=fields)


def book_number() -> int:
    """The newest revision of the shop book; 0 while it is empty."""
    return BookRevision.objects.order_by("-number").values_list("number", flat=True).first() or 0


def book_at(number: int) -> Book:
    """The shop book as it was at a revision."""
    if number == 0:
        return Book()
    text = BookRevision.objects.filter(number=number).values_list("document", flat=True).first()
    if text is None:
        raise NoSuchRecord(f"shop book at {number}")
    return read_book(text.encode())


def book() -> Book:
    """The shop book as it is now."""
    return book_at(book_number())


def change_book(change: Callable[[Book], Book], by: Device, line: str) -> int:
    """Keep the book as `change` makes it of the newest one, whoever changed it just before; its revision."""
    for _try in range(MOST_TRIES):
        number = book_number()
        before = book_at(number)
        changed = change(before)
        if changed == before:
            return number
        document = book_bytes(changed).decode()
        try:
            with transaction.atomic():
                BookRevision.objects.create(
                    number=number + 1, document=document, line=line, by=by.name, at=timezone.now()
                )
        except IntegrityError:  # another change came first
            continue
        return number + 1
    raise _too_busy()


def book_history() -> list[BookRevision]:
    """Every revision of the shop book, newest first, without the documents."""
    return list(BookRevision.objects.defer("document").order_by("-number"))
