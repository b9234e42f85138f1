"""What is done stays done: its part has one course, at the finish it reached, that asks for nothing more."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from trimwright.facts.trade import Trade
from trimwright.job.document import Job
from trimwright.job.events import Done
from trimwright.job.fields import treatments_named
from trimwright.plan.quantities.cabin import LEAVE, Course
from trimwright.plan.quantities.courses import Outline
from trimwright.plan.quantities.needs import needs_of
from trimwright.plan.quantities.safety import refusal
from trimwright.plan.quantities.suiting import applies
from trimwright.plan.quantities.surveyed import Surveyed
from trimwright.plan.quantities.uncovering import takes_it_off


def refused(part: Surveyed, event: Done, job: Job, trade: Trade) -> str | None:
    """Why what was done can't stand, where it is what may never be done to this part; None when it may stand."""
    for each in treatments_named(event.course):
        if each != LEAVE and (why := refusal(trade.treatments[each], part, job)) is not None:
            return why
    return None


def done_outline(part: Surveyed, event: Done, offered: Iterable[Outline], trade: Trade) -> Outline | None:
    """The outline of the course that is done: as it is offered, or made of its treatments.

    None when the part was left, or nothing done to it has a finish of its own.
    """
    for outline in offered:
        if outline.id == event.course:
            return outline
    treatments = tuple(trade.treatments[each] for each in treatments_named(event.course) if each != LEAVE)
    firsts = {first.treatment for each in treatments for first in each.first if applies(first, part)}
    carriers = tuple(each for each in treatments if each.id not in firsts and any(each.finish))
    return Outline(treatments, carriers) if carriers else None


def frozen(course: Course, event: Done) -> Course:
    """The course with nothing left to buy, to do or to go wrong."""
    return replace(
        course,
        id=event.course,
        redo_at=tuple(0.0 for _ in course.redo_at),
        minutes=0,
        needs=(),
        purchases=(),
        once=(),
        steps=(),
        finds=(),
        redo_money=0,
        waits=(),
        worked=(),
        done=True,
    )


def used_up(part: Surveyed, event: Done, outline: Outline | None, trade: Trade) -> dict[str, int]:
    """Thousandths of each material that went into what is done, every time it was done again included."""
    if outline is None:
        return {}
    clips = part.part.missing if takes_it_off(outline.treatments) else 0
    needs = needs_of(outline.treatments, part, trade, clips=clips)
    return {need.material: need.milli * (1 + event.redone) for need in needs}
