"""The looks that could be taken in this cabin before it is quoted, and which of its suspected faults each settles."""

from __future__ import annotations

from collections.abc import Container, Iterable, Iterator, Mapping

from trimwright.facts.trade import Trade
from trimwright.job.document import Job, Part
from trimwright.job.looking import LookHere, looks_here
from trimwright.plan.quantities.cabin import Hidden, LookAt
from trimwright.plan.quantities.hidden import Suspicion
from trimwright.plan.quantities.whole_job import MAKE_SAFE

Suspected = Mapping[str, tuple[Suspicion, ...]]


def looks_of(
    job: Job, trade: Trade, suspected: Suspected, hidden: Mapping[str, Hidden], done: Container[str]
) -> Iterator[LookAt]:
    """Every look at every spot that has something left to settle; `done` are lines of the whole job that are done."""
    for look in looks_here(job, trade):
        for spot in look.spots:
            settles = tuple(each for each in settled(look, spot, suspected) if 0 < hidden[each].chance < 1)
            if settles:
                yield look_at(look, spot, settles, trade, safe=MAKE_SAFE in done)


def settled(look: LookHere, spot: Iterable[Part], suspected: Suspected) -> Iterable[str]:
    """Ids of the hidden faults suspected at the spot that the look shows."""
    finds = look.glance.finds
    at_spot = (each for part in spot for each in suspected.get(part.id, ()))
    return dict.fromkeys(each.id for each in at_spot if each.find.id in finds)


def look_at(look: LookHere, spot: tuple[Part, ...], settles: tuple[str, ...], trade: Trade, *, safe: bool) -> LookAt:
    """The look with its time: where equipment may lie there the car is made safe first, unless it is so already."""
    glance, place = look.glance, spot[0].place
    wait = look.make_safe_first and not safe
    practice = trade.practice
    return LookAt(
        id=f"{glance.id}.{place}" if place else glance.id,
        name=f"{glance.name}, {place.replace('_', ' ')} side" if place else glance.name,
        glance=glance.id,
        minutes=glance.minutes + (round(practice["make_safe_minutes"].value) if wait else 0),
        wait_minutes=round(practice["make_safe_wait"].value) if wait else 0,
        settles=settles,
    )
