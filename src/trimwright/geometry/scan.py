"""A scanned surface of triangles: read, tidied, measured against its room, and refused with a reason.

Conventions, said once. Lengths are mm. `points` is (n, 3), `faces` (m, 3): three indices into the points, anticlockwise
seen from the good side. What is cut from a scan has one edge all round it, like a sheet of cloth: a disk.
"""

from __future__ import annotations

import struct
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from trimwright.errors import BadInput, Problem, UnreadableFile

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Indices = NDArray[np.int64]

Unit = Literal["mm", "cm", "m", "in"]
MM: dict[Unit, float] = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4}

MOST_FACES = 1_000_000
LEAST_MM, MOST_MM = 20.0, 4000.0
"""The longest side of anything in a cabin that is worth a scan lies between."""


@dataclass(frozen=True, eq=False)
class Surface:
    """Points and triangles, and what was tidied on the way in."""

    points: Floats
    faces: Indices
    notes: tuple[str, ...] = ()

    @property
    def size_mm(self) -> tuple[float, float, float]:
        """Its box along x, y and z."""
        x, y, z = (float(each) for each in self.points.max(axis=0) - self.points.min(axis=0))
        return x, y, z

    @property
    def face_areas_mm2(self) -> Floats:
        """Of every triangle."""
        import numpy as np

        a, b, c = (self.points[self.faces[:, k]] for k in range(3))
        return np.asarray(np.linalg.norm(np.cross(b - a, c - a), axis=1) / 2)

    @property
    def area_mm2(self) -> float:
        return float(self.face_areas_mm2.sum())

    @property
    def edge_mm(self) -> float:
        """The mean length of a triangle's side."""
        import numpy as np

        a, b, c = (self.points[self.faces[:, k]] for k in range(3))
        return float(np.mean([np.linalg.norm(u - v, axis=1).mean() for u, v in ((a, b), (b, c), (c, a))]))


def read_scan(path: Path, unit: Unit = "mm") -> Surface:
    """The surface in an OBJ, PLY or STL file; equal points merged, faces turned the same way, stray points dropped.

    UnreadableFile when it is no such file, is too large, or has no triangles; BadInput when its size says that the
    unit is wrong.
    """
    import numpy as np
    import trimesh

    kind = path.suffix.lower()
    if kind not in {".obj", ".ply", ".stl"}:
        what = "is no scan that can be read here."
        raise UnreadableFile(Problem(path.name, kind, what, "Save the scan as OBJ, PLY or STL."))
    try:
        faces = _faces_told(path)
        _not_too_many(path, faces)
        mesh = trimesh.load(path, force="mesh", process=False, skip_materials=True)
    except UnreadableFile:
        raise
    except OSError as error:
        what = f"cannot be read ({error.strerror or error})."
        raise UnreadableFile(Problem(path.name, "", what, "Check the name and the folder.")) from None
    except Exception as error:  # whatever a broken file makes of its reader
        what = "is cut off, or no scan of its kind."
        way_out = "Save it once more in the scanning program, as OBJ, PLY or STL."
        raise UnreadableFile(Problem(path.name, "", what, way_out)) from error
    if not isinstance(mesh, trimesh.Trimesh) or not len(mesh.faces):
        what = "has no triangles: points alone are no surface."
        raise UnreadableFile(Problem(path.name, "", what, "Let the scanning program make a mesh of it first."))
    _not_too_many(path, len(mesh.faces))
    points = np.array(mesh.vertices, dtype=np.float64) * MM[unit]
    if not np.isfinite(points).all():
        what = "has points that are no numbers."
        raise UnreadableFile(Problem(path.name, "", what, "Save it once more in the scanning program."))
    surface = _tidied(Surface(points, np.array(mesh.faces, dtype=np.int64)))
    _has_a_sane_size(path.name, surface, unit)
    return surface


def check_disk(surface: Surface, where: str = "scan") -> None:
    """BadInput when the surface is no disk: several bodies, edges that three faces share, holes, or no edge at all."""
    import igl

    wrong: list[Problem] = []
    bodies, of_face = igl.facet_components(surface.faces)
    if bodies > 1:
        import numpy as np

        sizes = sorted(np.bincount(of_face).tolist(), reverse=True)
        told = ", ".join(str(each) for each in sizes[:4]) + (" …" if bodies > 4 else "")
        what = f"is {bodies} bodies ({told} triangles)."
        wrong.append(Problem(where, "", what, "Keep the one panel and delete the rest in the scanning program."))
    elif torn := _not_manifold(surface, where):
        wrong.append(torn)
    else:
        edges = igl.boundary_loop_all(surface.faces)
        if not edges:
            what = "is closed all round, with no edge to lay it open at."
            wrong.append(Problem(where, "", what, "Cut away its back in the scanning program."))
        elif len(edges) > 1:
            lengths = sorted((_round_mm(surface, each) for each in edges), reverse=True)[1:]
            holes = "a hole" if len(lengths) == 1 else f"{len(lengths)} holes, the largest"
            what = f"has {holes} {lengths[0]:.0f} mm round."
            wrong.append(Problem(where, "", what, "Fill it in the scanning program, or cut the scan there."))
        elif igl.euler_characteristic(surface.faces) != 1:
            what = "has a handle through it, like a cup."
            wrong.append(Problem(where, "", what, "Cut it through in the scanning program."))
    if wrong:
        raise BadInput(wrong)


