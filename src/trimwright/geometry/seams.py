"""Seams drawn across a scanned surface: cut along them, the pieces laid flat, and what must match when they are sewn.

A seam is drawn on the surface as laid flat in one piece, or as points in space near it; between its points it runs
straight in that flat picture, which strays far less from the shortest way than a path along the triangles' sides. Its
points become points of the surface, so nothing zig-zags: every side of a triangle that it crosses is divided there.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import hypot
from typing import TYPE_CHECKING

from trimwright.errors import BadInput, Problem
from trimwright.geometry.flatten import Patch, flatten
from trimwright.geometry.pattern import Point, Polyline
from trimwright.geometry.scan import Surface

if TYPE_CHECKING:
    from trimwright.geometry.scan import Floats, Indices

Place = tuple[float, float, float]
"""A point in space [mm]."""

SNAP = 0.02
"""A seam that passes a point within this share of the mean side goes through it: no slivers."""
MEETS_MM = 4.0
"""An end so near the edge or another seam is meant to lie on it: no strip is sewn that is narrower."""


@dataclass(frozen=True, slots=True)
class Seam:
    """One seam: where it is drawn, how long it is on the surface, and how long on each piece that it joins [mm]."""

    drawn: Polyline
    worn_mm: float
    flat_mm: tuple[tuple[int, float], ...]
    """(number of the piece, length there): twice the same piece where it is a dart."""
    way: tuple[Place, ...]
    """Every point of the surface that it goes through [mm]."""

    @property
    def differ_mm(self) -> float:
        """How far the two sides are from each other: what has to be eased in when it is sewn."""
        lengths = [each for _, each in self.flat_mm]
        return max(lengths) - min(lengths) if lengths else 0.0


@dataclass(frozen=True, eq=False)
class Cut:
    """The pieces, the largest first, and the seams between them."""

    patches: tuple[Patch, ...]
    seams: tuple[Seam, ...]


def on_flat(patch: Patch, points: Iterable[Place], within_mm: float = 20.0) -> Polyline:
    """Points in space near the surface, as drawn on it when flat; BadInput when one lies further off."""
    import igl
    import numpy as np

    wanted = np.array([tuple(each) for each in points], dtype=np.float64)
    squares, number, nearest = igl.point_mesh_squared_distance(wanted, patch.surface.points, patch.surface.faces)
    far = [
        Problem("seam", f"{x:g} {y:g} {z:g}", f"lies {d:.0f} mm off the surface.", "Put its points on the scan itself.")
        for (x, y, z), d in zip(wanted.tolist(), np.sqrt(squares).tolist(), strict=True)
        if d > within_mm
    ]
    if far:
        raise BadInput(far)
    laid = _carried(nearest, number, patch.surface.faces, patch.surface.points, patch.flat)
    return tuple((float(x), float(y)) for x, y in laid)


def in_space(patch: Patch, drawn: Polyline) -> tuple[Place, ...]:
    """The other way: points drawn on it when flat, as they lie in space; one beside it, as its nearest point does."""
    import igl
    import numpy as np

    flat, faces = np.column_stack((patch.flat, np.zeros(len(patch.flat)))), patch.surface.faces
    _, number, nearest = igl.point_mesh_squared_distance(np.array([(x, y, 0.0) for x, y in drawn]), flat, faces)
    laid = _carried(nearest, number, faces, flat, patch.surface.points)
    return tuple((float(x), float(y), float(z)) for x, y, z in laid)


def _carried(points: Floats, number: Indices, faces: Indices, lie: Floats, to: Floats) -> Floats:
    """Points of triangles, by the triangles' numbers, from where their corners `lie` to where else they are."""
    import igl
    import numpy as np

    corners = [np.ascontiguousarray(lie[faces[number, k]]) for k in range(3)]
    shares = igl.barycentric_coordinates(np.ascontiguousarray(points), *corners)
    return np.asarray((to[faces[number]] * shares[:, :, None]).sum(axis=1))


def meeting(patch: Patch, seams: Sequence[Polyline]) -> tuple[Polyline, ...]:
    """The same seams, every end that nearly meets the edge or another seam brought there.

    BadInput with every seam that touches neither: it would leave a slit.
    """
    from shapely import LineString, MultiLineString, Point, shortest_line

    rim = LineString(patch.flat[[*patch.edge, patch.edge[0]]])
    met, adrift = [], []
    for number, seam in enumerate(seams):
        others = [LineString(each) for at, each in enumerate(seams) if at != number and len(each) > 1]
        goals = MultiLineString([rim, *others])
        points = list(seam)
        if len(points) > 1 and LineString(points).distance(goals) > MEETS_MM:
            what = "touches neither the edge nor another seam."
            adrift.append(Problem(f"seam {number + 1}", "", what, "Draw one of its ends on to the edge."))
        for end in (0, -1):
            way = shortest_line(Point(points[end]), goals)
            if way.length <= MEETS_MM:
                x, y = way.coords[1]
                points[end] = (x, y)
        met.append(tuple(points))
    if adrift:
        raise BadInput(adrift)
    return tuple(met)


