"""What a kind of file given to the workbench is: what is asked beside it, what may be given, what is done with it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from typing import Any

from trimwright.craft.asking import Ask

Work = Callable[[Path, Mapping[str, str], datetime, Path], dict[str, Any]]
"""From the file, what was typed, when, and the folder for what comes of it: what its page shows, plain JSON."""

DOING = "doing"
"""The file beside the one given in which the work says how far it is."""
STOP = "stop"
"""The file that tells a work that is searching to be content with what it has."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Kind:
    """One kind of file, and the work on it. `id` stands in the records."""

    id: str
    asks: tuple[Ask, ...]
    long: frozenset[str] = frozenset()
    """Those of the lines that are of many lines."""
    endings: tuple[str, ...]
    """What the file may be called at its end."""
    most_bytes: int
    refuse_slips: Callable[[Mapping[str, str]], object]
    """Raises BadInput with everything that is wrong with what was typed, before anybody waits for it."""
    work: Work
    keeps_file: bool = True
    """Whether the file stays for another look; else it goes as soon as it is read."""
    files: Mapping[str, str] = field(default_factory=dict)
    """What may be taken away, by its name, with what kind of file it is."""
    look: Kind | None = None
    """What is done first with a file that is new, so that one sees whether it is what one means; its files stay."""
    refuse_again: Callable[[Mapping[str, str], Mapping[str, str], Mapping[str, Any], bool], object] | None = None
    """Raises BadInput with what is typed and does not go with what came before: what was typed then, what came of it,
    and whether another file is given."""
    stops: bool = False
    """Whether it searches, and may be stopped with what it has found by then."""


def tell(into: Path, what: str) -> None:
    """Say what is being done now, for a page that waits."""
    (into / DOING).write_text(what, encoding="utf-8")


def is_stopped(into: Path) -> bool:
    """Whether somebody who waits has had enough."""
    return (into / STOP).exists()
