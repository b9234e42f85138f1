"""Pieces as a DXF drawing (R2010, millimetres), on the layer numbers that sewn-product patterns use.

The numbers are those of ASTM D6673 as public secondary sources give them; the standard itself was not read, and
conformance is not claimed. One block a piece; text is 7-bit ASCII.
"""

from __future__ import annotations

import io
import unicodedata
from collections.abc import Sequence
from typing import TYPE_CHECKING

from trimwright.errors import BadInput, Problem
from trimwright.geometry.pattern import Hole, Line, Piece, Polyline, Words
from trimwright.geometry.sheet import stacked

if TYPE_CHECKING:
    from ezdxf.entities.dxfgfx import DXFGraphic
    from ezdxf.entities.lwpolyline import LWPolyline
    from ezdxf.entities.text import Text
    from ezdxf.layouts.blocklayout import BlockLayout

BOUNDARY, NOTCHES, GRAIN, INTERNAL, CUT_OUTS, DRILL_HOLES, SEW_LINE, WRITING = (
    "1",
    "4",
    "7",
    "8",
    "11",
    "13",
    "14",
    "15",
)
_LAYERS = {
    BOUNDARY: "boundary", NOTCHES: "notches", GRAIN: "grain", INTERNAL: "internal lines", CUT_OUTS: "cut-outs",
    DRILL_HOLES: "drill holes", SEW_LINE: "sew line", WRITING: "annotation",
}  # fmt: skip


def drawing(pieces: Sequence[Piece], *, laid: bool = False) -> str:
    """The text of a DXF file with all pieces, one under the other; `laid` leaves them where they lie."""
    from ezdxf import units
    from ezdxf.filemanagement import new

    document = new("R2010")
    document.units = units.MM
    document.header["$MEASUREMENT"] = 1
    for layer, means in _LAYERS.items():
        document.layers.add(layer).description = means
    space = document.modelspace()
    for number, piece in enumerate(pieces if laid else stacked(pieces), 1):
        block = document.blocks.new(f"PIECE{number}")
        _draw(piece, block)
        space.add_blockref(block.name, (0, 0))
    written = io.StringIO()
    document.write(written)
    return written.getvalue()


def _draw(piece: Piece, block: BlockLayout) -> None:
    from ezdxf.enums import TextEntityAlignment

    block.add_lwpolyline(piece.outline, close=True, dxfattribs={"layer": BOUNDARY})
    for cutout in piece.cutouts:
        block.add_lwpolyline(cutout, close=True, dxfattribs={"layer": CUT_OUTS})
    for line in piece.lines:
        layer = SEW_LINE if line.kind == "sew" else INTERNAL
        block.add_lwpolyline(line.points, close=line.closed, dxfattribs={"layer": layer})
    for hole in piece.holes:
        block.add_circle(hole.at, hole.across_mm / 2, dxfattribs={"layer": DRILL_HOLES})
    for notch in piece.notches:
        end = (notch.at[0] + notch.long_mm * notch.towards[0], notch.at[1] + notch.long_mm * notch.towards[1])
        block.add_line(notch.at, end, dxfattribs={"layer": NOTCHES})
    if piece.grain:
        block.add_line(*piece.grain, dxfattribs={"layer": GRAIN})
    for words in piece.words:
        text = block.add_text(
            ascii_only(words.text), height=words.high_mm, rotation=words.slant, dxfattribs={"layer": WRITING}
        )
        text.set_placement(words.at, align=TextEntityAlignment.MIDDLE_CENTER)


def ascii_only(text: str) -> str:
    """Letters without their marks, and nothing that 7 bits don't hold.

    >>> ascii_only("Tür links ½ 12 o’clock")
    "Tur links 1/2 12 o'clock"
    """
    plain = unicodedata.normalize("NFKD", text.replace("’", "'").replace("–", "-")).replace("⁄", "/")
    return plain.encode("ascii", "ignore").decode()


# ---- read again ------------------------------------------------------------------------------------------------------

_TO_MM = {0: 1.0, 1: 25.4, 4: 1.0, 5: 10.0, 6: 1000.0}
"""By the drawing's unit number: none said (taken for mm), inches, mm, cm, m."""


def read_drawing(text: str, name: str) -> tuple[Piece, ...]:
    """The pieces of a drawing as `drawing` writes it: a block each, by layer number. Notches stay behind.

    A piece's name is the first writing on it, or the drawing's and its number. BadInput when it can't be read, is in
    another unit, or has no closed line on the boundary layer.
    """
    from ezdxf.filemanagement import read
    from ezdxf.lldxf.const import DXFError

    try:
        document = read(io.StringIO(text))
    except (DXFError, ValueError, TypeError) as wrong:
        said, what = str(wrong)[:80], "can't be read as a DXF drawing."
        raise BadInput(
            Problem(name, said if said.isprintable() else "", what, "Give a .dxf that wrap, flatten or outline wrote.")
        ) from wrong
    by = _TO_MM.get(document.units)
    if by is None:
        raise BadInput(Problem(name, str(document.units), "is in a unit that is not known.", "Save it in millimetres."))
    blocks = [document.blocks[each.dxf.name] for each in document.modelspace().query("INSERT")]
    pieces = tuple(
        piece
        for number, block in enumerate(blocks, 1)
        if (piece := _read(list(block), f"{name} {number}", by)) is not None
    )
    if not pieces:
        what = "has no block with a closed line on layer 1."
        raise BadInput(Problem(name, "", what, "Give a .dxf that wrap, flatten or outline wrote."))
    return pieces


def _read(drawn: list[DXFGraphic], name: str, by: float) -> Piece | None:
    """A block as a piece; None without a boundary."""
    from ezdxf.entities.circle import Circle
    from ezdxf.entities.line import Line as Straight
    from ezdxf.entities.lwpolyline import LWPolyline
    from ezdxf.entities.text import Text

    lines = [(each.dxf.layer, each.closed, _points(each, by)) for each in drawn if isinstance(each, LWPolyline)]
    outline = next((points for layer, _, points in lines if layer == BOUNDARY), None)
    if outline is None:
        return None
    straight = [each for each in drawn if isinstance(each, Straight) and each.dxf.layer == GRAIN]
    arrows = [((e.dxf.start.x * by, e.dxf.start.y * by), (e.dxf.end.x * by, e.dxf.end.y * by)) for e in straight]
    circles = [each for each in drawn if isinstance(each, Circle) and each.dxf.layer == DRILL_HOLES]
    written = [each for each in drawn if isinstance(each, Text)]
    return Piece(
        written[0].dxf.text if written else name,
        outline,
        cutouts=tuple(points for layer, _, points in lines if layer == CUT_OUTS),
        holes=tuple(Hole((e.dxf.center.x * by, e.dxf.center.y * by), 2 * e.dxf.radius * by) for e in circles),
        lines=tuple(
            Line("sew" if layer == SEW_LINE else "inside", points, closed)
            for layer, closed, points in lines
            if layer in (SEW_LINE, INTERNAL)
        ),
        words=tuple(_words(each, by) for each in written),
        grain=arrows[0] if arrows else None,
    )


def _points(line: LWPolyline, by: float) -> Polyline:
    return tuple((float(x) * by, float(y) * by) for x, y in line.get_points("xy"))


def _words(text: Text, by: float) -> Words:
    _, at, _ = text.get_placement()
    return Words(text.dxf.text, (at.x * by, at.y * by), text.dxf.height * by, text.dxf.rotation)
