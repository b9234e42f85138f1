"""Pieces laid on hides or along a roll: how far the search is, its layout as pictures and files, what is left over."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass
from datetime import datetime
from pathlib import Path
from time import monotonic
from typing import TYPE_CHECKING, Any, TypeVar

from trimwright.craft.asking import Ask, Typed, bare_mm
from trimwright.errors import BadInput, Problem
from trimwright.units import parse_number
from trimwright.web.jobs.bench_work.cut_pieces import areas_of
from trimwright.web.jobs.bench_work.kind import Kind, is_stopped, tell

if TYPE_CHECKING:
    from trimwright.geometry.nest.asked import ToLay
    from trimwright.geometry.nest.hide import Hide
    from trimwright.geometry.nest.layout import Layout
    from trimwright.geometry.nest.search import Effort, Watch
    from trimwright.geometry.pattern import Piece

Made = TypeVar("Made")

MOST_HIDES = 6
MOST_S = 120.0
"""Nothing else that was given to the workbench is worked out meanwhile."""
TOLD_S = 0.5
ASKS = (
    Ask("name", "what the job of cutting is called", "front seats"),
    Ask("roll", "a roll instead of hides, so wide", "1400"),
    Ask("repeat", "its pattern comes again after", "160", usual="0"),
    Ask("way", "which way pieces lie", usual="grain", choices=("grain", "nap", "free")),
    Ask("gap", "left between pieces and round flaws", "4", usual="4"),
    Ask("margin", "left along the edge", "12 on a hide, 0 on a roll"),
    Ask("seconds", "seconds to search", "20", usual="20"),
    Ask("chance", "the chance of one hide more as well", usual="no", choices=("no", "yes")),
    Ask("not_in", "zones to keep out of, a line each", "belly for all pieces, door left = belly for one of them"),
)
FILES: Mapping[str, str] = {
    f"{stem}-{number}.{ending}": kind
    for number in range(1, MOST_HIDES + 1)
    for stem, ending, kind in (
        ("layout", "pdf", "application/pdf"),
        ("layout", "svg", "image/svg+xml"),
        ("layout", "dxf", "application/dxf"),
    )
}


@dataclass(frozen=True, slots=True)
class Text:
    """A file as it was given, by the name it goes by."""

    name: str
    text: str


@dataclass(frozen=True, slots=True)
class Order:
    """What is to be laid on what: drawings of pieces, hides as their files or as drawings of their outline."""

    drawings: tuple[Text, ...]
    hides: tuple[Text, ...]

    def written(self) -> bytes:
        """The file that `read_order` reads again."""
        return json.dumps(asdict(self)).encode()


def read_order(written: bytes) -> Order:
    """An order as it was written."""
    told = json.loads(written)
    return Order(*(tuple(Text(**each) for each in told[name]) for name in ("drawings", "hides")))


def laying_lines(asked: Mapping[str, str]) -> dict[str, Any]:
    """What was typed beside the pieces, read; BadInput with everything that is wrong."""
    from trimwright.geometry.nest.hide import Clearances
    from trimwright.geometry.nest.roll import Roll
    from trimwright.geometry.nest.search import Effort

    def seconds(text: str, where: str) -> float:
        value = float(parse_number(text, where))
        if not 1 <= value <= MOST_S:
            raise BadInput(Problem(where, text, f"is not between 1 and {MOST_S:g}.", "20 will do."))
        return value

    lines = Typed(ASKS, asked)
    wide, repeat = lines.take("roll", bare_mm, 0.0), lines.take("repeat", bare_mm, 0.0)
    if repeat and not lines.has("roll"):
        lines.slip("repeat", "is of a roll.", "Say how wide the roll is, or leave this empty.")
    gap, margin = lines.take("gap", bare_mm, 4.0), lines.take("margin", bare_mm, 0.0 if lines.has("roll") else 12.0)
    read = {
        "effort": Effort(lines.take("seconds", seconds, 20.0)),
        "way": "nap" if repeat else lines.choice("way"),
        "chance": lines.choice("chance") == "yes",
        "not_in": lines.text("not_in"),
        "roll": _made(lines, lambda: Roll(wide, repeat)) if lines.has("roll") else None,
        "clear": _made(lines, lambda: Clearances(gap, margin)),
    }
    lines.refuse_slips()
    return read


def _made(lines: Typed, make: Callable[[], Made]) -> Made | None:
    """What is made of several lines; what is wrong with it stands beside the line it is called by."""
    try:
        return make()
    except BadInput as wrong:
        for each in wrong.problems:
            lines.slip(each.where, each.what, each.way_out)
        return None


def lay(order: Path, asked: Mapping[str, str], made_at: datetime, into: Path) -> dict[str, Any]:
    """The best layout found in the time, or until it was stopped; its files are written beside it."""
    from trimwright.geometry.nest.roll import lay_on_roll
    from trimwright.geometry.nest.search import lay_on_hides
    from trimwright.geometry.nest.spare import spare_of
    from trimwright.geometry.nest.taken import taken

    lines = laying_lines(asked)
    tell(into, "Reading the pieces")
    given, hides = _given(read_order(order.read_bytes()), on_a_roll=lines["roll"] is not None)
    pieces = [each for _, each in given]
    to_lay = _to_lay(pieces, lines["way"], lines["not_in"], hides)
    effort: Effort = lines["effort"]
    tell(into, "Laying the pieces")
    if lines["roll"]:
        watch = _watch(into, lambda tries, _: f"Layouts found: {tries}")
        layout = lay_on_roll(lines["roll"], to_lay, lines["clear"], effort, watch)
    else:
        layout = lay_on_hides(hides, to_lay, lines["clear"], effort, _watch(into, _how_far))
    spare = None
    if lines["chance"] and not lines["roll"]:
        words = "Laying them on smaller hides, for the chance of one more"
        tell(into, words)
        spare = spare_of(layout, effort, watch=_watch(into, lambda *_: words))
    tell(into, "Drawing its sheets")
    return {
        "hides": [_told(layout, on, made_at, into) for on in sorted({each.on for each in layout.placed})],
        "on_a_roll": lines["roll"] is not None,
        "left_over": [each.piece.name for each in layout.left_over],
        "tries": layout.tries,
        "names": sorted({each.name for each in pieces}),
        "areas": areas_of(given),
        "taken": None if layout.left_over else asdict(taken(layout, lines["roll"])),
        "zones": sorted(_zones(hides)),
        "spare": spare and {"chance": round(100 * spare.chance), "spread": round(100 * spare.spread)},
        "cautions": _cautions(),
    }


def _given(order: Order, *, on_a_roll: bool) -> tuple[list[tuple[str, Piece]], tuple[Hide, ...]]:
    """Pieces, each with its drawing's name, and hides; BadInput with everything in any file that can't be read."""
    from trimwright.geometry.dxf import read_drawing

    pieces: list[tuple[str, Piece]] = []
    hides: list[Hide] = []
    problems: list[Problem] = []
    for each in order.drawings:
        try:
            pieces += [(each.name, piece) for piece in read_drawing(each.text, each.name)]
        except BadInput as wrong:
            problems += wrong.problems
    for each in () if on_a_roll else order.hides:
        try:
            hides += _hides(each)
        except BadInput as wrong:
            problems += wrong.problems
    if len(hides) > MOST_HIDES:
        problems.append(Problem("hides", str(len(hides)), f"are more than {MOST_HIDES}.", "Lay on fewer at once."))
    if problems:
        raise BadInput(problems)
    return pieces, tuple(hides)


def _hides(given: Text) -> Iterator[Hide]:
    """A hide of its own file, or each outline of a drawing, its cut-outs as flaws."""
    from trimwright.geometry.dxf import read_drawing
    from trimwright.geometry.nest.hide import Hide, checked, read_hide

    if given.name.lower().endswith(".dxf"):
        for piece in read_drawing(given.text, given.name):
            yield checked(Hide(piece.name, piece.outline, piece.cutouts))
    else:
        yield read_hide(given.text, given.name.removesuffix(".txt"))


def _to_lay(pieces: Sequence[Piece], way: Any, not_in: str, hides: Sequence[Hide]) -> tuple[ToLay, ...]:
    from trimwright.geometry.nest.asked import to_lay

    zones = _zones(hides)
    keep_out: dict[str, frozenset[str]] = {}
    problems = []
    for line in filter(None, map(str.strip, not_in.splitlines())):
        piece, _, zone = (each.strip() for each in line.rpartition("="))
        if zone.lower() not in zones:
            way_out = f"Zones: {', '.join(sorted(zones)) or 'none'}."
            problems.append(Problem(ASKS[-1].label, line, "names no zone of a hide.", way_out))
        keep_out[piece] = keep_out.get(piece, frozenset()) | {zone.lower()}
    if problems:
        raise BadInput(problems)
    return to_lay(pieces, way, keep_out)


def _zones(hides: Sequence[Hide]) -> set[str]:
    return {zone.name for each in hides for zone in each.zones}


def _how_far(tries: int, best: float) -> str:
    if best > 1 - 1e-9:
        return f"Layouts tried: {tries}; all pieces lie, looking for a larger offcut"
    return f"Layouts tried: {tries}; at best {best:.0%} of the pieces lie"


def _watch(into: Path, words: Callable[[int, float], str]) -> Watch:
    """Says now and then how far it is and how good the best is, and looks whether it is to stop."""
    last = best = 0.0

    def watch(tries: int, share: float) -> bool:
        nonlocal last, best
        best = max(best, share)
        if monotonic() - last < TOLD_S:
            return True
        last = monotonic()
        tell(into, words(tries, best))
        return not is_stopped(into)

    return watch


def _told(layout: Layout, on: int, made_at: datetime, into: Path) -> dict[str, Any]:
    """One hide with what lies on it: its picture, its offcuts as hides again, its files."""
    from trimwright.charts.hide import hide_chart
    from trimwright.geometry.nest.hide import usable_as_is_mm2, written
    from trimwright.geometry.nest.layout import in_zones, offcuts

    hide, kept = layout.hides[on], offcuts(layout, on)
    right, left = max(x for x, _ in hide.outline), min(x for x, _ in hide.outline)
    return {
        "name": hide.name,
        "number": on + 1,
        "pieces": len(layout.pieces(on)),
        "filled": round(100 * layout.filled(on)),
        "long_m": round((right - left) / 1000, 2),
        "picture": hide_chart(layout, on, offcuts=kept, name=f"hide-{on + 1}"),
        "files": _written(layout, on, made_at, into),
        "in_zones": [{"piece": piece, "zone": zone} for piece, zone in in_zones(layout, on)],
        "offcuts": [
            {
                "name": each.name,
                "area": f"{usable_as_is_mm2(each) / 1e6:.2f}",
                "wide": round(max(x for x, _ in each.outline) - min(x for x, _ in each.outline)),
                "high": round(max(y for _, y in each.outline) - min(y for _, y in each.outline)),
                "hide": written(each),
            }
            for each in kept
        ],
    }


def _cautions() -> list[str]:
    from trimwright.facts import load
    from trimwright.geometry.pattern import CAUTIONS

    return [load().cautions[each].text for each in CAUTIONS]


def _written(layout: Layout, on: int, made_at: datetime, into: Path) -> list[str]:
    """The layout at true size: with the hide on paper, the pieces alone for a cutting table."""
    from trimwright.geometry.dxf import drawing
    from trimwright.geometry.pattern import Piece
    from trimwright.geometry.sheet import one_page
    from trimwright.papers.true_size import long_page_pdf

    hide, pieces = layout.hides[on], layout.pieces(on)
    laid = (Piece(hide.name, hide.outline, cutouts=hide.flaws), *pieces)
    made = {
        "pdf": long_page_pdf(hide.name, laid, made_at, _cautions(), laid=True),
        "svg": one_page(laid, laid=True).svg.encode(),
        "dxf": drawing(pieces, laid=True).encode("ascii"),
    }
    for ending, data in made.items():
        (into / f"layout-{on + 1}.{ending}").write_bytes(data)
    return [f"layout-{on + 1}.{ending}" for ending in made]


LAYING = Kind(
    id="laying",
    asks=ASKS,
    long=frozenset({"not_in"}),
    endings=(".json",),
    most_bytes=40_000_000,
    refuse_slips=laying_lines,
    work=lay,
    files=FILES,
    stops=True,
)
