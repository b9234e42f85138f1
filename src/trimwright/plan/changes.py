"""change_sheet(job, trade, find) → ChangeSheet: what was found, and what each of the three answers would come to.

It is paid out of the reserve and every verdict stands; or others are dropped or changed for it, and the plan is as sure
as was asked; or it is left and recorded, if it may be. Nothing is written into the job: the answer is the owner's.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from time import monotonic
from typing import TYPE_CHECKING

from trimwright.errors import BadInput, Problem
from trimwright.facts.trade import Trade
from trimwright.job.document import Job
from trimwright.job.events import Answer, Event, Find, Promised, Released, Spent, Yes
from trimwright.job.refusals import near
from trimwright.plan.quantities.measure import measure
from trimwright.plan.quantities.so_far import promises
from trimwright.plan.verdicts import decide
from trimwright.plan.verdicts.again import SOON, decide_again, stand
from trimwright.plan.verdicts.asking import courses_of
from trimwright.plan.verdicts.verdict import Decision, Verdict, Verdicts

if TYPE_CHECKING:
    from trimwright.plan.calendar.tasks import Air, Bench, Calendar

LAYING_OUT = 2.0
"""Seconds in which each answer's calendar is looked for."""


@dataclass(frozen=True, slots=True)
class Changed:
    """One part whose verdict or finish is another than before."""

    before: Verdict
    after: Verdict
    promised: bool
    """The owner has been promised what it was: the answer lets go of that."""

    @property
    def same_course(self) -> bool:
        return self.before.course is not None and self.after.course is not None and (
            self.before.course.id == self.after.course.id and self.before.settled_by == self.after.settled_by
        )  # fmt: skip


@dataclass(frozen=True)
class Way:
    """One answer and what it comes to. `verdicts` are "short" where they are less sure than was asked."""

    answer: Answer
    job: Job
    """The job with this answer."""
    verdicts: Verdicts
    changed: tuple[Changed, ...]

    @property
    def lets_go(self) -> tuple[str, ...]:
        """Parts, by id, whose promise it lets go of."""
        return tuple(each.before.part for each in self.changed if each.promised and not each.same_course)


@dataclass(frozen=True)
class ChangeSheet:
    """A find with the plan as it was before, and every answer it may be given."""

    job: Job
    find: Find
    where: str
    """The part or step in words."""
    before: Verdicts
    ways: tuple[Way, ...]
    seconds: float

    def way(self, answer: Answer) -> Way | None:
        """What an answer comes to; None when it may not be given."""
        return next((each for each in self.ways if each.answer == answer), None)


def change_sheet(
    job: Job, trade: Trade, find_id: str, *, before: Verdicts | None = None, seconds: float = SOON
) -> ChangeSheet:
    """The change sheet of a find of the job. BadInput when there is no such find.

    `before` is the plan decided before the find, where the caller still has it; else it is decided first, which takes
    its time. `seconds` bounds the look for what to drop.
    """
    find = find_of(job, find_id)
    if before is None:
        before = decide(measure(without(job, find), trade))
    started = monotonic()
    ways = [reserve_pays(job, trade, find, before), others_give_way(job, trade, find, before, seconds)]
    if not find.must:
        ways.append(left_and_recorded(job, trade, find, before))
    return ChangeSheet(job, find, where(job, find, trade), before, tuple(ways), round(monotonic() - started, 3))


def as_it_stood(job: Job, trade: Trade, find_id: str, decision: Decision) -> Verdicts | None:
    """The plan before a find, as it was decided; None where the job has changed otherwise since."""
    quantities = measure(without(job, find_of(job, find_id)), trade)
    return decision.verdicts if decision.stands_for(quantities) else None


def as_decided(job: Job, trade: Trade, find_id: str, courses: Mapping[str, str]) -> Verdicts | None:
    """The plan before a find, from the course that was decided for each part: quick, as only packs and the reserve are
    left to decide; short where another find asks for more than there is. None where a course can't be taken any more.
    """
    verdicts = decide(measure(holding(without(job, find_of(job, find_id)), courses), trade))
    same = courses.items() >= by_part(verdicts).items()
    return verdicts if same else None


def find_of(job: Job, find_id: str) -> Find:
    """The find with this id; BadInput when there is none."""
    try:
        return job.find(find_id)
    except KeyError:
        finds = [each.id for each in job.events if isinstance(each, Find)]
        way_out = near(find_id, finds) or (f"There are: {', '.join(finds)}." if finds else "Note it with `found`.")
        raise BadInput(Problem("find", find_id, "is no find of this job.", way_out)) from None


def where(job: Job, find: Find, trade: Trade) -> str:
    """The part or step a find was made at, in words."""
    if find.part is not None:
        return next((part.name for part in job.parts if part.id == find.part), find.part)
    kind, _, place = (find.step or "").partition(".")
    name = trade.parts[kind].name if kind in trade.parts else kind
    return f"{name}, {place.replace('_', ' ')} side" if place else name


# ---- the three answers -----------------------------------------------------------------------------------------------


