"""`trimwright nest`: pieces laid on hides with flaws or along a roll, with the layout at true size and its offcuts."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from signal import SIGINT, signal
from typing import TYPE_CHECKING, Annotated, Any

import typer

from trimwright.cli.cut_parts import parts_of
from trimwright.cli.options import AsJson, Force
from trimwright.cli.pieces import DxfFile, SvgFile
from trimwright.cli.surroundings import keep, read_text, today
from trimwright.cli.terminal import console, print_json, progress
from trimwright.cli.written import print_written
from trimwright.geometry.nest.asked import Way

if TYPE_CHECKING:
    from trimwright.geometry.nest.hide import Hide
    from trimwright.geometry.nest.layout import Layout
    from trimwright.geometry.nest.search import Watch
    from trimwright.geometry.nest.spare import Spare
    from trimwright.geometry.pattern import Piece

NO_PROOF = "Found by trying: a better layout may exist. Lay the pieces out on the material before you cut."


def nest(
    pieces: Annotated[
        list[Path], typer.Argument(help="Pieces: .dxf as wrap, flatten and outline write it.", show_default=False)
    ],
    hide: Annotated[
        list[Path] | None,
        typer.Option("--hide", help="A hide: outline, flaws and zones as points; may be repeated.", metavar="FILE"),
    ] = None,
    roll: Annotated[float | None, typer.Option(help="A roll instead, so wide.", metavar="MM")] = None,
    repeat: Annotated[float, typer.Option(help="The roll's pattern comes again after so much.", metavar="MM")] = 0.0,
    way: Annotated[
        Way, typer.Option(help="Along the grain either way, one way as a nap wants, or any.", metavar="WAY")
    ] = "grain",
    not_in: Annotated[
        list[str] | None,
        typer.Option("--not-in", help="A zone to keep out of, of all pieces or one.", metavar="[PIECE=]ZONE"),
    ] = None,
    gap: Annotated[float, typer.Option(help="Left between pieces and round flaws.", metavar="MM")] = 4.0,
    margin: Annotated[
        float | None, typer.Option(help="Left along the edge; 12 on a hide, 0 on a roll.", metavar="MM")
    ] = None,
    job: Annotated[
        Path | None, typer.Option(help="The job that the pieces are for; with --part.", metavar="JOB")
    ] = None,
    part: Annotated[
        list[str] | None,
        typer.Option(
            help="A file's pieces are for a part, and its cover: seat=seat.d=leather_recover.",
            metavar="FILE=PART[=COVER]",
        ),
    ] = None,
    note: Annotated[bool, typer.Option("--note", help="Note in the job what they take: it is bought by that.")] = False,
    seconds: Annotated[float, typer.Option(help="How long to search.")] = 20.0,
    seed: Annotated[int, typer.Option(help="Where the search begins.")] = 1,
    chance: Annotated[bool, typer.Option("--chance", help="The chance that one hide more is needed.")] = False,
    offcuts: Annotated[
        Path | None, typer.Option(help="Write offcuts worth keeping, each a hide to lay on.", metavar="FOLDER")
    ] = None,
    picture: Annotated[Path | None, typer.Option(help="Write each hide's layout as .svg.", metavar="FILE")] = None,
    page: Annotated[Path | None, typer.Option(help="Write the layout at true size as .pdf.", metavar="FILE")] = None,
    svg: SvgFile = None,
    dxf: DxfFile = None,
    force: Force = False,
    as_json: AsJson = False,
) -> None:
    """Pieces laid on hides or a roll, so that little is bought."""
    from trimwright.geometry.nest.asked import to_lay
    from trimwright.geometry.nest.hide import Clearances
    from trimwright.geometry.nest.roll import Roll, lay_on_roll
    from trimwright.geometry.nest.search import Effort, lay_on_hides
    from trimwright.geometry.nest.spare import spare_of

    hides = _checked(hide or [], roll, repeat, chance, seconds)
    _keep_all((picture, page, svg, dxf), offcuts, [each.name for each in hides] or ["roll"], force)
    given = _pieces(pieces)
    asked = to_lay([each for _, each in given], "nap" if repeat else way, _keep_outs(not_in or [], hides))
    parts = parts_of([name for name, each in given for _ in range(max(1, each.cut))], part or [], job, note=note)
    clear = Clearances(gap, (12.0 if roll is None else 0.0) if margin is None else margin)
    effort = Effort(seconds, seed=seed)
    ground = None if roll is None else Roll(roll, repeat)
    with _stoppable("Laying the pieces", "keeps the best") as watch:
        if ground is None:
            layout = lay_on_hides(hides, asked, clear, effort, watch)
        else:
            layout = lay_on_roll(ground, asked, clear, effort, watch)
    spare = None
    if chance:
        with _stoppable("Laying them on smaller hides", "leaves the chance out", found=True) as watch:
            spare = spare_of(layout, effort, watch=watch)
    written = [*_drawings(layout, page, svg, dxf), *_pictures(layout, picture), *_kept(layout, offcuts)]
    if as_json:
        cut = {"parts": [each.value for each in parts.noted(layout, ground)] if parts else []}
        print_json(_plain(layout, spare) | cut | {"written": [str(each) for each in written]})
        return
    _tell(layout, spare, on_a_roll=roll is not None)
    if chance and spare is None:
        print("Stopped before the chance of one hide more was known.")
    print_written(written)
    if parts:
        parts.tell(parts.noted(layout, ground), layout)


# ---- what was asked --------------------------------------------------------------------------------------------------


def _checked(files: Sequence[Path], roll: float | None, repeat: float, chance: bool, seconds: float) -> list[Hide]:
    """The hides; BadInput with everything that is wrong with what they are laid on."""
    from trimwright.errors import BadInput, Problem
    from trimwright.geometry.nest.hide import read_hide

    problems = []
    if bool(files) == (roll is not None):
        problems.append(Problem("--hide", "", "or --roll must be said, and not both.", "Say --hide FILE."))
    if repeat and roll is None:
        problems.append(Problem("--repeat", f"{repeat:g}", "is of a roll.", "Say --roll as well."))
    if chance and not files:
        problems.append(Problem("--chance", "", "is of hides.", "Say --hide."))
    if not 0 < seconds <= 3600:
        problems.append(Problem("--seconds", f"{seconds:g}", "is not between 0 and 3600.", "20 will do."))
    hides = []
    for file in files:
        try:
            hides.append(read_hide(read_text(file), file.stem))
        except BadInput as wrong:
            problems += wrong.problems
    if problems:
        raise BadInput(problems)
    return hides


def _pieces(files: Sequence[Path]) -> list[tuple[str, Piece]]:
    """Every piece with the name of its file."""
    from trimwright.errors import BadInput, Problem
    from trimwright.geometry.dxf import read_drawing

    found: list[tuple[str, Piece]] = []
    problems: list[Problem] = []
    for file in files:
        try:
            found += [(file.stem, each) for each in read_drawing(read_text(file), file.stem)]
        except BadInput as wrong:
            problems += wrong.problems
    if problems:
        raise BadInput(problems)
    return found


def _keep_outs(said: Sequence[str], hides: Sequence[Hide]) -> dict[str, frozenset[str]]:
    """Zones by the piece that keeps out of them, "" for all; BadInput for a zone that no hide has."""
    from trimwright.errors import BadInput, Problem

    there = {zone.name for each in hides for zone in each.zones}
    found: dict[str, frozenset[str]] = {}
    problems = []
    for each in said:
        piece, _, zone = each.rpartition("=")
        if zone.lower() not in there:
            way_out = f"Zones: {', '.join(sorted(there)) or 'none'}."
            problems.append(Problem("--not-in", each, "names no zone of a hide.", way_out))
        found[piece] = found.get(piece, frozenset()) | {zone.lower()}
    if problems:
        raise BadInput(problems)
    return found


def _keep_all(paths: Sequence[Path | None], offcuts: Path | None, grounds: Sequence[str], force: bool) -> None:
    """Refuse before the search to write over anything; BadInput with all of it."""
    from glob import escape

    from trimwright.errors import BadInput, Problem

    problems: list[Problem] = []
    there = [_numbered(each, on, len(grounds)) for each in paths if each for on in range(len(grounds))]
    if offcuts is not None and offcuts.exists() and not offcuts.is_dir():
        problems.append(Problem(str(offcuts), "", "is no folder.", "Name a folder for the offcuts."))
    elif offcuts is not None:
        there += [old for on, name in enumerate(grounds, 1) for old in offcuts.glob(f"{on}-{escape(name)}-[0-9]*.txt")]
    for path in there:
        try:
            keep(path, force)
        except BadInput as wrong:
            problems += wrong.problems
    if problems:
        raise BadInput(problems)


@contextmanager
def _stoppable(doing: str, if_stopped: str, *, found: bool = False) -> Iterator[Watch]:
    """Progress on the terminal; Ctrl-C ends the search, and the command only while nothing is `found` yet."""
    stopped = False

    def stop(*_: object) -> None:
        nonlocal stopped
        stopped = True
        if not found:
            raise KeyboardInterrupt

    with progress(doing) as told:

        def watch(tries: int, share: float) -> bool:
            nonlocal found
            found = found or tries > 0
            if told is not None:
                told(f"{doing}: {tries} layouts tried, Ctrl-C {if_stopped}", 1 - share, 2.0)
            return not stopped

        before = signal(SIGINT, stop)
        try:
            yield watch
        finally:
            signal(SIGINT, before)


# ---- what is written -------------------------------------------------------------------------------------------------


def _drawings(layout: Layout, page: Path | None, svg: Path | None, dxf: Path | None) -> Iterator[Path]:
    """The layout at true size, a file for each hide: with the hide on paper, the pieces alone for a cutting table."""
    from trimwright.geometry.pattern import Piece

    for on in sorted({each.on for each in layout.placed}):
        hide, pieces = layout.hides[on], layout.pieces(on)
        ground = Piece(hide.name, hide.outline, cutouts=hide.flaws)
        if page is not None:
            from trimwright.papers.true_size import long_page_pdf

            there = _numbered(page, on, len(layout.hides))
            there.write_bytes(long_page_pdf(hide.name, (ground, *pieces), today(), _cautions(), laid=True))
            yield there
        if svg is not None:
            from trimwright.geometry.sheet import one_page

            there = _numbered(svg, on, len(layout.hides))
            there.write_text(one_page((ground, *pieces), laid=True).svg, encoding="utf-8")
            yield there
        if dxf is not None:
            from trimwright.geometry.dxf import drawing

            there = _numbered(dxf, on, len(layout.hides))
            there.write_text(drawing(pieces, laid=True), encoding="ascii")
            yield there


def _pictures(layout: Layout, path: Path | None) -> Iterator[Path]:
    if path is None:
        return
    from trimwright.charts.hide import hide_chart
    from trimwright.geometry.nest.layout import offcuts

    for on in sorted({each.on for each in layout.placed}):
        there = _numbered(path, on, len(layout.hides))
        drawn = hide_chart(layout, on, offcuts=offcuts(layout, on), wide=780, style="print")
        there.write_text(drawn, encoding="utf-8")
        yield there


def _numbered(path: Path, on: int, of: int) -> Path:
    return path if of == 1 else path.with_stem(f"{path.stem}-{on + 1}")


def _kept(layout: Layout, folder: Path | None) -> Iterator[Path]:
    """Offcuts as files that --hide reads."""
    if folder is None:
        return
    from trimwright.geometry.nest.hide import written
    from trimwright.geometry.nest.layout import offcuts

    folder.mkdir(parents=True, exist_ok=True)
    for on in sorted({each.on for each in layout.placed}):
        for number, each in enumerate(offcuts(layout, on), 1):
            path = folder / f"{on + 1}-{layout.hides[on].name}-{number}.txt"
            path.write_text(written(each), encoding="utf-8")
            yield path


def _plain(layout: Layout, spare: Spare | None) -> dict[str, Any]:
    from trimwright.geometry.nest.layout import offcuts

    return {
        "hides": [
            {
                "name": hide.name,
                "filled": round(layout.filled(on), 4),
                "pieces": [
                    {"name": each.name, "outline": [[round(x, 3), round(y, 3)] for x, y in each.outline]}
                    for each in layout.pieces(on)
                ],
                "offcuts": [[[round(x, 1), round(y, 1)] for x, y in each.outline] for each in offcuts(layout, on)],
                "long_mm": round(max(x for x, _ in hide.outline) - min(x for x, _ in hide.outline), 1),
            }
            for on, hide in enumerate(layout.hides)
        ],
        "left_over": [each.piece.name for each in layout.left_over],
        "laid_m2": round(layout.laid_mm2 / 1e6, 4),
        "tries": layout.tries,
        "one_more": None if spare is None else round(spare.chance, 3),
        "cautions": _cautions(),
    }


def _cautions() -> list[str]:
    from trimwright.facts import load
    from trimwright.geometry.pattern import CAUTIONS

    return [load().cautions[each].text for each in CAUTIONS]


def _tell(layout: Layout, spare: Spare | None, *, on_a_roll: bool) -> None:
    out = console()
    for on, hide in enumerate(layout.hides):
        long = max(x for x, _ in hide.outline) - min(x for x, _ in hide.outline)
        said = f"{long / 1000:.2f} m of the roll" if on_a_roll else hide.name
        count = len(layout.pieces(on))
        out.print(f"{said}: {count} {'piece' if count == 1 else 'pieces'}, {layout.filled(on):.0%} of what is usable.")
    if layout.left_over:
        names = ", ".join(each.piece.name for each in layout.left_over)
        out.print(f"No room found for {len(layout.left_over)}: {names}. Give another hide, or search longer.")
    if spare is not None:
        out.print(
            f"Chance that one hide more is needed: {spare.chance:.0%}, if hides bought as one size differ by "
            f"{spare.spread:.0%} in area (1σ; from memory, no source)."
        )
    out.print(NO_PROOF)
    for each in _cautions():
        out.print(each, style="dim")
