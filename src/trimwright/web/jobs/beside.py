"""A thread beside the server that looks for work of one kind, and does it piece by piece until it is told to stop."""

from __future__ import annotations

import logging
import threading
from abc import ABC, abstractmethod
from typing import ClassVar

from django.db import close_old_connections

STUMBLE_S = 10
"""After a slip it looks again in so long."""

log = logging.getLogger(__name__)


class Beside(ABC):
    """One such thread; a subclass says what it looks for, and what it has to begin and to end."""

    name: ClassVar[str]
    look_s: ClassVar[float]
    """How often it looks."""

    def __init__(self) -> None:
        self._stop = threading.Event()
        self._thread: threading.Thread | None = None

    def start(self) -> None:
        """Run beside the server."""
        self._thread = threading.Thread(target=self.run, name=self.name, daemon=True)
        self._thread.start()

    def stop(self) -> None:
        """Stop; what is not finished by then waits for the next one."""
        self._stop.set()
        if self._thread is not None:
            self._thread.join()

    def stopped(self) -> bool:
        """Whether it was told to stop."""
        return self._stop.is_set()

    def run(self) -> None:
        """Work until stopped."""
        try:
            self.begin()
            while not self._stop.is_set():
                self._look()
                self._stop.wait(self.look_s)
        finally:
            self.end()

    def _look(self) -> None:
        try:
            close_old_connections()
            self.tidy()
            while not self._stop.is_set() and self.work_next():
                pass
        except Exception:
            log.exception("the %s stumbled and goes on in a while", self.name)
            self.end()
            self._stop.wait(STUMBLE_S)

    @abstractmethod
    def work_next(self) -> bool:
        """Do what has waited longest; False when nothing waits."""

    def begin(self) -> None:  # noqa: B027  # most have nothing to say here
        """Before the first look."""

    def tidy(self) -> None:  # noqa: B027  # most have nothing to say here
        """At every look, before anything is done."""

    def end(self) -> None:  # noqa: B027  # most have nothing to say here
        """After the last look, and after a slip."""
