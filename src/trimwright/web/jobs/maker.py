"""The child process that makes plans: owns the solver, knows neither Django nor a database."""

from __future__ import annotations

import multiprocessing
import traceback
from dataclasses import dataclass
from datetime import date
from multiprocessing.connection import Connection
from typing import Any

from trimwright.book.document import Book
from trimwright.errors import BadInput
from trimwright.job.document import Job

_SPAWN = multiprocessing.get_context("spawn")


@dataclass(frozen=True, slots=True)
class Order:
    """What to plan: a job, in the shop that the book tells of, on a day."""

    job: Job
    book: Book
    today: date


class Maker:
    """The child process, started when first needed and again after it was ended.

    An `Order` goes in. Out come ("progress", stage, gap), ("stage", name, plain data), ("paper", name, PDF) and at
    last ("done", problems, None) or, when it was a slip of ours, ("slip", error, where).
    """

    def __init__(self) -> None:
        self._process: Any = None
        self._talk: Any = None

    def start(self) -> Any:
        """The way to talk to it, a `Connection`; it loads its libraries while nothing is asked of it."""
        if self._talk is None or not self._process.is_alive():
            self.end()
            self._talk, its_end = _SPAWN.Pipe()
            self._process = _SPAWN.Process(target=make_plans, args=(its_end,), daemon=True, name="trimwright-plans")
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
    """The child: makes what is ordered until its parent goes."""
    from trimwright.facts import load
    from trimwright.web.jobs.planning import planned

    load()
    while True:
        try:
            order = talk.recv()
            for kind, name, data in planned(order.job, order.book, order.today, _teller(talk)):
                talk.send((kind, name, data))
            talk.send(("done", (), None))
        except BadInput as error:
            talk.send(("done", error.problems, None))
        except (EOFError, OSError, KeyboardInterrupt):
            return
        except Exception as error:
            # a slip of ours must reach the page and the log, and must not end the planner
            talk.send(("slip", repr(error), traceback.format_exc()))


def _teller(talk: Connection) -> Any:
    return lambda stage, gap: talk.send(("progress", stage, gap))
