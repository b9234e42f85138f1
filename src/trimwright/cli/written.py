"""What a command leaves behind: its papers as PDFs in a folder, and a line for every file written."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from trimwright.papers import PaperSize


def paper_size(*, letter: bool) -> PaperSize:
    """The paper that `--letter` asks for, or A4."""
    return "us-letter" if letter else "a4"


def write_pdfs(folder: Path | None, papers: Mapping[str, Callable[[], bytes]]) -> list[Path]:
    """Each paper by its name into the folder, which is made when it is not there; the files written.

    Without a folder none is set.
    """
    if folder is None:
        return []
    folder.mkdir(parents=True, exist_ok=True)
    written = []
    for name, made in papers.items():
        path = folder / f"{name}.pdf"
        path.write_bytes(made())
        written.append(path)
    return written


def print_written(paths: Iterable[Path]) -> None:
    """A line a file."""
    for path in paths:
        print(f"written: {path}")
