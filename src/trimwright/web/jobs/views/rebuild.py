"""The rebuild: what goes back now, what waits and for what, one move a screen with its bag and its torques.

No form passes a hold: the store asks the plan's own rules as it saves (`store.held`).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import TYPE_CHECKING, Any

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from trimwright.craft.bag_code import bag_named, read_picture
from trimwright.errors import BadInput, Problem
from trimwright.job.edits import AddEntry, Edit, Together
from trimwright.web.answers import wants_json
from trimwright.web.jobs import photos, rebuilding, store
from trimwright.web.jobs.frame import job_page
from trimwright.web.jobs.rebuild_forms import GRADES, OVER, BagForm, FigureForm, MadeForm, ScanForm, TickForm
from trimwright.web.jobs.rebuilding import seen_now
from trimwright.web.jobs.store.held import problem
from trimwright.web.jobs.stripping import PHOTO_OF
from trimwright.web.jobs.views.walk_round import answer, keep, seen_by
from trimwright.web.jobs.writing import happened

if TYPE_CHECKING:
    from trimwright.web.jobs.planning import Bag, Standing, WayBack

STAGE = "rebuild"


@never_cache
@require_GET
def rebuild(request: HttpRequest, key: str) -> HttpResponse:
    """What can go back now, what waits and for what, what is back; bags, snags, tests and the keys beside."""
    return _page(request, key)


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def step(request: HttpRequest, key: str, step: str) -> HttpResponse:
    """One move. Posted, it is noted as made: back, checked, or the battery on; refused while anything holds it."""
    if request.method != "POST":
        return _page(request, key, step)
    standing = _standing(key, step)
    if standing.holds:
        raise BadInput(map(problem, standing.holds))
    form = made_form(standing, request.POST)
    if not form.is_valid():
        return _refused(request, key, step, "made", form)
    if standing.state == "made":  # sent twice, or by two hands
        return _answer(request, key, step, None)
    edits = list(_made(request, standing, form.cleaned_data))
    return _answer(request, key, step, edits[0] if len(edits) == 1 else Together(edits=tuple(edits)))


@require_POST
def fixing(request: HttpRequest, key: str, step: str) -> HttpResponse:
    """What is known of one bolt of the move, that this car has none, or that the wrench has clicked: `then` says."""
    name = request.POST.get("fixing", "")
    bolt = next((each for each in _standing(key, step).torques if each.fixing.name == name), None)
    if bolt is None:
        raise BadInput(Problem(_("fixing"), name, _("is none of this part’s."), _("Reload the page.")))
    then, told = request.POST.get("then"), {"step": bolt.step, "fixing": name}
    if then == "none":
        return _noted(request, key, step, "fixing", {**told, "there": False})
    if then == "tick" and bolt.newton_metres is None:
        raise BadInput(Problem(name, "", _("has no figure yet."), _("Enter the book’s, or its size and class, first.")))
    if then == "tick":
        tick = TickForm(request.POST)
        if not tick.is_valid():
            return _refused(request, key, step, f"bolt-{name}", tick)
        return _noted(request, key, step, "tightened", {**told, "newton_metres": tick.cleaned_data["set_to"]})
    figure = FigureForm(request.POST, holds=bolt.fixing.holds is not None)
    if not figure.is_valid():
        return _refused(request, key, step, f"bolt-{name}", figure)
    return _noted(request, key, step, "fixing", {**told, **figure.known})


@require_POST
def bag(request: HttpRequest, key: str, step: str) -> HttpResponse:
    """What became of the bag of a part that is back already."""
    standing = _standing(key, step)
    if standing.bag is None or standing.bag.state != "open" or standing.state != "made":
        raise BadInput(Problem(_("the bag"), step, _("is not waiting for that."), _("Reload the page.")))
    form = BagForm(request.POST)
    if not form.is_valid():
        return _refused(request, key, step, "made", form)
    return _noted(request, key, step, "bag", _emptied(standing.bag, form.cleaned_data))


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def bags(request: HttpRequest, key: str) -> HttpResponse:
    """Open a bag: by its code, typed, read by the browser, or in a picture; it leads to its step."""
    job, way = _way(key)
    open_ones = [each for each in way.bags if each.state == "open"]
    form = ScanForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        told = form.cleaned_data["code"] or _in_the_picture(request)
        named = bag_named(told, job.id) or told
        here = [each for each in way.bags if each.step == named] or _alike(told, way.bags)
        if len(here) == 1:
            return redirect(reverse("rebuild_step", args=[key, f"back:{here[0].step}"]))
        form.add_error("code", _not_found(told, bool(here)))
        open_ones = here or open_ones
    context = {"form": form, "bags": [{"bag": each, "move": f"back:{each.step}"} for each in open_ones]}
    return job_page(request, "jobs/rebuild/bags.html", key, STAGE, context, 422 if form.is_bound else 200)


# What the pages stand on.


def _page(
    request: HttpRequest, key: str, step: str | None = None, told: Mapping[str, Any] | None = None
) -> HttpResponse:
    """All moves on one page, one shown: with scripts one goes between them without asking.

    `told` is a form of the shown move that could not be taken: its name, what was typed, what is wrong.
    """
    job, result = seen_now(key)
    context: dict[str, Any] = {
        "words": rebuilding.words(),
        "told": told or {},
        "stage_name": _("Rebuild"),
        "list_name": "rebuild",
        "keeper_name": "rebuild_keeper",
        "grades": ("", *GRADES),
    }
    if result is not None:
        way = rebuilding.way_back(result, job)
        found = rebuilding.overview(way, key, store.photos_of(key, PHOTO_OF))
        context |= {
            "way": found,
            "chosen": found.screen(step) if step is not None else None,
            "ending": rebuilding.ending(result, way),
            "snags": rebuilding.open_snags(job),
            "counted": _("%(made)s of %(all)s made") % {"made": len(found.made), "all": len(found.screens)},
        }
    elif step is not None:
        raise store.NoSuchRecord(f"{key}: {step}")
    return job_page(request, "jobs/rebuild/rebuild.html", key, STAGE, context, 422 if told else 200)


def _way(key: str) -> tuple[Any, WayBack]:
    job, result = seen_now(key)
    if result is None:
        raise BadInput(Problem(_("the way back"), "", _("is not worked out yet."), _("Wait for the verdicts.")))
    return job, rebuilding.way_back(result, job)


def _standing(key: str, step: str) -> Standing:
    _job, way = _way(key)
    for each in way.moves:
        if each.move.id == step:
            return each
    raise store.NoSuchRecord(f"{key}: {step}")


def made_form(standing: Standing, told: Any) -> MadeForm:
    """What a move asks as it is noted made."""
    move, waiting = standing.move, standing.bag
    return MadeForm(
        told,
        marks=move.marks,
        trained="trained person" in move.conditions,
        nobody="nobody in the car" in move.conditions,
        bag=waiting is not None and waiting.state == "open",
    )


def _made(request: HttpRequest, standing: Standing, told: Mapping[str, Any]) -> Iterator[Edit]:
    """The move as events: its check; or its part back on, and its bag empty."""
    move, edit_id = standing.move, request.POST.get("edit_id", "")
    if move.id in rebuilding.CHECK_MOVES:
        event = happened(request, "check", edit_id, what=move.doing, note=told["note"])
        yield AddEntry(path=("events",), value=event)
        return
    by = [_("by %(name)s, trained for it") % {"name": told["trained"]}] if told.get("trained") else []
    note = ". ".join(each for each in (*by, told["note"]) if each)
    opened = {"step": move.step, "back_on": True, "minutes": told["minutes"] or 0, "note": note}
    yield AddEntry(path=("events",), value=happened(request, "opened", edit_id, **opened))
    if standing.bag is not None and (told.get("bag") == OVER or (told.get("bag") and standing.bag.noted)):
        event = happened(request, "bag", edit_id, **_emptied(standing.bag, told))
        yield AddEntry(path=("events",), value=event)


def _emptied(waiting: Bag, told: Mapping[str, Any]) -> dict[str, Any]:
    """The bag with what it lacked; what is left over with its reason."""
    counted = {"counted": waiting.counted, "missing": waiting.missing, "broken": waiting.broken}
    return {"step": waiting.step, "state": told["bag"], "note": told["why"], **counted}


def _in_the_picture(request: HttpRequest) -> str:
    sent = request.FILES.get("photo")
    if sent is None or sent.file is None or (sent.size or 0) > photos.MAX_BYTES:
        return ""
    return read_picture(photos.drawn_anew(sent.file)[0])


def _alike(told: str, bags: Iterable[Bag]) -> list[Bag]:
    """The bags whose step or name begins with, else holds, what was typed."""
    typed = told.casefold().strip()
    if len(typed) < 2:
        return []
    first = [each for each in bags if each.name.casefold().startswith(typed) or each.step.startswith(typed)]
    return first or [each for each in bags if typed in f"{each.name} {each.step}".casefold()]


def _not_found(told: str, several: bool) -> str:
    if not told:
        return _("No code could be read. Take the picture nearer, or type what stands on the bag.")
    if several:
        return _("Several bags are called so: choose one.")
    return _("No bag of this job is called so.")


def _refused(request: HttpRequest, key: str, step: str, name: str, form: forms.Form) -> HttpResponse:
    """The page again with all that was typed; for the script what is wrong, as it keeps what is on the screen."""
    problems = [
        Problem(str(form.fields[field].label) if field in form.fields else "", "", " ".join(map(str, errors)))
        for field, errors in form.errors.items()
    ]
    if wants_json(request):
        raise BadInput(problems)
    typed = {field: request.POST.getlist(field) if field == "marks" else value for field, value in request.POST.items()}
    return _page(request, key, step, {"form": name, "typed": typed, "problems": problems})


def _noted(request: HttpRequest, key: str, move: str, kind: str, told: Mapping[str, Any]) -> HttpResponse:
    """Keep one event, and stay at the move."""
    event = happened(request, kind, request.POST.get("edit_id", ""), **told)
    saved = keep(request, key, AddEntry(path=("events",), value=event), seen_by(request))
    return answer(request, key, saved, reverse("rebuild_step", args=[key, move]))


def _answer(request: HttpRequest, key: str, step: str, edit: Edit | None) -> HttpResponse:
    """Keep the move, and on to the next that can be made; to the overview when there is none."""
    saved = keep(request, key, edit, seen_by(request))
    _job, way = _way(key)
    following = rebuilding.after(step, way)
    onward = reverse("rebuild_step", args=[key, following]) if following else reverse("rebuild", args=[key])
    return answer(request, key, saved, onward)
