"""`trimwright flatten`: a scanned panel laid flat, cut along seams, with its stretch, as pieces at true size."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from trimwright.cli.options import AsJson, Force
from trimwright.cli.pieces import DxfFile, Letter, Sheets, SvgFile, write_drawings, write_sheets
from trimwright.cli.surroundings import keep
from trimwright.cli.terminal import console, print_json, progress
from trimwright.geometry.scan import Unit

if TYPE_CHECKING:
    from trimwright.geometry.flatten import Patch
    from trimwright.geometry.pattern import Piece, Polyline
    from trimwright.geometry.relief import Relief
    from trimwright.geometry.seams import Cut

CAUTIONS = ("blades",)
BEFORE_COVERING = (
    "No cover goes over a seat or panel that an airbag comes out of, and nothing is sewn or glued within the sweep "
    "of its door: the car's own manual says where they are."
)


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
    from trimwright.geometry.flatten import flatten as laid_flat
    from trimwright.geometry.relief import relief
    from trimwright.geometry.scan import read_scan, smoothed
    from trimwright.geometry.seams import cut_along, on_flat

    for path in (picture, svg, dxf):
        if path is not None:
            keep(path, force)
    share = _limit(limit)
    with progress("Laying the scan flat"):
        surface, moved = smoothed(read_scan(scan, unit), smooth)
        whole = laid_flat(surface, scan.name)
        drawn = [_read_seam(each, unit, whole, on_flat) for each in seam or ()]
        cut = cut_along(whole, drawn)
        helps = [relief(each, share) for each in cut.patches]
    pieces = _pieces(cut, name or scan.stem, allowance, mirror)
    cautions = [load().cautions[each].text for each in CAUTIONS] + [BEFORE_COVERING]
    written = [
        *write_sheets(name or scan.stem, pieces, sheets, letter=letter, cautions=cautions),
        *write_drawings(pieces, svg, dxf),
    ]
    if picture is not None:
        written += _pictures(picture, cut, share, helps)
    if as_json:
        print_json(_plain(cut, pieces, share, moved, helps, written))
        return
    _tell(cut, pieces, share, moved, helps)
    for caution in cautions:
        console().print(caution, style="dim")
    for path in written:
        print(f"written: {path}")


def _limit(percent: float) -> float:
    from trimwright.errors import BadInput, Problem

    if not 0.1 <= percent <= 50:
        what = "is not between 0.1 and 50 per cent."
        raise BadInput(Problem("--limit", f"{percent:g}", what, "Pull a marked strip: 100 mm read as 104 is 4."))
    return percent / 100


def _read_seam(path: Path, unit: Unit, whole: Patch, on_flat: Any) -> Polyline:
    """The points of a seam's file, on the flat piece; BadInput with every line that is none."""
    from trimwright.errors import BadInput, Problem
    from trimwright.geometry.scan import MM

    points: list[tuple[float, ...]] = []
    wrong = []
    for number, line in enumerate(path.read_text(encoding="utf-8", errors="replace").splitlines(), 1):
        typed = line.split("#")[0].strip()
        if not typed:
            continue
        try:
            point = tuple(float(each) for each in re.split(r"[,;\s]+", typed))
        except ValueError:
            point = ()
        if len(point) not in (2, 3) or (points and len(point) != len(points[0])):
            way_out = "Write x y or x y z, the same on every line, with a point for decimals."
            wrong.append(Problem(f"{path.name} › line {number}", typed[:40], "is no point of a seam.", way_out))
        else:
            points.append(point)
    if not points and not wrong:
        wrong.append(Problem(path.name, "", "has no points.", "Write one to a line: x y or x y z."))
    if wrong:
        raise BadInput(wrong)
    if len(points[0]) == 3:
        line_drawn: Polyline = on_flat(whole, [(x * MM[unit], y * MM[unit], z * MM[unit]) for x, y, z in points])
        return line_drawn
    return tuple((x, y) for x, y in points)