def cut_along(patch: Patch, seams: Sequence[Polyline]) -> Cut:
    """Cut a flat patch along seams drawn on it and lay every piece flat for itself.

    A seam from edge to edge makes two pieces; one that ends inside makes a dart. BadInput when a seam does not touch
    the patch.
    """
    import igl
    import numpy as np

    if not seams:
        return Cut((patch,), ())
    drawing = _Drawing(patch)
    ways = [drawing.draw(seam, number) for number, seam in enumerate(seams, 1)]
    drawn = [drawing.as_divided(each) for each in ways]
    points, faces = drawing.arrays()
    open_sides = {frozenset(side) for way in drawn for side in pairwise(way)}
    flags = np.array([[frozenset((f[k], f[(k + 1) % 3])) in open_sides for k in range(3)] for f in faces.tolist()])
    apart, cut_faces, was = igl.cut_mesh(points, faces, flags)
    _, piece_of = igl.facet_components(cut_faces)
    sizes = np.bincount(piece_of, weights=Surface(apart, cut_faces).face_areas_mm2)
    patches: list[Patch] = []
    numbers: list[Indices] = []
    for piece in np.argsort(-sizes):
        used, renamed = np.unique(cut_faces[piece_of == piece], return_inverse=True)
        surface = Surface(apart[used], renamed.reshape(-1, 3).astype(np.int64), patch.surface.notes)
        patches.append(flatten(surface, f"piece {len(patches) + 1}"))
        numbers.append(np.asarray(was)[used])
    return Cut(
        tuple(patches),
        tuple(_measured(way, seam, points, patches, numbers) for way, seam in zip(drawn, seams, strict=True)),
    )


def _measured(way: list[int], seam: Polyline, points: Floats, patches: list[Patch], numbers: list[Indices]) -> Seam:
    """What a seam measures on the surface, and on each side of it when flat."""
    import numpy as np

    worn = float(np.linalg.norm(np.diff(points[way], axis=0), axis=1).sum())
    sides = list(pairwise(way))
    lengths: list[tuple[int, float]] = []
    for number, (patch, was) in enumerate(zip(patches, numbers, strict=True), 1):
        edge = patch.edge
        ends = {(int(was[a]), int(was[b])): (int(a), int(b)) for a, b in zip(edge, np.roll(edge, -1), strict=True)}
        for run in ([ends.get(each) for each in sides], [ends.get((b, a)) for a, b in sides]):
            flat = sum(float(np.linalg.norm(patch.flat[each[0]] - patch.flat[each[1]])) for each in run if each)
            if flat:
                lengths.append((number, flat))
    return Seam(seam, worn, tuple(lengths), tuple((float(x), float(y), float(z)) for x, y, z in points[way]))


