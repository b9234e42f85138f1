"""Sheets, pages and drawings at true size: tile counts of ISO A4 and US Letter, and a DXF read back by its library."""

from __future__ import annotations

import io
import re
from itertools import pairwise
from math import pi

import ezdxf
import pytest
from ezdxf import bbox
from hypothesis import given
from hypothesis import strategies as st

from trimwright.errors import BadInput
from trimwright.geometry.dxf import drawing
from trimwright.geometry.pattern import Hole, Line, Notch, Piece, Words, mirrored
from trimwright.geometry.sheet import (
    GAP_MM,
    OVERLAP_MM,
    TILE_HIGH_MM,
    TILE_WIDE_MM,
    count_tiles,
    one_page,
    picture,
    stacked,
    tile_picture,
    tiled,
)


def rectangle(wide: float, high: float, **changes: object) -> Piece:
    outline = ((0.0, 0.0), (wide, 0.0), (wide, high), (0.0, high))
    return Piece(**{"name": "panel", "outline": outline, **changes})  # type: ignore[arg-type]


FULL = rectangle(
    300,
    200,
    cutouts=(((50.0, 50.0), (60.0, 50.0), (60.0, 60.0)),),
    holes=(Hole((100.0, 100.0), 1.0),),
    notches=(Notch((150.0, 0.0), (0.0, 1.0), 5.0),),
    lines=(Line("sew", ((10.0, 10.0), (290.0, 10.0))), Line("fold", ((10.0, 20.0), (290.0, 20.0)))),
    words=(Words("Größe ½", (150.0, 150.0)),),
    grain=((100.0, 80.0), (200.0, 80.0)),
)


def test_a_tile_fits_both_papers_with_ten_millimetres_to_spare() -> None:
    """ISO 216: A4 is 210 × 297. ANSI/ASME Y14.1: Letter is 8.5 × 11 in."""
    assert min(210, 8.5 * 25.4) - 20 >= TILE_WIDE_MM
    assert min(297, 11 * 25.4) - 20 >= TILE_HIGH_MM


@pytest.mark.parametrize(
    ("wide", "high", "columns", "rows"), [(600, 416, 4, 2), (1162.4, 92.3, 1, 5), (170, 240, 1, 1), (240, 170, 1, 1)]
)
def test_how_many_sheets(wide: float, high: float, columns: int, rows: int) -> None:
    """⌈(L − o) ÷ (p − o)⌉ each way: a panel of 600 × 416 takes 4 × 2, a strip of 1162 × 92 five if laid along."""
    found = tiled(rectangle(wide, high))
    assert (found.columns, found.rows, len(found.tiles)) == (columns, rows, columns * rows)
    assert count_tiles(1162.4, TILE_WIDE_MM) == 7


@given(wide=st.floats(5, 1800), high=st.floats(5, 1800))
def test_sheets_cover_the_piece_and_neighbours_share_their_crosses(wide: float, high: float) -> None:
    found = tiled(rectangle(wide, high))
    left, bottom, right, top = found.piece.box
    assert min(each.left for each in found.tiles) <= left
    assert min(each.bottom for each in found.tiles) <= bottom
    assert max(each.left for each in found.tiles) + TILE_WIDE_MM >= right
    assert max(each.bottom for each in found.tiles) + TILE_HIGH_MM >= top
    lefts = sorted({round(each.left, 6) for each in found.tiles})
    assert all(b - a == pytest.approx(TILE_WIDE_MM - OVERLAP_MM) for a, b in pairwise(lefts))


def test_sheets_that_would_be_empty_are_not_printed() -> None:
    corner = Piece("corner", ((0.0, 0.0), (900.0, 0.0), (900.0, 30.0), (30.0, 30.0), (30.0, 900.0), (0.0, 900.0)))
    found = tiled(corner)
    assert len(found.tiles) < found.columns * found.rows


def test_neighbours_carry_the_same_cross() -> None:
    found = tiled(rectangle(300, 100))
    crosses = [set(re.findall(r"M([\d.-]+ [\d.-]+)L", _crosses(tile_picture(found, each)))) for each in found.tiles]
    assert len(crosses[0] & crosses[1]) == 4  # two crosses, two strokes each


def _crosses(svg: str) -> str:
    return "".join(each for each in re.findall(r"<path [^>]*>", svg) if "#2C5F8A" in each)


def test_a_book_of_sheets_is_refused() -> None:
    with pytest.raises(BadInput, match="more than 400 sheets"):
        tiled(rectangle(15_000, 15_000))


def test_an_svg_says_millimetres() -> None:
    """SVG 1.1, 7.10: with width in mm and a viewBox of the same figures the unit is 1 mm."""
    assert 'width="150mm" height="60mm" viewBox="0.0000 -60.0000 150 60"' in picture(0, 0, 150, 60, "")
    page = one_page((rectangle(100, 50), rectangle(80, 40)))
    assert (page.wide_mm, page.high_mm) == (120, 110 + GAP_MM)


def test_each_is_laid_as_often_as_it_is_cut() -> None:
    laid = stacked((rectangle(100, 50, cut=2), rectangle(80, 40)))
    assert [piece.box for piece in laid] == [(0, -50, 100, 0), (0, -110, 100, -60), (0, -160, 80, -120)]


# ---- DXF -------------------------------------------------------------------------------------------------------------


def test_a_drawing_is_sound_and_reads_back_in_millimetres() -> None:
    """Audited and read by ezdxf: R2010, $INSUNITS 4 (mm), the pattern trade's layer numbers, exact bounds."""
    text = drawing((FULL, mirrored(FULL, "other")))
    document = ezdxf.read(io.StringIO(text))  # type: ignore[attr-defined]
    assert not document.audit().errors
    assert (document.dxfversion, document.header["$INSUNITS"], document.header["$MEASUREMENT"]) == ("AC1024", 4, 1)
    block = document.blocks.get("PIECE1")
    assert {each.dxf.layer for each in block} == {"1", "4", "7", "8", "11", "13", "14", "15"}
    (outline,) = block.query('LWPOLYLINE[layer=="1"]')
    assert outline.dxf.flags & 1  # closed
    (hole,) = block.query("CIRCLE")
    assert hole.dxf.radius == 0.5
    assert bbox.extents(block.query("LWPOLYLINE")).size.vec2 == (300, 200)
    assert text.isascii()


def test_a_wheel_strip_reads_back_to_a_thousandth() -> None:
    strip = rectangle(2 * pi * 185, 92.3247)
    document = ezdxf.read(io.StringIO(drawing((strip,))))  # type: ignore[attr-defined]
    size = bbox.extents(document.modelspace()).size
    assert (size.x, size.y) == pytest.approx((1162.3893, 92.3247), abs=1e-4)
