"""The child process that makes plans and answers about them: owns the solver, knows neither Django nor a database."""

from __future__ import annotations

import traceback
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime
from multiprocessing.connection import Connection
from typing import TYPE_CHECKING, Any

from trimwright.book.document import Book
from trimwright.errors import BadInput
from trimwright.job.document import Job
from trimwright.web.jobs.apart import APART
from trimwright.web.jobs.shared_calendar import Held

if TYPE_CHECKING:
    from trimwright.web.jobs.planning import Decision


@dataclass(frozen=True, slots=True)
class Order:
    """What to plan: a job, in the shop that the book tells of, on a day; or what to answer about that plan."""

    job: Job
    book: Book
    today: date
    about: str | None = None
    """What is asked about the plan (`answering.py`); None has the plan itself made."""
    courses: Mapping[str, str] | None = None
    """Of a find that is weighed: the course decided for each part before it; the plan itself is not made then."""
    decision: Decision | None = None
    """What was decided for this job last: where it still stands, nothing is decided again."""
    calendar: Mapping[str, Any] | None = None
    """The calendar that is kept (`calendars.py`): the next is made from it."""


@dataclass(frozen=True, slots=True)
class Several:
    """Several jobs to lay out over the same hands and places (`shared_calendar.py`)."""

    jobs: tuple[Held, ...]


class Maker:
    """The child process, started when first needed and again after it was ended.

    An `Order` goes in, or `Several`. Out come ("progress", stage, gap), ("decided", "", decision), ("stage", name,
    plain data), ("answers", "", plain data by what it is about), ("first", about, plain data) of an answer that is
    looked for further, ("answer", about, plain data), ("paper", name, file) and at last ("done", problems, None) or,
    when it was a slip of ours, ("slip", error, where).
    """

    def __init__(self) -> None:
        self._process: Any = None
        self._talk: Any = None

    def start(self) -> Any:
        """The way to talk to it, a `Connection`; it loads its libraries while nothing is asked of it."""
        if self._talk is None or not self._process.is_alive():
            self.end()
            self._talk, its_end = APART.Pipe()
            self._process = APART.Process(target=make_plans, args=(its_end,), daemon=True, name="trimwright-plans")
            self._process.start()
            its_end.close()
        return self._talk

    def end(self) -> None:
        """End it, whatever it is doing."""
        if self._process is not None:
            self._process.kill()
            self._process.join()
            self._process.close()
        if self._talk is not None:
            self._talk.close()
        self._process = self._talk = None


def make_plans(talk: Connection) -> None:
    """The child: makes what is ordered until its parent goes.

    What is decided anew is told, so that it comes with the next order and needs no deciding again.
    """
    from trimwright.facts import load
    from trimwright.web.jobs.planning import answered, decided, planned, weighed
    from trimwright.web.jobs.shared_calendar import laid_over

    load()
    while True:
        try:
            order = talk.recv()
            if isinstance(order, Several):
                _send(talk, [("answer", "", laid_over(order.jobs, datetime.now(UTC)))])
                continue
            tell = _teller(talk)
            if order.about and order.courses is not None:
                known = order.courses, order.decision, order.calendar
                _send(talk, weighed(order.job, order.book, order.today, order.about, *known))
                continue
            made, day = decided(order.job, order.book, order.today, tell, order.decision), order.today
            if not made.stands:
                talk.send(("decided", "", made.plan.decision))
            if order.about:
                _send(talk, answered(made, order.about, day, tell, order.calendar))
            else:
                _send(talk, planned(made, day, tell, order.calendar))
        except BadInput as error:
            talk.send(("done", error.problems, None))
        except (EOFError, OSError, KeyboardInterrupt):
            return
        except Exception as error:
            # a slip of ours must reach the page and the log, and must not end the planner
            talk.send(("slip", repr(error), traceback.format_exc()))


def _send(talk: Connection, pieces: Iterable[Any]) -> None:
    for kind, name, data in pieces:
        talk.send((kind, name, data))
    talk.send(("done", (), None))


def _teller(talk: Connection) -> Any:
    return lambda stage, gap: talk.send(("progress", stage, gap))