class _Drawing:
    """A flat patch being drawn on: its triangles are divided where a line passes, in the flat and in space at once."""

    def __init__(self, patch: Patch) -> None:
        self.flat: list[Point] = [(float(x), float(y)) for x, y in patch.flat]
        self.space: list[Floats] = list(patch.surface.points)
        self.faces: list[tuple[int, int, int]] = [(int(a), int(b), int(c)) for a, b, c in patch.surface.faces]
        self.beside: dict[frozenset[int], set[int]] = {}
        self.round: dict[int, set[int]] = {}
        for number in range(len(self.faces)):
            self._enter(number)
        self.divided: dict[frozenset[int], int] = {}
        """The point that was made on a side, by the side's old ends."""
        self.near = SNAP * patch.surface.edge_mm

    def arrays(self) -> tuple[Floats, Indices]:
        import numpy as np

        return np.array(self.space), np.array(self.faces, dtype=np.int64)

    def draw(self, line: Polyline, number: int) -> list[int]:
        """The points of the surface along a line, those made for it among them; only the part on the patch is drawn."""
        from shapely import LineString, MultiLineString, Polygon

        outline = Polygon([self.flat[each] for each in self._edge()])
        if len(line) < 2:
            what = "has one point only."
            raise BadInput(Problem(f"seam {number}", "", what, "Give two or more."))
        inside = LineString(line).intersection(outline.buffer(self.near / 2))
        if isinstance(inside, MultiLineString) or inside.is_empty or inside.length < 10 * self.near:
            what = "does not touch the patch." if inside.is_empty else "leaves the patch and comes back."
            raise BadInput(Problem(f"seam {number}", "", what, "Draw it on the surface, one seam for each stretch."))
        stops = [self._point((at[0], at[1])) for at in inside.coords]
        way = [stops[0]]
        for stop in stops[1:]:
            if stop != way[-1]:
                way += self._walk(way[-1], stop)
        return way

    def as_divided(self, way: list[int]) -> list[int]:
        """A way with the points that later seams made on it."""
        whole = way[:1]
        for ends in pairwise(way):
            made = self.divided.get(frozenset(ends))
            whole += ends[1:] if made is None else self.as_divided([ends[0], made, ends[1]])[1:]
        return whole

    def _edge(self) -> list[int]:
        import igl
        import numpy as np

        return list(igl.boundary_loop_all(np.array(self.faces, dtype=np.int64))[0])

    def _enter(self, number: int) -> None:
        a, b, c = self.faces[number]
        for side in ((a, b), (b, c), (c, a)):
            self.beside.setdefault(frozenset(side), set()).add(number)
        for each in (a, b, c):
            self.round.setdefault(each, set()).add(number)

    def _leave(self, number: int) -> None:
        a, b, c = self.faces[number]
        for side in ((a, b), (b, c), (c, a)):
            self.beside[frozenset(side)].discard(number)
        for each in (a, b, c):
            self.round[each].discard(number)

    def _put(self, number: int, face: tuple[int, int, int]) -> None:
        """A triangle in the place of another, or behind them all."""
        if number == len(self.faces):
            self.faces.append(face)
        else:
            self._leave(number)
            self.faces[number] = face
        self._enter(number)

    def _point(self, at: Point) -> int:
        """The surface's point there: one that is near enough, or a new one on a side or inside a triangle."""
        import numpy as np

        flat = np.array(self.flat)
        nearest = int(np.argmin(((flat - at) ** 2).sum(axis=1)))
        if np.hypot(*(flat[nearest] - at)) <= self.near:
            return nearest
        faces = np.array(self.faces)
        a, b, c = (flat[faces[:, k]] for k in range(3))
        whole = _cross(b - a, c - a)
        shares = (
            np.column_stack((_cross(b - at, c - at), _cross(c - at, a - at), _cross(a - at, b - at))) / whole[:, None]
        )
        number = int(np.argmax(shares.min(axis=1)))
        share = np.clip(shares[number], 0, None)
        share /= share.sum()
        corners = self.faces[number]
        heights = (
            share
            * abs(whole[number])
            / np.array([np.hypot(*(flat[corners[(k + 1) % 3]] - flat[corners[(k + 2) % 3]])) for k in range(3)])
        )
        thin = int(np.argmin(heights))
        if heights[thin] <= self.near:
            first, second = corners[(thin + 1) % 3], corners[(thin + 2) % 3]
            return self._divide(first, second, float(share[(thin + 2) % 3] / (1 - share[thin])))
        made = self._new({each: float(part) for each, part in zip(corners, share, strict=True)})
        p, q, r = corners
        self._put(number, (p, q, made))
        self._put(len(self.faces), (q, r, made))
        self._put(len(self.faces), (r, p, made))
        return made

    def _new(self, shares: dict[int, float]) -> int:
        import numpy as np

        self.space.append(np.sum([part * self.space[each] for each, part in shares.items()], axis=0))
        x = sum(part * self.flat[each][0] for each, part in shares.items())
        y = sum(part * self.flat[each][1] for each, part in shares.items())
        self.flat.append((x, y))
        return len(self.flat) - 1

    def _divide(self, first: int, second: int, share: float) -> int:
        """A new point on the side between two, `share` of the way; both triangles beside it become two."""
        made = self._new({first: 1 - share, second: share})
        self.divided[frozenset((first, second))] = made
        for number in tuple(self.beside[frozenset((first, second))]):
            corners = self.faces[number]
            self._put(number, _with(corners, second, made))
            self._put(len(self.faces), _with(corners, first, made))
        return made

    def _walk(self, start: int, goal: int) -> list[int]:
        """Points along the straight line between two points, dividing what it crosses; without the start."""
        way: list[int] = []
        here = start
        while here != goal:
            if frozenset((here, goal)) in self.beside and self.beside[frozenset((here, goal))]:
                here = goal
            else:
                here = self._step(here, goal)
            way.append(here)
        return way

    def _step(self, here: int, goal: int) -> int:
        """The next point on the way: a corner that lies on the line, or where it leaves the triangle."""
        x, y = self.flat[here]
        dx, dy = self.flat[goal][0] - x, self.flat[goal][1] - y
        far = hypot(dx, dy)

        def off(point: int) -> float:
            """How far a point lies to the left of the line."""
            return (dx * (self.flat[point][1] - y) - dy * (self.flat[point][0] - x)) / far

        def on(point: int) -> float:
            return (dx * (self.flat[point][0] - x) + dy * (self.flat[point][1] - y)) / far

        for number in self.round[here]:
            corners = self.faces[number]
            k = corners.index(here)
            right, left = corners[(k + 1) % 3], corners[(k + 2) % 3]
            for corner in (right, left):
                if abs(off(corner)) <= self.near / 10 and on(corner) > 0:
                    return corner
            if off(right) < 0 < off(left):
                share = off(right) / (off(right) - off(left))
                if on(right) + share * (on(left) - on(right)) > 0:
                    return self._divide(right, left, share)
        what = "leaves the patch."
        raise BadInput(Problem("seam", "", what, "Draw it on the surface, one seam for each stretch."))


def _cross(p: Floats, q: Floats) -> Floats:
    return p[..., 0] * q[..., 1] - p[..., 1] * q[..., 0]


def _with(corners: tuple[int, int, int], old: int, new: int) -> tuple[int, int, int]:
    a, b, c = (new if each == old else each for each in corners)
    return a, b, c
