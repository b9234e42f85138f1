"""The child process that makes plans and answers about them: owns the solver, knows neither Django nor a database."""

from __future__ import annotations

import traceback
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime
from multiprocessing.connection import Connection
from typing import Any

from trimwright.book.document import Book
from trimwright.errors import BadInput
from trimwright.job.document import Job
from trimwright.web.jobs.apart import APART
from trimwright.web.jobs.shared_calendar import Held


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


@dataclass(frozen=True, slots=True)
class Several:
    """Several jobs to lay out over the same hands and places (`shared_calendar.py`)."""

    jobs: tuple[Held, ...]


class Maker:
    """The child process, started when first needed and again after it was ended.

    An `Order` goes in, or `Several`. Out come ("progress", stage, gap), ("stage", name, plain data), ("answers", "",
    plain data by what it is about), ("answer", about, plain data), ("paper", name, file) and at last ("done", problems,
    None) or, when it was a slip of ours, ("slip", error, where).
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

    The plan made last is kept in mind, so that what is asked about it needs no deciding again.
    """
    from trimwright.facts import load
    from trimwright.web.jobs.planning import Decided, answered, decided, planned, weighed
    from trimwright.web.jobs.shared_calendar import laid_over

    load()
    last: tuple[Order, Decided] | None = None
    while True:
        try:
            order = talk.recv()
            if isinstance(order, Several):
                _send(talk, [("answer", "", laid_over(order.jobs, datetime.now(UTC)))])
                continue
            tell = _teller(talk)
            if order.about and order.courses is not None:
                pieces = weighed(order.job, order.book, order.today, order.about, order.courses)
                _send(talk, pieces)
                continue
            plain_order = replace(order, about=None)
            if last is None or last[0] != plain_order or order.about is None:
                last = plain_order, decided(order.job, order.book, order.today, tell)
            made, day = last[1], order.today
            pieces = answered(made, order.about, day, tell) if order.about else planned(made, day, tell)
            _send(talk, pieces)
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
