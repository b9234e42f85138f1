"""Flat pieces written out: true-size sheets, one long page, and files for a plotter or a cutting table."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from trimwright.cli.surroundings import today

if TYPE_CHECKING:
    from trimwright.geometry.pattern import Piece

Sheets = Annotated[
    Path | None,
    typer.Option(
        "--sheets", help="Write true-size sheets and a long page here, and what goes with them.", metavar="FOLDER"
    ),
]
Letter = Annotated[bool, typer.Option("--letter", help="US Letter instead of A4.")]
SvgFile = Annotated[Path | None, typer.Option("--svg", help="Write the pieces as .svg, in mm.", metavar="FILE")]
DxfFile = Annotated[Path | None, typer.Option("--dxf", help="Write the pieces as .dxf, in mm.", metavar="FILE")]


def write_sheets(
    title: str, pieces: Sequence[Piece], folder: Path | None, *, letter: bool, cautions: Sequence[str] = ()
) -> Iterator[Path]:
    """True-size sheets and the long page, where a folder is given."""
    if folder is None:
        return
    from trimwright.papers.true_size import long_page_pdf, true_size_pdf

    folder.mkdir(parents=True, exist_ok=True)
    when = today()
    for name, pdf in (
        ("true-size-sheets", true_size_pdf(title, pieces, when, "us-letter" if letter else "a4", cautions)),
        ("long-page", long_page_pdf(title, pieces, when)),
    ):
        path = folder / f"{name}.pdf"
        path.write_bytes(pdf)
        yield path


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
