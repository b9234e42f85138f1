"""list_tasks(job, …) → Bench: all that is still to be made, in pieces that fit into a day, and what waits for what.

The moves on the car are the sequence's, the courses, batches and lines the verdicts', what is on its way the buying
stage's; the minutes are theirs too, times the hours factor. Pins narrow when a task may be made and loosen nothing.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from datetime import datetime

from trimwright.errors import BadInput, Problem
from trimwright.facts.trade import Trade
from trimwright.job.document import Job
from trimwright.plan.buying import Buying
from trimwright.plan.calendar.batches import batches, pairs
from trimwright.plan.calendar.deliveries import Coming, arrives, aware, deliveries
from trimwright.plan.calendar.drafts import Drafts
from trimwright.plan.calendar.off_the_car import Chain, chains_of, steps_of
from trimwright.plan.calendar.on_the_car import moves_as_tasks
from trimwright.plan.calendar.recipes import LONG_PIECE, shared_out
from trimwright.plan.calendar.shop import Shop, shop_of
from trimwright.plan.calendar.shop_air import air_of, air_one_works_in
from trimwright.plan.calendar.tasks import After, Air, Bench, Task
from trimwright.plan.calendar.told import all_before_is_done, moves_done, parts_done, windows_closed, worked_on
from trimwright.plan.quantities.cabin import Line, Quantities
from trimwright.plan.quantities.whole_job import MAKE_SAFE
from trimwright.plan.sequence import Sequence
from trimwright.plan.sequence.moves import CLIPS, HAND_OVER, RECORD, back_id, off_id
from trimwright.plan.verdicts.verdict import Verdicts

PHOTOGRAPHS = "photographs"
STRIP_REVIEW = "strip_review"
OVERNIGHT = 8 * 60
"""A window open for so many minutes may be met on the next day."""
BEFORE_SHARE = 0.5
"""The share of photographs, bags and labels that is made before anything comes off; our own guess."""


def list_tasks(
    job: Job,
    trade: Trade,
    quantities: Quantities,
    verdicts: Verdicts,
    buying: Buying,
    sequence: Sequence,
    *,
    start: datetime,
    air: Air | None = None,
) -> Bench:
    """The bench as it stands at `start`, in the air of the shop as last read where none is given.

    What the events tell as done or begun is so, and stays where it was. BadInput with everything that fits nowhere.
    """
    right = air_one_works_in(air or air_of(job))
    shop = shop_of(job, trade, quantities, verdicts, buying, sequence, start, right)
    drafts = Drafts()
    moves_as_tasks(shop, drafts)
    coming = deliveries(shop, drafts)
    fixings_in_hand(shop, drafts, coming)
    chains = chains_of(shop, drafts, coming)
    batches(shop, drafts, coming, chains)
    pairs(shop, drafts, chains)
    strip_review(shop, drafts, chains)
    lines(shop, drafts)
    finds(shop, drafts)
    parts_done(shop, drafts)
    hand_over_last(shop, drafts, chains)
    moves_done(shop, drafts)
    unknown = list(worked_on(shop, drafts, chains))
    all_before_is_done(drafts)
    closed = list(windows_closed(shop, drafts))
    unpinned = list(pinned(shop, drafts))
    tasks = tuple(drafts.tasks.values())
    if shut := list(windows_shut(drafts, shop)):
        raise BadInput(shut)
    return Bench(
        start=shop.start,
        tasks=tasks,
        hours=shop.hours,
        hands=job.time.hands,
        places=shop.places,
        air=shop.air,
        wanted_by=job.time.wanted_by,
        notes=(*unknown, *closed, *unpinned, *air_wanted(tasks, shop), *too_late(tasks, shop)),
    )


# ---- what belongs to no single part ----------------------------------------------------------------------------------


def fixings_in_hand(shop: Shop, drafts: Drafts, coming: Coming) -> None:
    """New clips and fixings are here before anything that needs them goes back."""
    for step in shop.verdicts.steps:
        needs = tuple(coming.of(step, shop.quantities.steps[step].needs))
        waiting = CLIPS if CLIPS in drafts.tasks else back_id(step)
        if waiting in drafts.tasks:
            drafts.link(waiting, *needs)


def strip_review(shop: Shop, drafts: Drafts, chains: Mapping[str, Chain]) -> None:
    """What strip-down has shown is looked at, and answered, before money goes into a part: all off, then the bench.

    Cleaning need not wait for it, nor what is sent away, which takes longest; a step pinned to a later day is not
    waited for.
    """
    pins = shop.job.time.pins
    late = {task for task, pin in pins.items() if pin.not_before is not None}
    off = [task for task in drafts.tasks if task.startswith(off_id("")) and task not in late]
    waiting = [task for chain in chains.values() if (task := dear_work(chain, shop, drafts)) is not None]
    if off and waiting:
        name = "Strip review: finds answered, bags full, parts as expected"
        review = drafts.add(Task(STRIP_REVIEW, "check", name, place="car", after=tuple(map(After, off))))
        for task in waiting:
            drafts.link(task, After(review))


def dear_work(chain: Chain, shop: Shop, drafts: Drafts) -> str | None:
    """The first task of a chain that costs more than a clean; None where there is none, or the piece is sent away."""
    if any(drafts.tasks[task].kind == "sent out" for task in chain.ids):
        return None
    kinds = ((task, shop.trade.treatments[piece.treatment].kind) for task, piece in chain.pieces)
    return next((task for task, kind in kinds if kind != "clean"), None)


def lines(shop: Shop, drafts: Drafts) -> None:
    """Lines of the whole job that take time; making safe is the record's own minutes where there is one."""
    for line in shop.quantities.lines:
        if not line.minutes or (line.id == MAKE_SAFE and RECORD in drafts.tasks):
            continue
        planned = shop.planned(line.minutes)
        if line.id == PHOTOGRAPHS:
            first = round(planned * BEFORE_SHARE)
            before = line_tasks(line, "before", first, shop, drafts)
            for task in [each.id for each in drafts.tasks.values() if each.id.startswith(off_id(""))]:
                drafts.link(task, After(before))
            line_tasks(line, "after", planned - first, shop, drafts, behind_all=True)
        else:
            line_tasks(line, "", planned, shop, drafts)


