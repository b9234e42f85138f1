"""Pieces at true size: tiles of one size that A4 and US Letter both print at 100 %, a long page, and SVG in mm.

Tiles overlap, and crosses stand in the middle of the overlap, so that two neighbours carry the same cross and are laid
one on the other by it. Pictures run y down as SVG does; pieces run y up.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from html import escape
from math import atan2, ceil, cos, pi, sin

from trimwright.errors import BadInput, Problem
from trimwright.geometry.pattern import Piece, Point, Polyline, moved, turned

TILE_WIDE_MM, TILE_HIGH_MM = 190.0, 259.4
"""What A4 (210 × 297) and US Letter (215.9 × 279.4) both print with 10 mm left white all round."""
OVERLAP_MM = 10.0
GAP_MM = 10.0
"""Between pieces on one long page or in one file."""
MOST_PAGE_MM = 5080.0
"""The longest page a PDF reader takes: 14,400 points (ISO 32000-1, Annex C)."""
MOST_TILES = 400

INK, FAINT, THREAD, CHALK = "#20242B", "#5F636A", "#9B2335", "#2C5F8A"
CUT_MM = 0.35
_CAPITALS = 0.7
"""Height of a capital over the size of the type."""
_STROKES = {
    "sew": f'stroke="{THREAD}" stroke-width="0.25" stroke-dasharray="2 1.2"',
    "fold": f'stroke="{CHALK}" stroke-width="0.25" stroke-dasharray="4 1 0.6 1"',
    "inside": f'stroke="{FAINT}" stroke-width="0.2"',
}


# ---- pictures --------------------------------------------------------------------------------------------------------


def ink(piece: Piece) -> str:
    """The piece as SVG shapes, at true size in mm, where it lies, y turned down."""
    return "".join(_shapes(piece))


def _shapes(piece: Piece) -> Iterator[str]:
    cut = f'stroke="{INK}" stroke-width="{CUT_MM}" stroke-linejoin="round"'
    for closed in (piece.outline, *piece.cutouts):
        yield _path(closed, cut, closed=True)
    for line in piece.lines:
        yield _path(line.points, _STROKES[line.kind], closed=line.closed)
    for hole in piece.holes:
        x, y = _down(hole.at)
        yield f'<circle cx="{x}" cy="{y}" r="{hole.across_mm / 2:g}" fill="none" stroke="{INK}" stroke-width="0.15"/>'
    for notch in piece.notches:
        end = (notch.at[0] + notch.long_mm * notch.towards[0], notch.at[1] + notch.long_mm * notch.towards[1])
        yield _path((notch.at, end), cut)
    if piece.grain:
        yield from _arrow(*piece.grain)
    for words in piece.words:
        x, y = _down(words.at)
        turn = f"translate({x} {y}) rotate({-words.slant:g})"
        size = words.high_mm / _CAPITALS
        yield (
            f'<text transform="{turn}" y="{words.high_mm / 2:g}" font-family="Hanken Grotesk" font-size="{size:g}" '
            f'text-anchor="middle" fill="{INK}">{escape(words.text)}</text>'
        )


def _path(points: Polyline, stroke: str, *, closed: bool = False) -> str:
    way = "L".join("{} {}".format(*_down(each)) for each in points)
    return f'<path d="M{way}{"Z" if closed else ""}" fill="none" {stroke}/>'


def _down(at: Point) -> tuple[str, str]:
    """A place of a piece on a picture; a thousandth of a mm is finer than any plotter."""
    return f"{at[0]:.3f}", f"{-at[1]:.3f}"


def _arrow(start: Point, end: Point) -> Iterator[str]:
    """The way of the grain: a shaft and a barb at either end."""
    stroke = f'stroke="{INK}" stroke-width="0.3"'
    yield _path((start, end), stroke)
    along = atan2(end[1] - start[1], end[0] - start[0])
    for tip, back in ((end, along + pi), (start, along)):
        barbs = [(tip[0] + 4 * cos(back + lean), tip[1] + 4 * sin(back + lean)) for lean in (0.35, -0.35)]
        yield _path((barbs[0], tip, barbs[1]), stroke)


def picture(left: float, bottom: float, wide: float, high: float, inside: str) -> str:
    """An SVG whose unit is 1 mm, showing so much of the plane."""
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{wide:g}mm" height="{high:g}mm" '
        f'viewBox="{left:.4f} {-(bottom + high):.4f} {wide:g} {high:g}">{inside}</svg>'
    )


# ---- tiles -----------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Tile:
    """One sheet of a piece: column and row from the top left, its lower left corner on the piece's plane [mm]."""

    column: int
    row: int
    left: float
    bottom: float

    @property
    def name(self) -> str:
        """Columns by letter, rows by number.

        >>> Tile(1, 2, 0.0, 0.0).name, Tile(27, 0, 0.0, 0.0).name
        ('B3', 'AB1')
        """
        letters = "" if self.column < 26 else chr(64 + self.column // 26)
        return f"{letters}{chr(65 + self.column % 26)}{self.row + 1}"


@dataclass(frozen=True)
class Tiling:
    """A piece on sheets: turned as it takes the fewest, and the sheets that carry some of it."""

    piece: Piece
    columns: int
    rows: int
    tiles: tuple[Tile, ...]

    @property
    def box(self) -> tuple[float, float, float, float]:
        """Left, bottom, width and height of the whole lattice [mm]."""
        wide, high = (_reach(self.columns, TILE_WIDE_MM), _reach(self.rows, TILE_HIGH_MM))
        left, bottom, right, top = self.piece.box
        return (left + right - wide) / 2, (bottom + top - high) / 2, wide, high


def count_tiles(long_mm: float, tile_mm: float) -> int:
    """Tiles in a row over a length: ⌈(L − o) ÷ (p − o)⌉.

    >>> count_tiles(1162.4, TILE_HIGH_MM), count_tiles(1162.4, TILE_WIDE_MM), count_tiles(92.3, TILE_WIDE_MM)
    (5, 7, 1)
    """
    return max(1, ceil((long_mm - OVERLAP_MM) / (tile_mm - OVERLAP_MM) - 1e-9))


def _reach(count: int, tile_mm: float) -> float:
    return count * (tile_mm - OVERLAP_MM) + OVERLAP_MM


def tiled(piece: Piece) -> Tiling:
    """The piece on the fewest sheets, upright or turned a quarter. BadInput when that would be a book."""
    from shapely import Polygon, box

    best = min((_lattice(turned(piece, angle)) for angle in (0.0, 90.0)), key=lambda found: found.columns * found.rows)
    if best.columns * best.rows > MOST_TILES:
        left, bottom, right, top = piece.box
        shown = f"{right - left:.0f} × {top - bottom:.0f} mm"
        what = f"would take more than {MOST_TILES} sheets."
        raise BadInput(Problem(f"piece {piece.name!r}", shown, what, "Check the unit, or print one long page."))
    outline = Polygon(best.piece.outline).buffer(CUT_MM)
    left, bottom, _, high = best.box
    tiles = [
        Tile(
            column,
            row,
            left + column * (TILE_WIDE_MM - OVERLAP_MM),
            bottom + high - TILE_HIGH_MM - row * (TILE_HIGH_MM - OVERLAP_MM),
        )
        for row in range(best.rows)
        for column in range(best.columns)
    ]
    carried = [
        each
        for each in tiles
        if outline.intersects(box(each.left, each.bottom, each.left + TILE_WIDE_MM, each.bottom + TILE_HIGH_MM))
    ]
    return Tiling(best.piece, best.columns, best.rows, tuple(carried))


def _lattice(piece: Piece) -> Tiling:
    left, bottom, right, top = piece.box
    line = 2 * CUT_MM  # the cut line itself needs room on the sheet
    return Tiling(
        piece, count_tiles(right - left + line, TILE_WIDE_MM), count_tiles(top - bottom + line, TILE_HIGH_MM), ()
    )


def tile_picture(tiling: Tiling, tile: Tile) -> str:
    """One sheet at true size: what it carries of the piece, the crosses it shares, and where a neighbour begins."""
    return picture(tile.left, tile.bottom, TILE_WIDE_MM, TILE_HIGH_MM, ink(tiling.piece) + "".join(_crosses(tile)))


def _crosses(tile: Tile) -> Iterator[str]:
    """Crosses in the middle of every overlap, on the lattice that all sheets share."""
    stroke = f'stroke="{CHALK}" stroke-width="0.2"'
    half = OVERLAP_MM / 2
    for x in (tile.left + half, tile.left + TILE_WIDE_MM - half):
        for y in (tile.bottom + half, tile.bottom + TILE_HIGH_MM - half):
            yield _path(((x - 4, y), (x + 4, y)), stroke)
            yield _path(((x, y - 4), (x, y + 4)), stroke)


def plan_picture(tiling: Tiling) -> str:
    """The joining plan of a piece: its outline under the lattice of sheets, each with its name."""
    left, bottom, wide, high = tiling.box
    return picture(left - 2, bottom - 2, wide + 4, high + 4, "".join(_plan(tiling)))


def _plan(tiling: Tiling) -> Iterator[str]:
    yield _path(tiling.piece.outline, f'stroke="{INK}" stroke-width="2.5"', closed=True)
    for tile in tiling.tiles:
        right, top = tile.left + TILE_WIDE_MM, tile.bottom + TILE_HIGH_MM
        corners = ((tile.left, tile.bottom), (right, tile.bottom), (right, top), (tile.left, top))
        yield _path(corners, f'stroke="{CHALK}" stroke-width="1.5" stroke-dasharray="8 5"', closed=True)
        x, y = _down(((tile.left + right) / 2, (tile.bottom + top) / 2))
        yield (
            f'<text x="{x}" y="{y}" font-family="Hanken Grotesk" font-size="44" font-weight="600" text-anchor="middle" '
            f'dominant-baseline="middle" fill="{CHALK}">{tile.name}</text>'
        )


# ---- everything on one page ------------------------------------------------------------------------------------------


def stacked(pieces: Iterable[Piece]) -> tuple[Piece, ...]:
    """The pieces one under the other, as many times as each is cut, left edges at x = 0, all below y = 0."""
    laid: list[Piece] = []
    y = 0.0
    for piece in pieces:
        for _ in range(piece.cut):
            left, bottom, _right, top = piece.box
            laid.append(moved(piece, -left, y - top))
            y -= top - bottom + GAP_MM
    return tuple(laid)


@dataclass(frozen=True, slots=True)
class Page:
    """A page that holds everything: its size [mm] and its picture."""

    wide_mm: float
    high_mm: float
    svg: str


def one_page(pieces: Sequence[Piece], margin_mm: float = 10.0, *, laid: bool = False) -> Page:
    """All pieces at true size on one page, one under the other; `laid` leaves them where they lie.

    BadInput when there are none.
    """
    if not pieces:
        raise BadInput(Problem("pieces", "", "are none.", "Draw one first."))
    shown = tuple(pieces) if laid else stacked(pieces)
    boxes = [piece.box for piece in shown]
    left, bottom = min(box[0] for box in boxes) - margin_mm, min(box[1] for box in boxes) - margin_mm
    wide = max(box[2] for box in boxes) + margin_mm - left
    high = max(box[3] for box in boxes) + margin_mm - bottom
    return Page(wide, high, picture(left, bottom, wide, high, "".join(map(ink, shown))))
