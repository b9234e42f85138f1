"""A curved patch laid flat with the least stretch, and how much stretch is left where.

The start is the least-squares conformal map (Lévy and others, 2002), which has no scale and is never cut from; the
finish is as rigid as possible (Sorkine and Alexa, 2007; Liu and others, 2008): every triangle keeps its own size as
nearly as its neighbours let it. Stretch is told from flat to worn: 1.05 = the flat leather must give 5 % there.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from trimwright.errors import BadInput, Problem
from trimwright.geometry.pattern import Piece
from trimwright.geometry.scan import Surface, check_disk

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray
    from shapely import Polygon

    from trimwright.geometry.scan import Floats, Indices

ROUNDS, MOST_ROUNDS = 20, 200
SETTLED = 1e-6
"""Rounds go on until they win less than this share of the energy."""
MOST_LAP_MM2 = 1.0
"""The tip of a dart may lap over by this much: less than a knife takes."""


@dataclass(frozen=True, eq=False)
class Patch:
    """A surface and where each of its points lies when flat: `flat` is (n, 2) [mm], longest from left to right."""

    surface: Surface
    flat: Floats
    edge: Indices
    """Its edge, anticlockwise, as indices of points."""
    stretches: Floats
    """(m, 2): of every triangle the most and the least it is stretched, flat to worn; 1 = not at all."""

    @property
    def most(self) -> float:
        """The most any hundredth part of its area is stretched: single bad triangles of a scan don't count."""
        return self._at(self.stretches[:, 0], 0.99)

    @property
    def least(self) -> float:
        """The least, likewise: below 1 the leather is squeezed there."""
        return self._at(self.stretches[:, 1], 0.01)

    @property
    def area_mm2(self) -> float:
        """Of the flat piece."""
        return float(abs(_signed_areas(self.flat, self.surface.faces).sum()))

    @property
    def energy(self) -> float:
        """Mean over the worn area of (s₁ - 1)² + (s₂ - 1)², stretches taken worn to flat."""
        import numpy as np

        areas = self.surface.face_areas_mm2
        return float((((1 / self.stretches - 1) ** 2).sum(axis=1) * areas).sum() / np.sum(areas))

    def beyond(self, limit: float) -> NDArray[np.bool_]:
        """The triangles that are stretched or squeezed by more than `limit` (0.05 = 5 %)."""
        import numpy as np

        return np.asarray((self.stretches[:, 0] > 1 + limit) | (self.stretches[:, 1] < 1 / (1 + limit)))

    def share_beyond(self, limit: float) -> float:
        """The share of the area that is."""
        areas = self.surface.face_areas_mm2
        return float(areas[self.beyond(limit)].sum() / areas.sum())

    def _at(self, values: Floats, share: float) -> float:
        import numpy as np

        order = np.argsort(values)
        filled = np.cumsum(self.surface.face_areas_mm2[order])
        return float(values[order][np.searchsorted(filled, share * filled[-1])])


def flatten(surface: Surface, where: str = "scan") -> Patch:
    """Lay a disk flat. BadInput when it is none, or when it would lie over itself."""
    import igl
    import numpy as np

    check_disk(surface, where)
    points, faces = surface.points, surface.faces
    loop = np.asarray(igl.boundary_loop_all(faces)[0], dtype=np.int64)
    far = loop[int(np.argmax(np.linalg.norm(points[loop] - points[loop[0]], axis=1)))]
    ends = np.array([loop[0], far], dtype=np.int64)
    start, _ = igl.lscm(points, faces, ends, np.array([[0.0, 0.0], [1.0, 0.0]]))
    size = np.sqrt(surface.area_mm2 / abs(_signed_areas(start, faces).sum()))
    flat = _as_rigid_as_possible(points, faces, np.ascontiguousarray(start * size), surface.face_areas_mm2)
    flat = _squared_up(flat, faces)
    patch = Patch(surface, flat, _anticlockwise(flat, loop), 1 / _stretches(points, flat, faces))
    _lies_open(patch, where)
    return patch


def as_piece(patch: Patch, name: str, within_mm: float = 0.05) -> Piece:
    """The patch as a flat piece, its outline freed of points that lie within `within_mm` of the line without them."""
    from shapely import Polygon

    outline = Polygon(_outline(patch).exterior.simplify(within_mm).coords)
    least_x, least_y, *_ = outline.bounds
    points = outline.exterior.coords[:-1]
    return Piece(name, tuple((float(x) - least_x, float(y) - least_y) for x, y, *_ in points))


