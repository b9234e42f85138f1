"""A part photographed among printed strips: its outline with its doubt, seen from above, and the pieces cut by it."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from trimwright.craft.asking import Ask, Typed, bare_mm
from trimwright.errors import BadInput, Problem
from trimwright.units import parse_number
from trimwright.web.jobs.bench_work.cut_pieces import FILES, areas_of, write_pieces
from trimwright.web.jobs.bench_work.kind import Kind, tell

if TYPE_CHECKING:
    from trimwright.geometry.outline.editing import Redrawn
    from trimwright.geometry.outline.reading import Outline

ASKS = (
    Ask("name", "what the part is called", "door card"),
    Ask("bars", "what both bars on the print read", "260x190"),
    Ask("thickness", "thickness of its edge", "3", usual="0"),
    Ask("strips", "the strips laid round it", usual="a,b,c,d"),
    Ask("lens", "lens as on 35 mm film, if the photo does not say", "26"),
    Ask("allowance", "left beyond the outline all round", "10", usual="0"),
    Ask("side", "side of the car", choices=("left", "right")),
    Ask("lay", "it was photographed from its", usual="face", choices=("face", "back")),
    Ask("mirror", "the other side's piece as well", usual="no", choices=("no", "yes")),
    Ask("grain", "grain, degrees from the photo's right", "90"),
    Ask("notches", "notches: at a point, or mm behind it", "7, 7+42.5"),
    Ask(
        "moves",
        "list of points changed by hand",
        "a change to a line: 12 103.5 88 moves point 12, 12+ 110 90 adds one behind it, 12- takes it out; corner or "
        "curve behind a place makes it one",
    ),
)
PICTURE = "from-above.jpg"
MOVES = "the list of changes"
READ_BY = ("bars", "thickness", "strips", "lens")
"""The lines by which points are read: they are others with others."""


def outline_lines(asked: Mapping[str, str]) -> dict[str, Any]:
    """What was typed beside a photo, read; BadInput with everything that is wrong."""
    from trimwright.geometry.outline.piece import Marked, notch_at
    from trimwright.geometry.outline.plane import Bars, bars_read
    from trimwright.geometry.outline.reading import Told
    from trimwright.geometry.outline.strips import STRIPS, named

    def degrees(text: str, where: str) -> float:
        return float(parse_number(text, where))

    def notches(text: str, where: str) -> tuple[tuple[int, float], ...]:
        return tuple(notch_at(each, where) for each in text.split(",") if each.strip())

    lines = Typed(ASKS, asked)
    told = Told(
        lines.take("strips", named, tuple(STRIPS)),
        lines.take("thickness", bare_mm, 0.0),
        lines.take("bars", bars_read, Bars()),
        lines.take("lens", degrees, 0.0) or None,
    )
    marked = Marked(
        lines.take("allowance", bare_mm, 0.0),
        lines.take("notches", notches, ()),
        lines.take("grain", degrees, 0.0) if lines.has("grain") else None,
        lines.choice("side"),  # type: ignore[arg-type]
        lines.choice("lay") == "back",
    )
    read = {"told": told, "marked": marked, "both": lines.choice("mirror") == "yes", "moves": lines.text("moves")}
    lines.refuse_slips()
    return read


def refuse_moves(typed: Mapping[str, str], before: Mapping[str, str], came: Mapping[str, Any], another: bool) -> None:
    """BadInput where the points changed by hand are of another reading, or don't make an outline."""
    if not typed["moves"].strip():
        return
    where = next(each.label for each in ASKS if each.name == "moves")
    if another or any(typed[each].strip() != before.get(each, "").strip() for each in READ_BY):
        way_out = (
            "Empty the list to have them read anew, or leave photo, bars, thickness, strips and lens as they were."
        )
        raise BadInput(Problem(where, "", "is about the points as they were read before.", way_out))
    try:
        redrawn(came, typed["moves"])
    except BadInput as error:
        lines = [" ".join(f"{each.where.partition(' › ')[2]} {each.value}".split()) for each in error.problems]
        raise BadInput(
            [Problem(where, line, each.what, each.way_out) for line, each in zip(lines, error.problems, strict=True)]
        ) from None


