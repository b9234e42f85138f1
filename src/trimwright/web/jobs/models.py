"""Rows, no rules: a job, its revisions, its plans, its photos, and the shop. `store` alone writes them.

People are Django's own: `django.contrib.auth`.
"""

from __future__ import annotations

import secrets
import string

from django.db import models
from django.utils.translation import gettext as _

_LETTERS = string.ascii_lowercase + string.digits


def new_key() -> str:
    """Names a job in addresses; never used twice, so what is remembered under it cannot go stale."""
    return "".join(secrets.choice(_LETTERS) for _ in range(10))


class Signed(models.Model):
    """What somebody did: who, where people have accounts, and on which device."""

    author = models.CharField(max_length=150, blank=True, default="")
    """The name at the door; empty where nobody was asked for one."""
    by = models.CharField(max_length=60)
    """What the device is called."""
    at = models.DateTimeField()

    class Meta:
        abstract = True

    @property
    def signed(self) -> str:
        return told_signed(self.author, self.by)


def told_signed(author: str, device: str) -> str:
    """A signature in words."""
    words = _("by %(author)s on the %(device)s") if author else _("by the %(device)s")
    return words % {"author": author, "device": device}


class State(models.TextChoices):
    """How far something is that is worked out while no page waits."""

    WAITING = "waiting"
    RUNNING = "running"
    DONE = "done"
    FAILED = "failed"


class JobRecord(models.Model):
    """A job: what a list of jobs shows, and the number of its newest revision, which holds the document."""

    key = models.CharField(primary_key=True, max_length=10, default=new_key, editable=False)
    revision = models.PositiveIntegerField()
    name = models.CharField(max_length=200)
    car = models.CharField(max_length=200)
    body = models.CharField(max_length=40)
    currency = models.CharField(max_length=3)
    sum = models.BigIntegerField()
    parts = models.PositiveIntegerField()
    seen = models.PositiveIntegerField()
    """Parts whose finish is known."""
    is_call = models.BooleanField(default=False)
    """A first call that nobody has taken yet: everything in its document is guessed."""
    changed_at = models.DateTimeField()
    put_away_at = models.DateTimeField(null=True)
    """Since when it is out of sight; None while it is at hand."""

    class Meta:
        ordering = ("-changed_at",)

    def __str__(self) -> str:
        return self.name


class Revision(Signed):
    """A job as it was after one change: the document's bytes, the change, whose, when, and the line that tells it."""

    class Kind(models.TextChoices):
        """What made it."""

        START = "start"
        EDIT = "edit"
        UNDO = "undo"
        REDO = "redo"
        RESTORE = "restore"

    job = models.ForeignKey(JobRecord, models.CASCADE, related_name="revisions")
    number = models.PositiveIntegerField()
    """From 1."""
    kind = models.CharField(max_length=8, choices=Kind)
    of = models.PositiveIntegerField(null=True)
    """The revision undone, done again or restored."""
    document = models.TextField()
    edit = models.TextField(blank=True)
    """The change as JSON, as it was applied; empty for the first."""
    edit_id = models.CharField(max_length=64, null=True)
    """The client's own id of the change: a retry finds it and stores nothing."""
    line = models.TextField()
    device = models.CharField(max_length=32)

    class Meta:
        ordering = ("job", "number")
        constraints = (
            models.UniqueConstraint(fields=("job", "number"), name="one_revision_a_number"),
            models.UniqueConstraint(fields=("job", "edit_id"), name="one_revision_an_edit"),
        )

    def __str__(self) -> str:
        return f"{self.number}: {self.line}"


class PlanRecord(models.Model):
    """A plan asked for, being made, or made, for one revision of a job."""

    job = models.ForeignKey(JobRecord, models.CASCADE, related_name="plans")
    revision = models.PositiveIntegerField()
    book = models.PositiveIntegerField(default=0)
    """The revision of the shop book it is made with; 0 = an empty one."""
    state = models.CharField(max_length=8, choices=State, default=State.WAITING)
    asked_at = models.DateTimeField()
    heard_at = models.DateTimeField(null=True)
    """When its worker last told something."""
    progress = models.CharField(max_length=200, blank=True)
    gap = models.FloatField(null=True)
    """How far from proven, as a share; None while nothing is known."""
    result = models.JSONField(null=True)
    """Plain data for the pages, a key a stage (`planning.py`); there as soon as the verdicts are."""
    problems = models.JSONField(default=list)
    """Why it failed: where, value, what, way out."""

    class Meta:
        ordering = ("job", "-id")
        indexes = (models.Index(fields=("state", "asked_at"), name="plans_to_make"),)

    def __str__(self) -> str:
        return f"{self.job_id} at {self.revision}: {self.state}"


