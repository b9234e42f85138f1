"""Photos: taken in, and shown."""

from __future__ import annotations

from django.http import FileResponse, HttpRequest, HttpResponse, JsonResponse
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.cache import cache_control
from django.views.decorators.http import require_GET, require_POST

from trimwright.errors import BadInput, Problem
from trimwright.job.edits import AddEntry
from trimwright.web.answers import wants_json
from trimwright.web.jobs import photos, store
from trimwright.web.jobs.devices import device_of
from trimwright.web.jobs.views.changes import saved_answer


@require_POST
def take_photo(request: HttpRequest, key: str) -> HttpResponse:
    """Keep one photo, sent as `photo`; with `part`, also among that part's photos.

    `edit_id` is the sender's own id of the upload: sent twice, the photo is there once. JSON is answered with the
    photo's name, addresses and the job's revision.
    """
    row, device = store.record(key), device_of(request)
    part, name = request.POST.get("part", ""), request.POST.get("edit_id", "")
    if part and part not in {each.id for each in store.job_at(key, row.revision).parts}:
        raise BadInput(Problem(_("photo"), part, _("is of a part that is not there."), _("Reload the page.")))
    kept = photos.photo_sent(request, key, part=part)
    saved = None
    if part:
        edit = AddEntry(path=("parts", part, "photos"), value=kept.name)
        saved = store.edit_job(key, edit, device, seen=store.record(key).revision, edit_id=name)
    if wants_json(request):
        urls = {"url": reverse("photo", args=[key, name]), "small": reverse("small_photo", args=[key, name])}
        return JsonResponse({"photo": name, **urls, "revision": saved.revision if saved else row.revision})
    return saved_answer(request, key, saved)


@require_GET
@cache_control(private=True, max_age=365 * 24 * 3600, immutable=True)
def photo(request: HttpRequest, key: str, name: str) -> FileResponse:
    """A photo."""
    return _shown(key, name, small=False)


@require_GET
@cache_control(private=True, max_age=365 * 24 * 3600, immutable=True)
def small_photo(request: HttpRequest, key: str, name: str) -> FileResponse:
    """A photo, small."""
    return _shown(key, name, small=True)


def _shown(key: str, name: str, *, small: bool) -> FileResponse:
    kept = store.photo(key, name)
    path = photos.photo_file(key, kept.name, small=small)
    if not path.is_file():
        raise store.NoSuchRecord(f"{key}: the file of photo {name}")
    return FileResponse(path.open("rb"), content_type="image/jpeg")