def outline(photo: Path, asked: Mapping[str, str], made_at: datetime, into: Path) -> dict[str, Any]:
    """The outline as it was read and as it was changed; the picture from above and the pieces are written beside it."""
    from trimwright.facts import load
    from trimwright.geometry.outline.editing import changed
    from trimwright.geometry.outline.overhead import overhead
    from trimwright.geometry.outline.photo import read_photo
    from trimwright.geometry.outline.piece import as_pieces
    from trimwright.geometry.outline.reading import read_outline
    from trimwright.geometry.pattern import CAUTIONS

    lines = outline_lines(asked)
    title = asked.get("name") or "part"
    tell(into, "Reading the photo")
    read = read_outline(read_photo(photo.read_bytes(), "photo"), "photo", lines["told"])
    above = overhead(read)
    (into / PICTURE).write_bytes(above.jpeg)
    made = read.with_nodes(changed(read.nodes, lines["moves"], MOVES)) if lines["moves"] else read
    tell(into, "Drawing its sheets")
    pieces = as_pieces(title, made.line, made.nodes, lines["marked"], both=lines["both"])
    cautions = [load().cautions[each].text for each in CAUTIONS]
    return {
        "read": {
            "picture": [above.left_mm, above.bottom_mm, above.wide_mm, above.high_mm],
            "nodes": [
                [round(each.at[0], 2), round(each.at[1], 2), each.corner, doubt]
                for each, doubt in zip(read.nodes, _doubts(read), strict=True)
            ],
        },
        "foot": read.camera.foot.tolist(),
        "camera_mm": read.camera.high_mm,
        "thick_mm": read.thick_mm,
        "worst": round(float(made.certain.two_sigma_mm.max()), 1),
        "within": round(made.certain.within_mm, 1),
        "corners": sum(each.corner for each in made.nodes),
        "points": len(made.nodes),
        "by_hand": len(set(made.nodes) - set(read.nodes)),
        "bars_read": lines["told"].bars.long_mm is not None,
        "pieces": [
            {"name": each.name, "wide": round(each.box[2] - each.box[0]), "high": round(each.box[3] - each.box[1]),
             "area": f"{each.area_mm2 / 1e6:.3f}"}
            for each in pieces
        ],
        "areas": areas_of((title, each) for each in pieces),
        "cautions": cautions,
        "cut": write_pieces(title, pieces, cautions, made_at, into),
    }  # fmt: skip


def redrawn(came: Mapping[str, Any], moves: str) -> Redrawn:
    """The outline of such a work after changes by hand, at once and without its photo; BadInput as `changed` raises."""
    from trimwright.geometry.outline import editing
    from trimwright.geometry.outline.shape import Node, numbered

    read = numbered([Node((x, y), corner) for x, y, corner, _ in came["read"]["nodes"]])
    nodes = editing.changed(read, moves, MOVES)
    return editing.redrawn(nodes, tuple(came["foot"]), came["camera_mm"], came["thick_mm"])


def _doubts(read: Outline) -> list[float]:
    """2σ at each node [mm]: that of the line where it runs through it."""
    found = []
    for each in read.nodes:
        away = [(x - each.at[0]) ** 2 + (y - each.at[1]) ** 2 for x, y in read.line]
        found.append(round(float(read.certain.two_sigma_mm[away.index(min(away))]), 2))
    return found


OUTLINE = Kind(
    id="outline",
    asks=ASKS,
    long=frozenset({"moves"}),
    endings=(".jpg", ".jpeg", ".png"),
    most_bytes=60_000_000,
    refuse_slips=outline_lines,
    refuse_again=refuse_moves,
    work=outline,
    files={**FILES, PICTURE: "image/jpeg"},
)
