"""From words to pages: Typst with our own fonts only, so that a paper is the same everywhere, byte for byte."""

from __future__ import annotations

import json
import warnings
from collections.abc import Mapping
from datetime import date, datetime
from functools import cache
from importlib.resources import files
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING, Any, Literal

if TYPE_CHECKING:
    import typst

PaperSize = Literal["a4", "us-letter"]
PocketSize = Literal["a6", "phone"]
"""Pages for a pocket, and for the screen of a phone."""

LOOK = "look.typ"
SCREEN_PPI = 110
"""Dots to the inch of a page that a screen shows: an A4 page is 910 wide."""
FONT_PACKAGES = ("font_hanken_grotesk", "font_source_serif_pro")
MONTHS = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November",
    "December",
)  # fmt: skip


class PaperWarning(UserWarning):
    """Typst printed the paper but found something amiss, such as a missing font."""


def printed(
    template: str,
    words: Mapping[str, Any],
    made_at: datetime,
    paper: PaperSize | PocketSize,
    pictures: Mapping[str, bytes] | None = None,
) -> bytes:
    """The template with the words set in, dated `made_at`; PaperWarning for whatever Typst found amiss.

    The words travel as JSON, so markup in a name is printed and never run; `pictures` are files the template names.
    """
    pdf = _set(template, words, made_at, paper, pictures, format="pdf", timestamp=int(made_at.timestamp()))
    assert isinstance(pdf, bytes)
    return pdf


def pictured(template: str, words: Mapping[str, Any], made_at: datetime, paper: PaperSize) -> list[bytes]:
    """The same pages as PNG, as they print, for a screen to show."""
    pages = _set(template, words, made_at, paper, None, format="png", ppi=SCREEN_PPI)
    return [pages] if isinstance(pages, bytes) else pages


def _set(
    template: str,
    words: Mapping[str, Any],
    made_at: datetime,
    paper: PaperSize | PocketSize,
    pictures: Mapping[str, bytes] | None,
    **how: Any,
) -> bytes | list[bytes]:
    import typst

    told = {"made": day(made_at), "paper": paper, **words}
    sources = {
        "main.typ": source(f"{template}.typ"),
        LOOK: source(LOOK),
        "words.json": json.dumps(told, ensure_ascii=False).encode(),
    }
    pages: bytes | list[bytes]
    if pictures:
        # what is given as text has to be text: pictures are read from a folder
        with TemporaryDirectory() as folder:
            for name, held in {**sources, **pictures}.items():
                Path(folder, name).write_bytes(held)
            pages, amiss = typst.compile_with_warnings(Path(folder, "main.typ"), font_paths=fonts(), **how)
    else:
        pages, amiss = typst.compile_with_warnings(sources, font_paths=fonts(), **how)
    for each in amiss:
        warnings.warn(f"{template}: {each.message}", PaperWarning, stacklevel=3)
    return pages


def day(when: date) -> str:
    """A date in words, the same in every locale.

    >>> day(date(2026, 11, 5))
    '5 November 2026'
    """
    return f"{when.day} {MONTHS[when.month - 1]} {when.year}"


def source(name: str) -> bytes:
    """A template of this package."""
    return files("trimwright.papers").joinpath(name).read_bytes()


@cache
def fonts() -> typst.Fonts:
    """The fonts of the font packages, and none of this machine's."""
    import typst

    folders = [str(files(package).joinpath("files")) for package in FONT_PACKAGES]
    return typst.Fonts(include_system_fonts=False, font_paths=folders)
