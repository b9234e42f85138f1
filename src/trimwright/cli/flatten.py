"""`trimwright flatten`: a scanned panel laid flat, cut along seams, with its stretch, as pieces at true size."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from trimwright.cli.options import AsJson, Force, Letter
from trimwright.cli.pieces import DxfFile, Sheets, SvgFile, write_drawings, write_sheets
from trimwright.cli.surroundings import keep, read_text
from trimwright.cli.terminal import console, print_json, progress
from trimwright.cli.written import print_written
from trimwright.geometry.scan import Unit

if TYPE_CHECKING:
    from trimwright.geometry.flat_panel import FlatPanel

AS_A_SEAM = "Write its points to a file, one to a line, and give it with --seam."


def flatten(
    scan: Annotated[Path, typer.Argument(help="The scan: OBJ, PLY or STL.", metavar="SCAN", show_default=False)],
    unit: Annotated[Unit, typer.Option(help="What a length of 1 in the scan is.")] = "mm",
    smooth: Annotated[
        float, typer.Option(help="Take out bumps shorter than so many mm first; 0 = none.", metavar="MM")
    ] = 0.0,
    seam: Annotated[
        list[Path] | None,
        typer.Option(help="A seam: a line for each point, x y on the flat piece or x y z on the scan.", metavar="FILE"),
    ] = None,
    limit: Annotated[float, typer.Option(help="What the material gives before it shows.", metavar="PERCENT")] = 5.0,
    allowance: Annotated[float, typer.Option(help="Left beyond the seam all round.", metavar="MM")] = 0.0,
    name: Annotated[str | None, typer.Option(help="What the panel is called.", metavar="NAME")] = None,
    mirror: Annotated[bool, typer.Option("--mirror", help="The other side's pieces as well.")] = False,
    picture: Annotated[
        Path | None, typer.Option(help="Write the stretch of every piece as .svg.", metavar="FILE")
    ] = None,
    sheets: Sheets = None,
    letter: Letter = False,
    svg: SvgFile = None,
    dxf: DxfFile = None,
    force: Force = False,
    as_json: AsJson = False,
) -> None:
    """A scanned panel as flat pieces: stretch, seams, true-size sheets."""
    from trimwright.facts import load
    from trimwright.geometry.flat_panel import panel_of, plain, share_given
    from trimwright.geometry.pattern import CAUTIONS

    for path in (picture, svg, dxf):
        if path is not None:
            keep(path, force)
    title, share = name or scan.stem, share_given(limit, "--limit")
    drawn = [(each.name, read_text(each)) for each in seam or ()]
    with progress("Laying the scan flat"):
        panel = panel_of(
            scan, title, unit=unit, smooth_mm=smooth, seams=drawn, limit=share, allowance_mm=allowance,
            mirror=mirror,
        )  # fmt: skip
    cautions = [load().cautions[each].text for each in CAUTIONS]
    written = [
        *write_sheets(title, panel.pieces, sheets, letter=letter, cautions=cautions),
        *write_drawings(panel.pieces, svg, dxf),
    ]
    if picture is not None:
        written += _pictures(picture, panel)
    if as_json:
        print_json(plain(panel) | {"cautions": cautions, "written": [str(each) for each in written]})
        return
    _tell(panel)
    for caution in cautions:
        console().print(caution, style="dim")
    print_written(written)


def _pictures(path: Path, panel: FlatPanel) -> list[Path]:
    from trimwright.charts.flat_stretch import flat_stretch_chart

    written = []
    for number, (patch, dart) in enumerate(zip(panel.cut.patches, panel.darts, strict=True), 1):
        there = path if len(panel.cut.patches) == 1 else path.with_stem(f"{path.stem}-{number}")
        drawn = flat_stretch_chart(patch, panel.limit, seams=(dart.drawn,) if dart else (), wide=780, style="print")
        there.write_text(drawn, encoding="utf-8")
        written.append(there)
    return written


def _tell(panel: FlatPanel) -> None:
    from trimwright.cli.tables import plain_table
    from trimwright.geometry.flat_panel import heads, rows, told

    out = console()
    for note in panel.notes:
        out.print(note)
    if panel.moved_mm:
        out.print(f"Smoothed: points moved {panel.moved_mm:.2f} mm (rms).")
    out.print(plain_table(heads(panel), rows(panel), right=frozenset({2, 3, 4})))
    for line in told(panel, AS_A_SEAM):
        out.print(line)
