"""What the job's events have told: tasks that are done or under way, and what has to be said of them.

What is finished stands for what its own part had to go through before it, but never for the battery: whether that is
off is not guessed.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from trimwright.job import events
from trimwright.job.fields import treatments_named
from trimwright.plan.calendar.deliveries import aware
from trimwright.plan.calendar.drafts import Drafts
from trimwright.plan.calendar.off_the_car import Chain, as_after
from trimwright.plan.calendar.shop import Shop
from trimwright.plan.calendar.shop_air import waiting
from trimwright.plan.calendar.shop_hours import first_fit, minutes_between, moved
from trimwright.plan.calendar.tasks import After, Task
from trimwright.plan.sequence.curing import last_wait, waits_named
from trimwright.plan.sequence.moves import BATTERY_OFF, HAND_OVER, back_id, off_id

LEAST_LEFT = 5
"""What is under way takes at least so much longer [min]."""
NEVER_GUESSED = (BATTERY_OFF,)


def parts_done(shop: Shop, drafts: Drafts) -> None:
    """A part whose course is done, with the wait that may still be going on before it goes back."""
    for part, event in shop.known.done.items():
        treatments = [each for each in treatments_named(event.course) if each in shop.trade.treatments]
        surveyed = shop.parts.get(part)
        if surveyed is None or not treatments:
            continue
        done = aware(event.at, shop)
        task = drafts.add(
            Task(
                id=f"{part}/done", kind="bench", name="done", part=part,
                treatment=treatments[-1], minutes=(event.minutes,) * 3, done=done,
            )
        )  # fmt: skip
        wait = last_wait(waits_named(event.course, shop.trade))
        after = After(task) if wait is None else as_after(task, waiting([wait], shop.air, surveyed.part.name))
        backs = [back_id(step) for step in shop.cabin.own[part] if back_id(step) in drafts.tasks]
        for each in backs or [each for each in (HAND_OVER,) if each in drafts.tasks]:
            drafts.link(each, after)


def moves_done(shop: Shop, drafts: Drafts) -> None:
    """Steps noted as taken off or put back, at the moment they were noted."""
    for event in shop.job.events:
        if isinstance(event, events.Opened):
            for task in (off_id(event.step), *((back_id(event.step),) if event.back_on else ())):
                if task in drafts.tasks:
                    finish(task, event, event.minutes, shop, drafts)
            if event.step == BATTERY_OFF and BATTERY_OFF in drafts.tasks:
                finish(BATTERY_OFF, event, event.minutes, shop, drafts)
    for move in shop.sequence.moves:
        if move.done and move.id in drafts.tasks and drafts.tasks[move.id].done is None:
            drafts.change(move.id, done=shop.start)


def finish(task_id: str, event: events.Happened, minutes: int, shop: Shop, drafts: Drafts) -> None:
    """A task as done when it was noted, with what it took where that was told."""
    task = drafts.tasks[task_id]
    took = minutes or task.minutes[1]
    drafts.change(task_id, done=min(aware(event.at, shop), shop.start), minutes=(took,) * 3)


def worked_on(shop: Shop, drafts: Drafts, chains: dict[str, Chain]) -> Iterator[str]:
    """Tasks noted as begun, finished or begun again; a note for each that is no task any more."""
    planned = dict(drafts.tasks)
    for event in shop.job.events:
        if isinstance(event, events.Worked):
            task = the_task(event.task, drafts, chains)
            if task is None:
                yield f"{event.task} was noted as {event.state}, and is no task of this plan any more."
            elif event.state == "finished":
                finish(task, event, event.minutes, shop, drafts)
            else:
                begin(planned[task], event, shop, drafts)


def the_task(named: str, drafts: Drafts, chains: dict[str, Chain]) -> str | None:
    """The task of this id; else, where its recipe is cut otherwise by now, the one that has its step."""
    if named in drafts.tasks:
        return named
    part, _, rest = named.partition("/")
    treatment, _, step = rest.partition("/")
    number = step.partition("-")[0].partition(".")[0]
    chain = chains.get(part)
    if chain is None or not number.isdigit():
        return None
    before = [task for task, piece in chain.pieces if piece.treatment == treatment and piece.step <= int(number)]
    return before[-1] if before else None


def begin(task: Task, event: events.Worked, shop: Shop, drafts: Drafts) -> None:
    """A task as under way, as it was planned: its minutes run from when it was begun to when it should be over."""
    begun = aware(event.at, shop)
    gone = max(0, minutes_between(begun, shop.start))
    worked = event.minutes if event.minutes else min(gone, task.minutes[1]) if begun.date() == shop.start.date() else 0
    low, likely, high = (gone + max(LEAST_LEFT, each - worked) for each in task.minutes)
    drafts.change(task.id, begun=min(begun, shop.start), done=None, minutes=(low, likely, high))


def all_before_is_done(drafts: Drafts) -> None:
    """What a finished task could not have been made without is finished too, at the latest by then."""
    waiting_for = [each for each in drafts.tasks.values() if each.done is not None]
    while waiting_for:
        task = waiting_for.pop()
        for each in task.after:
            before = drafts.tasks[each.task]
            if before.done is None and implied(before, task):
                drafts.change(before.id, done=task.done, begun=None)
                waiting_for.append(drafts.tasks[before.id])


def implied(before: Task, task: Task) -> bool:
    """Whether a task that is finished tells that one before it is: steps on the way, what it is made of, its own part.

    Never the battery; nor what only keeps an order, such as the other of a pair, another colour, a review.
    """
    if before.id in NEVER_GUESSED:
        return False
    if before.kind in ("strip-down", "delivery") or (before.kind == "rebuild" and task.kind == "rebuild"):
        return True
    if before.kind == "batch":
        return task.kind == "bench"
    return before.part is not None and before.part == task.part


def windows_closed(shop: Shop, drafts: Drafts) -> Iterator[str]:
    """Windows that what is done has opened and that are shut by now: the surface is prepared again, and said so."""
    for task in list(drafts.tasks.values()):
        for each in task.after if task.done is None else ():
            before = drafts.tasks[each.task]
            if each.closes is None or before.done is None:
                continue
            closed = moved(before.done, each.closes)
            soonest = max(shop.start, moved(before.done, each.wait[1]))
            fits = first_fit(shop.hours, soonest, task.minutes[1]) if task.people else soonest
            if fits is None or fits > closed:
                after = tuple(replace(link, closes=None) if link is each else link for link in task.after)
                drafts.change(task.id, after=after)
                yield (
                    f"{shop.told(task)}: the window after “{before.name}” closes {closed:%Y-%m-%d %H:%M}, "
                    "before anybody can go on. Scuff or scrape it, and begin that coat or that glue again."
                )
