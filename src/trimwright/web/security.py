"""Who may come in and what a page may do: the door, what is the owner's alone, and the content security policy.

While pages can be asked for from the network, everybody logs in, on this machine too: behind a tunnel or a forwarded
port everyone looks local. People, passphrases and sessions are Django's own (`django.contrib.auth`): a new passphrase
ends that person's sessions. Where the door is open, nobody is asked, and whoever sits there is the owner.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.conf import settings
from django.core.cache import cache
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import Resolver404, resolve, reverse
from django.utils.http import urlencode
from django_htmx.http import HttpResponseClientRedirect

from trimwright.web.jobs.devices import may_change_money

Answer = Callable[[HttpRequest], HttpResponse]

POLICY = (
    "default-src 'self'; img-src 'self' blob: data:; object-src 'none'; frame-ancestors 'none'; base-uri 'none'; "
    "form-action 'self'"
)
OPEN_TO_STRANGERS = frozenset({"door"})
"""Names of the views for which nobody has to log in."""
OWNERS_PAGES = ("settings/people/", "shop-book/", "first-call/", "new/", "import/", "jobs/<slug:key>/quote/")
"""Pages that are nothing but money, or about who may change it: addresses that begin so, but for `OF_FINDS`."""
OF_FINDS = "jobs/<slug:key>/quote/finds/"
"""The change sheets, which a hand may read."""
OWNERS_VIEWS = frozenset({
    "order", "arrived", "gone_back", "not_coming", "price", "used_up", "to_the_shelf", "answer_find", "answer_here",
    "take_sum", "wishes", "wish_sets", "choose", "bundle", "job_file", "put_away", "bring_back", "delete_job",
})  # fmt: skip
"""Names of other views that are the owner's. What they would change is refused in the store as well (`allowed.py`)."""
TRIES, TRIES_IN_ALL, TRIES_WINDOW_S = 5, 40, 60


class ContentSecurityPolicy:
    """Nothing but our own files runs or shows; nothing inline."""

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        response = self.get_response(request)
        response.headers.setdefault("Content-Security-Policy", POLICY)
        return response


class Door:
    """Sends whoever has not logged in to the door, whatever they asked for; a hand sees no page of the owner's."""

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        if not settings.GUARDED or _at_the_door(request) or request.user.is_authenticated:
            return self.get_response(request)
        door = reverse("door")
        if request.headers.get("HX-Request"):
            return HttpResponseClientRedirect(door)
        if request.method in ("GET", "HEAD"):
            return redirect(f"{door}?{urlencode({'next': request.get_full_path()})}")
        return redirect(door)

    def process_view(self, request: HttpRequest, view: Any, args: Any, kwargs: Any) -> None:
        """Django's hook before a view; PermissionDenied where it is the owner's and a hand asks."""
        if _is_the_owners(request) and not may_change_money(request):
            raise PermissionDenied


def may_try(request: HttpRequest) -> bool:
    """Whether this address may try a passphrase once more in this minute; each call counts as a try."""
    counted = (f"tries:{request.META.get('REMOTE_ADDR', '')}", TRIES), ("tries:all", TRIES_IN_ALL)
    allowed = True
    for key, most in counted:
        cache.add(key, 0, TRIES_WINDOW_S)
        allowed = cache.incr(key) <= most and allowed
    return allowed


def who_asks(request: HttpRequest) -> dict[str, Any]:
    """For every template: whether there is a door to close behind one, who came in, and whether they are the owner.

    `may_money` asks the database only where a template wants to know.
    """
    guarded = bool(settings.GUARDED)
    return {
        "guarded": guarded,
        "person": request.user.get_username() if guarded and hasattr(request, "user") else "",
        "may_money": lambda: hasattr(request, "user") and may_change_money(request),
    }


def _is_the_owners(request: HttpRequest) -> bool:
    match = request.resolver_match
    if not settings.GUARDED or match is None:
        return False
    return match.view_name in OWNERS_VIEWS or (
        match.route.startswith(OWNERS_PAGES) and not match.route.startswith(OF_FINDS)
    )


def _at_the_door(request: HttpRequest) -> bool:
    try:
        return resolve(request.path_info).view_name in OPEN_TO_STRANGERS
    except Resolver404:
        return False
