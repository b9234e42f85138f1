"""The child process that makes plans: owns the solver, knows neither Django nor a database."""

from __future__ import annotations

import multiprocessing
import traceback
from multiprocessing.connection import Connection
from typing import Any

from trimwright.errors import BadInput

_SPAWN = multiprocessing.get_context("spawn")


class Maker:
    """The child process, started when first needed and again after it was ended."""

    def __init__(self) -> None:
        self._process: Any = None
        self._talk: Connection | None = None

    def start(self) -> Connection:
        """The way to talk to it; it loads its libraries while nothing is asked of it."""
        if self._talk is None or not self._process.is_alive():
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
    """The child: reads jobs, tells progress, stages and problems; ends when its parent does."""
    from trimwright.facts import load
    from trimwright.job.files import read_job
    from trimwright.web.jobs.planning import planned

    load()
    while True:
        try:
            job = read_job(talk.recv_bytes())
            for name, data in planned(job, lambda stage, gap: talk.send(("progress", stage, gap))):
                talk.send(("stage", name, data))
            talk.send(("done", (), None))
        except BadInput as error:
            talk.send(("done", error.problems, None))
        except (EOFError, BrokenPipeError, KeyboardInterrupt):
            return
        except Exception as error:
            # a slip of ours must reach the page and the log, and must not end the planner
            talk.send(("slip", repr(error), traceback.format_exc()))
