"""Simulated photos: strips and a panel on a floor, seen by a camera whose lens, place and tilt are known.

The lens bends as x_d = x (1 + k1 r² + k2 r⁴) in tangents, which is not the way the program straightens; no photo here
comes from a real camera, printer or floor.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from math import cos, radians, sin
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray
from shapely import LinearRing, Polygon
from shapely.affinity import scale

from trimwright.geometry.outline.photo import Photo
from trimwright.geometry.outline.strips import LONG_MM, WIDE_MM, board

Floats = NDArray[np.float64]
TEXTURE = 4
"""Pixels to a mm of the floor."""


@dataclass(frozen=True)
class Lens:
    """A camera over the floor: focal length [px], bend, size [px], height [mm], tilt about x and y, turn [degrees]."""

    focal: float = 1550.0
    k1: float = -0.11
    k2: float = 0.04
    size: tuple[int, int] = (2016, 1512)
    high: float = 1250.0
    tilt: tuple[float, float] = (0.0, 0.0)
    turn: float = 0.0
    middle: tuple[float, float] = (0.0, 0.0)
    """By how much the lens sits beside the chip's middle [px]."""

    def _ways(self) -> tuple[Floats, Floats]:
        """Rotation from the floor (x right, y up, z up) to the camera (x right, y down, z ahead), and where it stands.

        It looks at the floor's origin from so high, leaning by its tilt.
        """
        a, b, c = (radians(each) for each in (*self.tilt, self.turn))
        down = np.diag([1.0, -1.0, -1.0])
        about_x = np.array([[1, 0, 0], [0, cos(a), -sin(a)], [0, sin(a), cos(a)]])
        about_y = np.array([[cos(b), 0, sin(b)], [0, 1, 0], [-sin(b), 0, cos(b)]])
        about_z = np.array([[cos(c), -sin(c), 0], [sin(c), cos(c), 0], [0, 0, 1]])
        turned = about_z @ about_y @ about_x @ down
        ahead = turned[2]
        return np.asarray(turned, dtype=float), np.asarray(-ahead * self.high / -ahead[2])

    @property
    def stands(self) -> Floats:
        """Its place over the floor [mm]."""
        return self._ways()[1]

    def px(self, points: Floats) -> Floats:
        """Where places of the floor appear [px]."""
        turned, stands = self._ways()
        seen = (np.column_stack((points, np.zeros(len(points)))) - stands) @ turned.T
        flat = seen[:, :2] / seen[:, 2:]
        r2 = (flat**2).sum(axis=1, keepdims=True)
        return np.asarray(self.focal * flat * (1 + self.k1 * r2 + self.k2 * r2**2) + self._centre())

    def _centre(self) -> Floats:
        return np.asarray((np.array(self.size) - 1) / 2 + np.array(self.middle))

    def floor(self, px: Floats) -> Floats:
        """Which places of the floor appear at pixels [mm]."""
        turned, stands = self._ways()
        bent = (px - self._centre()) / self.focal
        flat = bent.copy()
        for _ in range(15):
            r2 = (flat**2).sum(axis=1, keepdims=True)
            flat = bent / (1 + self.k1 * r2 + self.k2 * r2**2)
        rays = np.column_stack((flat, np.ones(len(flat)))) @ turned
        return np.asarray(stands[:2] - rays[:, :2] * stands[2] / rays[:, 2:])


def panel(wide: float = 500.0, high: float = 340.0) -> Polygon:
    """A panel with straight sides, a notch, a bowed side and a rounded end, about the origin, anticlockwise."""
    x, y = wide / 2, high / 2
    bowed = [(-x + 2 * x * t, -y - 60 * t * (1 - t)) for t in np.linspace(0, 1, 200)]
    rounded = [(x - 40 + 40 * cos(a), y - 40 + 40 * sin(a)) for a in np.linspace(0, np.pi / 2, 60)]
    return Polygon(
        [*bowed, (x, -y), *rounded, (30, y), (30, y - 20), (15, y - 20), (15, y), (-x + 70, y), (-x, y - 110)]
    )


