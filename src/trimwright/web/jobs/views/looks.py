"""What the walk-round asks by name: the restraint equipment, and the looks worth taking."""

from __future__ import annotations

from typing import Any, cast, get_args
from uuid import uuid4

from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from trimwright.errors import BadInput, Problem
from trimwright.facts import load
from trimwright.facts.trade import EQUIPMENT_NAMES, Equipment
from trimwright.job.document import CauseSeen, Fitted, Job
from trimwright.job.edits import Edit
from trimwright.job.equipping import equipment_edit
from trimwright.job.looking import LookHere, look_edit, looks_here
from trimwright.web.jobs import store
from trimwright.web.jobs.devices import device_of
from trimwright.web.jobs.views.walk_round import answer, keep, seen_by, walk_page

FITTED_WORDS = (("yes", gettext_lazy("yes")), ("no", gettext_lazy("no")), ("unknown", gettext_lazy("don’t know")))
SEEN_WORDS = (
    ("seen", gettext_lazy("seen")),
    ("none seen", gettext_lazy("not seen")),
    ("unknown", gettext_lazy("can’t tell")),
)
THERE_WORDS = (("yes", gettext_lazy("there")), ("no", gettext_lazy("not there")), ("", gettext_lazy("can’t tell")))
CAUSE_WORDS = {
    "damp": gettext_lazy("Damp"),
    "sun": gettext_lazy("Sun"),
    "wear": gettext_lazy("Wear"),
    "earlier_work": gettext_lazy("Earlier work"),
}


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def equipment(request: HttpRequest, key: str) -> HttpResponse:
    """Restraint equipment, item by item: yes, no or unknown; all items or some."""
    if request.method == "POST":
        seen = seen_by(request)
        sent = {item: request.POST.get(item) for item in get_args(Equipment)}
        answers = {item: cast(Fitted, told) for item, told in sent.items() if told in get_args(Fitted)}
        saved = keep(request, key, equipment_edit(store.job_at(key, seen), load(), answers), seen)
        return answer(request, key, saved, reverse("walk_round", args=[key]))
    row = store.record(key)
    fitted = store.job_at(key, row.revision).car.equipment
    fields = type(fitted).model_fields
    items = [
        {"id": item, "name": EQUIPMENT_NAMES[item], "told": fields[item].description, "answer": getattr(fitted, item)}
        for item in get_args(Equipment)
    ]
    return walk_page(request, "equipment", key, {"items": items, "answers": FITTED_WORDS})


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def look(request: HttpRequest, key: str, look: str) -> HttpResponse:
    """One look worth taking: what comes first, what to lift, what it told."""
    if request.method == "POST":
        seen = seen_by(request)
        job = store.job_at(key, seen)
        saved = keep(request, key, _told(request, job, _here(job, look)), seen)
        return answer(request, key, saved, reverse("walk_round", args=[key]))
    job = store.job_at(key, store.record(key).revision)
    return walk_page(request, "look", key, _look_context(job, _here(job, look)))


def _here(job: Job, look: str) -> LookHere:
    here = next((each for each in looks_here(job, load()) if each.glance.id == look), None)
    if here is None:
        raise store.NoSuchRecord(f"{job.id}: look {look}")
    return here


def _look_context(job: Job, here: LookHere) -> dict[str, Any]:
    trade = load()
    causes = [
        {"id": cause, "name": CAUSE_WORDS[cause], "sign": sign, "answer": job.causes.get(cause, "unknown")}
        for cause, sign in here.glance.signs.items()
    ]
    finds = {find.id: find for spot in here.spots for find in here.finds_at(spot, trade)}
    fitted = [EQUIPMENT_NAMES[each] for each in here.glance.equipment if job.car.equipment.may_have(each)]
    return {
        "look": here,
        "causes": causes,
        "finds": finds.values(),
        "spots": [spot[0] for spot in here.spots],
        "fitted": fitted,
        "make_safe": trade.cautions["make_safe"].text if here.make_safe_first else "",
        "cautions": [trade.cautions[each].text for each in here.glance.cautions],
        "seen_words": SEEN_WORDS,
        "there_words": THERE_WORDS,
    }


def _told(request: HttpRequest, job: Job, here: LookHere) -> Edit:
    told = request.POST
    spot = next((each for each in here.spots if each[0].id == told.get("spot")), None)
    if spot is None:
        raise BadInput(Problem(_("where"), told.get("spot", ""), _("is not said."), _("Choose where you looked.")))
    causes = {
        cause: cast(CauseSeen, told[f"cause-{cause}"])
        for cause in here.glance.signs
        if told.get(f"cause-{cause}") in get_args(CauseSeen)
    }
    finds = {
        find: told[f"find-{find}"] == "yes" for find in here.glance.finds if told.get(f"find-{find}") in ("yes", "no")
    }
    return look_edit(
        job,
        load(),
        here,
        spot,
        causes=causes,
        finds=finds,
        note=told.get("note", "").strip(),
        at=timezone.now(),
        by=device_of(request).who,
        stamp=(told.get("edit_id") or uuid4().hex)[:8].lower(),
    )
