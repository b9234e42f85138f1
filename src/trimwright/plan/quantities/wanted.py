"""What the person has said about single parts: pins, bans and promises; never against a safety ban."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace

from trimwright.errors import Problem
from trimwright.facts.trade import Trade
from trimwright.job.document import Job
from trimwright.job.fields import treatments_named
from trimwright.plan.quantities.cabin import LEAVE, Course, PartOptions, Refused
from trimwright.plan.quantities.purchases import price_known
from trimwright.plan.quantities.safety import refusal
from trimwright.plan.quantities.suiting import fits
from trimwright.plan.quantities.surveyed import Surveyed


def after_bans(part: Surveyed, courses: Iterable[Course]) -> tuple[Course, ...]:
    """The courses without the banned ones; a ban names a treatment or a whole course."""
    banned = set(part.part.bans)
    return tuple(course for course in courses if not banned & {course.id, *course.treatments})


def with_pins(
    part: Surveyed, courses: Sequence[Course], refused: Iterable[Refused], job: Job, trade: Trade
) -> tuple[tuple[Course, ...], list[Problem]]:
    """The courses with those marked that the pin means, or why the pin can't hold.

    A pin is a course's id, or else the treatment that ends it, or else one that is in it.
    """
    pin = part.part.pin
    if pin is None:
        return tuple(courses), []
    meant = (
        {course.id for course in courses if pin == course.id}
        or {course.id for course in courses if pin in course.treatments[-1:]}
        or {course.id for course in courses if pin in course.treatments}
    )
    if meant:
        return tuple(replace(course, pinned=course.id in meant) for course in courses), []
    return tuple(courses), [
        Problem(f"parts › {part.id} › pin", pin, *_why_not(pin, part, courses, refused, job, trade))
    ]


def with_promises(courses: Sequence[Course], promised: str | None) -> tuple[Course, ...]:
    """The courses with the promised one marked, unless the person has pinned the part to another since."""
    pinned = any(course.pinned for course in courses)
    return tuple(
        replace(course, promised=course.id == promised and (course.pinned or not pinned)) for course in courses
    )


def broken_promises(
    promised: Mapping[str, str], options: Mapping[str, PartOptions], names: Mapping[str, str]
) -> Iterator[str]:
    """The promises that no plan can keep, with the reason."""
    for part, course in promised.items():
        name, there = names.get(part, part), options.get(part)
        if there is None:
            yield f"{name}: promised ({course}), and it is no part of the job any more"
            continue
        if any(each.promised or (each.done and each.id == course) for each in there.courses):
            continue
        held = next((each for each in there.courses if each.done or each.pinned), None)
        refused = next((each.why for each in there.refused if each.treatment in treatments_named(course)), "")
        if held is not None:
            yield f"{name}: promised ({course}), and {'done' if held.done else 'pinned'} otherwise ({held.id})"
        else:
            yield f"{name}: promised ({course}), and that is not offered any more. {refused}".rstrip()


def _why_not(
    pin: str, part: Surveyed, courses: Sequence[Course], refused: Iterable[Refused], job: Job, trade: Trade
) -> tuple[str, str]:
    """What is wrong with a pin, and the way out."""
    there_are = "The courses there are: " + ", ".join(course.id for course in courses) + "."
    named = (pin, *treatments_named(pin))
    for each in refused:
        if each.treatment in named:
            return f"is not offered for {part.part.name}. {each.why}", there_are
    for treatment in (trade.treatments[each] for each in named if each != LEAVE and each in trade.treatments):
        # a restraint part is told by its rule whatever is asked for, never by a price or a material to be changed
        why = refusal(treatment, part, job) if part.kind.is_restraint or fits(treatment, part, trade) else None
        if why is not None:
            return f"is not offered for {part.part.name}. {why}", there_are
    if pin == LEAVE:
        return f"is not offered: {part.part.name} may not be left as it is.", there_are
    if pin in trade.treatments and not price_known(trade.treatments[pin], part):
        return "has no price that is known.", "Give an offer."
    if pin in trade.treatments:
        return f"does not suit the faults and material of {part.part.name}.", there_are
    return f"is no course of {part.part.name}.", there_are
