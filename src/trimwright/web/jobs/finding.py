"""Finds on the way: what each answer to one comes to, and the owner's answer with the yes."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.http import HttpRequest
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from trimwright.errors import BadInput, Problem
from trimwright.job.document import Job
from trimwright.job.edits import Edit, SetField, Together
from trimwright.job.events import Find
from trimwright.web.jobs import store
from trimwright.web.jobs.answering import CHANGE
from trimwright.web.jobs.frame import PENDING
from trimwright.web.jobs.models import JobRecord, State
from trimwright.web.jobs.purchases import new_id
from trimwright.web.jobs.saying_yes import YesForm, now_by

WAYS = (
    ("from the reserve", gettext_lazy("The reserve pays")),
    ("drop others for it", gettext_lazy("Others are dropped for it")),
    ("leave and record", gettext_lazy("It is left and recorded")),
)


def find_in(job: Job, event: str) -> Find:
    """The find of this id; NoSuchRecord when there is none."""
    try:
        return job.find(event)
    except KeyError:
        raise store.NoSuchRecord(f"{job.id}: find {event}") from None


def weigh(key: str, event: str) -> None:
    """Ask what each answer to a find would come to, for the job as it is now; a person waits for it."""
    plan = store.ask_for_plan(store.record(key))
    asked = store.ask(plan.pk, f"{CHANGE}{event}", urgent=True)
    if asked.state == State.FAILED:
        store.ask_anew(plan.pk, asked.about)


def sheet_of(find: Find, row: JobRecord, wrong: YesForm | None = None) -> Mapping[str, Any]:
    """A find with what each answer comes to, as far as that has been asked and told; of an older job, once answered."""
    asked = store.change(row.key, find.id)
    if asked is not None and asked.plan.revision != row.revision and find.answer == "undecided":
        asked = None
    return {
        "event": find,
        "sheet": asked.data if asked else None,
        "asked": asked,
        "pending": asked is not None and asked.state in PENDING and asked.data is None,
        "days_pending": asked is not None and asked.state in PENDING and asked.data is not None,
        "form": wrong or YesForm(initial=now_by("call"), auto_id=f"{find.id}-%s"),
        "has_paper": asked is not None and asked.state == State.DONE,
        "edit_id": new_id(),
        "choices": [each for each in WAYS if not (find.must and each[0] == "leave and record")],
    }


def answer_edit(request: HttpRequest, key: str, find: Find, form: YesForm) -> Edit | None:
    """The owner's answer to a find, with the yes and the promises it lets go of; None where the form is wrong."""
    way = request.POST.get("answer", "")
    if way not in dict(WAYS) or (find.must and way == "leave and record"):
        raise BadInput(Problem(_("answer"), way, _("is none of the three."), _("Choose one of them.")))
    if not form.is_valid():
        return None
    asked = store.change(key, find.id)
    lets_go = asked.data["lets_go"].get(way, []) if asked and asked.data else []
    path = ("events", find.id)
    edits: list[Edit] = [
        SetField(path=(*path, "answer"), value=way),
        SetField(path=(*path, "yes"), value=form.yes),
        SetField(path=(*path, "drops"), value=list(lets_go) if way == "drop others for it" else []),
    ]
    if form.cleaned_data["note"]:
        edits.append(
            SetField(path=(*path, "note"), value=" ".join(filter(None, (find.note, form.cleaned_data["note"]))))
        )
    return Together(edits=tuple(edits))
