"""`trimwright outline`: a part photographed among printed strips as a pattern, with how far it may be out."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from trimwright.cli.options import AsJson, Force, Letter
from trimwright.cli.pieces import DxfFile, Sheets, SvgFile, write_drawings, write_sheets
from trimwright.cli.surroundings import keep, now, read_bytes, read_text
from trimwright.cli.terminal import console, print_json, progress
from trimwright.cli.written import paper_size, print_written
from trimwright.geometry.pattern import CAUTIONS, Side

if TYPE_CHECKING:
    from collections.abc import Sequence

    from trimwright.geometry.outline.reading import Outline
    from trimwright.geometry.pattern import Piece


def outline(
    photo: Annotated[
        Path | None, typer.Argument(help="The photo: JPEG or PNG.", metavar="PHOTO", show_default=False)
    ] = None,
    print_strips: Annotated[
        Path | None, typer.Option(help="Write the marker strips to print: .pdf.", metavar="FILE")
    ] = None,
    strips: Annotated[str, typer.Option(help="Which strips were laid, by their letters.", metavar="a,b…")] = "a,b,c,d",
    bars: Annotated[
        str | None, typer.Option(help="What both bars on the sheet read, in mm: 260x190.", metavar="LONGxSHORT")
    ] = None,
    thickness: Annotated[float, typer.Option(help="How thick the part's edge is.", metavar="MM")] = 0.0,
    focal: Annotated[
        float | None, typer.Option(help="The lens as on 35 mm film, if the photo doesn't say.", metavar="MM")
    ] = None,
    move: Annotated[
        Path | None, typer.Option(help="Points moved, added, taken out: 7 103.5 88; 7+ 110 90; 8-.", metavar="FILE")
    ] = None,
    name: Annotated[str | None, typer.Option(help="What the part is called.", metavar="NAME")] = None,
    side: Annotated[str, typer.Option(help="left or right.", metavar="SIDE")] = "",
    face_down: Annotated[bool, typer.Option("--face-down", help="It was photographed from its back.")] = False,
    mirror: Annotated[bool, typer.Option("--mirror", help="The other side's piece as well.")] = False,
    allowance: Annotated[float, typer.Option(help="Left beyond the outline all round.", metavar="MM")] = 0.0,
    notch: Annotated[
        list[str] | None, typer.Option(help="A notch at a point, or mm on from it: 7, 7+42.5.", metavar="PLACE")
    ] = None,
    grain: Annotated[
        float | None, typer.Option(help="Way of the grain, anticlockwise from the photo's right.", metavar="DEGREES")
    ] = None,
    picture: Annotated[
        Path | None, typer.Option(help="Write the photo with outline and certainty: .svg.", metavar="FILE")
    ] = None,
    sheets: Sheets = None,
    letter: Letter = False,
    svg: SvgFile = None,
    dxf: DxfFile = None,
    force: Force = False,
    as_json: AsJson = False,
) -> None:
    """A part photographed among printed strips, as a pattern."""
    from trimwright.errors import BadInput, Problem

    for path in (print_strips, picture, svg, dxf):
        if path is not None:
            keep(path, force)
    if print_strips is not None:
        _print_strips(print_strips, letter=letter)
    elif photo is None:
        way_out = "Give the photo, or --print-strips FILE for the strips to lay round the part."
        raise BadInput(Problem("outline", "", "needs a photo.", way_out))
    if photo is None:
        return
    from trimwright.facts import load
    from trimwright.geometry.outline.piece import Marked, as_pieces, notch_at
    from trimwright.geometry.outline.plane import bars_read
    from trimwright.geometry.outline.reading import Told
    from trimwright.geometry.outline.strips import named

    marked = Marked(allowance, tuple(notch_at(each, "--notch") for each in notch or ()), grain, _side(side), face_down)
    told = Told(named(strips, "--strips"), thickness, bars_read(bars or "", "--bars"), focal)
    with progress("Reading the photo"):
        read = _read(photo, told, move)
    title = name or photo.stem
    pieces = as_pieces(title, read.line, read.nodes, marked, both=mirror)
    cautions = [load().cautions[each].text for each in CAUTIONS]
    written = [
        *write_sheets(title, pieces, sheets, letter=letter, cautions=cautions),
        *write_drawings(pieces, svg, dxf),
    ]
    if picture is not None:
        from trimwright.charts.read_outline import read_outline_chart

        picture.write_text(read_outline_chart(read, style="print"), encoding="utf-8")
        written.append(picture)
    if as_json:
        print_json(_plain(read, pieces, written) | {"cautions": cautions})
        return
    _tell(read, pieces, bars_read=bars is not None)
    for caution in cautions:
        console().print(caution, style="dim")
    print_written(written)


def _print_strips(path: Path, *, letter: bool) -> None:
    from trimwright.papers.marker_strips import marker_strips_pdf

    path.write_bytes(marker_strips_pdf(now(), paper_size(letter=letter)))
    print(f"{path}: print it at 100 %, measure both bars, cut the four strips out.")


def _side(text: str) -> Side:
    from trimwright.errors import BadInput, Problem

    sides: dict[str, Side] = {"": "", "left": "left", "right": "right"}
    if text not in sides:
        raise BadInput(Problem("--side", text, "is no side.", "Say left or right."))
    return sides[text]


def _read(path: Path, told: Any, move: Path | None) -> Outline:
    from trimwright.geometry.outline.editing import changed
    from trimwright.geometry.outline.photo import read_photo
    from trimwright.geometry.outline.reading import read_outline

    moves = read_text(move) if move else ""
    read = read_outline(read_photo(read_bytes(path), path.name), path.name, told)
    if move is None:
        return read
    return read.with_nodes(changed(read.nodes, moves, move.name))


def _tell(read: Outline, pieces: Sequence[Piece], *, bars_read: bool) -> None:
    from trimwright.geometry.outline.reading import PROMISED_MM

    out = console()
    for piece in pieces:
        wide, high = piece.box[2] - piece.box[0], piece.box[3] - piece.box[1]
        out.print(f"{piece.name}: {wide:.0f} × {high:.0f} mm as cut, {piece.area_mm2 / 1e6:.3f} m².")
    corners = sum(each.corner for each in read.nodes)
    out.print(f"{corners} corners, {len(read.nodes) - corners} points of curves; numbered on the picture.")
    out.print(
        f"At the worst point ±{read.certain.two_sigma_mm.max():.1f} mm (2σ); nine times in ten no point is out by more "
        f"than {read.certain.within_mm:.1f} mm."
    )
    if read.certain.two_sigma_mm.max() > PROMISED_MM:
        out.print(f"More than the {PROMISED_MM:g} mm promised: a point was put where the photo tells too little.")
    if not bars_read:
        out.print("The bars were not read, so the printer's scale is guessed: give --bars.")
    if read.thick_mm:
        out.print(
            f"Camera {read.camera.high_mm / 1000:.2f} m up: an edge {read.thick_mm:g} mm high was drawn in to match."
        )
    else:
        out.print("Taken for thin: a thick edge looks further out than it is; give --thickness.")


def _plain(read: Outline, pieces: Sequence[Piece], written: Sequence[Path]) -> dict[str, Any]:
    return {
        "pieces": [
            {
                "name": each.name, "side": each.side, "area_mm2": round(each.area_mm2, 1),
                "outline_mm": [[round(x, 3), round(y, 3)] for x, y in each.outline],
            }
            for each in pieces
        ],
        "points": [
            {"number": each.number, "at_mm": [round(each.at[0], 2), round(each.at[1], 2)], "corner": each.corner}
            for each in read.nodes
        ],
        "line_mm": [[round(x, 3), round(y, 3)] for x, y in read.line],
        "two_sigma_mm": [round(float(each), 3) for each in read.certain.two_sigma_mm],
        "within_mm_9_in_10": round(read.certain.within_mm, 3),
        "camera_height_mm": round(read.camera.high_mm),
        "strips": list(read.seen),
        "written": [str(each) for each in written],
    }  # fmt: skip
