"""Who is at it: the browser that asks, remembered in its session and called what it is, or what its person says."""

from __future__ import annotations

import secrets
from dataclasses import dataclass

from django.http import HttpRequest

_SESSION = "device"


@dataclass(frozen=True, slots=True)
class Device:
    """One browser; `name` is what the history calls it."""

    id: str
    name: str


def device_of(request: HttpRequest) -> Device:
    """The browser behind a request; one that is new gets an id and a plain name."""
    told = request.session.get(_SESSION)
    if not isinstance(told, dict):
        told = {"id": secrets.token_hex(8), "name": _plain_name(request.headers.get("User-Agent", ""))}
        request.session[_SESSION] = told
    return Device(told["id"], told["name"])


def call_device(request: HttpRequest, name: str) -> None:
    """Call this browser `name` from now on."""
    request.session[_SESSION] = {"id": device_of(request).id, "name": name}


def _plain_name(agent: str) -> str:
    """What a browser says of itself, in one word.

    >>> _plain_name("Mozilla/5.0 (Linux; Android 15) Mobile"), _plain_name("Mozilla/5.0 (X11; Linux x86_64)")
    ('phone', 'computer')
    """
    if "iPad" in agent or "Tablet" in agent or ("Android" in agent and "Mobile" not in agent):
        return "tablet"
    return "phone" if "Mobi" in agent else "computer"
