"""learn(book, job, trade) → Book: what a job's work has shown, measured against the trade's own figures.

A course that was timed tells of each of its treatments: they took as much more or less than the table says as the
whole course did. Of a course that was done again, the treatment that the table thinks likeliest to fail is taken to
have failed and the others to have held. What finished work has laid open and nobody noted was not there. A follow-up
visit tells of the treatment that the table thinks will end first: it has held so long, or it has not.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from datetime import date

from trimwright.book.applied import apply_book, with_own_treatments
from trimwright.book.document import Book, Found, Held, Redone, Timed
from trimwright.book.taking_in import Shown, taken_in
from trimwright.errors import BadInput
from trimwright.facts.trade import Trade, Treatment
from trimwright.job.check import checked
from trimwright.job.document import Job
from trimwright.job.events import Done, Visited
from trimwright.job.fields import treatments_named
from trimwright.plan.quantities.cabin import LEAVE
from trimwright.plan.quantities.found import told
from trimwright.plan.quantities.hidden import suspected
from trimwright.plan.quantities.needs import minutes_of
from trimwright.plan.quantities.so_far import SoFar, so_far
from trimwright.plan.quantities.strip_down import strip_down
from trimwright.plan.quantities.surveyed import Surveyed, survey

YEAR_DAYS = 365.25


def learn(book: Book, job: Job, trade: Trade, today: date) -> Book:
    """The book with what the job has shown and paid; learning from a job again takes it in anew.

    `trade` is the trade as its tables have it, nothing of the book applied. BadInput when the job names what neither
    knows, or when the book has learned from another job of the same id.
    """
    problems = checked(job, apply_book(trade, book, job.money.currency, today)).problems
    if problems:
        raise BadInput(problems)
    trade = with_own_treatments(trade, book)
    parts = {part.id: part for part in survey(job, trade)}
    known = so_far(job)
    finished = [each for each in known.done.values() if each.part in parts and each.course != LEAVE]
    shown = Shown(
        timed=tuple(each for event in finished for each in _timed(event, parts[event.part], job, trade)),
        redone=tuple(each for event in finished for each in _redone(event, job, trade)),
        found=tuple(_found(finished, parts, known, job, trade)),
        held=tuple(each for event in finished for each in _held(event, parts[event.part], job, trade)),
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


def _held(event: Done, part: Surveyed, job: Job, trade: Trade) -> Iterator[Held]:
    """Spells of use: from the work, or from when it was put right, to a failure or to the last look.

    Years count as many times as the part is used harder than usual, as the plan counts a life.
    """
    ends_first = min(_treatments(event, trade), key=lambda each: each.life_years[1])
    looks = [each for each in job.events if isinstance(each, Visited) and each.part == event.part]
    began = event.at.date()
    after = [each for each in looks if each.at.date() > began]
    for number, look in enumerate(after):
        if look.held and number + 1 < len(after):
            continue
        years = (look.at.date() - began).days / YEAR_DAYS * part.wear
        if years > 0:
            yield Held(
                job=job.id, event=look.id, part=event.part, on=look.at.date(),
                treatment=ends_first.id, years=round(years, 6), failed=not look.held,
            )  # fmt: skip
        began = look.at.date()


def _found(
    finished: Iterable[Done], parts: Mapping[str, Surveyed], known: SoFar, job: Job, trade: Trade
) -> Iterator[Found]:
    """One observation a suspected fault and place: there if anybody saw it, else not, once it was open to sight."""
    pointed_at = suspected(parts.values(), trade.finds)
    own_steps = strip_down(parts.values(), job, trade).own
    heard = told(pointed_at, parts, known, own_steps, {each.part: _treatments(each, trade) for each in finished})
    for at in sorted(heard.found | heard.seen | heard.not_there):
        find, _, place = at.partition("@")
        on = job.events[-1].at.date()
        yield Found(job=job.id, on=on, find=find, place=place, there=at not in heard.not_there)
