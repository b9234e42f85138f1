"""The strip packer in a process of its own: it can't be told to stop, so it is ended.

In a thread it would go on until its time is over, and take the interpreter down with it when that ends before. The
process ends by itself when whoever began it is gone: that closes its standard input.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import asdict, dataclass
from queue import Empty, SimpleQueue
from threading import Thread
from time import sleep
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from spyrrow import ProgressQueue, StripPackingSolution

    from trimwright.geometry.pattern import Polyline

LOOKS_S = 0.05
"""How often it is asked what it has found."""
_BEGIN = "from trimwright.geometry.nest.packer import pack; pack()"


@dataclass(frozen=True, slots=True)
class Strip:
    """What is packed: outlines, the turns of each [degrees], into a strip so high [mm], by so many threads."""

    outlines: Sequence[Polyline]
    turns: Sequence[Sequence[float]]
    high_mm: float
    seconds: float
    seed: int
    threads: int


@dataclass(frozen=True, slots=True)
class Found:
    """How many layouts came since the last, and the shortest of them: number, turn, shift right and up of each."""

    count: int
    lie: tuple[tuple[int, float, float, float], ...] = ()
    fault: str = ""
    """What the packer broke at."""


class Packer:
    """One run of it, begun when made; in a with-block, so that it never outlives whoever waits for it."""

    def __init__(self, strip: Strip) -> None:
        self._process = subprocess.Popen(
            [sys.executable, "-P", "-c", _BEGIN],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,  # a panic's backtrace; what it says comes as a fault
            text=True,
            start_new_session=True,  # Ctrl-C is for the one that waits, not for the packer
        )
        self._news: SimpleQueue[Found] = SimpleQueue()
        self._reader = Thread(target=self._read, daemon=True)
        self._reader.start()
        assert self._process.stdin is not None
        with suppress(BrokenPipeError):  # it is gone already: `is_over` says so
            self._process.stdin.write(json.dumps(asdict(strip)) + "\n")
            self._process.stdin.flush()

    def __enter__(self) -> Packer:
        return self

    def __exit__(self, *_error: object) -> None:
        self._process.kill()
        self._process.wait()
        self._reader.join()
        for pipe in (self._process.stdin, self._process.stdout):
            if pipe is not None:
                with suppress(BrokenPipeError):
                    pipe.close()

    @property
    def is_over(self) -> bool:
        """Whether nothing more will come; what came is still there to be asked for."""
        return not self._reader.is_alive()

    def news(self) -> list[Found]:
        """What has come since it was last asked."""
        found = []
        with suppress(Empty):
            while True:
                found.append(self._news.get_nowait())
        return found

    def _read(self) -> None:
        assert self._process.stdout is not None
        for line in self._process.stdout:
            told = json.loads(line)
            self._news.put(Found(told["count"], tuple(tuple(each) for each in told["lie"]), told["fault"]))


# ---- the process itself ----------------------------------------------------------------------------------------------


def pack() -> None:
    """Read a `Strip`, print a `Found` a line until the time is over."""
    from spyrrow import ProgressQueue

    strip = json.loads(sys.stdin.readline())
    Thread(target=_end_with_parent, daemon=True).start()
    queue = ProgressQueue()
    last: list[Found] = []
    run = Thread(target=lambda: last.append(_solved(strip, queue)), daemon=True)
    run.start()
    while run.is_alive():
        sleep(LOOKS_S)
        _tell_new(queue)
    for each in last:
        _tell(each)


def _end_with_parent() -> None:
    sys.stdin.read()
    os._exit(0)


def _solved(strip: Any, queue: ProgressQueue) -> Found:
    from spyrrow import Item, StripPackingConfig, StripPackingInstance

    compressing = max(1, round(strip["seconds"] / 5))
    exploring = max(1, round(strip["seconds"]) - compressing)
    config = StripPackingConfig(
        exploration_time=exploring, compression_time=compressing, total_computation_time=None,
        num_workers=strip["threads"], seed=strip["seed"],
    )  # fmt: skip
    try:
        items = [
            Item(str(number), [(x, y) for x, y in outline], 1, list(turns))
            for number, (outline, turns) in enumerate(zip(strip["outlines"], strip["turns"], strict=True))
        ]
        return _as_found(1, StripPackingInstance("roll", strip["high_mm"], items).solve(config, queue))
    except BaseException as panic:  # the packer's panic is no Exception
        return Found(0, fault=str(panic))


def _tell_new(queue: ProgressQueue) -> None:
    """What the run has found since it was last asked; of several the shortest."""
    from spyrrow import ReportType

    kinds = (ReportType.ExplFeas, ReportType.CmprFeas)
    new = [solution for kind, solution in queue.drain() if kind in kinds]
    if new:
        _tell(_as_found(len(new), min(new, key=lambda each: each.width)))


def _as_found(count: int, solution: StripPackingSolution) -> Found:
    lie = tuple((int(each.id), each.rotation, *each.translation) for each in solution.placed_items)
    return Found(count, lie)


def _tell(found: Found) -> None:
    sys.stdout.write(json.dumps(asdict(found)) + "\n")
    sys.stdout.flush()
