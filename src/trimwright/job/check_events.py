"""What happened, held against the job and the facts: names that are not there, answers without a yes.

What cannot be read as done or bought at all is a problem; a name that is gone is only a remark, as events tell what
was, and their money and time count all the same.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from trimwright.errors import Problem
from trimwright.facts.access import part_id, removal_steps
from trimwright.facts.trade import Trade
from trimwright.job.document import Job
from trimwright.job.events import (
    Bag,
    Bought,
    Done,
    Event,
    Find,
    FixingKnown,
    Intake,
    Look,
    OfAThing,
    Opened,
    Ordered,
    Promised,
    Released,
    Snag,
    Spent,
    Tested,
    Tightened,
    Worked,
)
from trimwright.job.fields import treatments_named
from trimwright.job.refusals import near

WHOLE_JOB_LINES = ("make_safe", "photographs")
"""Lines of the whole job that an event can name as done."""
OF_A_STEP = (Opened, Find, Bag, FixingKnown, Tightened)
"""Events that name a strip-down step."""
OF_A_MOVE = ("off", "back", "store")
"""What stands before a step in the name of a task of the calendar."""


def event_problems(job: Job, trade: Trade) -> Iterator[Problem]:
    """Courses done that name no treatment there is: their part could not be told from one that is still to do."""
    for event in job.events:
        if isinstance(event, Done):
            for each in treatments_named(event.course):
                if each not in trade.treatments:
                    where = f"events › {event.id} › course"
                    way_out = near(each, trade.treatments) or "See `trimwright facts treatments`."
                    yield Problem(where, each, "is no treatment the trade knows.", way_out)


def _restraint_remarks(job: Job, trade: Trade) -> Iterator[Problem]:
    """What is never done to a part that holds people, nor bought for it: no plan counts it, and no car leaves by it."""
    restraint = {part.id for part in job.parts if is_restraint(part.id, job, trade)}
    for event in job.events:
        if isinstance(event, Bought) and event.part in restraint and event.returned is None and event.source != "new":
            where, way_out = (
                f"events › {event.id} › source",
                "Fit a new one; note the money with `trimwright log spent`.",
            )
            yield Problem(where, event.source or "", "is no source of a part that holds people.", way_out)
        if isinstance(event, Done) and event.part in restraint:
            for each in treatments_named(event.course):
                if each in trade.treatments and not trade.treatments[each].on_restraint:
                    where = f"events › {event.id} › course"
                    way_out = "It is washed as its maker allows, or fitted new by licensed practice."
                    yield Problem(where, each, "is no treatment of a part that holds people.", way_out)


def is_restraint(part: str, job: Job, trade: Trade) -> bool:
    """Whether a part of the job holds people."""
    found = next((each for each in job.parts if each.id == part), None)
    if found is None:
        return False
    kind = trade.parts.get(found.kind)
    return found.own.is_restraint if found.own is not None else kind is not None and kind.is_restraint


def event_remarks(job: Job, trade: Trade) -> Iterator[Problem]:
    """Names that are not there, and answers of an owner that cannot be shown."""
    parts = {part.id: None for part in job.parts}
    steps = dict.fromkeys(steps_known(job, trade)) if job.events else {}
    orders = {each.id: None for each in job.events if isinstance(each, Ordered)}
    yield from _bag_remarks(job)
    yield from _restraint_remarks(job, trade)
    for event in job.events:
        where = f"events › {event.id}"
        for field, name in _parts_named(event):
            if name not in parts:
                yield _gone(f"{where} › {field}", name, "part of this job", parts)
        step = event.step if isinstance(event, OF_A_STEP) else None
        if step is not None and step not in steps:
            yield _gone(f"{where} › step", step, "strip-down step of this cabin", steps)
        if isinstance(event, Look | Find) and event.find is not None and event.find not in trade.finds:
            yield _gone(f"{where} › find", event.find, "fault the trade looks for", trade.finds)
        if isinstance(event, Spent) and event.line is not None and event.line not in WHOLE_JOB_LINES:
            yield _gone(f"{where} › line", event.line, "line of the whole job", dict.fromkeys(WHOLE_JOB_LINES))
        if isinstance(event, Bought) and event.order is not None and event.order not in orders:
            yield _gone(f"{where} › order", event.order, "order of this job", orders)
        if isinstance(event, Worked):
            yield from _task_remarks(event.task, f"{where} › task", parts, steps)
        if isinstance(event, OfAThing):
            yield from _purchase_remarks(event, where, trade)
        if isinstance(event, FixingKnown | Tightened) and (kind := trade.parts.get(event.step.partition(".")[0])):
            fixings = {each.name: None for each in kind.fixings}
            if event.fixing not in fixings:
                way_out = near(event.fixing, fixings) or f"It has: {'; '.join(fixings) or 'none'}."
                yield Problem(f"{where} › fixing", event.fixing, f"is no fixing of {kind.name}.", way_out)
        yield from _test_remarks(event, where, trade)
        if isinstance(event, Find) and event.answer != "undecided" and event.yes is None and job.car.commercial:
            way_out = "Note who said yes, when and how."
            yield Problem(f"{where} › yes", "", "is missing: the owner's answer cannot be shown.", way_out)
        if isinstance(event, Intake) and event.yes is None and job.car.commercial:
            yield Problem(f"{where} › yes", "", "is missing: the owner has not signed the intake.", "Have it signed.")
        if isinstance(event, Promised) and event.sum != job.money.sum:
            what = "is not the job's sum any more."
            yield Problem(f"{where} › sum", "", what, "Agree on the new sum with the owner.")


def _bag_remarks(job: Job) -> Iterator[Problem]:
    """Bags that come back twice, or were never filled."""
    stands: dict[str, str] = {}
    for event in job.events:
        if isinstance(event, Bag):
            before = stands.get(event.step)
            if event.state != "filled" and before != "filled":
                what = f"is no state for a bag that {f'is {before} already' if before else 'was never filled'}."
                way_out = f"The bag is that of {event.step}: see `trimwright log show`."
                yield Problem(f"events › {event.id} › state", event.state, what, way_out)
            stands[event.step] = event.state


def _task_remarks(task: str, where: str, parts: Mapping[str, object], steps: Mapping[str, object]) -> Iterator[Problem]:
    """A task of a part or a step that is not there; what is of the whole cabin is not looked up."""
    before, colon, step = task.partition(":")
    part, slash, _ = task.partition("/")
    if colon and before in OF_A_MOVE and step not in steps:
        yield _gone(where, step, "strip-down step of this cabin", steps)
    if slash and not colon and part not in parts:
        yield _gone(where, part, "part of this job", parts)


def steps_known(job: Job, trade: Trade) -> tuple[str, ...]:
    """Every strip-down step of the cabin by id, parts of one's own included."""
    car = job.car
    listed = [(part.kind, part.place) for part in job.parts if part.own is None and part.kind in trade.parts]
    own = tuple(part_id(f"own:{part.id}", part.place) for part in job.parts if part.own is not None)
    return (*removal_steps(trade, car.body, car.year, car.equipment, listed), *own)


