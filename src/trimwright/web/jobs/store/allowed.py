"""Who may change what: the owner everything, a hand what is seen and done, never money.

Asked of every change before it is saved, so no page, no edit, no undo and no restore passes it. It names what a hand
may change, not what it may not: what a job gets to tell in future is the owner's until somebody decides otherwise.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from typing import Any

from django.utils.translation import gettext as _

from trimwright.errors import BadInput, Problem
from trimwright.job.account import at_its_price
from trimwright.job.document import Job
from trimwright.job.events import Bought, Event, Find, Ordered, Spent
from trimwright.web.jobs.devices import Device

NOTED = frozenset({
    "note", "intake", "look", "opened", "done", "bag", "fixing", "tightened", "book_wait", "check", "snag", "tested",
    "worked", "air", "pair", "disposed", "visited",
})  # fmt: skip
"""Events without money, which anybody may note, put right and take back."""
SEEN = ("car", "causes")
"""Fields of a job that a walk-round fills in, beside the parts."""
OF_MONEY = ("offers", "pin", "bans")
"""Fields of a part that say what is spent on it."""


class NotYours(BadInput):
    """A hand changed what only the owner may."""


def refuse_hands(by: Device, what: str) -> None:
    """NotYours when only the owner may do that."""
    if not by.may_change_money:
        raise NotYours(_is_the_owners(what))


def refuse_money(before: Job, after: Job, by: Device) -> None:
    """NotYours when a hand's change moves money, with everything it would move."""
    if not by.may_change_money and (problems := list(_moved(before, after))):
        raise NotYours(problems)


def _moved(before: Job, after: Job) -> Iterator[Problem]:
    for name in type(after).model_fields:
        if name in (*SEEN, "parts", "events", "time"):
            continue
        if getattr(before, name) != getattr(after, name):
            yield _is_the_owners(name)
    if before.time.model_copy(update={"pins": after.time.pins}) != after.time:
        yield _is_the_owners("time")
    yield from _moved_parts(before, after)
    yield from _moved_events(before, after)


def _moved_parts(before: Job, after: Job) -> Iterator[Problem]:
    """A part that is new or gone counts as it is: one with a price on it is the owner's."""
    there, now = ({part.id: part for part in job.parts} for job in (before, after))
    for part_id in {**there, **now}:
        for name in OF_MONEY:
            old, new = (getattr(parts.get(part_id), name, None) or None for parts in (there, now))
            if old != new:
                yield _is_the_owners(f"parts › {part_id} › {name}")


def _moved_events(before: Job, after: Job) -> Iterator[Problem]:
    there, now = ({event.id: event for event in job.events} for job in (before, after))
    orders = {event.id: event for event in before.events if isinstance(event, Ordered)}
    came = Counter[str | None]()
    for event in after.events:
        if isinstance(event, Bought):
            came[event.order] += event.count
    orders = {name: order for name, order in orders.items() if came[name] <= order.count}
    for event_id in {**there, **now}:
        old, new = there.get(event_id), now.get(event_id)
        if old != new and not all(each is None or _moves_none(each, orders) for each in (old, new)):
            yield _is_the_owners(f"events › {event_id}")


def _moves_none(event: Event, orders: dict[str, Ordered]) -> bool:
    """Whether it asks for no decision about money: a find's answer and a delivery's price are the owner's."""
    match event:
        case Find():
            return event.answer == "undecided" and event.yes is None
        case Spent():
            return not event.money and event.find is None and event.line is None
        case Bought():
            order = orders.get(event.order or "")
            return (
                order is not None
                and (event.named, event.returned) == (order.named, None)
                and event.paid == at_its_price(order, event.count)
            )
    return event.kind in NOTED


def _is_the_owners(where: Any) -> Problem:
    return Problem(str(where), "", _("is for the owner to change."), _("Ask the owner, or log in as the owner."))
