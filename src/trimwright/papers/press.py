"""From words to PDF: Typst with our own fonts only, so that a paper is the same everywhere, byte for byte."""

from __future__ import annotations

import json
import warnings
from collections.abc import Mapping
from datetime import date, datetime
from functools import cache
from importlib.resources import files
from typing import TYPE_CHECKING, Any, Literal

if TYPE_CHECKING:
    import typst

PaperSize = Literal["a4", "us-letter"]

LOOK = "look.typ"
FONT_PACKAGES = ("font_hanken_grotesk", "font_source_serif_pro")
MONTHS = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November",
    "December",
)  # fmt: skip


class PaperWarning(UserWarning):
    """Typst printed the paper but found something amiss, such as a missing font."""


def printed(template: str, words: Mapping[str, Any], made_at: datetime, paper: PaperSize) -> bytes:
    """The template with the words set in, dated `made_at`; PaperWarning for whatever Typst found amiss.

    The words travel as JSON, so markup in a name is printed and never run.
    """
    import typst

    told = {"made": day(made_at), "paper": paper, **words}
    sources = {
        "main.typ": source(f"{template}.typ"),
        LOOK: source(LOOK),
        "words.json": json.dumps(told, ensure_ascii=False).encode(),
    }
    pdf, amiss = typst.compile_with_warnings(  # type: ignore[call-overload]  # its stub forgets dictionaries
        sources, format="pdf", font_paths=fonts(), timestamp=int(made_at.timestamp())
    )
    for each in amiss:
        warnings.warn(f"{template}: {each.message}", PaperWarning, stacklevel=2)
    assert isinstance(pdf, bytes)
    return pdf


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
