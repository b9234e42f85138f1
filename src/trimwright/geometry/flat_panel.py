"""panel_of(scan, …) → FlatPanel: a scanned panel smoothed, laid flat, cut along drawn seams, as pieces to cut."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from trimwright.errors import BadInput, Problem
from trimwright.geometry.scan import MM, Unit

if TYPE_CHECKING:
    from trimwright.geometry.flatten import Patch
    from trimwright.geometry.pattern import Piece, Polyline
    from trimwright.geometry.relief import Relief
    from trimwright.geometry.seams import Cut, Place


@dataclass(frozen=True, slots=True)
class FlatPanel:
    """The cut panel, its pieces, what the material gives as a share, how far smoothing moved points [mm], the darts."""

    cut: Cut
    pieces: tuple[Piece, ...]
    limit: float
    moved_mm: float
    darts: tuple[Relief | None, ...]
    """For each piece, where one would help."""
    unit: Unit
    """The scan's own."""

    @property
    def ways(self) -> tuple[tuple[Place, ...], ...]:
        """Where each seam runs on the scan, in its unit."""
        return tuple(_in_unit(each.way, self.unit) for each in self.cut.seams)

    @property
    def darts_on_scan(self) -> tuple[tuple[Place, ...], ...]:
        """Points of the dart that would help each piece, on the scan in its unit; none where none would."""
        from trimwright.geometry.seams import in_space

        pairs = zip(self.cut.patches, self.darts, strict=True)
        return tuple(_in_unit(in_space(patch, _thirds(dart.drawn)), self.unit) if dart else () for patch, dart in pairs)

    @property
    def notes(self) -> tuple[str, ...]:
        """What was tidied in the scan."""
        return tuple(self.cut.patches[0].surface.notes)


def panel_of(
    scan: Path,
    name: str,
    *,
    unit: Unit = "mm",
    smooth_mm: float = 0.0,
    seams: Sequence[tuple[str, str]] = (),
    limit: float = 0.05,
    allowance_mm: float = 0.0,
    mirror: bool = False,
    tell: Callable[[str], None] = lambda _what: None,
) -> FlatPanel:
    """The panel of a scan; `seams` are drawn lines as text, a point to a line, each with what it is called.

    `limit` is the share that the material gives; `tell` hears what is being done. BadInput when the scan is no panel,
    or a seam cannot be read.
    """
    from trimwright.geometry.flatten import flatten
    from trimwright.geometry.relief import relief
    from trimwright.geometry.scan import read_scan, smoothed
    from trimwright.geometry.seams import cut_along, meeting

    tell("Reading the scan")
    surface, moved = smoothed(read_scan(scan, unit), smooth_mm)
    tell(f"Laying {len(surface.faces):,} triangles flat")
    whole = flatten(surface, scan.name)
    tell("Cutting it along its seams")
    cut = cut_along(whole, meeting(whole, [_seam(text, called, unit, whole) for called, text in seams]))
    tell("Looking where a dart would help")
    darts = tuple(relief(each, limit) for each in cut.patches)
    return FlatPanel(cut, _pieces(cut, name, allowance_mm, mirror), limit, moved, darts, unit)


def share_given(percent: float, where: str) -> float:
    """What a material gives, as a share; BadInput when it is no stretch of one.

    >>> share_given(4, "limit")
    0.04
    """
    if not 0.1 <= percent <= 50:
        what = "is not between 0.1 and 50 per cent."
        raise BadInput(Problem(where, f"{percent:g}", what, "Pull a marked strip: 100 mm read as 104 is 4."))
    return percent / 100


def _seam(text: str, called: str, unit: Unit, whole: Patch) -> Polyline:
    """The points of a seam on the flat piece; BadInput with every line that is none."""
    from trimwright.geometry.seams import on_flat

    points: list[tuple[float, ...]] = []
    wrong = []
    for number, line in enumerate(text.splitlines(), 1):
        typed = line.split("#")[0].strip()
        if not typed:
            continue
        try:
            point = tuple(float(each) for each in re.split(r"[,;\s]+", typed))
        except ValueError:
            point = ()
        if len(point) not in (2, 3) or (points and len(point) != len(points[0])):
            way_out = "Write x y or x y z, the same on every line, with a point for decimals."
            wrong.append(Problem(f"{called} › line {number}", typed[:40], "is no point of a seam.", way_out))
        else:
            points.append(point)
    if not points and not wrong:
        wrong.append(Problem(called, "", "has no points.", "Write one to a line: x y or x y z."))
    if wrong:
        raise BadInput(wrong)
    if len(points[0]) == 3:
        return on_flat(whole, [(x * MM[unit], y * MM[unit], z * MM[unit]) for x, y, z in points])
    return tuple((x, y) for x, y in points)


def _in_unit(points: Sequence[Place], unit: Unit) -> tuple[Place, ...]:
    per = MM[unit]
    return tuple((x / per, y / per, z / per) for x, y, z in points)


