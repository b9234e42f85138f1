"""Flat pieces written out: true-size sheets, one long page, and files for a plotter or a cutting table."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from trimwright.cli.surroundings import today
from trimwright.cli.written import paper_size, write_pdfs

if TYPE_CHECKING:
    from trimwright.geometry.pattern import Piece

Sheets = Annotated[
    Path | None,
    typer.Option(
        "--sheets", help="Write true-size sheets and a long page here, and what goes with them.", metavar="FOLDER"
    ),
]
SvgFile = Annotated[Path | None, typer.Option("--svg", help="Write the pieces as .svg, in mm.", metavar="FILE")]
DxfFile = Annotated[Path | None, typer.Option("--dxf", help="Write the pieces as .dxf, in mm.", metavar="FILE")]


def write_sheets(
    title: str, pieces: Sequence[Piece], folder: Path | None, *, letter: bool, cautions: Sequence[str] = ()
) -> list[Path]:
    """True-size sheets and the long page, where a folder is given."""
    from trimwright.papers.true_size import long_page_pdf, true_size_pdf

    paper = paper_size(letter=letter)
    return write_pdfs(
        folder,
        {
            "true-size-sheets": lambda: true_size_pdf(title, pieces, today(), paper, cautions),
            "long-page": lambda: long_page_pdf(title, pieces, today(), cautions),
        },
    )


def write_drawings(pieces: Sequence[Piece], svg: Path | None, dxf: Path | None) -> Iterator[Path]:
    """The pieces as drawings, where files are given."""
    if svg is not None:
        from trimwright.geometry.sheet import one_page

        svg.write_text(one_page(pieces).svg, encoding="utf-8")
        yield svg
    if dxf is not None:
        from trimwright.geometry.dxf import drawing

        dxf.write_text(drawing(pieces), encoding="ascii")
        yield dxf
