"""learn(book, job, trade) → Book: what a job's work has shown, measured against the trade's own figures.

A course that was timed tells of each of its treatments: they took as much more or less than the table says as the
whole course did. Of a course that was done again, the treatment that the table thinks likeliest to fail is taken to
have failed and the others to have held. What finished work has laid open and nobody noted was not there.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date

from trimwright.book.applied import apply_book
from trimwright.book.document import Book, Found, Redone, Timed
from trimwright.book.taking_in import Shown, taken_in
from trimwright.errors import BadInput
from trimwright.facts.trade import Trade, Treatment
from trimwright.job.check import checked
from trimwright.job.document import Job
from trimwright.job.events import Done, Find, Look
from trimwright.job.fields import treatments_named
from trimwright.plan.quantities.cabin import LEAVE
from trimwright.plan.quantities.hidden import find_id, suspected
from trimwright.plan.quantities.needs import minutes_of
from trimwright.plan.quantities.surveyed import Surveyed, survey
from trimwright.plan.quantities.uncovering import meeting


def learn(book: Book, job: Job, trade: Trade, today: date) -> Book:
    """The book with what the job has shown and paid; learning from a job again takes it in anew.

    `trade` is the trade as its tables have it, nothing of the book applied. BadInput when the job names what neither
    knows, or when the book has learned from another job of the same id.
    """
    problems = checked(job, apply_book(trade, book, job.money.currency, today)).problems
    if problems:
        raise BadInput(problems)
    parts = {part.id: part for part in survey(job, trade)}
    done = {each.part: each for each in job.events if isinstance(each, Done)}
    finished = [each for each in done.values() if each.part in parts and each.course != LEAVE]
    shown = Shown(
        timed=tuple(each for event in finished for each in _timed(event, parts[event.part], job, trade)),
        redone=tuple(each for event in finished for each in _redone(event, job, trade)),
        found=tuple(_found(finished, parts.values(), job, trade)),
    )
    return taken_in(book, job, shown, trade)


def _treatments(event: Done, trade: Trade) -> list[Treatment]:
    return [trade.treatments[each] for each in treatments_named(event.course)]


def _timed(event: Done, part: Surveyed, job: Job, trade: Trade) -> Iterator[Timed]:
    """Minutes of one try, shared among the treatments as the table shares them; nothing where nobody looked."""
    planned = {each.id: minutes_of((each,), part)[1].value for each in _treatments(event, trade)}
    whole = sum(planned.values())
    if not event.minutes or not whole:
        return
    times = event.minutes / (1 + event.redone) / whole
    for treatment, minutes in planned.items():
        if minutes:
            yield Timed(
                job=job.id, event=event.id, part=event.part, on=event.at.date(),
                treatment=treatment, planned=minutes, real=minutes * times,
            )  # fmt: skip


def _redone(event: Done, job: Job, trade: Trade) -> Iterator[Redone]:
    treatments = _treatments(event, trade)
    likeliest = max(treatments, key=lambda each: sum(each.redo))
    for each in treatments:
        yield Redone(
            job=job.id, event=event.id, part=event.part, on=event.at.date(),
            treatment=each.id, again=bool(event.redone) and each is likeliest,
        )  # fmt: skip


def _found(finished: Iterable[Done], parts: Iterable[Surveyed], job: Job, trade: Trade) -> Iterator[Found]:
    """One observation a hidden fault and place: there if anybody has noted it, else not, once it was laid open."""
    by_id = {part.id: part for part in parts}
    pointed_at = suspected(by_id.values(), trade.finds)
    noted: dict[str, Found] = {}
    for event in job.events:
        if isinstance(event, Find | Look) and event.find is not None:
            part = by_id.get(event.part or "")
            at = find_id(trade.finds[event.find], part) if part else event.find
            there = isinstance(event, Find) or event.there
            if at not in noted or there:
                noted[at] = Found(
                    job=job.id, event=event.id, part=event.part, on=event.at.date(), find=event.find, there=there
                )
    yield from noted.values()
    without_a_place = {each.find for at, each in noted.items() if "@" not in at}
    for done in finished:
        part, treatments = by_id[done.part], _treatments(done, trade)
        for each in pointed_at[done.part]:
            at, find = each.id, each.find.id
            laid_open = meeting(each, part, treatments) == "lays open"
            if laid_open and at not in noted and find not in without_a_place:
                noted[at] = Found(job=job.id, event=done.id, part=done.part, on=done.at.date(), find=find, there=False)
                yield noted[at]