def reserve_pays(job: Job, trade: Trade, find: Find, before: Verdicts) -> Way:
    """Every verdict stands, and the reserve pays."""
    answered = holding(with_answer(job, find, "from the reserve"), by_part(before))
    return _way("from the reserve", job, answered, before, stand(measure(answered, trade), before))


def others_give_way(job: Job, trade: Trade, find: Find, before: Verdicts, seconds: float) -> Way:
    """Nothing but what is done is held, and the plan is decided again."""
    answered = let_go(with_answer(job, find, "drop others for it"))
    return _way(
        "drop others for it", job, answered, before, decide_again(measure(answered, trade), before, seconds=seconds)
    )


def left_and_recorded(job: Job, trade: Trade, find: Find, before: Verdicts) -> Way:
    """Every verdict stands, and so does the find."""
    answered = holding(with_answer(job, find, "leave and record"), by_part(before))
    return _way("leave and record", job, answered, before, stand(measure(answered, trade), before))


def _way(answer: Answer, job: Job, answered: Job, before: Verdicts, after: Verdicts) -> Way:
    promised = promises(job.events)
    pairs = [Changed(old, new, old.part in promised) for old, new in zip(before.verdicts, after.verdicts, strict=True)]
    return Way(
        answer,
        answered,
        after,
        tuple(each for each in pairs if not each.same_course or each.before.finish_after != each.after.finish_after),
    )


# ---- what each does to the date -------------------------------------------------------------------------------------


@dataclass(frozen=True)
class HandOvers:
    """When the car is handed over: as it was to be before the find, and with each answer."""

    before: datetime
    after: Mapping[Answer, datetime]

    def days_later(self, answer: Answer) -> float:
        """Days that an answer moves the hand-over by; never less than 0 [days]."""
        return max(0.0, (self.after[answer].timestamp() - self.before.timestamp()) / 86_400)


def hand_overs(
    sheet: ChangeSheet,
    trade: Trade,
    *,
    start: datetime,
    air: Air | None = None,
    seconds: float = LAYING_OUT,
    kept: Calendar | None = None,
) -> HandOvers:
    """The hand-over with each answer to a find, by a calendar from `start` on that is looked for in `seconds` each.

    The calendar before the find is looked for again from the best of the others, so that no answer seems to win days
    only because it was looked at longer. A calendar that is `kept` is where the look begins.
    """
    from trimwright.plan.calendar.schedule import schedule

    held = holding(without(sheet.job, sheet.find), by_part(sheet.before))
    first = schedule(_bench(held, trade, sheet.before, start, air), seconds=seconds, before=kept)
    ways = {
        way.answer: schedule(_bench(way.job, trade, way.verdicts, start, air), seconds=seconds, before=first)
        for way in sheet.ways
    }
    best = min((first, *ways.values()), key=lambda each: each.end)
    again = first if best is first else schedule(first.bench, seconds=seconds, before=best)
    return HandOvers(min(first.end, again.end), {answer: each.end for answer, each in ways.items()})


def _bench(job: Job, trade: Trade, verdicts: Verdicts, start: datetime, air: Air | None) -> Bench:
    from trimwright.plan.buying import shop
    from trimwright.plan.calendar.listing import list_tasks
    from trimwright.plan.sequence import arrange

    quantities = measure(job, trade)
    made = (job, trade, quantities, verdicts)
    return list_tasks(*made, shop(job, quantities, verdicts), arrange(*made), start=start, air=air)


# ---- the job as each answer makes it ---------------------------------------------------------------------------------


def without(job: Job, find: Find) -> Job:
    """The job as it was before the find."""
    return _with_events(job, (each for each in job.events if not _is_about(each, find)))


def with_answer(job: Job, find: Find, answer: Answer, yes: Yes | None = None, drops: tuple[str, ...] = ()) -> Job:
    """The job with the find answered, and not dealt with yet."""
    answered = find.model_copy(update={"answer": answer, "yes": yes, "drops": drops})
    return _with_events(job, (answered if each is find else each for each in job.events if not _settles(each, find)))


def by_part(verdicts: Verdicts) -> dict[str, str]:
    """The course decided for each part, by their ids."""
    return {each.part: each.id for each in courses_of(verdicts)}


def holding(job: Job, courses: Mapping[str, str]) -> Job:
    """The job with a course promised for each of these parts, so that each stands and can be found again."""
    now = job.events[-1].at if job.events else datetime.min.replace(tzinfo=UTC)
    promised = Promised.model_construct(
        id="held",
        at=now,
        verdicts=courses,
        sum=job.money.sum,
        yes=Yes.model_construct(at=now, name="", how="call"),
    )
    return _with_events(job, (*job.events, promised))


def let_go(job: Job) -> Job:
    """The job with nothing promised."""
    parts = tuple(promises(job.events))
    if not parts:
        return job
    return _with_events(job, (*job.events, Released.model_construct(id="free", at=job.events[-1].at, parts=parts)))


def _with_events(job: Job, events: Iterable[Event]) -> Job:
    return job.model_copy(update={"events": tuple(events)})


def _settles(event: Event, find: Find) -> bool:
    return isinstance(event, Spent) and event.find == find.id


def _is_about(event: Event, find: Find) -> bool:
    return event is find or _settles(event, find)