PLACES: dict[str, tuple[float, float, float]] = {
    "a": (-330, 205, 2.0), "b": (405, 130, -88.0), "c": (330, -215, 181.0), "d": (-400, -130, 91.0),
}  # fmt: skip
"""Where each strip's lower left corner lies [mm] and how it is turned [degrees]: like sails of a mill."""


CLOSE: dict[str, tuple[float, float, float]] = {
    "a": (-200, 112, 2.0), "b": (152, 110, -88.0), "c": (200, -132, 181.0), "d": (-152, -110, 91.0),
}  # fmt: skip
"""Round a small panel."""


@dataclass(frozen=True)
class Scene:
    """What lies on the floor; greys are codes 0–255."""

    lens: Lens = field(default_factory=Lens)
    part: Polygon = field(default_factory=panel)
    thick: float = 0.0
    strips: str = "abcd"
    places: dict[str, tuple[float, float, float]] = field(default_factory=lambda: dict(PLACES))
    scales: tuple[float, float] = (1.0, 1.0)
    ground: int = 205
    leather: int = 70
    shadow: float = 0.0
    """How much of the light a shadow takes that the part throws to the right and down."""
    blur: float = 0.7
    noise: float = 3.0
    seed: int = 1

    def laid(self, strip: str, points: Floats) -> Floats:
        """Where points of a strip lie on the floor, as it was printed."""
        x, y, turn = self.places[strip]
        c, s = cos(radians(turn)), sin(radians(turn))
        return np.asarray(points * self.scales @ np.array([[c, s], [-s, c]]) + [x, y])

    def seen(self) -> Polygon:
        """The part's picture on the floor: its top, its bottom and all between."""
        foot, high = self.lens.stands[:2], self.lens.stands[2]
        layers = [
            scale(self.part, high / (high - z), high / (high - z), origin=tuple(foot))
            for z in np.linspace(0, self.thick, 12 if self.thick else 1)
        ]
        whole: Polygon = layers[0]
        for each in layers[1:]:
            whole = Polygon(whole.union(each).exterior)  # type: ignore[attr-defined]
        return whole

    def photo(self) -> Photo:
        """What the camera sees."""
        wide, high = self.lens.size
        floor, reach = self._floor()
        # where every eighth pixel looks, and between them straight: the map is that smooth
        columns, rows = np.meshgrid(np.arange(-1, wide // 8 + 2) * 8 + 3.5, np.arange(-1, high // 8 + 2) * 8 + 3.5)
        there = self.lens.floor(np.column_stack((columns.ravel(), rows.ravel())))
        at = np.column_stack(((there[:, 0] + reach) * TEXTURE - 0.5, (reach - there[:, 1]) * TEXTURE - 0.5))
        few = at.reshape(*columns.shape, 2).astype(np.float32)
        every = cv2.resize(few, None, fx=8, fy=8, interpolation=cv2.INTER_LINEAR)[8 : 8 + high, 8 : 8 + wide]
        light = cv2.remap(floor, every[..., 0], every[..., 1], cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
        if self.shadow:
            light = light * (1 - self.shadow * self._shaded())
        light = cv2.GaussianBlur(light, (0, 0), self.blur)
        code = np.where(light <= 0.0031308, 12.92 * light, 1.055 * np.maximum(light, 0) ** (1 / 2.4) - 0.055) * 255
        code = code + np.random.default_rng(self.seed).normal(0, self.noise, code.shape)
        grey = np.clip(np.round(code), 0, 255).astype(np.uint8)
        return Photo(cv2.cvtColor(grey, cv2.COLOR_GRAY2BGR), None)

    def _shaded(self) -> Any:
        """Where the shadow lies in the photo and how deep, 0-1: nowhere on the part itself."""
        ring = self.lens.px(np.array(self.part.exterior.coords))
        part, thrown = (np.zeros(self.lens.size[::-1], dtype=np.float32) for _ in range(2))
        cv2.fillPoly(part, [np.round(ring).astype(np.int32)], 1.0)
        cv2.fillPoly(thrown, [np.round(ring + np.array([13, 10])).astype(np.int32)], 1.0)
        return cv2.GaussianBlur(thrown, (0, 0), 9) * (part == 0)

    def _floor(self) -> tuple[Any, float]:
        """The floor from above as light 0–1, and how far it reaches from the origin [mm]."""
        corners = np.array([[0, 0], [1, 0], [1, 1], [0, 1]]) * (np.array(self.lens.size) - 1.0)
        reach = min(800.0, float(np.abs(self.lens.floor(corners)).max()) + 5)
        side = round(2 * reach * TEXTURE)
        floor = np.full((side, side), _light(self.ground), dtype=np.float32)
        _fill(floor, self.seen(), _light(self.leather), reach)
        for strip in self.strips:
            margin = 6.0
            sheet = np.array([[-margin, -margin], [LONG_MM + margin, -margin], [LONG_MM + margin, WIDE_MM + margin],
                              [-margin, WIDE_MM + margin]])  # fmt: skip
            _fill(floor, Polygon(self.laid(strip, sheet)), _light(245), reach)
            drawn = np.asarray(board(strip).generateImage((11 * 96, 3 * 96))) / 255 * 0.86 + 0.02
            ends = np.array([[0, 0], [LONG_MM, 0], [LONG_MM, WIDE_MM], [0, WIDE_MM]])
            there = self.laid(strip, ends)
            into = np.column_stack(((there[:, 0] + reach) * TEXTURE - 0.5, (reach - there[:, 1]) * TEXTURE - 0.5))
            from_ = np.array([[0, 288], [1056, 288], [1056, 0], [0, 0]], dtype=float) - 0.5
            matrix = cv2.getPerspectiveTransform(from_.astype(np.float32), into.astype(np.float32))
            cv2.warpPerspective(
                drawn.astype(np.float32), matrix, (side, side), dst=floor, borderMode=cv2.BORDER_TRANSPARENT
            )
        return floor, reach


def close(**other: Any) -> Scene:
    """A small panel from near by, in three megapixels."""
    lens = Lens(high=640.0, tilt=(3.0, -2.0))
    return Scene(**{"lens": lens, "part": panel(260, 180), "places": dict(CLOSE), **other})


def jpeg(photo: Photo) -> bytes:
    """As a camera would save it."""
    return bytes(cv2.imencode(".jpg", photo.pixels, [cv2.IMWRITE_JPEG_QUALITY, 92])[1].tobytes())


def _light(code: int) -> float:
    return float(((code / 255 + 0.055) / 1.055) ** 2.4)


def _fill(floor: Any, shape: Polygon, light: float, reach: float) -> None:
    """Filled to the edge itself: the filling takes in the pixels of the edge, half of each too much."""
    part = shape.buffer(-0.5 / TEXTURE, join_style="mitre")
    ring = np.array(part.exterior.coords)
    at = np.column_stack(((ring[:, 0] + reach) * TEXTURE - 0.5, (reach - ring[:, 1]) * TEXTURE - 0.5))
    cv2.fillPoly(floor, [np.round(at * 256).astype(np.int32)], light, lineType=cv2.LINE_8, shift=8)


def apart(line: Floats, part: Polygon) -> Floats:
    """How far each point of a line is from the true outline when it is laid on it as well as can be [mm]."""
    from scipy.optimize import least_squares
    from shapely import distance, points

    edge = LinearRing(part.exterior.coords)
    middle = line.mean(axis=0)

    def laid(move: Floats) -> Floats:
        c, s = np.cos(move[0]), np.sin(move[0])
        return np.asarray((line - middle) @ np.array([[c, s], [-s, c]]) + move[1:])

    best = None
    for start in range(0, 360, 15):
        begun = np.array([radians(start), part.centroid.x, part.centroid.y])
        turned = Polygon(laid(begun))
        begun[1:] += np.array([part.centroid.x - turned.centroid.x, part.centroid.y - turned.centroid.y])
        left = float(distance(points(laid(begun)), edge).mean())
        if best is None or left < best[0]:
            best = left, begun
    assert best is not None

    def left_by(move: Floats) -> Floats:
        return np.asarray(distance(points(laid(move)), edge))

    found = least_squares(left_by, best[1], x_scale=[0.001, 1, 1]).x
    return np.asarray(distance(points(laid(found)), edge))