def _outline(patch: Patch) -> Polygon:
    """Its edge as a polygon; where the tip of a dart laps over by a hair, without that hair."""
    from shapely import GeometryCollection, MultiPolygon, Polygon, make_valid

    outline = make_valid(Polygon(patch.flat[patch.edge]))
    parts = outline.geoms if isinstance(outline, MultiPolygon | GeometryCollection) else (outline,)
    return max((each for each in parts if isinstance(each, Polygon)), key=lambda each: each.area)


def _as_rigid_as_possible(points: Floats, faces: Indices, start: Floats, areas: Floats) -> Floats:
    """Rounds of it, until a round wins nothing more; one point is held, or the solver has nothing to stand on."""
    import igl
    import numpy as np

    data = igl.ARAPData()
    data.energy = igl.ARAP_ENERGY_TYPE_DEFAULT
    data.max_iter = ROUNDS
    held = np.array([0], dtype=np.int32)
    igl.arap_precomputation(points, faces, 2, held, data)
    flat, before = start, np.inf
    for _ in range(MOST_ROUNDS // ROUNDS):
        flat = igl.arap_solve(flat[[0]], data, np.ascontiguousarray(flat))
        energy = float((((_stretches(points, flat, faces) - 1) ** 2).sum(axis=1) * areas).sum() / areas.sum())
        if before - energy <= SETTLED * max(energy, 1e-12):
            break
        before = energy
    return np.asarray(flat)


def _stretches(points: Floats, flat: Floats, faces: Indices) -> Floats:
    """(m, 2): worn to flat, the least and the most of every triangle: singular values of its map (Sander 2001)."""
    import numpy as np

    a, b, c = (points[faces[:, k]] for k in range(3))
    along = np.linalg.norm(b - a, axis=1)
    x = ((c - a) * (b - a)).sum(axis=1) / along
    y = np.linalg.norm(np.cross(b - a, c - a), axis=1) / along
    u, v, w = (flat[faces[:, k]] for k in range(3))
    first = (v - u) / along[:, None]
    second = ((w - u) - first * x[:, None]) / y[:, None]
    p, q = (first**2).sum(axis=1), (second**2).sum(axis=1)
    mixed = (first * second).sum(axis=1)
    middle, apart = (p + q) / 2, np.hypot((p - q) / 2, mixed)
    turned = first[:, 0] * second[:, 1] - first[:, 1] * second[:, 0]
    most = np.sqrt(middle + apart)
    return np.column_stack((np.maximum(abs(turned) / most, 1e-9), most))


def _signed_areas(flat: Floats, faces: Indices) -> Floats:
    import numpy as np

    u, v, w = (flat[faces[:, k]] for k in range(3))
    d, e = v - u, w - u
    return np.asarray((d[:, 0] * e[:, 1] - d[:, 1] * e[:, 0]) / 2)


def _squared_up(flat: Floats, faces: Indices) -> Floats:
    """The good side up, the longest way (the first principal axis) from left to right, no coordinate below 0."""
    import numpy as np

    if _signed_areas(flat, faces).sum() < 0:
        flat = flat * np.array([1.0, -1.0])
    around = flat - flat.mean(axis=0)
    _, axes = np.linalg.eigh(around.T @ around)
    along = axes[:, 1] if axes[0, 1] >= 0 else -axes[:, 1]
    turned = around @ np.array([[along[0], -along[1]], [along[1], along[0]]])
    return np.asarray(turned - turned.min(axis=0))


def _anticlockwise(flat: Floats, loop: Indices) -> Indices:
    import numpy as np

    x, y = flat[loop].T
    return loop if (x * np.roll(y, -1) - np.roll(x, -1) * y).sum() > 0 else loop[::-1]


def _lies_open(patch: Patch, where: str) -> None:
    """BadInput when a triangle is turned over or the edge crosses itself: such a piece cannot be cut."""
    over = int((_signed_areas(patch.flat, patch.surface.faces) <= 0).sum())
    if over:
        what = f"folds over itself when laid flat ({over} triangles)."
        way_out = "It bends too far for one piece: draw a seam across it, or smooth the scan more."
    elif patch.area_mm2 - _outline(patch).area > MOST_LAP_MM2:
        what = "laps over itself when laid flat."
        way_out = "A dart that laps over needs a piece of its own: draw its seam on from edge to edge."
    else:
        return
    raise BadInput(Problem(where, "", what, way_out))