def _thirds(line: Polyline) -> Polyline:
    """A straight line with points at its thirds: what is straight on a piece need not be so on the whole."""
    (x, y), (u, v) = line
    return tuple((x + share * (u - x), y + share * (v - y)) for share in (0, 1 / 3, 2 / 3, 1))


def as_lines(points: Sequence[Place], unit: Unit) -> str:
    """Points on the scan as they are typed, to a hundredth of a millimetre.

    >>> as_lines([(1.0, 2.0, 3.4567)], "mm"), as_lines([(0.0123456, 0.0, 0.0)], "m")
    ('1 2 3.46', '0.01235 0 0')
    """
    from math import ceil, log10

    places = 2 + ceil(log10(MM[unit]))
    return "\n".join(
        " ".join(f"{round(each, places) + 0.0:.{places}f}".rstrip("0").rstrip(".") for each in point)
        for point in points
    )


def _pieces(cut: Cut, name: str, allowance: float, mirror: bool) -> tuple[Piece, ...]:
    from trimwright.geometry.flatten import as_piece
    from trimwright.geometry.pattern import labelled, mirrored, with_allowance

    many = len(cut.patches) > 1
    names = [f"{name} {number}" if many else name for number in range(1, len(cut.patches) + 1)]
    pieces = [
        with_allowance(as_piece(each, called), allowance) for each, called in zip(cut.patches, names, strict=True)
    ]
    others = [mirrored(each, f"{each.name} mirrored") for each in pieces if mirror]
    return tuple(labelled(each) for each in pieces + others)


# ---- how it is told --------------------------------------------------------------------------------------------------


def rows(panel: FlatPanel) -> Iterator[tuple[str, ...]]:
    """Every piece that was laid flat: name, size as cut, stretched, squeezed, beyond the limit."""
    for piece, patch in zip(panel.pieces, panel.cut.patches, strict=False):
        wide, high = piece.box[2] - piece.box[0], piece.box[3] - piece.box[1]
        beyond = patch.share_beyond(panel.limit)
        yield (
            piece.name,
            f"{wide:.0f} × {high:.0f} mm",
            f"{patch.most - 1:+.1%}",
            f"{patch.least - 1:+.1%}",
            f"{beyond:.0%}" if beyond else "nothing",
        )


def heads(panel: FlatPanel) -> tuple[str, ...]:
    """What the columns of `rows` are called."""
    return "Piece", "As cut", "Stretched", "Squeezed", f"Beyond {panel.limit:.1%}"


def told(panel: FlatPanel, seam_goes: str) -> Iterator[str]:
    """Seams side by side, and the dart that would help; `seam_goes` says where a seam's points are given."""
    for number, each in enumerate(panel.cut.seams, 1):
        sides = ", ".join(f"piece {piece} {length:.1f} mm" for piece, length in each.flat_mm)
        yield f"Seam {number}: {each.worn_mm:.1f} mm on the scan; {sides}; {each.differ_mm:.1f} mm to ease in."
    for piece, dart, points in zip(panel.pieces, panel.darts, panel.darts_on_scan, strict=False):
        if dart:
            at = ", ".join(as_lines(points, panel.unit).splitlines())
            yield (
                f"{piece.name}: a dart through {at} (x y z on the scan) leaves {dart.share_after:.0%} beyond the limit "
                f"instead of {dart.share_before:.0%}. {seam_goes}"
            )


def plain(panel: FlatPanel) -> dict[str, Any]:
    """The same as plain data; lengths mm, stretch as shares."""
    return {
        "pieces": [
            {
                "name": piece.name, "area_mm2": round(piece.area_mm2, 1), "stretched": round(patch.most - 1, 5),
                "squeezed": round(patch.least - 1, 5), "beyond_limit": round(patch.share_beyond(panel.limit), 4),
                "outline_mm": [[round(x, 3), round(y, 3)] for x, y in piece.outline],
            }
            for piece, patch in zip(panel.pieces, panel.cut.patches, strict=False)
        ],
        "seams": [
            {
                "scan_mm": round(each.worn_mm, 2), "differ_mm": round(each.differ_mm, 2),
                "flat_mm": [{"piece": piece, "mm": round(length, 2)} for piece, length in each.flat_mm],
            }
            for each in panel.cut.seams
        ],
        "darts": [
            {
                "piece": piece.name, "from_to_mm": [[round(x, 1), round(y, 1)] for x, y in dart.drawn],
                "on_scan": as_lines(points, panel.unit).splitlines(),
                "beyond_before": round(dart.share_before, 4), "beyond_after": round(dart.share_after, 4),
            }
            for piece, dart, points in zip(panel.pieces, panel.darts, panel.darts_on_scan, strict=False)
            if dart
        ],
        "limit": panel.limit,
        "smoothed_mm": round(panel.moved_mm, 3),
        "notes": list(panel.notes),
    }  # fmt: skip
