"""light_mesh(surface) → LightMesh: a scan thinned to what a phone turns over smoothly, to be looked at and drawn on.

It is a picture, nothing is cut from it: a place on it is told as x y z, and what is laid flat is the scan itself. How
far the two are apart is measured and said. Thinned by collapsing sides, the least missed first (quadric error metrics,
Garland and Heckbert 1997; libigl), so that a hole stays a hole; its points are then brought on to the scan.
"""

from __future__ import annotations

import json
import struct
from dataclasses import dataclass
from typing import TYPE_CHECKING

from trimwright.errors import BadInput
from trimwright.geometry.flatten import flatten
from trimwright.geometry.scan import MM, Surface, Unit, check_manifold

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from trimwright.geometry.scan import Floats

MOST_LIGHT_FACES = 20_000
MOST_SAMPLES = 50_000
"""So many of the scan's points are held against the picture."""
LEAST_SHARE = 1e-9
"""A scan whose faces cancel out by so much of their area looks to no side: it is closed."""


@dataclass(frozen=True, eq=False)
class LightMesh:
    """The thinned surface [mm], where each of its points lies when flat, and from where it is best looked at."""

    surface: Surface
    flat: Floats | None
    """(n, 2) [mm], as the scan itself would be laid, nearly; None where it cannot be laid flat in one piece."""
    off_mm: float
    """The furthest that a point of the scan lies off the picture, or the middle of its triangles off the scan."""
    view: Floats
    """(3, 3): unit vectors to the right, up and towards whoever looks: its good side to them, its longest way level."""


def light_mesh(surface: Surface, most_faces: int = MOST_LIGHT_FACES) -> LightMesh:
    """The picture of a scan, of no more than `most_faces` triangles; a scan of so few is its own picture.

    BadInput when three or more triangles share an edge, which no picture can be made of.
    """
    thin = thinned(surface, most_faces)
    try:
        flat = flatten(thin).flat
    except BadInput:
        flat = None  # whether the scan itself can be laid flat is told where that is asked
    return LightMesh(thin, flat, _off(thin, surface), _view(surface))


def packed(light: LightMesh, unit: Unit) -> bytes:
    """The picture as a page's script reads it, lengths in the scan's own unit.

    A length of what follows (uint32), JSON filled up with blanks to fours, the points about `centre` (float32, x y z),
    their places when flat if `flat` (float32, x y), the triangles (uint16). Little-endian.
    """
    import numpy as np

    points = light.surface.points / MM[unit]
    centre = (points.max(axis=0) + points.min(axis=0)) / 2
    head = {
        "points": len(points),
        "faces": len(light.surface.faces),
        "flat": light.flat is not None,
        "centre": centre.tolist(),
        "view": light.view.ravel().tolist(),
        "off_mm": round(light.off_mm, 3),
    }
    told = json.dumps(head).encode("ascii")
    told += b" " * (-len(told) % 4)
    flat = np.empty((0, 2)) if light.flat is None else light.flat / MM[unit]
    arrays = ((points - centre).astype("<f4"), flat.astype("<f4"), light.surface.faces.astype("<u2"))
    return struct.pack("<I", len(told)) + told + b"".join(each.tobytes() for each in arrays)


def thinned(surface: Surface, most_faces: int) -> Surface:
    """No more than so many triangles, their corners on the surface, as many edges and holes as before."""
    import igl
    import numpy as np

    check_manifold(surface)
    if len(surface.faces) <= most_faces:
        return surface
    points, faces, _, _ = igl.qslim(surface.points, surface.faces, most_faces)
    _, _, on_scan = igl.point_mesh_squared_distance(points, surface.points, surface.faces)
    return Surface(np.ascontiguousarray(on_scan), np.ascontiguousarray(faces, dtype=np.int64), surface.notes)


def _off(thin: Surface, surface: Surface) -> float:
    """How far the two are apart, where most [mm]."""
    if thin is surface:
        return 0.0
    some = surface.points[:: max(1, len(surface.points) // MOST_SAMPLES)]
    return max(_furthest(some, thin), _furthest(thin.points[thin.faces].mean(axis=1), surface))


def _furthest(points: Floats, surface: Surface) -> float:
    import igl
    import numpy as np

    squares, _, _ = igl.point_mesh_squared_distance(points, surface.points, surface.faces)
    return float(np.sqrt(squares.max()))


def _view(surface: Surface) -> Floats:
    """Its good side to whoever looks; where it has none, its flattest."""
    import numpy as np

    a, b, c = (surface.points[surface.faces[:, k]] for k in range(3))
    good = np.cross(b - a, c - a).sum(axis=0) / 2
    around = surface.points - surface.points.mean(axis=0)
    _, axes = np.linalg.eigh(around.T @ around)
    towards: NDArray[np.float64] = good if np.linalg.norm(good) > LEAST_SHARE * surface.area_mm2 else axes[:, 0]
    towards = towards / np.linalg.norm(towards)
    right = axes[:, 2] - towards * (axes[:, 2] @ towards)
    if np.linalg.norm(right) < LEAST_SHARE:  # a tube looked at from its end
        right = axes[:, 1] - towards * (axes[:, 1] @ towards)
    right = right / np.linalg.norm(right)
    right = right if right[int(np.argmax(abs(right)))] > 0 else -right
    return np.stack((right, np.cross(towards, right), towards))
