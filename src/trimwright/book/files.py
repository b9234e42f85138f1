"""The shop book as a JSON file, kept and refused as a job file is."""

from __future__ import annotations

from pathlib import Path

from pydantic import ValidationError

from trimwright.book.document import Book
from trimwright.errors import UnreadableFile
from trimwright.job.json_file import as_bytes, read_plain, write_whole
from trimwright.job.refusals import problems_of
from trimwright.job.upgrades import Upgrade, upgraded

NOUN = "shop book"

UPGRADES: tuple[Upgrade, ...] = ()
"""From format n to n + 1, as of a job; format 1 is the first."""


def read_book(source: Path | bytes) -> Book:
    """The book in a file or in bytes; UnreadableFile with every problem when it is not one."""
    raw = upgraded(read_plain(source, NOUN), UPGRADES, NOUN)
    try:
        return Book.from_plain(raw)
    except ValidationError as error:
        raise UnreadableFile(problems_of(error, raw)) from None


def book_bytes(book: Book) -> bytes:
    """The book as it stands in its file."""
    return as_bytes(book)


def write_book(book: Book, path: Path) -> None:
    """Write the book whole or not at all."""
    write_whole(book_bytes(book), path)
