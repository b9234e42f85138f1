"""A photo among strips becomes an outline in mm with its certainty, or is refused with what to do."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise
from typing import TYPE_CHECKING, Any

import numpy as np

from trimwright.errors import BadInput, Problem
from trimwright.geometry.outline.certainty import Certainty, certainty
from trimwright.geometry.outline.edge import edge_of
from trimwright.geometry.outline.finding import find_strips
from trimwright.geometry.outline.photo import LEAST_FOCAL_35_MM, MOST_FOCAL_35_MM, Photo, focal_px
from trimwright.geometry.outline.plane import Bars, Plane, fitted
from trimwright.geometry.outline.shape import Node, drawn, nodes_of
from trimwright.geometry.outline.strips import LONG_MM, SQUARE_MM, STRIPS, WIDE_MM
from trimwright.geometry.pattern import Polyline

if TYPE_CHECKING:
    from trimwright.geometry.outline.finding import Seen

    Floats = np.typing.NDArray[np.float64]

PROMISED_MM = 1.0
"""No point of an outline that is given may have a 2σ beyond this."""
BEYOND_MM = SQUARE_MM
"""A strip reaches one square beyond its outermost corners, and so far an outline may."""
SOUGHT_MM = 60.0
"""The part is sought so far beyond the corners, so that one that reaches out is told."""
PAPER_MM = 12.0
"""White paper round a strip's squares."""
MOST_THICK_MM = 60.0
GUESSED_FOCAL_35_MM, FOCAL_DOUBTS = 26.0, (0.03, 0.15)
"""The usual lens of a phone, from memory; relative doubts of one that is told and of this guess."""


@dataclass(frozen=True, slots=True)
class Told:
    """What comes with the photo: which strips were laid, how thick the part is, what the bars read, the lens."""

    strips: tuple[str, ...] = tuple(STRIPS)
    thick_mm: float = 0.0
    bars: Bars = field(default_factory=Bars)
    focal_35_mm: float | None = None


@dataclass(frozen=True, eq=False, slots=True)
class Camera:
    """Where it stood: over which point of the plane, how high [mm], and how well its lens is known (relative)."""

    foot: Floats
    high_mm: float
    focal_doubt: float

    def lowered(self, thick_mm: float) -> float:
        """What a place at the top of the part must be scaled by about the foot.

        At 400 mm from the foot and 1050 below the camera, an edge 5 mm high appears 5 · 400 / 1045 mm further out.

        >>> camera = Camera(np.zeros(2), 1050.0, 0.0)
        >>> round(400 / camera.lowered(5) - 400, 5)
        1.91388
        """
        return (self.high_mm - thick_mm) / self.high_mm


@dataclass(frozen=True, eq=False, slots=True)
class Outline:
    """What was read: the nodes, the line through them [mm, y up], and how far it may be out."""

    nodes: tuple[Node, ...]
    line: Polyline
    certain: Certainty
    plane: Plane
    camera: Camera
    thick_mm: float
    photo: Photo
    seen: tuple[str, ...]

    @property
    def in_photo(self) -> Floats:
        """The line in the photo [px]."""
        return self.to_photo(self.line)

    def to_photo(self, points: Sequence[tuple[float, float]]) -> Floats:
        """Where points of the part's upper edge appear [px] (n, 2)."""
        return self.plane.to_px(raised(np.array(points), self.camera, self.thick_mm))

    def with_nodes(self, nodes: Sequence[Node]) -> Outline:
        """The outline through other nodes; what the photo leaves in doubt is told of the new line."""
        line, corner = drawn(nodes)
        certain = _certain(np.array(line), np.array(corner), self.plane, self.camera, self.thick_mm)
        return replace(self, nodes=tuple(nodes), line=line, certain=certain)


def read_outline(photo: Photo, where: str, told: Told | None = None) -> Outline:
    """The outline of the part between the strips; BadInput when it can't be promised to about a millimetre."""
    told = told or Told()
    if problems := [*_wrong(told)]:
        raise BadInput(problems)
    seen = find_strips(photo, told.strips, where)
    plane = fitted(seen, photo.size, told.bars)
    hull = _hull(plane, where)
    papers = [plane.to_px(each) for each in _papers(seen, plane)]
    edge_px = edge_of(photo, plane.to_px(_ring(hull.buffer(SOUGHT_MM))), papers, where)
    _stay_inside(plane.to_mm(edge_px), hull, where)
    plane = plane.from_corner(plane.to_mm(edge_px))
    camera = _camera(plane, photo, told.focal_35_mm)
    nodes = nodes_of(_sunk(plane.to_mm(edge_px), camera, told.thick_mm))
    line, corner = drawn(nodes)
    certain = _certain(np.array(line), np.array(corner), plane, camera, told.thick_mm)
    _refuse_doubt(certain, told.bars, photo, where)
    return Outline(nodes, line, certain, plane, camera, told.thick_mm, photo, tuple(each.strip for each in seen))


