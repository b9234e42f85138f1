"""Pieces as a DXF drawing (R2010, millimetres), on the layer numbers that sewn-product patterns use.

The numbers are those of ASTM D6673 as public secondary sources give them; the standard itself was not read, and
conformance is not claimed. One block a piece; text is 7-bit ASCII.
"""

from __future__ import annotations

import io
import unicodedata
from collections.abc import Sequence
from typing import TYPE_CHECKING

from trimwright.geometry.pattern import Piece
from trimwright.geometry.sheet import stacked

if TYPE_CHECKING:
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


def drawing(pieces: Sequence[Piece]) -> str:
    """The text of a DXF file with all pieces, laid one under the other."""
    from ezdxf import units
    from ezdxf.filemanagement import new

    document = new("R2010")
    document.units = units.MM
    document.header["$MEASUREMENT"] = 1
    for layer, means in _LAYERS.items():
        document.layers.add(layer).description = means
    space = document.modelspace()
    for number, piece in enumerate(stacked(pieces), 1):
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
