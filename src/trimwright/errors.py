"""Every error a person may meet, as one tree.

TrimwrightError
├── BadInput            what was given is wrong; holds every Problem found, not only the first
│   ├── UnreadableFile  a file that is not what it should be (cut off, too large, newer format)
│   ├── BadEdit         a change that does not fit the document it is applied to
│   └── NoTimetable     waits, allowed starts and room leave no timetable, or none was found in the time given
├── RecountDiffers      our own slip: the independent recount does not agree with the solver's model
└── HoldBroken          our own slip: the independent check finds a strip-down that breaks a rule of safety

A sum or hours too small is no error: it is an answer (`Verdicts.status == "short"`).
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing that is wrong: where it stands, the value found there, what is wrong, and the way out."""

    where: str
    value: str
    what: str
    way_out: str = ""

    def __str__(self) -> str:
        shown = f" {self.value!r}" if self.value else ""
        return f"{self.where}:{shown} {self.what}" + (f" {self.way_out}" if self.way_out else "")


class TrimwrightError(Exception):
    """The root of our errors; the edges (command line, web) turn it into an exit code or a page."""


class BadInput(TrimwrightError):
    """What was given cannot be used; `problems` lists everything that is wrong with it."""

    def __init__(self, problems: Iterable[Problem] | Problem) -> None:
        self.problems: tuple[Problem, ...] = (problems,) if isinstance(problems, Problem) else tuple(problems)
        super().__init__("\n".join(str(problem) for problem in self.problems))


class UnreadableFile(BadInput):
    """A file is not what it should be: cut off, too large, of a newer format."""


class BadEdit(BadInput):
    """A change does not fit the document it is applied to."""


class NoTimetable(BadInput):
    """The waits, allowed starts and room given leave no timetable; `proven` is false when time only ran out."""

    def __init__(self, problems: Iterable[Problem] | Problem, *, proven: bool = True) -> None:
        self.proven = proven
        super().__init__(problems)


class RecountDiffers(TrimwrightError):
    """Our own slip: the independent recount of a plan does not agree with the model it came from."""


class HoldBroken(TrimwrightError):
    """Our own slip: a strip-down was arranged that breaks a rule the independent check knows."""
