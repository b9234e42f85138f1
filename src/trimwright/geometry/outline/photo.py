"""A photo as it comes from a camera or a phone: its pixels, and the lens it says it was taken with."""

from __future__ import annotations

import io
from dataclasses import dataclass
from math import hypot
from typing import Any

import numpy as np

from trimwright.errors import BadInput, Problem

MOST_PIXELS = 120_000_000
FILM_DIAGONAL_MM = hypot(36, 24)
"""Of the 35 mm film that focal lengths are told by."""
_EXIF, _FOCAL_35 = 0x8769, 0xA405


@dataclass(frozen=True, eq=False, slots=True)
class Photo:
    """Pixels as BGR (h, w, 3), the right way up as the camera noted it; its focal length as on 35 mm film, or None."""

    pixels: Any
    focal_35_mm: float | None

    @property
    def size(self) -> tuple[int, int]:
        """Wide and high [px]."""
        return int(self.pixels.shape[1]), int(self.pixels.shape[0])

    @property
    def megapixels(self) -> float:
        return self.size[0] * self.size[1] / 1e6


def read_photo(source: bytes, where: str) -> Photo:
    """A JPEG or PNG; BadInput when it is none, is damaged or larger than any camera's."""
    import cv2
    from PIL import Image, UnidentifiedImageError

    try:
        with Image.open(io.BytesIO(source)) as opened:
            size = opened.size
            focal = opened.getexif().get_ifd(_EXIF).get(_FOCAL_35)
    except (UnidentifiedImageError, OSError, SyntaxError, Image.DecompressionBombError):
        raise BadInput(Problem(where, "", "is no picture that can be read.", "Give it as JPEG or PNG.")) from None
    if size[0] * size[1] > MOST_PIXELS:
        raise BadInput(Problem(where, f"{size[0]} × {size[1]}", "is larger than any camera's.", "Make it smaller."))
    pixels = cv2.imdecode(np.frombuffer(source, dtype=np.uint8), cv2.IMREAD_COLOR)
    if pixels is None:
        raise BadInput(Problem(where, "", "is cut off or damaged.", "Copy it from the camera again."))
    return Photo(pixels, float(focal) if isinstance(focal, int) and focal > 0 else None)


def focal_px(focal_35_mm: float, size: tuple[int, int]) -> float:
    """The focal length in pixels of a photo of that size, by the diagonal."""
    return focal_35_mm / FILM_DIAGONAL_MM * hypot(*size)
