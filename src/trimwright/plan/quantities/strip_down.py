"""The strip-down steps the courses could need: what takes each part off, and what must be off before it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace

from trimwright.craft.amounts import milli
from trimwright.facts.access import AccessStep, part_id, removal_steps
from trimwright.facts.trade import PartKind, Trade
from trimwright.job.document import Job
from trimwright.plan.quantities.cabin import Need, Step
from trimwright.plan.quantities.needs import CLIPS
from trimwright.plan.quantities.surveyed import Surveyed
from trimwright.worked import Factor, Term, Worked


@dataclass(frozen=True, slots=True)
class StripDown:
    """Every step of the cabin, and for each surveyed part the step that takes it off and those that lay it open."""

    steps: Mapping[str, AccessStep]
    own: Mapping[str, tuple[str, ...]]
    ways: Mapping[str, tuple[str, ...]]


def strip_down(parts: Iterable[Surveyed], job: Job, trade: Trade) -> StripDown:
    """The strip-down of this job's cabin; a part of the person's own comes off on its own."""
    parts = tuple(parts)
    car = job.car
    listed = [(part.kind.id, part.part.place) for part in parts if part.part.own is None]
    steps = removal_steps(trade, car.body, car.year, car.equipment, listed)
    own: dict[str, tuple[str, ...]] = {}
    for part in parts:
        step = part_id(part.kind.id, part.part.place)
        if part.part.own is not None:
            steps[step] = AccessStep(step, part.kind, part.part.place, ())
        own[part.id] = (step,)
    return StripDown(steps, own, {part.id: steps[own[part.id][0]].requires for part in parts})


def needed_steps(wanted: Iterable[str], cabin: StripDown, trade: Trade, off: Iterable[str] = ()) -> dict[str, Step]:
    """The wanted steps and all they require, what comes off first standing first; and those that are `off` already."""
    off = through((step for step in off if step in cabin.steps), cabin.steps)
    reached = through(wanted, cabin.steps) | off
    return {each: step_of(cabin.steps[each], trade, each in off) for each in cabin.steps if each in reached}


def through(wanted: Iterable[str], steps: Mapping[str, AccessStep]) -> set[str]:
    """The steps and all they require, through and through: what lies on a part that is off is off as well."""
    reached: set[str] = set()
    waiting = list(wanted)
    while waiting:
        step = waiting.pop()
        if step not in reached:
            reached.add(step)
            waiting += steps[step].requires
    return reached


def step_of(access: AccessStep, trade: Trade, off: bool) -> Step:
    """A step with its mean minutes off and back on, and the clips usually lost on the way.

    Where it is `off` already, only the way back is left.
    """
    kind = access.kind
    side = f", {access.place.replace('_', ' ')} side" if access.place else ""
    return Step(
        id=access.id,
        name=f"{kind.name}{side}",
        requires=access.requires,
        minutes=round(((0 if off else sum(kind.off_min)) + sum(kind.back_min)) / 2),
        needs=clips_lost(kind, trade),
        hold=kind.needs_hold,
        off=off,
    )


def clips_used(back_on: Mapping[str, int], cabin: StripDown, trade: Trade) -> Iterator[Need]:
    """The clips that went into putting steps back on, `back_on` times each."""
    for step, times in back_on.items():
        if step in cabin.steps:
            yield from (replace(need, milli=need.milli * times) for need in clips_lost(cabin.steps[step].kind, trade))


def clips_lost(kind: PartKind, trade: Trade) -> tuple[Need, ...]:
    """Clips that break on the way off, as a share of those that hold it."""
    if not kind.clips * kind.clip_loss:
        return ()
    share = Factor(kind.clip_loss, "usually lost")
    worked = Worked(trade.materials[CLIPS].unit, (Term(kind.clips, "clips", (share,)),), kind.evidence.source)
    return (Need(CLIPS, milli(worked), worked),)
