"""The part as it would be seen from straight above: the photo laid on the plane of the strips, with its scale."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from trimwright.geometry.outline.reading import raised

if TYPE_CHECKING:
    from trimwright.geometry.outline.reading import Outline

ROUND_MM = 40.0
"""Shown round the part."""
COARSE_PX = 8
"""The way from the plane to the photo is worked out for every so many pixels, and between them by line."""
QUALITY = 82


@dataclass(frozen=True, slots=True)
class Overhead:
    """A JPEG, and where it lies on the plane [mm, y up]."""

    jpeg: bytes
    left_mm: float
    bottom_mm: float
    wide_mm: float
    high_mm: float


def overhead(outline: Outline, most_px: int = 1600) -> Overhead:
    """The photo round the part, its longer side so many pixels; no finer than the photo itself is about."""
    import cv2
    from scipy.ndimage import map_coordinates

    seen = raised(np.array(outline.line), outline.camera, outline.thick_mm)
    low, high = seen.min(axis=0) - ROUND_MM, seen.max(axis=0) + ROUND_MM
    there = outline.plane.to_px(np.array([low, high]))
    size = high - low
    mm_px = max(float(size.max()) / most_px, float(np.linalg.norm(size) / np.linalg.norm(there[1] - there[0])))
    columns, rows = (max(2, round(each / mm_px)) for each in size)
    across, down = np.meshgrid(np.arange(0, columns + COARSE_PX, COARSE_PX), np.arange(0, rows + COARSE_PX, COARSE_PX))
    coarse = outline.plane.to_px(np.column_stack((low[0] + across.ravel() * mm_px, high[1] - down.ravel() * mm_px)))
    at = np.mgrid[0:rows, 0:columns] / COARSE_PX
    x, y = (map_coordinates(coarse[:, k].reshape(across.shape), at, order=1).astype(np.float32) for k in range(2))
    laid = cv2.remap(outline.photo.pixels, x, y, cv2.INTER_LINEAR, borderValue=(255, 255, 255))
    _, held = cv2.imencode(".jpg", laid, [cv2.IMWRITE_JPEG_QUALITY, QUALITY])
    return Overhead(held.tobytes(), float(low[0]), float(low[1]), columns * mm_px, rows * mm_px)