def line_tasks(line: Line, when: str, minutes: int, shop: Shop, drafts: Drafts, *, behind_all: bool = False) -> str:
    """A line's minutes in pieces that may be put down, one after the other; the last of them."""
    count = max(1, -(-minutes // min(LONG_PIECE, shop.usual)))
    link = [After(each) for each in drafts.last if each.startswith(back_id(""))] if behind_all else []
    if when == "before" and RECORD in drafts.tasks:
        link = [After(RECORD)]
    task = ""
    for number, each in enumerate(shared_out(minutes, [1.0] * count), 1):
        name = "/".join([f"line:{line.id}", *([when] if when else [])]) + (f"-{number}" if number > 1 else "")
        told = f"{line.name}, {when}" if when else line.name
        task = drafts.add(Task(name, "check", told, place="car", minutes=shop.spread(each, 0.7, 1.6)))
        drafts.link(task, *link)
        link = [After(task)]
    return task


def finds(shop: Shop, drafts: Drafts) -> None:
    """What strip-down found and is to be dealt with: after the step that showed it, before that goes back."""
    for find in shop.known.waiting:
        steps = (find.step,) if find.step else shop.cabin.own.get(find.part or "", ())
        minutes = shop.planned(find.minutes.likely)
        low, high = shop.planned(find.minutes.low), shop.planned(find.minutes.high)
        most = min(LONG_PIECE, shop.usual)
        count = max(1, -(-minutes // most))
        link = [After(off_id(step)) for step in steps if off_id(step) in drafts.tasks]
        for number in range(count):
            three = (shared_out(low, [1.0] * count)[number], shared_out(minutes, [1.0] * count)[number],
                     shared_out(high, [1.0] * count)[number])  # fmt: skip
            task = Task(
                id=f"find:{find.id}" + (f"-{number + 1}" if number else ""), kind="find", name=find.what,
                part=find.part, place="car", minutes=(min(three[0], three[1]), three[1], max(three[1], three[2])),
            )  # fmt: skip
            drafts.link(drafts.add(task), *link)
            link = [After(task.id)]
        for step in steps:
            if back_id(step) in drafts.tasks:
                drafts.link(back_id(step), *link)


def hand_over_last(shop: Shop, drafts: Drafts, chains: Mapping[str, Chain]) -> None:
    """The keys go back when nothing else is to be made, and everything that stays in the car has hardened."""
    if HAND_OVER not in drafts.tasks:
        drafts.add(Task(HAND_OVER, "check", "Keys back", place="car"))
    drafts.link(HAND_OVER, *(After(each) for each in drafts.last if each != HAND_OVER))
    for chain in chains.values():
        if chain.in_car or not any(back_id(step) in drafts.tasks for step in steps_of(chain.course, shop, drafts)):
            drafts.link(HAND_OVER, chain.ready())


def windows_shut(drafts: Drafts, shop: Shop) -> Iterator[Problem]:
    """Work that has to be gone on with on the same day, and fits into none: its window closes overnight."""
    for task in drafts.tasks.values():
        for each in task.after:
            before = drafts.tasks[each.task]
            needed = before.minutes[1] + each.wait[1] + task.minutes[1]
            if each.closes is None or each.closes >= OVERNIGHT or task.done is not None or before.done is not None:
                continue
            if needed > shop.longest:
                what = (
                    f"and “{task.name}” take {needed} min on one day, as the {each.why} closes after "
                    f"{each.closes} min, and no day is open for more than {shop.longest} min."
                )
                way_out = "Give one day of time › week more hours, or ban the treatment for the part."
                yield Problem(shop.told(before), "", what, way_out)


# ---- pins and notes --------------------------------------------------------------------------------------------------


def pinned(shop: Shop, drafts: Drafts) -> Iterator[str]:
    """The person's own dates on their tasks; a note for each pin on what is no task, or is done."""
    for task, pin in shop.job.time.pins.items():
        if task not in drafts.tasks:
            yield f"{task} is pinned, and is no task of this plan: take it out of time › pins, or name another."
            continue
        drafts.change(
            task,
            not_before=aware(pin.not_before, shop) if pin.not_before is not None else None,
            not_after=aware(pin.not_after, shop) if pin.not_after is not None else None,
        )


def air_wanted(tasks: Iterable[Task], shop: Shop) -> Iterator[str]:
    """The air that some work has to be given first, once for each that is wanted."""
    wanted: dict[Air, list[str]] = {}
    for task in tasks:
        if task.air is not None and task.done is None and task.treatment:
            wanted.setdefault(task.air, []).append(shop.trade.treatments[task.treatment].name)
    for air, names in wanted.items():
        listed = ", ".join(dict.fromkeys(names))
        yield (
            f"The shop's air, {shop.air.temperature:g} °C and {shop.air.humidity:g} %, won't do for: {listed}. "
            f"Bring it to {air.temperature:g} °C and {air.humidity:g} % before each, and keep it there."
        )


def too_late(tasks: Iterable[Task], shop: Shop) -> Iterator[str]:
    """What comes only after the day on which the car is wanted back, even if it is ordered at once."""
    wanted = shop.job.time.wanted_by
    if wanted is None:
        return
    for task in tasks:
        if task.kind in ("delivery", "sent out") and task.done is None and arrives(task, shop).date() > wanted:
            yield (
                f"{shop.told(task)}: here on {arrives(task, shop):%Y-%m-%d} at the earliest, and the car is wanted by "
                f"{wanted:%Y-%m-%d}. Order sooner, find a quicker seller, choose another course, or agree another day."
            )