def _parts_named(event: Event) -> Iterator[tuple[str, str]]:
    part = getattr(event, "part", None)
    if part is not None:
        yield "part", part
    if isinstance(event, Find):
        yield from (("drops", each) for each in event.drops)
    if isinstance(event, Promised):
        yield from (("verdicts", each) for each in event.verdicts)
    if isinstance(event, Released):
        yield from (("parts", each) for each in event.parts)


def _test_remarks(event: Event, where: str, trade: Trade) -> Iterator[Problem]:
    named: tuple[str, ...] = tuple(event.results) if isinstance(event, Tested) else ()
    if isinstance(event, Snag) and event.test is not None:
        named = (event.test,)
    for test in named:
        if test not in trade.final_tests:
            yield _gone(f"{where} › tests", test, "final test the trade knows", trade.final_tests)


def _purchase_remarks(event: OfAThing, where: str, trade: Trade) -> Iterator[Problem]:
    if event.material is not None:
        material = trade.materials.get(event.material)
        if material is None:
            yield _gone(f"{where} › material", event.material, "material the trade knows", trade.materials)
        elif event.pack is not None and event.pack not in (packs := {each.id: None for each in material.packs}):
            yield _gone(f"{where} › pack", event.pack, "pack of it", packs)
    if event.thing == "tool" and event.tool is not None and event.tool not in trade.tools:
        yield _gone(f"{where} › tool", event.tool, "tool the trade knows", trade.tools)


def _gone(where: str, value: str, what: str, known: Mapping[str, object]) -> Problem:
    return Problem(where, value, f"is no {what}; only its money and time count.", near(value, known))
