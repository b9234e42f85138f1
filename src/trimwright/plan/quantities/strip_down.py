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


def needed_steps(
    wanted: Iterable[str], cabin: StripDown, trade: Trade, off: Iterable[str], lost: Mapping[str, int]
) -> dict[str, Step]:
    """The wanted steps and all they require, what comes off first standing first; and those that are `off` already.

    `lost` are the fixings counted missing or broken of a step.
    """
    off = through((step for step in off if step in cabin.steps), cabin.steps)
    reached = through(wanted, cabin.steps) | off
    return {
        each: step_of(cabin.steps[each], trade, each in off, lost.get(each)) for each in cabin.steps if each in reached
    }


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


def step_of(access: AccessStep, trade: Trade, off: bool, lost: int | None) -> Step:
    """A step with its mean minutes off and back on, and the clips lost on the way: as counted, else as usual.

    Where it is `off` already, only the way back is left.
    """
    kind = access.kind
    side = f", {access.place.replace('_', ' ')} side" if access.place else ""
    return Step(
        id=access.id,
        name=f"{kind.name}{side}",
        requires=access.requires,
        minutes=round(((0 if off else sum(kind.off_min)) + sum(kind.back_min)) / 2),
        needs=clips_lost(kind, trade, lost),
        hold=kind.needs_hold,
        off=off,
    )


def clips_used(back_on: Mapping[str, int], cabin: StripDown, trade: Trade, lost: Mapping[str, int]) -> Iterator[Need]:
    """The clips that went into putting steps back on, `back_on` times each."""
    for step, times in back_on.items():
        if step in cabin.steps:
            needs = clips_lost(cabin.steps[step].kind, trade, lost.get(step))
            yield from (replace(need, milli=need.milli * times) for need in needs)


def clips_lost(kind: PartKind, trade: Trade, counted: int | None) -> tuple[Need, ...]:
    """Clips and small fixings to replace: as counted into the bag, else the share that usually breaks."""
    if counted is not None:
        worked = Worked(trade.materials[CLIPS].unit, (Term(counted, "missing or broken, counted"),), "the bag")
        return (Need(CLIPS, milli(worked), worked),) if counted else ()
    if not kind.clips * kind.clip_loss:
        return ()
    share = Factor(kind.clip_loss, "usually lost")
    worked = Worked(trade.materials[CLIPS].unit, (Term(kind.clips, "clips", (share,)),), kind.evidence.source)
    return (Need(CLIPS, milli(worked), worked),)
