"""Who may see a page and what a page may do: the passphrase at the door, and the content security policy.

While pages can be asked for from the network, every page needs the passphrase, on this machine too: behind a tunnel
or a forwarded port everyone looks local. The session remembers that it was given, bound to the passphrase as it is
kept, so a new passphrase asks everyone again.
"""

from __future__ import annotations

from collections.abc import Callable

from django.conf import settings
from django.contrib.auth.hashers import check_password, make_password
from django.contrib.auth.password_validation import validate_password
from django.core.cache import cache
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import Resolver404, resolve, reverse
from django.utils.crypto import constant_time_compare, salted_hmac
from django.utils.http import urlencode
from django.utils.translation import gettext as _
from django_htmx.http import HttpResponseClientRedirect

from trimwright.errors import BadInput, Problem
from trimwright.web.jobs import store

Answer = Callable[[HttpRequest], HttpResponse]

POLICY = (
    "default-src 'self'; img-src 'self' blob: data:; object-src 'none'; frame-ancestors 'none'; base-uri 'none'; "
    "form-action 'self'"
)
OPEN_TO_STRANGERS = frozenset({"door"})
"""Names of the views that need no passphrase."""
TRIES, TRIES_IN_ALL, TRIES_WINDOW_S = 5, 40, 60
_OPENED = "opened"


class ContentSecurityPolicy:
    """Nothing but our own files runs or shows; nothing inline."""

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        response = self.get_response(request)
        response.headers.setdefault("Content-Security-Policy", POLICY)
        return response


class Passphrase:
    """Sends whoever has not given the passphrase to the door, whatever they asked for."""

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        if not settings.GUARDED or is_open(request) or _at_the_door(request):
            return self.get_response(request)
        door = reverse("door")
        if request.headers.get("HX-Request"):
            return HttpResponseClientRedirect(door)
        if request.method in ("GET", "HEAD"):
            return redirect(f"{door}?{urlencode({'next': request.get_full_path()})}")
        return redirect(door)


def is_open(request: HttpRequest) -> bool:
    """Whether this session has given the passphrase that is kept now."""
    kept = store.shop().passphrase
    return bool(kept) and constant_time_compare(request.session.get(_OPENED, ""), _stamp(kept))


def open_with(request: HttpRequest, passphrase: str) -> bool:
    """Let this session in when the passphrase is right; it takes as long when it is wrong."""
    kept = store.shop().passphrase
    # with none kept the check is made against a random one, so that the time tells nothing
    if not check_password(passphrase, kept or make_password(None)) or not kept:
        return False
    request.session.cycle_key()
    request.session[_OPENED] = _stamp(kept)
    return True


def close(request: HttpRequest) -> None:
    """Forget that this session gave the passphrase."""
    request.session.pop(_OPENED, None)


def keep_passphrase(passphrase: str) -> None:
    """Keep a new passphrase, hashed; BadInput when it is too short or too common."""
    try:
        validate_password(passphrase)
    except ValidationError as error:
        raise BadInput(Problem(_("passphrase"), "", " ".join(error.messages), _("Choose another."))) from None
    store.keep_shop(passphrase=make_password(passphrase))


def may_try(request: HttpRequest) -> bool:
    """Whether this address may try the passphrase once more in this minute; each call counts as a try."""
    counted = (f"tries:{request.META.get('REMOTE_ADDR', '')}", TRIES), ("tries:all", TRIES_IN_ALL)
    allowed = True
    for key, most in counted:
        cache.add(key, 0, TRIES_WINDOW_S)
        allowed = cache.incr(key) <= most and allowed
    return allowed


def guarded(request: HttpRequest) -> dict[str, bool]:
    """For every template: whether there is a door to close behind one."""
    return {"guarded": bool(settings.GUARDED)}


def _at_the_door(request: HttpRequest) -> bool:
    try:
        return resolve(request.path_info).view_name in OPEN_TO_STRANGERS
    except Resolver404:
        return False


def _stamp(kept: str) -> str:
    return salted_hmac("trimwright.web.security.door", kept).hexdigest()