def check_manifold(surface: Surface, where: str = "scan") -> None:
    """BadInput when three or more triangles share a side, or parts hang together by a point alone."""
    if torn := _not_manifold(surface, where):
        raise BadInput(torn)


def smoothed(surface: Surface, over_mm: float) -> tuple[Surface, float]:
    """The surface with bumps shorter than about `over_mm` taken out, and how far its points moved (rms) [mm].

    A scan's noise makes a pattern longer: its area grows by about 3.2 (noise / side of a triangle)². Least change of
    position against least bending, (M + λQ) x = M x with λ = over_mm⁴; the bending energy is that of Stein, Jacobson,
    Wardetzky and Grinspun (2020), which leaves a free edge where it is.
    """
    if over_mm == 0:
        return surface, 0.0
    if not 0 < over_mm <= 100:
        what = "is not between 0 and 100 mm."
        raise BadInput(Problem("smoothing", f"{over_mm:g}", what, "5 or 6 mm takes out what a phone's scan shakes."))
    import igl
    import numpy as np
    from scipy.sparse.linalg import splu

    mass = igl.massmatrix(surface.points, surface.faces)
    bending = igl.curved_hessian_energy(surface.points, surface.faces)
    laid = splu((mass + over_mm**4 * bending).tocsc()).solve(mass @ surface.points)
    moved = float(np.sqrt(((laid - surface.points) ** 2).sum(axis=1).mean()))
    return replace(surface, points=np.ascontiguousarray(laid)), moved


def _tidied(surface: Surface) -> Surface:
    """Equal points merged, triangles without an area dropped, all faces turned the same way."""
    import igl
    import numpy as np

    notes = []
    points, same = np.unique(surface.points, axis=0, return_inverse=True)
    faces = same.reshape(-1)[surface.faces]
    whole = (faces[:, 0] != faces[:, 1]) & (faces[:, 1] != faces[:, 2]) & (faces[:, 2] != faces[:, 0])
    _, first = np.unique(np.sort(faces, axis=1), axis=0, return_index=True)
    once = np.zeros(len(faces), dtype=bool)
    once[first] = True
    if dropped := int((~(whole & once)).sum()):
        notes.append(f"{dropped} triangles without an area, or given twice, were dropped.")
    faces = faces[whole & once]
    turned, _ = igl.bfs_orient(faces)
    turned = np.asarray(turned, dtype=np.int64)
    differ = int((turned != faces).any(axis=1).sum())
    if 2 * differ > len(faces):  # the few were turned to the many, not the other way round
        turned, differ = turned[:, ::-1], len(faces) - differ
    if differ:
        notes.append(f"{differ} triangles lay with their back to the front and were turned.")
    used, numbers = np.unique(turned, return_inverse=True)
    return Surface(points[used], np.ascontiguousarray(numbers.reshape(turned.shape)), tuple(notes))


def _not_manifold(surface: Surface, where: str) -> Problem | None:
    import igl

    if not igl.is_edge_manifold(surface.faces)[0]:
        what = "has edges where three or more triangles meet."
        return Problem(where, "", what, "Let the scanning program repair it (remove non-manifold edges).")
    if not all(igl.is_vertex_manifold(surface.faces)):
        what = "hangs together by single points."
        return Problem(where, "", what, "Let the scanning program repair it (split non-manifold points).")
    return None


def _has_a_sane_size(name: str, surface: Surface, unit: Unit) -> None:
    longest = max(surface.size_mm)
    if LEAST_MM <= longest <= MOST_MM:
        return
    told = " × ".join(f"{each:,.0f}" if each >= 1000 else f"{each:.4g}" for each in surface.size_mm)
    fits = [each for each, mm in MM.items() if LEAST_MM <= longest / MM[unit] * mm <= MOST_MM and each != unit]
    way_out = f"Say which unit it is in; {' or '.join(fits)} would fit a cabin." if fits else "Check what was scanned."
    raise BadInput(Problem(name, "", f"would be {told} mm when read in {unit}.", way_out))


def _not_too_many(path: Path, faces: int) -> None:
    if faces > MOST_FACES:
        what = f"has {faces:,} triangles; {MOST_FACES:,} are the most."
        way_out = "Let the scanning program make it coarser: sides of 3 mm are fine enough for leather."
        raise UnreadableFile(Problem(path.name, "", what, way_out))


def _faces_told(path: Path) -> int:
    """How many faces the file says it has, before any of them is read."""
    kind = path.suffix.lower()
    with path.open("rb") as file:
        head = file.read(2048)
        if kind == ".ply":
            lines = head.split(b"end_header")[0].splitlines()
            return next((int(each.split()[2]) for each in lines if each.startswith(b"element face")), 0)
        size = path.stat().st_size
        if kind == ".stl":
            told = struct.unpack_from("<I", head, 80)[0] if len(head) >= 84 else 0
            return int(told) if size == 84 + 50 * told else size // 250  # in letters, a triangle takes 250 and more
        file.seek(0)
        return sum(each.startswith(b"f ") for each in file)


def _round_mm(surface: Surface, loop: list[int]) -> float:
    import numpy as np

    along = surface.points[loop]
    return float(np.linalg.norm(along - np.roll(along, -1, axis=0), axis=1).sum())