class Answer(models.Model):
    """What a plan has been asked beyond its verdicts; each on its own, so that a page reads only what it shows."""

    plan = models.ForeignKey(PlanRecord, models.CASCADE, related_name="answers")
    about = models.CharField(max_length=120)
    """What was asked (`answering.py`)."""
    state = models.CharField(max_length=8, choices=State, default=State.WAITING)
    urgent = models.BooleanField(default=False)
    """A person waits for it: it goes before what was asked ahead of time."""
    asked_at = models.DateTimeField()
    heard_at = models.DateTimeField(null=True)
    share = models.FloatField(default=0.0)
    """How much of it is worked out."""
    data = models.JSONField(null=True)
    """Plain data for the page, once it is there."""

    class Meta:
        ordering = ("plan", "id")
        constraints = (models.UniqueConstraint(fields=("plan", "about"), name="one_answer_a_question"),)
        indexes = (models.Index(fields=("state", "asked_at"), name="answers_to_find"),)

    def __str__(self) -> str:
        return f"{self.plan_id} {self.about}: {self.state}"


class Photo(Signed):
    """A photo of a job; the document names it by `name`, the file lies in the data folder."""

    job = models.ForeignKey(JobRecord, models.CASCADE, related_name="photos")
    name = models.CharField(max_length=40)
    part = models.CharField(max_length=80, blank=True)
    width = models.PositiveIntegerField()
    height = models.PositiveIntegerField()
    bytes = models.PositiveIntegerField()

    class Meta:
        ordering = ("job", "id")
        constraints = (models.UniqueConstraint(fields=("job", "name"), name="one_photo_a_name"),)

    def __str__(self) -> str:
        return self.name


class PhotoWork(models.Model):
    """Something worked out of a job's photos while no page waits (`photo_work.py`); what comes of it lies in files."""

    job = models.ForeignKey(JobRecord, models.CASCADE, related_name="photo_works")
    about = models.CharField(max_length=120)
    """`over BEFORE AFTER`, or `book`."""
    state = models.CharField(max_length=8, choices=State, default=State.WAITING)
    asked_at = models.DateTimeField()
    heard_at = models.DateTimeField(null=True)
    data = models.JSONField(null=True)
    """What is told of it; of a pair None where the two can't be laid over each other."""

    class Meta:
        ordering = ("job", "id")
        constraints = (models.UniqueConstraint(fields=("job", "about"), name="one_photo_work_a_thing"),)
        indexes = (models.Index(fields=("state", "asked_at"), name="photo_works_to_do"),)

    def __str__(self) -> str:
        return f"{self.job_id} {self.about}: {self.state}"


class BenchWork(models.Model):
    """A file given to the workbench, to be worked out while no page waits (`bench_work`); it lies in a folder."""

    key = models.CharField(max_length=16, primary_key=True)
    kind = models.CharField(max_length=8)
    """One of `bench_work.KINDS`."""
    asked = models.JSONField()
    """What was typed beside it, by line."""
    state = models.CharField(max_length=8, choices=State, default=State.WAITING)
    asked_at = models.DateTimeField()
    heard_at = models.DateTimeField(null=True)
    data = models.JSONField(null=True)
    """What came of it, for its page."""
    problems = models.JSONField(default=list)
    """Why nothing did: where, value, what, way out."""

    class Meta:
        ordering = ("asked_at",)
        indexes = (models.Index(fields=("state", "asked_at"), name="bench_works_to_do"),)

    def __str__(self) -> str:
        return f"{self.kind} {self.key}: {self.state}"


class SharedCalendar(models.Model):
    """All jobs at hand over the same hands and places: one row, laid out while no page waits (`shared_calendar.py`)."""

    state = models.CharField(max_length=8, choices=State, default=State.WAITING)
    asked_at = models.DateTimeField()
    heard_at = models.DateTimeField(null=True)
    data = models.JSONField(null=True)
    """The last that was laid out; shown while the next one is."""

    def __str__(self) -> str:
        return f"all jobs: {self.state}"


class BookRevision(Signed):
    """The shop book as it was after one change."""

    number = models.PositiveIntegerField(unique=True)
    """From 1."""
    document = models.TextField()
    line = models.TextField()

    class Meta:
        ordering = ("number",)

    def __str__(self) -> str:
        return f"{self.number}: {self.line}"


class ShopRecord(models.Model):
    """The shop: one row. What a new job starts with, and whether the demo was put in place once."""

    currency = models.CharField(max_length=3, default="EUR")
    units = models.CharField(max_length=12, default="metric")
    had_demo = models.BooleanField(default=False)

    class Meta:
        permissions = (("change_money", "may change sums, prices, quotes and the shop book"),)

    def __str__(self) -> str:
        return "the shop"
