"""Who is at it: the browser that asks, and the person who logged in on it where the door is shut.

The browser is remembered in its session and called what it is, or what its person says. Where the door is open nobody
has to say who they are, and whoever sits there may do everything: it is their own machine.
"""

from __future__ import annotations

import secrets
from dataclasses import dataclass

from django.conf import settings
from django.http import HttpRequest

_SESSION = "device"
CHANGE_MONEY = "jobs.change_money"
"""The permission to change sums, prices, quotes and the shop book."""


@dataclass(frozen=True, slots=True)
class Device:
    """One browser; `name` is what the history calls it."""

    id: str
    name: str
    person: str = ""
    """Who logged in on it; empty where nobody has to."""
    may_change_money: bool = True

    @property
    def who(self) -> str:
        """Who noted something: the person, or else the device."""
        return self.person or self.name


def device_of(request: HttpRequest) -> Device:
    """The browser behind a request; one that is new gets an id and a plain name."""
    told = request.session.get(_SESSION)
    if not isinstance(told, dict):
        told = {"id": secrets.token_hex(8), "name": _plain_name(request.headers.get("User-Agent", ""))}
        request.session[_SESSION] = told
    if not settings.GUARDED:
        return Device(told["id"], told["name"])
    return Device(told["id"], told["name"], request.user.get_username(), may_change_money(request))


def may_change_money(request: HttpRequest) -> bool:
    """Whether who asks may change money: the owner; anyone where the door is open."""
    return not settings.GUARDED or request.user.has_perm(CHANGE_MONEY)


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
