"""What happened to a job, and what a device may undo and do again."""

from __future__ import annotations

from dataclasses import dataclass

from trimwright.job.comparing import Difference, differences
from trimwright.web.jobs.devices import Device
from trimwright.web.jobs.models import Revision
from trimwright.web.jobs.store.rows import job_at


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


def lines_between(key: str, after: int, until: int) -> list[str]:
    """The lines of the history behind one revision up to another, oldest first."""
    rows = Revision.objects.filter(job=key, number__gt=after, number__lte=until).order_by("number")
    return list(rows.values_list("line", flat=True))
