"""The terminal: how wide it is, what is being worked out while one waits, one JSON object where that was asked for."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from rich.console import Console

    from trimwright.plan.verdicts.asking import Answered
    from trimwright.plan.verdicts.program import Progress

PIPE_WIDTH = 118
"""Columns of what is printed into a pipe or a file."""


def console() -> Console:
    """The terminal; in a pipe it is wide enough for the tables."""
    from rich.console import Console

    return Console(width=None if sys.stdout.isatty() else PIPE_WIDTH, highlight=False, markup=False, emoji=False)


@contextmanager
def progress(doing: str) -> Iterator[Progress | None]:
    """A line on the terminal that says what is being worked out and how near the proof is; nothing elsewhere."""
    if not sys.stderr.isatty():
        yield None
        return
    from rich.console import Console

    with Console(stderr=True).status(f"{doing} …") as status:

        def told(stage: str, best: float, bound: float) -> None:
            near = abs(best - bound) / max(1.0, abs(best))
            status.update(f"{stage} …" + (f" within {near:.1%} of proven" if near < 1 else ""))

        yield told


@contextmanager
def counting(doing: str) -> Iterator[Answered | None]:
    """A bar on the terminal that says how many questions are answered; nothing elsewhere."""
    if not sys.stderr.isatty():
        yield None
        return
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

    columns = (TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn(), TimeRemainingColumn())
    with Progress(*columns, console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task(f"{doing} …", total=None)
        yield lambda count, of: bar.update(task, completed=count, total=of)


def dumped(value: Any) -> str:
    """JSON as it is printed and written."""
    return json.dumps(value, ensure_ascii=False, indent=2) + "\n"


def print_json(value: Any) -> None:
    """One JSON object, and nothing else."""
    sys.stdout.write(dumped(value))