def _wrong(told: Told) -> Iterator[Problem]:
    if not 0 <= told.thick_mm <= MOST_THICK_MM:
        what = f"is not between 0 and {MOST_THICK_MM:g} mm."
        yield Problem("thickness", f"{told.thick_mm:g}", what, "Measure the edge with a caliper.")
    focal = told.focal_35_mm
    if focal is not None and not LEAST_FOCAL_35_MM <= focal <= MOST_FOCAL_35_MM:
        what = f"is not between {LEAST_FOCAL_35_MM:g} and {MOST_FOCAL_35_MM:g} mm."
        yield Problem("focal", f"{focal:g}", what, "Give it as on 35 mm film: 24 to 28 is a phone's, or leave it out.")


# ---- the field -------------------------------------------------------------------------------------------------------


def _hull(plane: Plane, where: str) -> Any:
    """Round all corners seen; BadInput when they leave no field for a part between them."""
    from shapely import MultiPoint

    hull: Any = MultiPoint(plane.corners).convex_hull
    sides = hull.minimum_rotated_rectangle.exterior.coords
    least = min(np.hypot(a[0] - b[0], a[1] - b[1]) for a, b in pairwise(sides))
    if least < 1.5 * WIDE_MM:
        way_out = "Lay strips on all sides of the part: what lies outside them can't be measured."
        raise BadInput(Problem(where, "", "has strips on one side only.", way_out))
    return hull


def _ring(polygon: Any) -> Floats:
    return np.array(polygon.exterior.coords[:-1])


def _papers(seen: Sequence[Seen], plane: Plane) -> list[Floats]:
    """The paper of each strip on the plane, laid by its corners."""
    import cv2

    low, long, wide = -PAPER_MM, LONG_MM + PAPER_MM, WIDE_MM + PAPER_MM
    sheet = np.array([[low, low], [long, low], [long, wide], [low, wide]])
    laid = []
    for each in seen:
        matrix, _ = cv2.estimateAffine2D(each.mm, plane.to_mm(each.px))
        laid.append(np.asarray(sheet @ matrix[:, :2].T + matrix[:, 2], dtype=float))
    return laid


def _stay_inside(edge: Floats, hull: Any, where: str) -> None:
    from shapely import contains_xy

    out = ~contains_xy(hull.buffer(BEYOND_MM), edge[:, 0], edge[:, 1])
    if out.any():
        way_out = (
            "Lay the strips further out, round its corners, and take it again; measure a longer part in two photos."
        )
        raise BadInput(Problem(where, "", "shows a part that reaches out beyond the strips.", way_out))


# ---- thickness -------------------------------------------------------------------------------------------------------


def _camera(plane: Plane, photo: Photo, told: float | None) -> Camera:
    focal = told or photo.focal_35_mm
    foot, high = plane.camera(focal_px(focal or GUESSED_FOCAL_35_MM, photo.size))
    return Camera(foot, high, FOCAL_DOUBTS[0 if focal else 1])


def _sunk(edge: Floats, camera: Camera, thick_mm: float) -> Floats:
    """The outline of the part from the outline of what is seen of it, top edge and bottom edge (n, 2), anticlockwise.

    A part with upright sides is where both its picture and that picture lowered from the top to the plane lie.
    """
    from shapely import Polygon
    from shapely.affinity import scale
    from shapely.geometry.polygon import orient

    seen = Polygon(edge).buffer(0)
    share = camera.lowered(thick_mm)
    part = seen.intersection(scale(seen, share, share, origin=tuple(camera.foot))) if thick_mm else seen
    largest = max(getattr(part, "geoms", [part]), key=lambda each: each.area)
    return _ring(orient(largest))


def raised(points: Floats, camera: Camera, thick_mm: float) -> Floats:
    """Where the edge of the part appears on the plane (n, 2): as its top where it falls away from the camera."""
    if thick_mm == 0 or len(points) < 3:
        return points
    along = np.roll(points, -1, axis=0) - np.roll(points, 1, axis=0)
    from_foot = points - camera.foot
    away = along[:, 1] * from_foot[:, 0] - along[:, 0] * from_foot[:, 1] > 0
    return np.where(away[:, None], camera.foot + from_foot / camera.lowered(thick_mm), points)


# ---- certainty -------------------------------------------------------------------------------------------------------


def _certain(
    points: Floats, corner: np.typing.NDArray[np.bool_], plane: Plane, camera: Camera, thick_mm: float
) -> Certainty:
    seen = raised(points, camera, thick_mm)
    px = plane.to_px(seen)
    doubts = np.concatenate((plane.spread(px), (camera.focal_doubt * (seen - points))[:, :, None]), axis=2)
    beside = np.linalg.norm(plane.to_mm(px + np.array([1.0, 0.0])) - seen, axis=1)
    return certainty(points, doubts, 1 / beside, corner)


def _refuse_doubt(certain: Certainty, bars: Bars, photo: Photo, where: str) -> None:
    worst = float(certain.two_sigma_mm.max())
    if worst <= PROMISED_MM:
        return
    ways = []
    if bars.long_mm is None or bars.short_mm is None:
        ways.append("read both bars on the printed sheet and say what they read, such as 260x190")
    if photo.more_pixels:
        ways.append(photo.more_pixels)
    ways.append("lay the strips closer round the part, from straight above and further away")
    way_out = f"{'; '.join(ways)}."
    what = f"leaves the outline in doubt by up to {worst:.1f} mm (2σ), more than the {PROMISED_MM:g} mm it must keep."
    raise BadInput(Problem(where, "", what, way_out[0].upper() + way_out[1:]))