def _pieces(cut: Cut, name: str, allowance: float, mirror: bool) -> list[Piece]:
    from trimwright.geometry.flatten import as_piece
    from trimwright.geometry.pattern import labelled, mirrored, with_allowance

    many = len(cut.patches) > 1
    names = [f"{name} {number}" if many else name for number in range(1, len(cut.patches) + 1)]
    pieces = [
        with_allowance(as_piece(each, called), allowance) for each, called in zip(cut.patches, names, strict=True)
    ]
    others = [mirrored(each, f"{each.name} mirrored") for each in pieces if mirror]
    return [labelled(each) for each in pieces + others]


def _pictures(path: Path, cut: Cut, limit: float, helps: list[Relief | None]) -> list[Path]:
    from trimwright.charts.flat_stretch import flat_stretch_chart

    written = []
    for number, (patch, dart) in enumerate(zip(cut.patches, helps, strict=True), 1):
        there = path if len(cut.patches) == 1 else path.with_stem(f"{path.stem}-{number}")
        drawn = flat_stretch_chart(patch, limit, seams=(dart.drawn,) if dart else (), wide=780, style="print")
        there.write_text(drawn, encoding="utf-8")
        written.append(there)
    return written


def _tell(cut: Cut, pieces: list[Piece], limit: float, moved: float, helps: list[Relief | None]) -> None:
    from trimwright.cli.tables import plain_table

    out = console()
    surface = cut.patches[0].surface
    for note in surface.notes:
        out.print(note)
    if moved:
        out.print(f"Smoothed: points moved {moved:.2f} mm (rms).")
    rows = []
    for piece, patch in zip(pieces, cut.patches, strict=False):
        wide, high = piece.box[2] - piece.box[0], piece.box[3] - piece.box[1]
        beyond = patch.share_beyond(limit)
        rows.append(
            (
                piece.name, f"{wide:.0f} × {high:.0f} mm", f"{patch.most - 1:+.1%}", f"{patch.least - 1:+.1%}",
                f"{beyond:.0%}" if beyond else "nothing",
            )
        )  # fmt: skip
    heads = ("Piece", "As cut", "Stretched", "Squeezed", f"Beyond {limit:.1%}")
    out.print(plain_table(heads, rows, right=frozenset({2, 3, 4})))
    for number, each in enumerate(cut.seams, 1):
        sides = ", ".join(f"piece {piece} {length:.1f} mm" for piece, length in each.flat_mm)
        out.print(f"Seam {number}: {each.worn_mm:.1f} mm on the scan; {sides}; {each.differ_mm:.1f} mm to ease in.")
    for piece, dart in zip(pieces, helps, strict=False):
        if dart:
            at = " to ".join(f"{x:.0f} {y:.0f}" for x, y in dart.drawn)
            out.print(
                f"{piece.name}: a dart from {at} (mm on the flat piece) leaves {dart.share_after:.0%} beyond the limit "
                f"instead of {dart.share_before:.0%}. Write the two points to a file and give it with --seam."
            )


def _plain(
    cut: Cut, pieces: list[Piece], limit: float, moved: float, helps: list[Relief | None], written: list[Path]
) -> dict[str, Any]:
    return {
        "pieces": [
            {
                "name": piece.name, "area_mm2": round(piece.area_mm2, 1), "stretched": round(patch.most - 1, 5),
                "squeezed": round(patch.least - 1, 5), "beyond_limit": round(patch.share_beyond(limit), 4),
                "outline_mm": [[round(x, 3), round(y, 3)] for x, y in piece.outline],
            }
            for piece, patch in zip(pieces, cut.patches, strict=False)
        ],
        "seams": [
            {
                "scan_mm": round(each.worn_mm, 2), "differ_mm": round(each.differ_mm, 2),
                "flat_mm": [{"piece": piece, "mm": round(length, 2)} for piece, length in each.flat_mm],
            }
            for each in cut.seams
        ],
        "darts": [
            {
                "piece": piece.name, "from_to_mm": [[round(x, 1), round(y, 1)] for x, y in dart.drawn],
                "beyond_before": round(dart.share_before, 4), "beyond_after": round(dart.share_after, 4),
            }
            for piece, dart in zip(pieces, helps, strict=False)
            if dart
        ],
        "limit": limit,
        "smoothed_mm": round(moved, 3),
        "notes": list(cut.patches[0].surface.notes),
        "written": [str(each) for each in written],
    }  # fmt: skip
